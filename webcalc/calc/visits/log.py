"""What somebody did at the camera, visit by visit: the entries of a shoot's log."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from datetime import datetime, time
from decimal import Decimal
from fractions import Fraction

#: What an entry may say was renewed, in the order in which it is written.
THINGS = ("card", "battery", "clock", "clean")
#: Most entries that a log holds: five years of monthly visits.
MOST_ENTRIES = 60


@dataclass(frozen=True)
class Entry:
    """One visit.

    at : when, site time, naive
    renewed : of ``THINGS``; none where somebody only looked
    frames, gb, battery, clock : as found before anything was renewed: files since the card's renewal, GB used on it,
        percent of the battery, seconds by which the camera clock was fast
    card_gb, battery_wh, interval, from_, until : what is from then on another than in the plan; None: as before
    """

    at: datetime
    renewed: frozenset[str] = frozenset()
    frames: int | None = None
    gb: Decimal | None = None
    battery: Decimal | None = None
    clock: Decimal | None = None
    card_gb: Decimal | None = None
    battery_wh: Decimal | None = None
    interval: Fraction | None = None
    from_: time | None = None
    until: time | None = None

    def united(self, other: Entry) -> Entry:
        """Return one entry for two of the same visit; where both say something, the other one counts."""
        said = {name: value for name in NAMED if (value := getattr(other, name)) is not None}
        return replace(self, renewed=self.renewed | other.renewed, **said)


#: Names of what an entry says with a value, in the order in which it is written.
READ = ("frames", "gb", "battery", "clock")
CHANGED = ("card_gb", "battery_wh", "interval", "from_", "until")
NAMED = READ + CHANGED
assert {*NAMED, "at", "renewed"} == {field.name for field in fields(Entry)}  # noqa: S101


def log_of(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return entries as a log: in order of time, those of one minute as one, the least needed left out if too many.

    Two links of one shoot are united by this: ``log_of((*one, *other))``.
    """
    found: dict[datetime, Entry] = {}
    for entry in entries:
        found[entry.at] = found[entry.at].united(entry) if entry.at in found else entry
    log = tuple(found[at] for at in sorted(found))
    while len(log) > MOST_ENTRIES:
        needed = {entry.at for entry in in_force(log)}
        oldest = next(entry for entry in log if entry.at not in needed)
        log = tuple(entry for entry in log if entry is not oldest)
    return log


def in_force(log: Iterable[Entry]) -> tuple[Entry, ...]:
    """Return only what counts now: the last renewal of each thing and the last change, without what was read."""
    return tuple(sorted(_in_force(tuple(log)), key=lambda entry: entry.at))


def _in_force(log: tuple[Entry, ...]) -> Iterator[Entry]:
    told: set[str] = set()
    for entry in reversed(log):
        changes = {name: getattr(entry, name) for name in CHANGED}
        changes = {name: value for name, value in changes.items() if value is not None and name not in told}
        renewed = entry.renewed - told
        if renewed or changes or not told:
            yield Entry(entry.at, frozenset(renewed), **changes)
        told |= {*renewed, *changes, "seen"}


def renewed_at(log: Iterable[Entry], thing: str) -> datetime | None:
    """Return when a thing was last renewed, site time; None where it never was."""
    return max((entry.at for entry in log if thing in entry.renewed), default=None)
