"""Which cameras need a visit next? Several plans, a line each, without the form of one plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.visits.fleet import Fleet, Trade
from webcalc.calc.visits.joint import Drive, TooManyVisits
from webcalc.web.handover.calendar_file import calendar_response
from webcalc.web.http.arrival import local_today
from webcalc.web.http.data import plain_data
from webcalc.web.http.errors import TooMuchWork
from webcalc.web.link.inputs import Inputs
from webcalc.web.link.kinds.times import WEEKDAYS
from webcalc.web.link.pasted import read_pasted
from webcalc.web.questions.pages import LINKED
from webcalc.web.questions.run.asking import (
    AHEAD,
    COMPARE,
    FIELDS,
    MOST_VISITS,
    Asked,
    Wrong,
    ask,
    line_number,
    read_lines,
)
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
    whom,
)
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Text, Ticks
from webcalc.web.words.say import Say, say_for

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
        "later": [
            {"line": fleet.cameras[n].line, "name": fleet.cameras[n].name, "date": day}
            for n, day in fleet.visits.later.items()
        ],
        "over": [{"line": camera.line, "name": camera.name} for camera in fleet.over],
        "records_nothing": [{"line": camera.line, "name": camera.name} for camera in fleet.idle],
        "not_counted": [
            {"line": camera.line, "name": camera.name, "what": what.value}
            for what, cameras in fleet.not_counted.items()
            for camera in cameras
        ],
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
