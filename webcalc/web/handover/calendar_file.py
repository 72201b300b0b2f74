"""Dates of a shoot as an iCalendar file (RFC 5545).

An entry's UID is made from the camera, the kind of entry and its number, never from its date: importing a changed plan
again moves the entries instead of doubling them, and calls off those that a shorter list no longer needs. SEQUENCE and
DTSTAMP come from the moment of the request.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from flask import Response, request
from icalendar import Alarm, Calendar, Event, Timezone, TimezoneDaylight, TimezoneStandard, vText

from webcalc.calc.schedule.zone import offset_changes
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import Inputs
from webcalc.web.questions.visits.words import brought, expected_words, reason_words, slot_words
from webcalc.web.words.verdict import in_short, may_come_sooner

PRODUCT = "-//webcalc//shoot dates//EN"
#: SEQUENCE counts minutes from here, so that a later file always wins.
_COUNTED_FROM = datetime(2020, 1, 1, tzinfo=UTC)
#: When people still look at their phones and can pack; own choice.
RINGS_AT = time(18)
#: How many entries of a list that was longer are called off; own choice.
SPARE = 20
#: Longest that ``zone`` may reach around the entries, for offsets in force at their dates.
_AROUND = timedelta(2)


@dataclass(frozen=True)
class Entry:
    """One entry: ``kind`` and ``nth`` tell it from others of the same camera.

    begin, end : dates for a whole day (``end`` the day after, or None), instants otherwise: aware, or naive where the
        site's zone isn't known
    rings : whether an alarm rings the evening before, ``RINGS_AT`` by the clock of ``begin``
    location, geo, url : where it is, in words and as latitude and longitude in degrees, and the plan's link
    cancelled : whether it is called off
    """

    kind: str
    nth: int
    summary: str
    begin: date | datetime
    end: date | datetime | None = None
    description: str = ""
    rings: bool = False
    location: str = ""
    geo: tuple[float, float] | None = None
    url: str = ""
    cancelled: bool = False


def entry_uid(camera: str, kind: str, nth: int) -> str:
    """Return an entry's UID; the same for the same camera, kind and number."""
    digest = hashlib.sha256(f"{camera}\n{kind}\n{nth}".encode()).hexdigest()
    return f"{digest[:32]}@webcalc"


def calendar_file(entries: Sequence[tuple[str, Entry]], title: str, now: datetime, zones: Sequence[ZoneInfo]) -> bytes:
    """Return the file.

    ``entries`` are pairs of a camera (its name, or what else tells it apart) and an entry; ``now`` is aware; ``zones``
    are those in which the entries are told.
    """
    file = Calendar()
    file.add("prodid", PRODUCT)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    file.add("method", "PUBLISH")
    # No standard name, so the library would leave commas and semicolons in it as they are.
    file.add("x-wr-calname", vText(title))
    if entries:
        days = [entry.begin.date() if isinstance(entry.begin, datetime) else entry.begin for _camera, entry in entries]
        for zone in zones:
            file.add_component(_zone_component(zone, min(days) - _AROUND, max(days) + _AROUND))
    for camera, entry in entries:
        file.add_component(_event(camera, entry, now))
    return file.to_ical()


