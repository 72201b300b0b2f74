"""The pattern that frames were really taken by: interval, hours, weekdays; found from their times alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from itertools import pairwise
from statistics import median

from webcalc.calc.recorded.files import Frames
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DAY_S, LONGEST_SHOOT_DAYS, DailyWindow, Schedule

#: Two frames further apart than this many intervals have a gap between them. Own choice.
GAP_INTERVALS = 1.5
#: Share of all steps that must be near the interval for it to be called one. Own choice.
_STEADY_SHARE = 0.6
#: An interval that people set is taken for a measured one this near to it, or within the stamps' step. Own choice.
_NEAR = 0.01
_BIN_S = 600
#: Hours count as recorded on at least this share of the days, a weekday on this share of its dates. Own choice.
_USUAL_SHARE = 0.3
#: Shortest break in every day that parts one day's recording from the next.
_SHORTEST_NIGHT_S = 3_600


def kept_interval_s(frames: Frames, settable_s: Iterable[Fraction]) -> Fraction | None:
    """Return the interval that was kept, in seconds; None where no single one was.

    The mean of the steps without a gap: stamps in whole minutes or two seconds cancel out in it. One of
    ``settable_s`` is taken where it is as near as can be measured.
    """
    steps = [(after - before).total_seconds() for before, after in pairwise(frames.times)]
    if not frames.trusted or len(steps) < 2:
        return None
    middle = median(steps)
    longest = max(GAP_INTERVALS * middle, middle + 2 * frames.stamp_s)
    kept = [step for step in steps if step <= longest]
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
