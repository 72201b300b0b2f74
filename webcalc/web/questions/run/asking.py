"""What the page of several cameras was asked: how drives are put together, and plans read line by line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from flask import current_app, request

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need
from webcalc.calc.verdict import records_nothing
from webcalc.calc.visits.fleet import DRIVE_KM, Camera, Fleet
from webcalc.web.http.arrival import inputs_of_request
from webcalc.web.link.inputs import SUM_NAME, Inputs, write_query
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.quantity import Quantity, number, whole
from webcalc.web.link.to_shoot import shoot_of, shoot_told, united
from webcalc.web.questions.pages import LINKED
from webcalc.web.words.verdict import labels, nothing_recorded

#: How far the list looks ahead: text in the link, words.
AHEAD = (("14", "2 weeks"), ("56", "8 weeks"), ("6mo", "6 months"), ("120mo", "to the end"))
#: The fields beside the plans; they are this page's own, and no part of a plan.
FIELDS = {
    field.name: field
    for field in (
        Quantity("ahead", "Look ahead", QUANTITIES["shoot_days"].kind, usual="56"),
        Quantity("early", "Days early", whole(0, 60), hint="at most; empty: each plan’s margin"),
        Quantity("near", "One drive reaches", number("1", "20000", "km"), hint="km between cameras; empty: 500"),
    )
}
#: What is taken while how far isn't known.
USUAL_AHEAD = FIELDS["ahead"].read(FIELDS["ahead"].usual)
#: Asks what coming early saves.
COMPARE = "compare"


@dataclass(frozen=True)
class Asked:
    """What was typed: plans line by line and the other fields; their values, and what is wrong with them."""

    lines: Sequence[str]
    texts: Mapping[str, str]
    values: Mapping[str, Any]
    wrong: Mapping[str, str]
    compare: bool

    def query(self) -> str:
        pairs = [("plan", line) for line in self.lines]
        pairs += [(name, text) for name, text in self.texts.items() if text != FIELDS[name].usual]
        return write_query([*pairs, (COMPARE, "yes")] if self.compare else pairs)


def ask() -> Asked:
    """Read the request; a new link for one camera takes the place of the old one."""
    values = request.values
    lines = [line.strip() for text in values.getlist("plan") for line in (text.splitlines() or [""])]
    while lines and not lines[-1]:
        lines.pop()
    if not values.getlist("plan"):
        lines = _plan_that_came_along()
    new, line = values.get("new", "").strip(), line_number("line")
    if new and 0 < line <= len(lines):
        lines[line - 1] = " ".join(new.split())
    texts = {name: values.get(name, "").strip() or field.usual for name, field in FIELDS.items()}
    read: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for name, field in FIELDS.items():
        try:
            read[name] = field.read(texts[name]) if texts[name] else None
        except BadInput as problem:
            wrong[name] = f"{problem}."
    return Asked(lines, texts, read, wrong, bool(values.get(COMPARE)))


def line_number(name: str) -> int:
    """Return the line that a field of the request names; 0 where it names none."""
    text = request.values.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _plan_that_came_along() -> list[str]:
    """Return the plan that a page of one camera handed over, if its days are known."""
    if not request.args:
        return []
    inputs = inputs_of_request(current_app.config["NOW"]())
    return [f"{request.host_url}plan?{inputs.handed_out()}"] if known(shoot_of(inputs).schedule) else []


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
    for nth, line in enumerate(lines[:MOST_LINES], start=1):
        if not line.strip():
            continue
        found = read_pasted(line, now.astimezone().date(), LINKED)
        inputs = found.inputs if found else Inputs()
        # One shoot for both: what was worked out to look at it is kept.
        shoot = shoot_of(inputs, now)
        sentence = _why_not(inputs, shoot) if found else "There is no plan in this line."
        name = inputs.get("name") or f"Camera of line {nth}"
        if found and SUM_NAME not in inputs.errors and records_nothing(shoot) is not None and len(idle) < MOST_CAMERAS:
            idle.append(Camera(nth, name, shoot))
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
                cameras.append(Camera(nth, name, shoot))
        if sentence:
            errors.append((nth, sentence))
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
