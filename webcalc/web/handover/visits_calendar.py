"""The calendar of one shoot's visits, with its first and last day and the changes of summer time."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta

from flask import Response, request

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.visits.rules import Reason
from webcalc.web.handover.calendar_file import SPARE, Entry, calendar_file, calendar_response, called_off
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import Inputs
from webcalc.web.questions.visits.words import (
    brought,
    expected_words,
    reason_words,
    slot_words,
)
from webcalc.web.words.verdict import in_short, may_come_sooner

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
