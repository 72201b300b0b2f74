"""Why a count is not as planned: another interval, other hours or weekdays, a stop, a full card, lost power."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction

from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.seen import Running, files_of
from webcalc.calc.schedule.count import counts_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DAY_S, Schedule
from webcalc.calc.unknown import said

WORKDAYS = frozenset(range(1, 6))
#: Weekdays that are set by mistake for others; common practice, no source.
LIKELY_WEEKDAYS = (WORKDAYS, frozenset(range(1, 7)), ALL_WEEKDAYS, ALL_WEEKDAYS - WORKDAYS)
#: Windows are compared in steps of half an hour.
WINDOW_STEP_S = 1_800
#: A card is taken as full from this share of its label on: what file systems and short cards leave.
FULL_SHARE = Fraction(97, 100)
#: A battery that reads this or less may have stopped the camera. Own choice.
EMPTY_SHARE = 0.05
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class LikelyInterval:
    """The settable interval that explains a count best.

    explains : whether the count fits it, within ``Running.slack``
    late_start : whether the planned interval was kept because one late start explains what is missing
    runner_up_s : another interval that fits the count too; None where none does
    """

    interval_s: Fraction
    explains: bool
    late_start: bool = False
    runner_up_s: Fraction | None = None


def files_with(running: Running, recording: Recording | None = None, schedule: Schedule | None = None) -> int:
    """Return how many files there would be with another recording or schedule."""
    planner = running.planner
    return files_of(
        counts_between(schedule or planner.schedule, recording or planner.recording, running.since, running.at)
    )


def likely_interval(comparison: Comparison) -> LikelyInterval | None:
    """Return the settable interval that explains the count best; None without a count or an interval.

    The planned one goes first where the count is as planned, or misses no more than one late start explains: the
    files of the first window.
    """
    running, files = comparison.running, comparison.files
    planned_s = running.planner.recording.interval_s
    if not files or planned_s is None or not comparison.expected.files.expected:
        return None
    apart = {
        interval_s: abs(files_with(running, replace(running.planner.recording, interval_s=interval_s)) - files)
        for interval_s in {planned_s, *running.settable_s}
    }
    others = sorted((s for s in apart if s != planned_s), key=lambda s: (apart[s], abs(s - planned_s)))
    fitting = [s for s in others if apart[s] <= running.slack]
    if apart[planned_s] <= running.slack:
        return LikelyInterval(planned_s, True, runner_up_s=fitting[0] if fitting else None)
    if 0 < said(comparison.missed) <= _first_window_files(running) + running.slack:
        return LikelyInterval(planned_s, True, late_start=True, runner_up_s=fitting[0] if fitting else None)
    if others and apart[others[0]] < apart[planned_s]:
        return LikelyInterval(others[0], bool(fitting), runner_up_s=fitting[1] if len(fitting) > 1 else None)
    return LikelyInterval(planned_s, False, runner_up_s=fitting[0] if fitting else None)


def _first_window_files(running: Running) -> int:
    """Return the files of the first window after ``since``."""
    schedule = running.planner.schedule
    day = next(iter(schedule.window_start_days(running.since)), None)
    return 0 if day is None else files_of(running.counts(until=min(schedule.window_on(day)[1], running.at)))


class Cause(StrEnum):
    """Why frames are missing or too many, in the order in which one looks."""

    STOPPED_EARLY = "stopped_early"
    WINDOW = "window"
    WEEKDAYS = "weekdays"
    INTERVAL = "interval"
    CARD_FULL = "card_full"
    POWER_LOST = "power_lost"


@dataclass(frozen=True)
class Explanation:
    """One possible cause.

    fits : whether the count is just what it would give; None where the count can't tell
    stopped_at : when recording ended if it went as planned until then
    window_s, weekdays, interval_s : what was set instead
    """

    cause: Cause
    fits: bool | None
    stopped_at: datetime | None = None
    window_s: int | None = None
    weekdays: frozenset[int] | None = None
    interval_s: Fraction | None = None


def explanations(comparison: Comparison) -> tuple[Explanation, ...]:
    """Return what may explain a count that isn't as planned, in the order in which one looks; none where it is."""
    if comparison.files is None or comparison.agrees or not comparison.expected.files.expected:
        return ()
    found = [_window(comparison), _weekdays(comparison), _interval(comparison)]
    if said(comparison.missed) > 0:
        found = [_stopped(comparison), *found, _card_full(comparison), _power_lost(comparison)]
    return tuple(each for each in found if each is not None)


