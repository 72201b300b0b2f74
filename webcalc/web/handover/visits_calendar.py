"""The calendar of one shoot's visits, with its first and last day and the changes of summer time."""

from __future__ import annotations

import re
from datetime import timedelta

from flask import Response

from webcalc.calc.visits.rules import Reason
from webcalc.web.handover.calendar_file import Entry, calendar_file, calendar_response
from webcalc.web.http.page import Asked
from webcalc.web.questions.visits.case import VisitsCase
from webcalc.web.questions.visits.words import bring_words, expected_words, reason_words

_DAY = timedelta(1)


def calendar_view(asked: Asked, *, ready: bool) -> Response:
    """Answer with the calendar, or with a sentence (422) where there is no plan of visits to put into one."""
    case = VisitsCase(asked)
    if not ready or case.needs or case.visits.nothing_to_plan_by or not case.plan.holds:
        words = "There is no plan of visits to put into a calendar; the page /visits says what is missing."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    zone = asked.old.place.zone
    entries = [(camera_key(case), entry) for entry in shoot_entries(case)]
    content = calendar_file(entries, shoot_title(case), asked.now, [zone] if zone else [])
    return calendar_response(content, file_name(shoot_title(case), "visits"))


def file_name(title: str, otherwise: str) -> str:
    """Return a title as a file's name without ending: ASCII letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40].strip("-") or otherwise


def camera_key(case: VisitsCase) -> str:
    """Return what tells this camera from others: its name, else where it stands. Two without either are one."""
    get, site = case.inputs.get, case.shoot.place.site
    if get("name"):
        return get("name")
    return f"{site.latitude_deg:.4f},{site.longitude_deg:.4f}" if site else ""


def shoot_title(case: VisitsCase) -> str:
    """Return the camera's name, or what stands for it."""
    return case.inputs.get("name") or "Time-lapse camera"


def shoot_entries(case: VisitsCase) -> list[Entry]:
    """Return the entries of one shoot, in order of kind and date; visits only where there is a plan of them."""
    title, schedule = shoot_title(case), case.planner.schedule
    entries = [
        Entry("first", 1, f"{title}: first day", schedule.first, schedule.first + _DAY),
        Entry("last", 1, f"{title}: last day", schedule.last, schedule.last + _DAY),
    ]
    planned = not case.visits.nothing_to_plan_by and case.plan.holds
    services = len(case.plan.services)
    for n, visit in enumerate(case.plan.visits if planned else (), start=1):
        fetches = Reason.LAST_DAY in visit.reasons
        slot = case.slot(visit)
        begin, end = slot or (case.told(visit.at), None)
        bring = bring_words(case, case.bring(visit))
        lines = [f"Bring {bring}." if bring else "", f"Expected: {expected_words(case, visit)}."]
        what = reason_words(visit) if fetches else f"visit {n} of {services} ({reason_words(visit)})"
        entries.append(
            Entry(
                kind="fetch" if fetches else "visit",
                nth=1 if fetches else n,
                summary=f"{title}: {what}",
                begin=begin,
                end=end if end and end > begin else None,
                description=" ".join(filter(None, lines)),
                alarm=_DAY,
            )
        )
    entries.extend(_change_entries(case, title))
    return entries


def _change_entries(case: VisitsCase, title: str) -> list[Entry]:
    """Return the changes of the clock that the camera is set by, each on its date."""
    planner, found = case.planner, []
    end = planner.right_time(planner.start(), planner.schedule.ends_at)
    within = [shift for shift in case.visits.shifts if planner.schedule.starts_at < shift.at < end]
    for n, shift in enumerate(within, start=1):
        way = "forward" if shift.shift_s > 0 else "back"
        words = f"{title}: wall clock goes {way} {case.say.length(abs(shift.shift_s))}; the camera clock doesn't"
        found.append(Entry("clock", n, words, shift.at.date(), shift.at.date() + _DAY))
    return found
