"""The drives to several cameras as a calendar."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from webcalc.calc.schedule.zone import load_zone
from webcalc.calc.unknown import or_none
from webcalc.calc.visits.fleet import Fleet
from webcalc.calc.visits.joint import Drive
from webcalc.web.handover.calendar_file import SPARE, Entry, calendar_file, called_off
from webcalc.web.questions.run.words import not_known_words, packed_words, whom
from webcalc.web.words.say import Say

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