def _event(camera: str, entry: Entry, now: datetime) -> Event:
    event = Event()
    event.add("uid", entry_uid(camera, entry.kind, entry.nth))
    event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
    event.add("sequence", max(0, (now - _COUNTED_FROM) // timedelta(minutes=1)))
    event.add("dtstart", entry.begin)
    if entry.end is not None:
        event.add("dtend", entry.end)
    event.add("summary", entry.summary)
    for name in ("description", "location", "geo", "url"):
        if getattr(entry, name):
            event.add(name, getattr(entry, name))
    if entry.cancelled:
        event.add("status", "CANCELLED")
    # A whole-day note doesn't make anybody busy.
    event.add("transp", "OPAQUE" if isinstance(entry.begin, datetime) else "TRANSPARENT")
    if entry.rings:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", entry.summary)
        alarm.add("trigger", -_since_evening(entry.begin))
        event.add_component(alarm)
    return event


def _since_evening(begin: date | datetime) -> timedelta:
    """Return how long before ``begin`` the alarm of the evening before rings; over a change of the clock too."""
    if not isinstance(begin, datetime):
        begin = datetime.combine(begin, time())
    evening = datetime.combine(begin.date() - timedelta(1), RINGS_AT, begin.tzinfo)
    if begin.tzinfo is None:
        return begin - evening
    return begin.astimezone(UTC) - evening.astimezone(UTC)


def called_off(kind: str, numbers: Iterable[int], title: str, begin: date) -> list[Entry]:
    """Return entries that call off what an earlier file may have held under these numbers; dated, as they must be."""
    return [
        Entry(kind, n, f"{title}: not in the plan any more", begin, begin + timedelta(1), cancelled=True)
        for n in numbers
    ]


def _zone_component(zone: ZoneInfo, first: date, last: date) -> Timezone:
    """Return the zone's rules over these dates.

    Written here and not by the library, which dates the beginning of summer time by the clock after the change; RFC
    5545, section 3.6.5, wants the clock before it.
    """
    begin, end = (datetime.combine(day, time(), UTC) for day in (first, last + timedelta(1)))
    component = Timezone()
    component.add("tzid", zone.key)
    offset = begin.astimezone(zone).utcoffset()
    component.add_component(_rule(zone, begin, offset, offset))
    for change in offset_changes(zone, begin, end):
        component.add_component(_rule(zone, change.at_utc, change.before, change.after))
    return component


def _rule(
    zone: ZoneInfo, at_utc: datetime, before: timedelta | None, after: timedelta | None
) -> TimezoneStandard | TimezoneDaylight:
    before, after = before or timedelta(0), after or timedelta(0)
    rule = TimezoneDaylight() if after > before else TimezoneStandard()
    rule.add("dtstart", (at_utc + before).replace(tzinfo=None))
    rule.add("tzoffsetfrom", before)
    rule.add("tzoffsetto", after)
    rule.add("tzname", at_utc.astimezone(zone).tzname() or "")
    return rule


def calendar_response(content: bytes, name: str) -> Response:
    """Return the file as an answer; ``name`` without ending, made of letters, digits and hyphens."""
    response = Response(content, content_type="text/calendar; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.ics"'
    return response


_DAY = timedelta(1)


def calendar_view(asked: Asked) -> Response:
    """Answer with the calendar, or with a sentence (422) where there is no plan of visits to put into one."""
    shoot, room, zone = asked.shoot, asked.shoot.visits, asked.shoot.daylight.zone
    plan = room.plan
    if asked.records_nothing or not known(plan) or need(room.nothing_to_plan_by) or not plan.holds:
        words = "There is no plan of visits to put into a calendar; the page /visits says what is missing."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    title, key = shoot_title(asked.inputs), camera_key(asked.inputs, shoot)
    entries = [(key, entry) for entry in shoot_entries(asked, f"{request.host_url}visits?{asked.inputs.handed_out()}")]
    content = calendar_file(entries, title, asked.now, [zone] if known(zone) else [])
    return calendar_response(content, file_name(title, "visits"))


def file_name(title: str, otherwise: str) -> str:
    """Return a title as a file's name without ending: ASCII letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40].strip("-") or otherwise


def camera_key(inputs: Inputs, shoot: Shoot) -> str:
    """Return what tells this camera from others: its name, else where it stands. Two without either are one."""
    if inputs.get("name"):
        return inputs.get("name")
    place = shoot.daylight.coordinates
    return f"{place[0]:.4f},{place[1]:.4f}" if known(place) else ""


def shoot_title(inputs: Inputs) -> str:
    """Return the camera's name, or what stands for it."""
    return inputs.get("name") or "Time-lapse camera"


def shoot_entries(asked: Asked, url: str) -> list[Entry]:
    """Return the entries of one shoot, in order of kind and date; visits only where there is a plan of them.

    ``url`` leads to the plan. What a shorter list no longer needs is called off.
    """
    shoot, say, title = asked.shoot, asked.say, shoot_title(asked.inputs)
    room = shoot.visits
    planner, plan, nothing = need(room.planner, room.plan, room.nothing_to_plan_by)
    schedule, unknown = planner.schedule, may_come_sooner(asked.verdict)
    entries = [
        Entry("first", 1, f"{title}: first day", schedule.first, schedule.first + _DAY),
        Entry("last", 1, f"{title}: last day", schedule.last, schedule.last + _DAY),
    ]
    # Visits that were noted keep their numbers, and what stands under them in the calendar.
    made, listed = shoot.done.made, plan.visits if plan.holds and not nothing else ()
    services = made + len(plan.services)
    for n, visit in enumerate(listed, start=made + 1):
        fetches = Reason.LAST_DAY in visit.reasons
        begin, end = room.stop(visit)
        bring, slot = brought(shoot, say, visit), slot_words(shoot, say, visit)
        lines = [
            f"Bring {bring}." if bring else "",
            f"Expected: {expected_words(say, visit)}.",
            f"Light to work in: {slot}." if slot else "",
            unknown,
        ]
        what = reason_words(visit) if fetches else f"visit {n} of {services} ({reason_words(visit)})"
        entries.append(
            Entry(
                kind="fetch" if fetches else "visit",
                nth=1 if fetches else n,
                summary="; ".join(filter(None, (f"{title}: {what}", in_short(asked.verdict.unknown)))),
                begin=begin,
                end=end,
                description=" ".join(filter(None, lines)),
                rings=True,
            )
        )
    for n, shift in enumerate(room.changes, start=1):
        way = "forward" if shift.shift_s > 0 else "back"
        words = f"{title}: wall clock goes {way} {say.length(abs(shift.shift_s))}; the camera clock doesn't"
        entries.append(Entry("clock", n, words, shift.at.date(), shift.at.date() + _DAY))
    where = or_none(shoot.daylight.coordinates)
    found = [replace(entry, url=url, geo=where, location=_location(where, title)) for entry in entries]
    if listed:
        found += called_off("visit", range(services + 1, services + 1 + SPARE), title, schedule.last)
    return found


def _location(where: tuple[float, float] | None, title: str) -> str:
    """Return the place in words: a phone's map finds it by the numbers."""
    return f"{title}, {where[0]:.5f}, {where[1]:.5f}" if where is not None else ""
