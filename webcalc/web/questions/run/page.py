"""Which cameras need a visit next? Several plans, a line each, without the form of one plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need
from webcalc.calc.verdict import records_nothing
from webcalc.calc.visits.fleet import DRIVE_KM, Camera, Fleet, Trade
from webcalc.calc.visits.joint import Drive, TooManyVisits
from webcalc.web.handover.calendar_file import calendar_response
from webcalc.web.http.arrival import inputs_of_request, local_today
from webcalc.web.http.data import plain_data
from webcalc.web.http.errors import TooMuchWork
from webcalc.web.link.inputs import SUM_NAME, Inputs, write_query
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.kinds.times import WEEKDAYS
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.quantity import Quantity, number, whole
from webcalc.web.link.to_shoot import shoot_of, shoot_told, united
from webcalc.web.questions.pages import LINKED
from webcalc.web.questions.run.words import (
    at_a_glance,
    cameras_data,
    dark_days,
    drive_data,
    drive_fact,
    drives_calendar,
    idle_facts,
    later_facts,
    not_known_words,
    packed_data,
    packed_words,
    stuck,
    ticks,
    to_come,
    trade_table,
    unplaced_words,
    which,
    whom,
)
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Text, Ticks
from webcalc.web.words.say import Say, say_for
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


#: Longest address that a pasted list is turned into; a longer list stays in the form that sent it.
LONGEST_ADDRESS = 8_000
#: How many days early are compared, and for how many drives a list to tick is written out.
COMPARED_DAYS, TICKED = (0, 3, 7, 14, 28), 3

run = Blueprint("run", __name__)


@dataclass(frozen=True)
class _Run:
    """The cameras as one fleet, and everything that is wrong, by line."""

    fleet: Fleet
    say: Say
    errors: list[Wrong]
    trade: tuple[Trade, ...]

    @property
    def drives(self) -> list[Drive]:
        return self.fleet.visits.drives


def _work_out(asked: Asked) -> _Run:
    say = say_for(Inputs(), request.accept_languages)
    fleet, errors = read_lines(asked, current_app.config["NOW"]())
    errors += [(None, sentence) for sentence in asked.wrong.values()]
    try:
        errors += stuck(fleet, say)
        trade = fleet.trade(COMPARED_DAYS) if asked.compare and len(fleet.cameras) > 1 else ()
    except TooManyVisits:
        raise TooMuchWork(
            f"These cameras need more than {MOST_VISITS} visits to {say.day(fleet.until)}, which is more than "
            "one list can hold. Look ahead less far, or take fewer cameras into one list."
        ) from None
    return _Run(fleet, say, sorted(errors, key=lambda error: error[0] or 0), trade)


@run.route("/run", methods=["GET", "POST"])
def view() -> ResponseReturnValue:
    """Answer as a page; a short list that was sent gets an address of its own."""
    asked = ask()
    if opened := line_number("open"):
        return _open(asked, opened)
    address = f"/run?{asked.query()}"
    if request.method == "POST" and asked.lines and len(address) <= LONGEST_ADDRESS:
        return redirect(address, 303)
    found = _work_out(asked)
    shown = {"cameras": found.fleet.cameras, "drives": found.drives, "errors": found.errors, **_answer(found)}
    return render_template("run.html", asked=asked, ahead=AHEAD, fields=FIELDS, compare=COMPARE, **shown)


def _open(asked: Asked, line: int) -> ResponseReturnValue:
    """Lead on to the visits of one line's plan."""
    text = asked.lines[line - 1] if 0 < line <= len(asked.lines) else ""
    plan = read_pasted(text, local_today(current_app.config["NOW"]()), LINKED)
    return redirect(f"/visits?{plan.query}" if plan else "/run", 303)


