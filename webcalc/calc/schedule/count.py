"""How many stills, bursts and motion-triggered frames are taken between two instants.

Instants are naive datetimes on the camera clock; spans are half-open, [since, until), so that
neighbouring spans add up. A window is never walked frame by frame: whole windows are multiplied, and only
the two that a span cuts are counted in part. All counts are exact.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, Schedule

MICROSECOND = timedelta(microseconds=1)


@formula(
    "motion_frames",
    "ceil((2 * motion_frames_per_day * elapsed_s - window_s) / (2 * window_s))",
    "spread evenly: each frame in the middle of its share of the window; " + ARITHMETIC,
)
def motion_frames_before(motion_frames_per_day: int, elapsed_s: int | Fraction, window_s: int) -> int:
    """Return the motion-triggered frames in the first ``elapsed_s`` seconds of a window.

    0 <= ``elapsed_s`` <= ``window_s``. Frame j of m (from 0) is placed at (j + 1/2) of an m-th of the window:
    none at the start, all m at the end, half of them at half-time.
    """
    if not motion_frames_per_day:
        return 0
    # The ceiling of the formula in whole numbers.
    over, under = elapsed_s.numerator, elapsed_s.denominator
    return -((window_s * under - 2 * motion_frames_per_day * over) // (2 * window_s * under))


@dataclass(frozen=True)
class Counts:
    """What was taken: stills, bursts begun, motion-triggered frames."""

    stills: int = 0
    bursts: int = 0
    motion_frames: int = 0

    @property
    def frames(self) -> int:
        """Single frames on the card: stills and motion-triggered ones."""
        return self.stills + self.motion_frames

    def __add__(self, other: Counts) -> Counts:
        return Counts(self.stills + other.stills, self.bursts + other.bursts, self.motion_frames + other.motion_frames)

    def __sub__(self, other: Counts) -> Counts:
        return self + other.times(-1)

    def times(self, n: int) -> Counts:
        """Return the counts of ``n`` such spans."""
        return Counts(self.stills * n, self.bursts * n, self.motion_frames * n)


def counts_in(recording: Recording, window_s: int, elapsed_s: int | Fraction | None = None) -> Counts:
    """Return what is taken in the first ``elapsed_s`` seconds of a window (default: in all of it)."""
    elapsed_s = window_s if elapsed_s is None else elapsed_s
    return Counts(
        stills=recording.stills_in(elapsed_s),
        bursts=recording.bursts_in(elapsed_s),
        motion_frames=motion_frames_before(recording.motion_frames_per_day, elapsed_s, window_s),
    )


def window_dates(schedule: Schedule, *, past_last: bool = False) -> tuple[date, ...]:
    """Return every date on which a window starts, in order.

    With ``past_last`` the pattern goes on after the last date, as ``Schedule.window_start_days``
    continues it: to 20 years after the first.
    """
    return schedule.dates_past_last if past_last else schedule.recorded_dates


def seconds_between(earlier: datetime, later: datetime) -> Fraction:
    """Return the exact seconds from ``earlier`` to ``later``, negative if they are the other way round."""
    return Fraction((later - earlier) // MICROSECOND, 1_000_000)


def elapsed_in_window(schedule: Schedule, day: date, at: datetime) -> int | Fraction:
    """Return how many seconds of that date's window have passed at an instant: 0 to its length."""
    passed = at - schedule.window_on(day)[0]
    if passed <= timedelta(0):
        return 0
    passed_s = passed.days * DAY_S + passed.seconds
    if passed_s >= schedule.window.length_s:
        return schedule.window.length_s
    return passed_s + Fraction(passed.microseconds, 1_000_000) if passed.microseconds else passed_s


def first_window_ending_after(schedule: Schedule, dates: Sequence[date], since: datetime) -> int:
    """Return the index in ``dates`` of the first window that ends after ``since``."""
    if since <= schedule.starts_at:
        return 0
    # A window ends after `since` where its date's midnight is after `reach`.
    reach = since - timedelta(seconds=schedule.window.start_s + schedule.window.length_s)
    return bisect_right(dates, reach.date())


def first_window_starting_after(schedule: Schedule, dates: Sequence[date], until: datetime) -> int:
    """Return the index in ``dates`` of the first window that starts after ``until``."""
    if until < schedule.starts_at:
        return 0
    return bisect_right(dates, (until - timedelta(seconds=schedule.window.start_s)).date())


def windows_touched(
    schedule: Schedule, since: datetime, until: datetime, *, past_last: bool = False
) -> tuple[int, int | Fraction, int | Fraction] | None:
    """Return how [since, until) lies in the windows; None where it touches none.

    The windows from the first that ends after ``since`` to the last that starts before ``until``, the seconds of the
    first that have passed at ``since``, and those of the last at ``until``. Spans with the same three record the same.
    """
    dates = window_dates(schedule, past_last=past_last)
    begin = first_window_ending_after(schedule, dates, since)
    end = first_window_starting_after(schedule, dates, until)
    if until <= since or begin >= end:
        return None
    passed_s = elapsed_in_window(schedule, dates[begin], since)
    return end - begin, passed_s, elapsed_in_window(schedule, dates[end - 1], until)


def counts_between(
    schedule: Schedule, recording: Recording, since: datetime, until: datetime, *, past_last: bool = False
) -> Counts:
    """Return what is taken in [since, until), both on the camera clock.

    Stills and bursts fall at the start of each window and every interval after it, wherever the span begins.
    A burst counts where it begins. Nothing is taken before the first date; after the last date only with
    ``past_last``. An empty or reversed span gives zeros.
    """
    touched = windows_touched(schedule, since, until, past_last=past_last)
    if touched is None:
        return Counts()
    windows, before_s, in_last_s = touched
    whole, before, in_last = (counts_in(recording, schedule.window.length_s, s) for s in (None, before_s, in_last_s))
    return Counts(
        whole.stills * (windows - 1) + in_last.stills - before.stills,
        whole.bursts * (windows - 1) + in_last.bursts - before.bursts,
        whole.motion_frames * (windows - 1) + in_last.motion_frames - before.motion_frames,
    )


def recorded_time_between(
    schedule: Schedule, since: datetime, until: datetime, *, past_last: bool = False
) -> timedelta:
    """Return how much of [since, until) lies within windows."""
    touched = windows_touched(schedule, since, until, past_last=past_last)
    if touched is None:
        return timedelta(0)
    windows, before_s, in_last_s = touched
    recorded_s = (windows - 1) * schedule.window.length_s + in_last_s - before_s
    return int(recorded_s * 1_000_000) * MICROSECOND
