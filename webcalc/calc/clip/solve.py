"""Solve for the quantity left blank, out of: recorded days, interval, frame rate and clip length.

Frames are always the real count: ceil(W / I) in each window, so an interval longer than the
window still gives one frame per window, the one at its start.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from webcalc.calc.clip import frames as clip
from webcalc.calc.clip.interval import (
    SETTABLE_INTERVALS_S,
    frames_wanted,
    interval_exact_s,
    neighbours,
)
from webcalc.calc.schedule.recording import frames_in, frames_total
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS, DailyWindow, Schedule

ALL_KEPT = Fraction(1)


@dataclass(frozen=True)
class ClipMade:
    """What an interval gives over a whole shoot: frames recorded, frames kept, clip length in seconds."""

    interval_s: Fraction
    frames: int
    kept_frames: int
    clip_s: Fraction


@dataclass(frozen=True)
class IntervalAnswer:
    """The interval for a wanted clip.

    interval_exact_s : recorded time / frames wanted; None if the shoot has no recorded day or no frame is wanted
    chosen : the longest settable interval that gives the frames wanted, and what it gives; None if even the shortest
        settable interval is too long
    """

    recorded_s: int
    frames_wanted: int
    interval_exact_s: Fraction | None
    chosen: ClipMade | None


#: A clip this many times as long as wanted is told: frames and card are spent that nobody asked for. Own choice.
FAR_TOO_LONG = 2


def longer_than_wanted(clip_s: Fraction, wanted_s: Fraction) -> bool:
    """Return whether a clip is so much longer than wanted that another interval was surely meant."""
    return clip_s > FAR_TOO_LONG * wanted_s


def shoot_frames(schedule: Schedule, interval_s: Fraction) -> int:
    """Return the frames of the whole shoot at ``interval_s`` > 0."""
    return frames_total(schedule.recorded_days, frames_in(schedule.window.length_s, interval_s))


def clip_from_interval(
    schedule: Schedule, interval_s: Fraction, fps: Fraction, kept_share: Fraction = ALL_KEPT
) -> ClipMade:
    """Return frames and clip length of a shoot at ``interval_s`` > 0, ``fps`` > 0, 0 <= ``kept_share`` <= 1."""
    frames = shoot_frames(schedule, interval_s)
    kept = clip.kept_frames(frames, kept_share)
    return ClipMade(interval_s, frames, kept, clip.clip_s(kept, fps))


def interval_from_clip(
    schedule: Schedule,
    clip_s: Fraction,
    fps: Fraction,
    kept_share: Fraction = ALL_KEPT,
    settable_s: Sequence[Fraction] = SETTABLE_INTERVALS_S,
) -> IntervalAnswer:
    """Return the exact and the settable interval that give a clip of ``clip_s`` seconds from this shoot.

    The chosen interval's clip is never shorter than ``clip_s``. Raises ValueError for a kept share outside (0, 1].
    """
    wanted = frames_wanted(clip_s, fps, kept_share)
    recorded_s = schedule.recorded_s
    if not wanted or not recorded_s:
        return IntervalAnswer(recorded_s, wanted, None, None)
    # Each window rounds its frames up, so an interval above the exact one may still give them all.
    enough = (s for s in sorted(settable_s, reverse=True) if shoot_frames(schedule, s) >= wanted)
    interval_s = next(enough, None)
    chosen = None if interval_s is None else clip_from_interval(schedule, interval_s, fps, kept_share)
    return IntervalAnswer(recorded_s, wanted, interval_exact_s(recorded_s, wanted), chosen)


def interval_choices(
    schedule: Schedule,
    around_s: Fraction,
    fps: Fraction,
    kept_share: Fraction = ALL_KEPT,
    count_each_side: int = 3,
    settable_s: Sequence[Fraction] = SETTABLE_INTERVALS_S,
) -> tuple[ClipMade, ...]:
    """Return what the settable intervals around ``around_s`` give, shortest interval first."""
    return tuple(
        clip_from_interval(schedule, interval_s, fps, kept_share)
        for interval_s in neighbours(around_s, count_each_side, settable_s)
    )


def last_date_for_frames(
    first: date,
    window: DailyWindow,
    weekdays: frozenset[int],
    skipped: frozenset[date],
    interval_s: Fraction,
    frames_needed: int,
    limit_days: int = LONGEST_SHOOT_DAYS,
) -> date | None:
    """Return the date in whose window the last of ``frames_needed`` >= 1 frames is taken.

    It is the last day to shoot for a wanted clip. For a card's capacity it is the date on which the card takes its last
    frame, perhaps in mid-window: see ``last_date_within_frames`` for the last day a card holds whole.
    None if the frames are not reached within ``limit_days`` calendar days. Raises ValueError below one frame.
    """
    if frames_needed < 1:
        raise ValueError("frames_needed is 1 or more")
    windows = -(-frames_needed // frames_in(window.length_s, interval_s))
    dates = _dates_from(first, window, weekdays, skipped, limit_days)
    return dates[windows - 1] if windows <= len(dates) else None


def last_date_within_frames(
    first: date,
    window: DailyWindow,
    weekdays: frozenset[int],
    skipped: frozenset[date],
    interval_s: Fraction,
    frames_held: int,
    limit_days: int = LONGEST_SHOOT_DAYS,
) -> date | None:
    """Return the last recorded date whose whole window still fits into ``frames_held`` frames.

    It is the last day to shoot on a card that holds so many. None if not even the first window fits; a card that lasts
    past ``limit_days`` calendar days gives the last recorded date within them.
    """
    windows = frames_held // frames_in(window.length_s, interval_s)
    dates = _dates_from(first, window, weekdays, skipped, limit_days)
    fitting = dates[: max(0, windows)]
    return fitting[-1] if fitting else None


def _dates_from(
    first: date,
    window: DailyWindow,
    weekdays: frozenset[int],
    skipped: frozenset[date],
    limit_days: int,
) -> tuple[date, ...]:
    """Return the recorded dates of the first ``limit_days`` calendar days, as far as the calendar goes."""
    days = min(limit_days - 1, (date.max - first).days)
    return Schedule(first, first + timedelta(days), window, weekdays, skipped).recorded_dates