def _answer(found: _Run) -> dict[str, Any]:
    fleet, say, drives = found.fleet, found.say, found.drives
    blocks: list[Block] = []
    missing, idle = not_known_words(fleet), [Facts(facts, "No visits")] if (facts := idle_facts(fleet)) else []
    if not fleet.cameras:
        return {"figure": "", "sentence": "", "blocks": idle}
    blocks += [Text(words, LOOK) for words in (*to_come(fleet, say), *dark_days(fleet))]
    if drives:
        blocks.append(Facts([drive_fact(fleet, say, drive) for drive in drives], "Drives"))
        blocks += [Ticks(say.day(drive.date), ticks(fleet, say, drive)) for drive in drives[:TICKED]]
        packed = packed_words(say, fleet.bring(drives))
        rows = [Fact("Drives", say.number(len(drives))), *([Fact("To pack", packed)] if packed else [])]
        blocks.append(Facts(rows, f"In all, to {say.day(fleet.until)}"))
        if unplaced := unplaced_words(fleet):
            blocks.append(Text(unplaced))
        figure, first = say.day(drives[0].date, weekday=False), drives[0]
        sentence = f"is the next drive ({WEEKDAYS[first.date.weekday()]}): {whom(fleet, first)}."
    elif stuck_ones := {*fleet.visits.impossible, *fleet.visits.endless}:
        names = ", ".join(fleet.cameras[n].name for n in sorted(stuck_ones))
        figure, sentence = "Not possible", f"as planned: {names}. Look at what stands above."
    elif missing:
        figure, sentence = "Not known yet", f"whether a drive is needed to {say.day(fleet.until)}."
    else:
        figure, sentence = "No drive", f"is needed to {say.day(fleet.until)}."
    later = later_facts(fleet, say)
    if later:
        blocks.append(Facts(later, "Due after that"))
    if found.trade:
        blocks.append(trade_table(say, found.trade))
    blocks.append(at_a_glance(fleet, say))
    blocks += idle
    if fleet.over:
        names = ", ".join(camera.name for camera in fleet.over)
        blocks.append(Text(f"The shoot is over, and the camera taken as fetched: {names}."))
    return {"figure": figure, "sentence": f"{sentence} {missing}".strip(), "blocks": blocks}


@run.route("/run.json", methods=["GET", "POST"])
def data() -> ResponseReturnValue:
    """Answer as data; 422 where there is no line to go by."""
    asked = ask()
    found = _work_out(asked)
    fleet, drives = found.fleet, found.drives
    results = {
        "since": fleet.since,
        "until": fleet.until,
        "stops": [drive_data(fleet, drive) for drive in drives],
        "totals": {"stops": len(drives), **packed_data(fleet.bring(drives))},
        "later": [{**which(fleet.cameras[n]), "date": day} for n, day in fleet.visits.later.items()],
        "over": [which(camera) for camera in fleet.over],
        "records_nothing": [which(camera) for camera in fleet.idle],
        "not_counted": [{**which(one), "what": what.value} for what, all_ in fleet.not_counted.items() for one in all_],
        "cameras": cameras_data(fleet),
        "trade": [vars(one) for one in found.trade],
        "errors": [{"line": line, "sentence": sentence} for line, sentence in found.errors],
    }
    body = {
        "inputs": {"plan": list(asked.lines), **asked.texts},
        "results": plain_data(results),
        "errors": {f"line {line}" if line else "": sentence for line, sentence in found.errors},
        "notes": [],
        "needs": [] if asked.lines else ["plan"],
        "link": f"/run?{asked.query()}",
    }
    return jsonify(body), 422 if found.errors and not fleet.cameras else 200


@run.route("/run.ics", methods=["GET", "POST"])
def calendar() -> Response:
    """Answer as a calendar: one entry a drive."""
    asked = ask()
    found = _work_out(asked)
    if not found.drives:
        words = "There is no drive to put into a calendar; the page /run says why."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    content = drives_calendar(found.fleet, found.say, f"{request.host_url}run?{asked.query()}")
    return calendar_response(content, "camera-visits")