def _stopped(comparison: Comparison) -> Explanation:
    """Look for the first minute by which as many files as were found should have been taken."""
    running, files = comparison.running, said(comparison.files)
    low, high = 0, (running.at - running.since) // _MINUTE + 1
    while low < high:
        middle = (low + high) // 2
        if files_of(running.counts(until=running.since + middle * _MINUTE)) >= files:
            high = middle
        else:
            low = middle + 1
    return Explanation(Cause.STOPPED_EARLY, None, stopped_at=running.since + low * _MINUTE)


def _nearest(comparison: Comparison, schedules: Iterable[Schedule]) -> Schedule | None:
    """Return the schedule whose count comes nearest, if it fits."""
    running, files = comparison.running, said(comparison.files)
    apart = [(abs(files_with(running, schedule=each) - files), n, each) for n, each in enumerate(schedules)]
    best = min(apart, default=None, key=lambda each: each[:2])
    return best[2] if best and best[0] <= running.slack else None


def _window(comparison: Comparison) -> Explanation | None:
    schedule = comparison.running.planner.schedule
    length_s = schedule.window.length_s
    shorter = range(length_s - WINDOW_STEP_S, 0, -WINDOW_STEP_S)
    longer = range(length_s + WINDOW_STEP_S, DAY_S + 1, WINDOW_STEP_S)
    lengths = shorter if said(comparison.missed) > 0 else longer
    found = _nearest(comparison, (_with_window(schedule, each_s) for each_s in lengths))
    return None if found is None else Explanation(Cause.WINDOW, True, window_s=found.window.length_s)


def _with_window(schedule: Schedule, length_s: int) -> Schedule:
    start = datetime.combine(schedule.first, schedule.window.start)
    end = (start + timedelta(seconds=length_s)).time()
    return replace(schedule, window=replace(schedule.window, end=end))


def _weekdays(comparison: Comparison) -> Explanation | None:
    schedule = comparison.running.planner.schedule
    others = [replace(schedule, weekdays=days) for days in LIKELY_WEEKDAYS if days != schedule.weekdays]
    found = _nearest(comparison, others)
    return None if found is None else Explanation(Cause.WEEKDAYS, True, weekdays=found.weekdays)


def _interval(comparison: Comparison) -> Explanation | None:
    likely = likely_interval(comparison)
    planned_s = comparison.running.planner.recording.interval_s
    if likely is None or not likely.explains:
        return None
    interval_s = likely.runner_up_s if likely.interval_s == planned_s else likely.interval_s
    return None if interval_s is None else Explanation(Cause.INTERVAL, True, interval_s=interval_s)


def _card_full(comparison: Comparison) -> Explanation | None:
    running = comparison.running
    if running.card_bytes is None:
        return None
    if comparison.used_bytes is not None:
        is_full = comparison.used_bytes.high >= running.card_bytes * FULL_SHARE
        return Explanation(Cause.CARD_FULL, True) if is_full else None
    used = comparison.expected.card_used_bytes
    may_be = used is not None and used.high >= running.card_bytes * FULL_SHARE
    return Explanation(Cause.CARD_FULL, None) if may_be else None


def _power_lost(comparison: Comparison) -> Explanation:
    """A battery that reads empty is a cause; one that doesn't may have been cut off all the same."""
    left = comparison.battery_left_share
    return Explanation(Cause.POWER_LOST, True if left is not None and left.low <= EMPTY_SHARE else None)
