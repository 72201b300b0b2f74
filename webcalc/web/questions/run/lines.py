"""Pasted plans read line by line: cameras whose visits can be worked out, and what is wrong with other lines."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need
from webcalc.calc.verdict import records_nothing
from webcalc.calc.visits.fleet import DRIVE_KM, Camera, Fleet
from webcalc.web.link.inputs import SUM_NAME, Inputs
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.to_shoot import shoot_of
from webcalc.web.link.united import shoot_told, united
from webcalc.web.questions.pages import LINKED
from webcalc.web.questions.run.asking import USUAL_AHEAD, Asked
from webcalc.web.words.verdict import labels, nothing_recorded

MOST_CAMERAS = 100
#: Lines that are looked at, good and bad.
MOST_LINES = 200
#: Visits of all cameras that one list is worked out for: two seconds of work, and pages of drives.
MOST_VISITS = 2_000
#: Line (None: all of them) and what is wrong with it.
Wrong = tuple[int | None, str]


def read_lines(asked: Asked, now: datetime) -> tuple[Fleet, list[Wrong]]:
    """Return the cameras as one fleet, and a sentence for each line that holds none.

    None is read while it isn't known how drives are to be put together.
    """
    lines = [] if asked.wrong else asked.lines
    cameras: list[Camera] = []
    idle: list[Camera] = []
    errors: list[Wrong] = []
    seen: dict[tuple[tuple[str, str], ...], int] = {}
    read: list[Inputs] = []
    for number, line in enumerate(lines[:MOST_LINES], start=1):
        if not line.strip():
            continue
        found = read_pasted(line, now.astimezone().date(), LINKED)
        inputs = found.inputs if found else Inputs()
        # One shoot for both: what was worked out to look at it is kept.
        shoot = shoot_of(inputs, now)
        sentence = _why_not(inputs, shoot) if found else "There is no plan in this line."
        name = inputs.get("name") or f"Camera of line {number}"
        if found and SUM_NAME not in inputs.errors and records_nothing(shoot) is not None and len(idle) < MOST_CAMERAS:
            idle.append(Camera(number, name, shoot))
        if not sentence:
            told = tuple(shoot_told(inputs).items())
            if told in seen:
                n = seen[told]
                both = united(read[n], inputs)
                sentence = f"This is the same plan as in line {cameras[n].line}."
                if both is not read[n]:
                    read[n], cameras[n] = both, replace(cameras[n], shoot=shoot_of(both, now))
                    sentence += " What their logs have was put together."
            elif len(cameras) >= MOST_CAMERAS:
                sentence = f"Only {MOST_CAMERAS} cameras are looked at in one list."
            else:
                seen[told] = len(cameras)
                read.append(inputs)
                cameras.append(Camera(number, name, shoot))
        if sentence:
            errors.append((number, sentence))
    if len(lines) > MOST_LINES:
        errors.append((None, f"Only the first {MOST_LINES} lines were looked at."))
    typed = asked.values
    near_km = DRIVE_KM if typed.get("near") is None else float(typed["near"])
    ahead = typed.get("ahead") or USUAL_AHEAD
    return Fleet(cameras, now, ahead, typed.get("early"), MOST_VISITS, idle, near_km), errors


def _why_not(inputs: Inputs, shoot: Shoot) -> str:
    """Return why no visits can be worked out from a plan; empty where they can."""
    if SUM_NAME in inputs.errors:
        return f"{inputs.errors[SUM_NAME]} Have it sent again, or open it alone to look at its values."
    planner, why = shoot.visits.planner, records_nothing(shoot)
    if why is not None:
        return nothing_recorded(why)
    if not known(planner):
        wrong = [inputs.errors[name] for name in planner.wrong if name in inputs.errors]
        return "; ".join(wrong) + "." if wrong else f"The plan lacks: {labels(planner.names)}."
    if need(shoot.visits.nothing_to_plan_by):
        return "Nothing in the plan calls for a visit: neither card nor battery is known, nor the days between."
    return ""
