"""Where frames are missing, against the days and hours that should have been recorded."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from math import ceil
from statistics import median

from webcalc.calc.recorded.files import Frames
from webcalc.calc.recorded.pattern import GAP_INTERVALS
from webcalc.calc.schedule.schedule import Schedule

_SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Gap:
    """Frames that are missing: after ``from_``, up to ``until``, both on the camera clock.

    A gap goes from the last frame before it to the first after it, over nights and days without recording too; at the
    ends of the shoot from the plan's beginning, to its end.
    """

    from_: datetime
    until: datetime
    missing: int


@dataclass(frozen=True)
class DayFound:
    """One planned day: how many frames it has and lacks, and at which ends."""

    date: date
    found: int
    missing: int
    starts_late: bool = False
    ends_early: bool = False


@dataclass(frozen=True)
class Coverage:
    """What was recorded of what should have been.

    gaps : in order
    days : every planned day
    unplanned : frames outside all planned windows
    """

    gaps: tuple[Gap, ...]
    days: tuple[DayFound, ...]
    unplanned: tuple[datetime, ...]

    @property
    def missing(self) -> int:
        """Frames that are missing, in all."""
        return sum(day.missing for day in self.days)

    @property
    def days_missing(self) -> tuple[date, ...]:
        """Planned days without a single frame."""
        return tuple(day.date for day in self.days if not day.found)


@dataclass
class _Open:
    """A gap that isn't over, and all that are."""

    gaps: list[Gap] = field(default_factory=list)
    since: datetime | None = None
    missing: int = 0

    def add(self, since: datetime, missing: int) -> None:
        if missing > 0:
            self.since = self.since or since
            self.missing += missing

    def close(self, until: datetime) -> None:
        if self.since is not None:
            self.gaps.append(Gap(self.since, until, self.missing))
        self.since, self.missing = None, 0


def coverage(frames: Frames, schedule: Schedule, interval_s: Fraction, until: datetime | None = None) -> Coverage:
    """Return what was recorded of the days of a schedule, at the interval that was kept.

    Parameters
    ----------
    frames : with times that are trusted
    schedule : the days and hours that should have been recorded, camera clock
    interval_s : seconds between frames; > 0
    until : when the card was taken out, after which nothing is missing; default: the last frame
    """
    times, step_s = frames.times, float(interval_s)
    until = until or times[-1]
    windows = [schedule.window_on(day) for day in schedule.recorded_dates]
    windows = [(start, end) for start, end in windows if start <= until]
    cut = _cut(times, windows, step_s / 2 * _SECOND)
    begun = [(times[a] - start).total_seconds() for (start, _), (a, b) in zip(windows, cut, strict=True) if b > a]
    phase_s = _phase_s(begun, step_s, frames.stamp_s)
    gaps, days = _Open(), []
    before = windows[0][0] if windows else until
    for (start, end), (a, b) in zip(windows, cut, strict=True):
        lasts_s = (min(end, until + _SECOND) - start).total_seconds()
        planned = max(0, ceil((lasts_s - phase_s) / step_s - 1e-9))
        if a == b:
            gaps.add(before, planned)
            days.append(DayFound(start.date(), 0, planned))
            continue
        late = max(0, round(((times[a] - start).total_seconds() - phase_s) / step_s))
        gaps.add(before, late)
        gaps.close(times[a])
        between = sum(_inner_gaps(times[a:b], step_s, frames.stamp_s, gaps))
        reached = round(((times[b - 1] - start).total_seconds() - phase_s) / step_s)
        early = max(0, planned - 1 - reached)
        before = times[b - 1]
        gaps.add(before, early)
        days.append(DayFound(start.date(), b - a, late + between + early, late > 0, early > 0))
    gaps.close(until)
    return Coverage(tuple(gaps.gaps), tuple(day for day in days if day.found or day.missing), _outside(times, cut))


def _inner_gaps(times: Sequence[datetime], step_s: float, stamp_s: int, gaps: _Open) -> Iterator[int]:
    """Note the gaps within one window; yield what each of them lacks."""
    longest_s = max(GAP_INTERVALS * step_s, step_s + 2 * stamp_s)
    for earlier, later in pairwise(times):
        apart_s = (later - earlier).total_seconds()
        if apart_s > longest_s:
            missing = round(apart_s / step_s) - 1
            gaps.add(earlier, missing)
            gaps.close(later)
            yield missing


def _cut(
    times: Sequence[datetime], windows: Sequence[tuple[datetime, datetime]], slack: timedelta
) -> list[tuple[int, int]]:
    """Return which frames lie in each window, or next to it; each in one window at most."""
    begins = [bisect_left(times, start - slack) for start, _end in windows]
    ends = [bisect_left(times, end + slack) for _start, end in windows]
    return [(a, min(b, following)) for a, b, following in zip(begins, ends, [*begins, len(times)][1:], strict=True)]


def _outside(times: Sequence[datetime], cut: Sequence[tuple[int, int]]) -> tuple[datetime, ...]:
    found: list[datetime] = []
    at = 0
    for a, b in cut:
        found.extend(times[at:a])
        at = max(at, b)
    return (*found, *times[at:])


def _phase_s(offsets_s: Sequence[float], step_s: float, stamp_s: int) -> float:
    """Return by how much frames come after their round times: a camera may begin when it is ready."""
    if not offsets_s:
        return 0.0
    # A little before the round time is before it, not nearly a whole interval after it.
    early_s = min(step_s / 2, max(0.2 * step_s, stamp_s))
    return median((offset_s + early_s) % step_s - early_s for offset_s in offsets_s)
