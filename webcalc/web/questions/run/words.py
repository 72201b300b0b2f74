"""Drives to several cameras in words, as data and as a calendar: whom to see, what to bring, what isn't known."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from webcalc.calc.schedule.zone import load_zone
from webcalc.calc.unknown import known, or_none
from webcalc.calc.verdict import CALLING, Part, Why, judge, records_nothing
from webcalc.calc.visits.fleet import Camera, Fleet, Packed, Trade
from webcalc.calc.visits.joint import CameraVisit, Drive
from webcalc.calc.visits.rules import Reason
from webcalc.web.handover.calendar_file import SPARE, Entry, calendar_file, called_off
from webcalc.web.http.data import verdict_data
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.visits.words import impossible_words, reason_words
from webcalc.web.words.answer import Fact, Row, Table
from webcalc.web.words.battery import dark_days_words
from webcalc.web.words.remarks import to_come_words
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.verdict import PART_WORDS, in_short, nothing_recorded


def _type_words(cell: str | None) -> str:
    """Return a type of cell as the field has it; empty where it wasn't said."""
    return f" {dict(QUANTITIES['cell'].kind.options)[cell]}" if cell else ""


def packed_words(say: Say, packed: Packed) -> str:
    """Return what to take along, by type."""
    parts = [f"{say.count(n, 'card')} of {say.number(gb, 1)}{NBSP}GB" for gb, n in packed.cards.items()]
    parts += [f"{say.count(n, 'fresh cell')}{_type_words(cell)}" for cell, n in packed.cells.items()]
    for (wh, cell), n in packed.batteries.items():
        energy = f" of {say.unit(wh, 'Wh')}" if wh else ""
        parts.append(say.count(n, "full battery", "full batteries") + energy + _type_words(cell))
    for what, n in (("cards", packed.cards_unknown), ("batteries", packed.batteries_unknown)):
        if n:
            parts.append(f"{what} of {say.count(n, 'camera')} not known")
    return ", ".join(parts)


def packed_data(packed: Packed) -> dict[str, Any]:
    """Return the same as data; a total that isn't known is None."""
    items: list[dict[str, Any]] = [{"what": "card", "count": n, "card_gb": gb} for gb, n in packed.cards.items()]
    items += [{"what": "cell", "count": n, "battery_wh": None, "cell": cell} for cell, n in packed.cells.items()]
    items += [
        {"what": "battery", "count": n, "battery_wh": wh, "cell": cell} for (wh, cell), n in packed.batteries.items()
    ]
    return {
        "cards": None if packed.cards_unknown else packed.cards.total(),
        "batteries": None if packed.batteries_unknown else packed.batteries.total(),
        "items": items,
    }


def whom(fleet: Fleet, drive: Drive) -> str:
    """Return the cameras of a drive, what each is seen for, and what may bring somebody there sooner."""
    words = []
    for seen in drive.cameras:
        camera = fleet.camera(seen)
        words.append(
            f"{camera.name} ({', '.join(filter(None, (reason_words(seen.visit), in_short(camera.uncounted))))})"
        )
    return "; ".join(words)


def drive_fact(fleet: Fleet, say: Say, drive: Drive) -> Fact:
    """Return a drive as a line: when, by each zone's clock, whom, what to bring."""
    slot, hours = fleet.slot(drive), ""
    if slot:
        zones = {seen.tzinfo: seen for seen in _clocks(fleet, drive)}
        told = [
            f"{say.clock(slot[0].astimezone(zone))}–{say.clock(slot[1].astimezone(zone))}"
            + (f" {zone}" if len(zones) > 1 else "")
            for zone in zones
        ]
        hours = ", " + ", ".join(told)
    brings = packed_words(say, fleet.bring([drive]))
    return Fact(say.day(drive.date) + hours, whom(fleet, drive), f"bring {brings}" if brings else "")


def _clocks(fleet: Fleet, drive: Drive) -> list[Any]:
    slots = [fleet.camera(seen).shoot.visits.slot(seen.visit) for seen in drive.cameras]
    return [slot[0] for slot in slots if slot]


def which(camera: Camera) -> dict[str, Any]:
    """Return what tells a camera of the list from others, as data."""
    return {"line": camera.line, "name": camera.name}


def drive_data(fleet: Fleet, drive: Drive) -> dict[str, Any]:
    """Return a drive as data."""
    slot = fleet.slot(drive)
    return {
        "date": drive.date,
        "slot": {"from": slot[0], "until": slot[1]} if slot else None,
        "cameras": [_visit_data(fleet, seen) for seen in drive.cameras],
        "bring": packed_data(fleet.bring([drive])),
    }


def _visit_data(fleet: Fleet, seen: CameraVisit) -> dict[str, Any]:
    camera, by = fleet.camera(seen), seen.visit.by
    return {
        **which(camera),
        "due": seen.due,
        "before": None if by is None else camera.shoot.visits.site_time(by),
        "reasons": list(seen.visit.reasons),
        "fetch": Reason.LAST_DAY in seen.visit.reasons,
        "bring": vars(camera.bring(seen)),
    }


def cameras_data(fleet: Fleet) -> list[dict[str, Any]]:
    """Return every camera with its verdict, the worst first."""
    found = [(judge(camera.shoot), camera) for camera in (*fleet.cameras, *fleet.idle)]
    order = ["fails", "unknown", "doubtful", "holds"]
    found.sort(key=lambda each: order.index(each[0].state.value))
    return [{**which(camera), "verdict": verdict_data(one)} for one, camera in found]


