"""Drives to several cameras in words and as data: whom to see, what to bring, what is left out."""

from __future__ import annotations

from typing import Any

from webcalc.calc.visits.joint import CameraVisit, Drive
from webcalc.calc.visits.rules import Reason
from webcalc.web.questions.run.case import Camera, Packed, RunCase
from webcalc.web.questions.visits.words import impossible_words, reason_words
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP, Say


def packed_words(say: Say, packed: Packed) -> str:
    """Return what to take along."""
    parts = [f"{say.count(n, 'card')} of {say.number(gb, 1)}{NBSP}GB" for gb, n in packed.cards.items()]  # type: ignore[arg-type]
    for (wh, cells), n in packed.batteries.items():
        if cells:
            parts.append(say.count(n, "fresh cell"))
        else:
            energy = f" of {say.unit(wh, 'Wh')}" if wh else ""
            parts.append(say.count(n, "full battery", "full batteries") + energy)
    for what, n in (("cards", packed.cards_unknown), ("batteries", packed.batteries_unknown)):
        if n:
            parts.append(f"{what} of {say.count(n, 'camera')} not known")
    return ", ".join(parts)


def packed_data(packed: Packed) -> dict[str, Any]:
    """Return the same as data; a total that isn't known is None."""
    items = [{"what": "card", "count": n, "card_gb": gb} for gb, n in packed.cards.items()]
    for (wh, cells), n in packed.batteries.items():
        items.append({"what": "cell" if cells else "battery", "count": n, "battery_wh": wh})
    batteries = sum(n for (_wh, cells), n in packed.batteries.items() if not cells)
    return {
        "cards": None if packed.cards_unknown else packed.cards.total(),
        "batteries": None if packed.batteries_unknown else batteries,
        "items": items,
    }


def whom(run: RunCase, drive: Drive) -> str:
    """Return the cameras of a drive and what each is seen for."""
    return "; ".join(f"{run.camera(seen).name} ({reason_words(seen.visit)})" for seen in drive.cameras)


def drive_fact(run: RunCase, drive: Drive) -> Fact:
    """Return a drive as a line: when, whom, what to bring."""
    slot, say = run.slot(drive), run.say
    hours = f", {say.clock(slot[0])}–{say.clock(slot[1])}" if slot else ""
    brings = packed_words(say, run.bring([drive]))
    return Fact(say.day(drive.date) + hours, whom(run, drive), f"bring {brings}" if brings else "")


def drive_data(run: RunCase, drive: Drive) -> dict[str, Any]:
    """Return a drive as data."""
    slot = run.slot(drive)
    return {
        "date": drive.date,
        "slot": {"from": slot[0], "until": slot[1]} if slot else None,
        "cameras": [_camera_data(run, seen) for seen in drive.cameras],
        "bring": packed_data(run.bring([drive])),
    }


def _camera_data(run: RunCase, seen: CameraVisit) -> dict[str, Any]:
    camera = run.camera(seen)
    return {
        "line": camera.line,
        "name": camera.name,
        "due": seen.due,
        "before": camera.case.told(seen.visit.by),
        "reasons": list(seen.visit.reasons),
        "fetch": Reason.LAST_DAY in seen.visit.reasons,
        "bring": vars(camera.case.bring(seen.visit)),
    }


def all_errors(run: RunCase) -> list[tuple[int | None, str]]:
    """Return every line that is wrong, or whose visits can't be made, with a sentence, in order."""
    stuck = [
        (run.cameras[n].line, f"{run.cameras[n].name}: {impossible_words(run.cameras[n].case, why)}")
        for n, why in run.visits.impossible.items()
    ]
    endless = [
        (run.cameras[n].line, f"{run.cameras[n].name}: there would be more visits than anybody makes.")
        for n in run.visits.endless
    ]
    return sorted([*run.errors, *stuck, *endless], key=lambda error: error[0] or 0)


def over(run: RunCase) -> list[Camera]:
    """Return the cameras that were fetched before the period."""
    listed = {seen.camera for drive in run.visits.drives for seen in drive.cameras}
    open_ones = {*run.visits.later, *run.visits.impossible, *run.visits.endless}
    return [camera for n, camera in enumerate(run.cameras) if n not in listed | open_ones]


def not_counted(run: RunCase) -> dict[str, list[Camera]]:
    """Return what the dates don't count because it isn't known, and of which cameras."""
    return {
        "card": [camera for camera in run.cameras if camera.case.planner.card is None],
        "battery": [camera for camera in run.cameras if camera.case.planner.battery is None],
    }


def not_counted_words(run: RunCase) -> str:
    """Say the same; empty where all is known."""
    parts = [
        f"the {what} of {', '.join(camera.name for camera in cameras)}"
        for what, cameras in not_counted(run).items()
        if cameras
    ]
    return f"Not counted, because not known: {'; '.join(parts)}." if parts else ""


def later_facts(run: RunCase) -> list[Fact]:
    """Return the cameras that are due after the period."""
    by_date = sorted((day, n) for n, day in run.visits.later.items())
    return [Fact(run.cameras[n].name, run.say.day(day)) for day, n in by_date]
