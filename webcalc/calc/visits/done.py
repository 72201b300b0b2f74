"""The log of a shoot, and the shoot seen from it: when card, battery and clock were renewed, and what changed since."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, Any

from webcalc.calc.schedule.zone import camera_offset
from webcalc.calc.unknown import figure, figure_for, given, known, need, or_none
from webcalc.calc.visits.rules import (
    RENEWS,
    ClockShift,
    DueVisit,
    Reason,
    Standing,
    camera_reads,
    clock_shifts,
    in_zone,
)

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot
    from webcalc.calc.visits.planner import VisitPlanner

# -- the entries of a log ---------------------------------------------------------------------------------


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


# -- the shoot seen from its log --------------------------------------------------------------------------


#: What ``since`` says was renewed, whatever visits renew.
_BY_SINCE = frozenset({"card", "battery"})

#: What an entry names that meets a reason; anything renewed meets the others.
_RENEWED_FOR = {reason: word for word, reason in RENEWS.items()}


@dataclass(frozen=True)
class Missed:
    """A visit that was due on ``day`` and was made late, or not at all yet (``made`` is None)."""

    day: date
    reasons: tuple[Reason, ...]
    made: datetime | None


@dataclass(frozen=True, eq=False)
class ShootDone:
    """What was done so far, by the log and by ``since``: what is None below is that of the shoot's start.

    ``since`` counts as an entry that renewed card and battery, and the clock if visits renew it. For each thing its
    last renewal counts. What was done after the moment that is looked at doesn't count.
    """

    shoot: Shoot

    @figure
    def entries(self) -> tuple[Entry, ...]:
        """The visits that count, in order of time."""
        did, since = need(self.shoot.did, self.shoot.since)
        if since is not None:
            renew = need(self.shoot.renew)
            did = log_of((*did, Entry(since, _BY_SINCE | ({"clock"} & (renew or {"clock"})))))
        if not did:
            return ()
        until = need(self._until)
        return tuple(entry for entry in did if until is None or entry.at <= until)

    @figure
    def _until(self) -> datetime | None:
        """The moment that is looked at, site time; None: now. A date stands for the end of its window hours."""
        on = need(self.shoot.on)
        if on is None or isinstance(on, datetime):
            return on
        window = need(self.shoot.window)
        return datetime.combine(on, window.start) + timedelta(seconds=window.length_s)

    def still_to_come(self, instant: datetime) -> datetime | None:
        """Return ``since`` where the site's wall clock hasn't come to it at an instant (aware), and nothing else is
        looked at; the computer's clock stands for the site's where the zone isn't known."""
        since, zone = or_none(self.shoot.since), self.shoot.daylight.zone
        if since is None or given(self.shoot.on) or given(self.shoot.at):
            return None
        now = instant.astimezone(zone if known(zone) else None).replace(tzinfo=None)
        return since if since > now else None

    @cached_property
    def any(self) -> bool:
        """Whether anything was noted that counts."""
        return bool(known(self.entries) and self.entries)

    @property
    def made(self) -> int:
        """How many visits renewed anything."""
        return sum(bool(entry.renewed) for entry in or_none(self.entries) or ())

    @property
    def changed(self) -> dict[str, Any]:
        """The quantities that are another by now, and their values; not known while it isn't known what counts."""
        entries, did = self.entries, self.shoot.did
        if not known(did):
            return {}
        if not known(entries):
            names = {name for entry in did for name in CHANGED if getattr(entry, name) is not None}
            return dict.fromkeys(names, entries)
        return {name: value for entry in entries for name in CHANGED if (value := getattr(entry, name)) is not None}

    @property
    def looked_on(self) -> date | None:
        """The date by which what the log lacks wasn't done: that of the moment looked at, else today's at the site."""
        on, instant, zone = or_none(self.shoot.on), self.shoot.instant, self.shoot.daylight.zone
        if on is not None:
            return on.date() if isinstance(on, datetime) else on
        return None if instant is None else instant.astimezone(zone if known(zone) else None).date()

    # -- clocks ---------------------------------------------------------------------------------------------

    @property
    def _told(self) -> tuple[Entry, ...]:
        """The entries; while they aren't known, all that their times rest on is asked for at once."""
        if not known(self.entries) and not self.shoot.daylight.one_clock:
            need(self.entries, self.shoot.daylight.zone, self.shoot.visits.right_zone)
        return need(self.entries)

    def _right(self, local: datetime) -> datetime:
        """Return a time of the site by the clock that the camera is set by."""
        if self.shoot.daylight.one_clock:
            return local
        zone, right = need(self.shoot.daylight.zone, self.shoot.visits.right_zone)
        return in_zone((local - camera_offset(zone, local)).replace(tzinfo=UTC), right)

    @figure
    def _begin(self) -> datetime:
        """When the shoot begins; the clock is then right."""
        first, window = need(self.shoot.first, self.shoot.window)
        return datetime.combine(first, window.start)

    def _shifts(self, first: datetime, last: datetime) -> tuple[ClockShift, ...]:
        if self.shoot.daylight.one_clock:
            return ()
        begin, end = first.replace(tzinfo=UTC), last.replace(tzinfo=UTC)
        return clock_shifts(need(self.shoot.visits.right_zone), begin - timedelta(1), end + timedelta(1))

    @figure
    def clock_set_on_site(self) -> datetime | None:
        """When the camera clock was last set, site time."""
        return renewed_at(need(self.entries), "clock")

    @figure
    def clock_set(self) -> datetime | None:
        """When the camera clock was last set, by the clock that it is set by."""
        at = renewed_at(self._told, "clock")
        return None if at is None else self._right(at)

    def _since(self, thing: str) -> datetime | None:
        """Return what the camera clock read, as set then, when a thing was renewed."""
        entries = self._told
        at = renewed_at(entries, thing)
        if at is None:
            return None
        right = self._right(at)
        set_at = renewed_at((entry for entry in entries if entry.at <= at), "clock")
        clock_set = need(self._begin) if set_at is None else self._right(set_at)
        return camera_reads(self._shifts(min(clock_set, right), right), clock_set, right)

    # -- what was renewed -----------------------------------------------------------------------------------

    @figure
    def card_since(self) -> datetime | None:
        """When the card was last renewed, on the camera clock as set then."""
        return self._since("card")

    @figure
    def battery_since(self) -> datetime | None:
        """When the battery was last renewed, on the camera clock as set then."""
        return self._since("battery")

    @figure
    def card_renewed(self) -> bool:
        """Whether the card isn't that of the start any more."""
        return renewed_at(need(self.entries), "card") is not None

    @figure
    def seen(self) -> date | None:
        """The date of the last visit that renewed anything, at the site: where somebody only looked, nobody cleaned."""
        return max((entry.at.date() for entry in need(self.entries) if entry.renewed), default=None)

    @property
    def stood(self) -> tuple[object, ...]:
        """What a standing rests on, besides the planner."""
        return (self.card_since, self.battery_since, self.clock_set, self.seen)

    @figure_for
    def standing(self, planner: VisitPlanner) -> Standing:
        """How the last visits left it all, as a planner of visits goes on from it."""
        start = planner.start()
        card, battery, clock, seen = need(*self.stood)
        if seen is None:
            return start
        return replace(
            start,
            card_since=card or start.card_since,
            battery_since=battery or start.battery_since,
            clock_since=clock or start.clock_since,
            seen=max(seen, start.seen),
        )

    # -- what wasn't done in time ---------------------------------------------------------------------------

    def missed(self, most: int | None = None) -> tuple[Missed, ...]:
        """Return the visits that were due and not made, or made late, by what was known then; of ``most`` gaps at most.

        Nothing is missed without a log: visits are then taken as made.
        """
        entries = or_none(self.entries) or ()
        ends = [*(entry.at.date() for entry in entries), self.looked_on] if entries else []
        gaps = list(enumerate(ends))
        found: list[Missed] = []
        waiting: tuple[date, tuple[Reason, ...]] | None = None
        for n, end in gaps if most is None else gaps[-most:]:
            due = waiting or self._due_after(entries[:n])
            if due is None or end is None or due[0] >= end:
                continue
            entry = entries[n] if n < len(entries) else None
            # Whoever only looked, or renewed other things, left what was due.
            waiting = due if entry and not any(_meets(entry, reason) for reason in due[1]) else None
            if not waiting:
                found.append(Missed(*due, entry.at if entry else None))
        return tuple(found)

    def _due_after(self, entries: tuple[Entry, ...]) -> tuple[date, tuple[Reason, ...]] | None:
        """Return when somebody had to come after these visits, and for what, as was known then; None where nobody."""
        then = replace(self.shoot.planned or self.shoot, did=entries, since=None, on=None, planned=None).running
        planner = or_none(then.visits.planner)
        standing = or_none(then.done.standing(planner)) if planner else None
        due = planner.next_visit(standing) if planner and standing else None
        if due is None:
            return None
        return (due.day, due.reasons) if isinstance(due, DueVisit) else (due.at.date(), (due.reason,))


def _meets(entry: Entry, reason: Reason) -> bool:
    """Whether an entry did what a visit was due for."""
    return _RENEWED_FOR[reason] in entry.renewed if reason in _RENEWED_FOR else bool(entry.renewed)
