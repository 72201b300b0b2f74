"""Which cameras need a visit next? Several plans, a line each, without the form of one plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from flask import Blueprint, Response, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.schedule.length import ShootLength
from webcalc.calc.schedule.zone import load_zone
from webcalc.calc.unknown import known, or_none
from webcalc.calc.visits.fleet import Fleet
from webcalc.calc.visits.joint import Drive, TooManyVisits
from webcalc.web.handover.calendar_file import SPARE, Entry, calendar_file, calendar_response, called_off
from webcalc.web.http.arrival import inputs_of_request, local_today
from webcalc.web.http.data import plain_data
from webcalc.web.http.errors import TooMuchWork
from webcalc.web.link.inputs import Inputs, write_query
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.kinds.times import WEEKDAYS
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.to_shoot import shoot_of
from webcalc.web.questions.pages import LINKED
from webcalc.web.questions.run.lines import MOST_VISITS, Wrong, read_lines
from webcalc.web.questions.run.words import (
    cameras_data,
    drive_data,
    drive_fact,
    idle_facts,
    later_facts,
    not_known_words,
    packed_data,
    packed_words,
    stuck,
    to_come,
    unplaced_words,
    whom,
)
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Text
from webcalc.web.words.habits import say_for
from webcalc.web.words.say import Say

#: Longest address that a pasted list is turned into; a longer list stays in the form that sent it.
LONGEST_ADDRESS = 8_000
#: Longest address that each of the calendar's entries repeats; own choice.
LONGEST_ENTRY_LINK = 2_000
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
    inputs = inputs_of_request(current_app.config["NOW"]())
    return [f"{request.host_url}plan?{inputs.handed_out()}"] if known(shoot_of(inputs).schedule) else []


@dataclass(frozen=True)
class _Run:
    """The cameras as one fleet, and everything that is wrong, by line."""

    fleet: Fleet
    say: Say
    errors: list[Wrong]

    @property
    def drives(self) -> list[Drive]:
        return self.fleet.visits.drives


def _work_out(asked: _Asked) -> _Run:
    say = say_for(Inputs(), request.accept_languages)
    ahead = asked.ahead or QUANTITIES["shoot_days"].kind.read(_USUAL_AHEAD)
    fleet, errors = read_lines(asked.lines if not asked.wrong_ahead else [], ahead, current_app.config["NOW"]())
    if asked.wrong_ahead:
        errors.append((None, asked.wrong_ahead))
    try:
        errors += stuck(fleet, say)
    except TooManyVisits:
        raise TooMuchWork(
            f"These cameras need more than {MOST_VISITS} visits to {say.day(fleet.until)}, which is more than "
            "one list can hold. Look ahead less far, or take fewer cameras into one list."
        ) from None
    return _Run(fleet, say, sorted(errors, key=lambda error: error[0] or 0))


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
    found = _work_out(asked)
    shown = {"cameras": found.fleet.cameras, "drives": found.drives, "errors": found.errors, **_answer(found)}
    return render_template("run.html", asked=asked, ahead=AHEAD, **shown)


def _open(asked: _Asked, line: int) -> ResponseReturnValue:
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
    blocks += [Text(words, LOOK) for words in to_come(fleet, say)]
    if drives:
        blocks.append(Facts([drive_fact(fleet, say, drive) for drive in drives], "Drives"))
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
    blocks += idle
    if fleet.over:
        names = ", ".join(camera.name for camera in fleet.over)
        blocks.append(Text(f"The shoot is over, and the camera taken as fetched: {names}."))
    return {"figure": figure, "sentence": f"{sentence} {missing}".strip(), "blocks": blocks}


@run.route("/run.json", methods=["GET", "POST"])
def data() -> ResponseReturnValue:
    """Answer as data; 422 where there is no line to go by."""
    asked = _ask()
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
        "errors": [{"line": line, "sentence": sentence} for line, sentence in found.errors],
    }
    body = {
        "inputs": {"plan": list(asked.lines), "ahead": asked.ahead_text},
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
    asked = _ask()
    found = _work_out(asked)
    fleet, say = found.fleet, found.say
    if not found.drives:
        words = "There is no drive to put into a calendar; the page /run says why."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    entries, missing, address = [], not_known_words(fleet), f"{request.host_url}run?{asked.query()}"
    used: dict[int, set[int]] = {}
    for drive in found.drives:
        names = ", ".join(fleet.camera(seen).name for seen in drive.cameras)
        packed = packed_words(say, fleet.bring([drive]))
        lines = (f"{whom(fleet, drive)}.", f"Bring {packed}." if packed else "", missing)
        # The first camera's visit tells a drive from others: one more camera leaves that as it is.
        anchor = drive.cameras[0]
        used.setdefault(anchor.camera, set()).add(anchor.number)
        stops = fleet.stops(drive)
        entries.append(
            (
                fleet.camera(anchor).name,
                Entry(
                    kind="drive",
                    nth=anchor.number,
                    summary=f"Visit {names}",
                    begin=stops[0] if stops else drive.date,
                    end=stops[1] if stops else drive.date + timedelta(1),
                    description=" ".join(filter(None, lines)),
                    rings=True,
                    location=names,
                    geo=or_none(fleet.camera(anchor).shoot.daylight.coordinates),
                    url=address if len(address) <= LONGEST_ENTRY_LINK else "",
                ),
            )
        )
    entries += _called_off(fleet, found.drives, used)
    zones = [load_zone(zone_key) for zone_key in fleet.zones()]
    content = calendar_file(entries, "Camera visits", fleet.instant, zones)
    return calendar_response(content, "camera-visits")


def _called_off(fleet: Fleet, drives: Sequence[Drive], used: dict[int, set[int]]) -> list[tuple[str, Entry]]:
    """Return what calls off the drives that an earlier list may have had under a camera's numbers.

    Nothing before the first drive listed, which may have been made, and nothing after a list that ends before the
    camera's visits do.
    """
    numbers: dict[int, list[int]] = {}
    for drive in drives:
        for seen in drive.cameras:
            numbers.setdefault(seen.camera, []).append(seen.number)
    found = []
    for n, own in numbers.items():
        end = max(own) + (0 if n in fleet.visits.later else SPARE)
        free = [number for number in range(min(own), end + 1) if number not in used.get(n, ())]
        name = fleet.cameras[n].name
        found += [(name, entry) for entry in called_off("drive", free, name, drives[-1].date)]
    return found
