"""Which cameras need a visit next? Several plans, a line each, without the form of one plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.handover.calendar_file import Entry, calendar_file, calendar_response
from webcalc.web.http.data import plain_data
from webcalc.web.http.page import local_today
from webcalc.web.link.inputs import Inputs, read_inputs, write_query
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.kinds.times import WEEKDAYS
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.run.case import RunCase
from webcalc.web.questions.run.words import (
    all_errors,
    drive_data,
    drive_fact,
    later_facts,
    not_counted,
    not_counted_words,
    over,
    packed_data,
    packed_words,
    whom,
)
from webcalc.web.shoot.shoot import Shoot
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Text
from webcalc.web.words.habits import say_for

#: Longest address that a pasted list is turned into; a longer list stays in the form that sent it.
LONGEST_ADDRESS = 8_000
#: How far the list looks ahead: text in the link, words.
AHEAD = (("14", "2 weeks"), ("56", "8 weeks"), ("6mo", "6 months"), ("120mo", "to the end"))
_USUAL_AHEAD = "56"

run = Blueprint("run", __name__)


@dataclass(frozen=True)
class _Asked:
    """What was pasted, as typed, and how far to look ahead."""

    lines: Sequence[str]
    ahead_text: str
    ahead: ShootLength | None
    wrong_ahead: str

    def query(self) -> str:
        pairs = [("plan", line) for line in self.lines]
        return write_query([*pairs, ("ahead", self.ahead_text)] if self.ahead_text != _USUAL_AHEAD else pairs)


def _ask() -> _Asked:
    values = request.values
    lines = [line.strip() for text in values.getlist("plan") for line in (text.splitlines() or [""])]
    while lines and not lines[-1]:
        lines.pop()
    if not values.getlist("plan"):
        lines = _plan_that_came_along()
    text, wrong, ahead = values.get("ahead", "").strip() or _USUAL_AHEAD, "", None
    try:
        ahead = QUANTITIES["shoot_days"].kind.read(text)
    except BadInput as problem:
        wrong = str(problem).replace("{label}", "Look ahead") + "."
    return _Asked(lines, text, ahead, wrong)


def _plan_that_came_along() -> list[str]:
    """Return the plan that a page of one camera handed over, if its days are known."""
    if not request.args:
        return []
    inputs = read_inputs(request.args.items(multi=True), local_today(current_app.config["NOW"]()))
    return [f"{request.host_url}plan?{inputs.query()}"] if Shoot(inputs).schedule else []


def _work_out(asked: _Asked) -> RunCase:
    say = say_for(Inputs(), request.accept_languages)
    ahead = asked.ahead or QUANTITIES["shoot_days"].kind.read(_USUAL_AHEAD)
    case = RunCase(asked.lines if not asked.wrong_ahead else [], ahead, current_app.config["NOW"](), say)
    if asked.wrong_ahead:
        case.errors.append((None, asked.wrong_ahead))
    return case


@run.route("/run", methods=["GET", "POST"])
def view() -> ResponseReturnValue:
    """Answer as a page; a short list that was sent gets an address of its own."""
    asked = _ask()
    opened = request.values.get("open", "")
    if opened.isascii() and opened.isdigit() and len(opened) < 6:
        return _open(asked, int(opened))
    address = f"/run?{asked.query()}"
    if request.method == "POST" and asked.lines and len(address) <= LONGEST_ADDRESS:
        return redirect(address, 303)
    case = _work_out(asked)
    return render_template("run.html", asked=asked, ahead=AHEAD, case=case, errors=all_errors(case), **_answer(case))


def _open(asked: _Asked, line: int) -> ResponseReturnValue:
    """Lead on to the visits of one line's plan."""
    text = asked.lines[line - 1] if 0 < line <= len(asked.lines) else ""
    plan = read_pasted(text, local_today(current_app.config["NOW"]()))
    return redirect(f"/visits?{plan.query}" if plan else "/run", 303)


def _answer(case: RunCase) -> dict[str, Any]:
    drives, say = case.visits.drives, case.say
    blocks: list[Block] = []
    missing = not_counted_words(case)
    if not case.cameras:
        return {"figure": "", "sentence": "", "blocks": blocks}
    if missing:
        blocks.append(Text(missing, LOOK))
    if drives:
        blocks.append(Facts([drive_fact(case, drive) for drive in drives], "Drives"))
        packed = packed_words(say, case.bring(drives))
        rows = [Fact("Drives", say.number(len(drives))), *([Fact("To pack", packed)] if packed else [])]
        blocks.append(Facts(rows, f"In all, to {say.day(case.until)}"))
        figure, first = say.day(drives[0].date, weekday=False), drives[0]
        sentence = f"is the next drive ({WEEKDAYS[first.date.weekday()]}): {whom(case, first)}."
    else:
        figure, sentence = "No drive", f"is needed to {say.day(case.until)}."
    later = later_facts(case)
    if later:
        blocks.append(Facts(later, "Due after that"))
    fetched = over(case)
    if fetched:
        names = ", ".join(camera.name for camera in fetched)
        blocks.append(Text(f"The shoot is over, and the camera taken as fetched: {names}."))
    return {"figure": figure, "sentence": sentence, "blocks": blocks}


@run.route("/run.json", methods=["GET", "POST"])
def data() -> ResponseReturnValue:
    """Answer as data; 422 where there is no line to go by."""
    asked = _ask()
    case = _work_out(asked)
    errors, drives = all_errors(case), case.visits.drives
    results = {
        "since": case.since,
        "until": case.until,
        "stops": [drive_data(case, drive) for drive in drives],
        "totals": {"stops": len(drives), **packed_data(case.bring(drives))},
        "later": [
            {"line": case.cameras[n].line, "name": case.cameras[n].name, "date": day}
            for n, day in case.visits.later.items()
        ],
        "over": [{"line": camera.line, "name": camera.name} for camera in over(case)],
        "not_counted": [
            {"line": camera.line, "name": camera.name, "what": what}
            for what, cameras in not_counted(case).items()
            for camera in cameras
        ],
        "errors": [{"line": line, "sentence": sentence} for line, sentence in errors],
    }
    body = {
        "inputs": {"plan": list(asked.lines), "ahead": asked.ahead_text},
        "results": plain_data(results),
        "errors": {f"line {line}" if line else "": sentence for line, sentence in errors},
        "notes": [],
        "needs": [] if asked.lines else ["plan"],
        "link": f"/run?{asked.query()}",
    }
    return jsonify(body), 422 if errors and not case.cameras else 200


@run.route("/run.ics", methods=["GET", "POST"])
def calendar() -> Response:
    """Answer as a calendar: one entry a drive."""
    case = _work_out(_ask())
    if not case.visits.drives:
        words = "There is no drive to put into a calendar; the page /run says why."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    # The list of cameras is what tells one crew's drives from another's.
    key = "\n".join(["run", *sorted(camera.name for camera in case.cameras)])
    entries = []
    for drive in case.visits.drives:
        slot = case.slot(drive)
        names = ", ".join(case.camera(seen).name for seen in drive.cameras)
        packed = packed_words(case.say, case.bring([drive]))
        entries.append(
            Entry(
                kind="drive",
                nth=drive.number,
                summary=f"Visit {names}",
                begin=slot[0] if slot else drive.date,
                end=slot[1] if slot else drive.date + timedelta(1),
                description=f"{whom(case, drive)}." + (f" Bring {packed}." if packed else ""),
                alarm=timedelta(1),
            )
        )
    content = calendar_file([(key, entry) for entry in entries], "Camera visits", case.now, case.zones)
    return calendar_response(content, "camera-visits")
