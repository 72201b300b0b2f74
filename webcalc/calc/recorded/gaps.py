"""The pattern that frames were really taken by, and where frames are missing against what should have been recorded."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise
from math import ceil
from statistics import median

from webcalc.calc.recorded.files import Frames
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DAY_S, LONGEST_SHOOT_DAYS, DailyWindow, Schedule

# -- interval, hours and weekdays, found from the times alone ---------------------------------------------


#: Two frames further apart than this many intervals have a gap between them. Own choice.
_GAP_INTERVALS = 1.5
#: Share of all steps that must be near the interval for it to be called one. Own choice.
_STEADY_SHARE = 0.6
#: An interval that people set is taken for a measured one this near to it, or within the stamps' step. Own choice.
_NEAR = 0.01
_BIN_S = 600
#: Hours count as recorded on at least this share of the days, a weekday on this share of its dates. Own choice.
_USUAL_SHARE = 0.3
#: Shortest break in every day that parts one day's recording from the next.
_SHORTEST_NIGHT_S = 3_600


def _longest_step_s(step_s: float, stamp_s: int) -> float:
    """Return how far two frames may be apart without a gap between them: coarse stamps lengthen a step."""
    return max(_GAP_INTERVALS * step_s, step_s + 2 * stamp_s)


def kept_interval_s(frames: Frames, settable_s: Iterable[Fraction]) -> Fraction | None:
    """Return the interval that was kept, in seconds; None where no single one was.

    The mean of the steps without a gap: stamps in whole minutes or two seconds cancel out in it. One of
    ``settable_s`` is taken where it is as near as can be measured.
    """
    steps = [(after - before).total_seconds() for before, after in pairwise(frames.times)]
    if not frames.trusted or len(steps) < 2:
        return None
    middle = median(steps)
    longest_s = _longest_step_s(middle, frames.stamp_s)
    kept = [step for step in steps if step <= longest_s]
    mean_s = sum(kept) / len(kept)
    if mean_s <= 0:
        return None
    slack_s = max(0.1 * mean_s, frames.stamp_s)
    if sum(abs(step - mean_s) <= slack_s for step in steps) < _STEADY_SHARE * len(steps):
        return None
    near_s = max(_NEAR * mean_s, frames.stamp_s / len(kept))
    nearest = min(settable_s, key=lambda interval_s: abs(float(interval_s) - mean_s), default=None)
    if nearest is not None and abs(float(nearest) - mean_s) <= near_s:
        return nearest
    return Fraction(round(mean_s * 10), 10)


def pattern_of(frames: Frames, interval_s: Fraction) -> Schedule | None:
    """Return the hours and weekdays that frames were taken in, from the first day to the last.

    None where the times aren't to be trusted or span more than is computed, and where no weekday usually had frames.
    """
    if not frames.trusted:
        return None
    window = _hours(frames.times, interval_s)
    days = Counter(_window_date(window, at) for at in frames.times)
    first, last = min(days), max(days)
    if (last - first).days >= LONGEST_SHOOT_DAYS:
        return None
    weekdays = _weekdays(days, first, last)
    return Schedule(first, last, window, weekdays) if weekdays else None


def _window_date(window: DailyWindow, at: datetime) -> date:
    """Return the date to whose window an instant belongs, or next to whose it lies."""
    # The day is parted in the middle of the hours in which nothing is recorded.
    parting_s = window.start_s - (DAY_S - window.length_s) // 2
    return (at - timedelta(seconds=parting_s)).date()


def _hours(times: Sequence[datetime], interval_s: Fraction) -> DailyWindow:
    """Return the hours: what lies outside the longest break that nearly every day has; else the whole day."""
    bins = DAY_S // _BIN_S
    seen: set[tuple[date, int]] = {(at.date(), (at.hour * 3600 + at.minute * 60) // _BIN_S) for at in times}
    on_days = Counter(n for _day, n in seen)
    days = len({day for day, _n in seen})
    # Long intervals leave bins empty between two frames of one window.
    reach = max(1, -(-int(interval_s) // _BIN_S))
    used = {(n + k) % bins for n, found in on_days.items() if found >= _USUAL_SHARE * days for k in range(reach)}
    begin, length = _longest_break(used, bins)
    if length * _BIN_S < _SHORTEST_NIGHT_S:
        return DailyWindow(time(), time())
    parting_s = (begin + length / 2) * _BIN_S
    by_day: dict[date, list[datetime]] = {}
    for at in times:
        by_day.setdefault((at - timedelta(seconds=parting_s)).date(), []).append(at)
    starts = [_since_parting_s(found[0], day, parting_s) for day, found in by_day.items()]
    ends = [_since_parting_s(found[-1], day, parting_s) for day, found in by_day.items()]
    start_s = int(median(starts) + parting_s) // 60 * 60
    end_s = int(median(ends) + parting_s) // 60 * 60 + max(60, -(-int(interval_s) // 60) * 60)
    return DailyWindow(_clock(start_s), _clock(min(end_s, start_s + DAY_S)))


def _since_parting_s(at: datetime, day: date, parting_s: float) -> float:
    return (at - datetime.combine(day, time())).total_seconds() - parting_s


def _clock(seconds: int) -> time:
    minutes = seconds % DAY_S // 60
    return time(minutes // 60, minutes % 60)


def _longest_break(used: set[int], bins: int) -> tuple[int, int]:
    """Return where the longest run of unused bins begins, round the clock, and its length."""
    best, begin, length = (0, 0), 0, 0
    for n in range(2 * bins):
        if n % bins in used:
            length = 0
        else:
            begin = n if not length else begin
            length += 1
            if best[1] < length <= bins:
                best = (begin % bins, length)
    return best


def _weekdays(days: Counter[date], first: date, last: date) -> frozenset[int]:
    """Return the weekdays on whose dates frames were usually taken."""
    dates = Counter((first + timedelta(n)).isoweekday() for n in range((last - first).days + 1))
    seen = Counter(day.isoweekday() for day in days)
    return frozenset(day for day in ALL_WEEKDAYS if dates[day] and seen[day] >= _USUAL_SHARE * dates[day])


# -- what is missing --------------------------------------------------------------------------------------


_SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Gap(Results):
    """Frames missing in a row, over nights and days without recording too."""

    from_: datetime = field(metadata=meaning("the last frame before it, or the plan's beginning, camera clock"))
    until: datetime = field(metadata=meaning("the first frame after it, or when the card was taken out, camera clock"))
    missing: int = field(metadata=meaning("frames missing"))


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
    longest_s = _longest_step_s(step_s, stamp_s)
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