def ticks(fleet: Fleet, say: Say, drive: Drive) -> list[str]:
    """Return what there is to do for a drive: things to pack, then stop by stop, by each camera's own clock."""
    packed = packed_words(say, fleet.bring([drive]))
    found = [f"Pack {one}" for one in packed.split(", ")] if packed else []
    for seen in drive.cameras:
        camera = fleet.camera(seen)
        slot = camera.shoot.visits.slot(seen.visit)
        light = f", {say.clock(slot[0])}–{say.clock(slot[1])} {slot[0].tzname() or ''}".rstrip() if slot else ""
        one = Packed()
        one.add(camera.bring(seen))
        brings = packed_words(say, one)
        found.append(f"{camera.name}{light}: {reason_words(seen.visit)}{f'; {brings}' if brings else ''}")
    return found


def trade_table(say: Say, trade: Sequence[Trade]) -> Table:
    """Return what coming early saves of drives, and costs in visits of cameras."""
    rows = [
        Row((say.count(one.early_days, "day"), say.number(one.drives), say.number(one.camera_visits))) for one in trade
    ]
    note = "Visits are those of cameras: what is renewed early must be renewed again sooner."
    return Table("What coming early saves", ("At most", "Drives", "Visits"), rows, note)


def at_a_glance(fleet: Fleet, say: Say) -> Table:
    """Return when each camera is seen next: first those that no visit helps, then those that may need one sooner."""
    visits, rows = fleet.visits, []
    following: dict[int, date] = dict(visits.later)
    for drive in reversed(visits.drives):
        following |= {seen.camera: drive.date for seen in drive.cameras}
    for n, camera in enumerate(fleet.cameras):
        helpless, day = n in visits.impossible or n in visits.endless, following.get(n)
        when = "nobody comes in time" if helpless else say.day(day) if day else "fetched"
        rank = (not helpless, not camera.uncounted, day or date.max)
        rows.append((rank, Row((camera.name, when, in_short(camera.uncounted)))))
    rows.sort(key=lambda each: each[0])
    return Table(
        "All cameras, the worst first", ("Camera", "Next", "Beware"), [row for _rank, row in rows], folded=True
    )


def stuck(fleet: Fleet, say: Say) -> list[tuple[int | None, str]]:
    """Return a sentence for every camera whose visits can't be made."""
    cameras = fleet.cameras
    impossible = [
        (cameras[n].line, f"{cameras[n].name}: {impossible_words(cameras[n].shoot, say, why)}")
        for n, why in fleet.visits.impossible.items()
    ]
    endless = [
        (cameras[n].line, f"{cameras[n].name}: there would be more visits than anybody makes.")
        for n in fleet.visits.endless
    ]
    return [*impossible, *endless]


def _names(cameras: Sequence[Camera]) -> str:
    return ", ".join(camera.name for camera in cameras)


def not_known_words(fleet: Fleet) -> str:
    """Say what may call for a visit and isn't known, be it because it contradicts itself; empty where all is known."""
    lacking = {part: [camera for camera in fleet.cameras if part in camera.calling.unknown] for part in CALLING}
    parts = [f"{PART_WORDS[part]} of {_names(cameras)}" for part, cameras in lacking.items() if cameras]
    return f"Not known: {'; '.join(parts)}. They may need somebody sooner than this list says." if parts else ""


def dark_days(fleet: Fleet) -> list[str]:
    """Say of which cameras dark days may empty the battery that a panel charges, and how often as far as known."""
    found = ((camera, camera.calling.of(Part.BATTERY)) for camera in fleet.cameras)
    return [
        f"{camera.name}: {dark_days_words(camera.shoot)}"
        for camera, judged in found
        if judged is not None and judged.why is Why.DARK_DAYS
    ]


def unplaced_words(fleet: Fleet) -> str:
    """Say which cameras are taken as near the others for want of a place; empty where none is, or it is alone."""
    unplaced = [camera for camera in fleet.cameras if not known(camera.shoot.daylight.coordinates)]
    if not unplaced or len(fleet.cameras) == 1:
        return ""
    return f"Place not known: {_names(unplaced)}. A drive takes them along as if they stood near the others."


def later_facts(fleet: Fleet, say: Say) -> list[Fact]:
    """Return the cameras that are due after the period, as far as is known."""
    by_date = sorted((day, n) for n, day in fleet.visits.later.items())
    return [Fact(fleet.cameras[n].name, say.day(day), in_short(fleet.cameras[n].uncounted)) for day, n in by_date]


def idle_facts(fleet: Fleet) -> list[Fact]:
    """Return the cameras that record nothing, and why."""
    return [
        Fact(camera.name, "records nothing", nothing_recorded(records_nothing(camera.shoot))) for camera in fleet.idle
    ]


def to_come(fleet: Fleet, say: Say) -> list[str]:
    """Say which cameras run since a time that is still to come."""
    found = [(camera.name, camera.shoot.done.still_to_come(fleet.instant)) for camera in fleet.cameras]
    return [f"{name}: running since {to_come_words(say, since)}. Is that meant?" for name, since in found if since]


#: Longest address that each of the calendar's entries repeats; own choice.
LONGEST_ENTRY_LINK = 2_000


def drives_calendar(fleet: Fleet, say: Say, address: str) -> bytes:
    """Return one entry a drive; ``address`` leads back to the list."""
    drives = fleet.visits.drives
    entries, missing = [], not_known_words(fleet)
    used: dict[int, set[int]] = {}
    for drive in drives:
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
    entries += _called_off(fleet, drives, used)
    zones = [load_zone(zone_key) for zone_key in fleet.zones()]
    return calendar_file(entries, "Camera visits", fleet.instant, zones)


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
