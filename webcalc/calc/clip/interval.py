"""From a wanted clip to the interval: the exact one, and those that people can set on a camera.

All times are exact (``int`` or ``Fraction``). Floats are not accepted where a count is rounded, because a
binary fraction just above a whole number costs a frame.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from webcalc.calc.clip.frames import frames_in_clip
from webcalc.calc.formula import ARITHMETIC, formula

_MINUTE_S = 60
_HOUR_S = 3_600

#: Intervals that people can set, in seconds, rising; common practice, no source.
SETTABLE_INTERVALS_S: tuple[Fraction, ...] = (
    *(Fraction(n) for n in (1, 2, 3, 5, 10, 15, 20, 30)),
    *(Fraction(n * _MINUTE_S) for n in (1, 2, 3, 5, 10, 15, 20, 30)),
    *(Fraction(n * _HOUR_S) for n in (1, 2, 3, 4, 6, 12, 24)),
)

#: What is usual by the days from first to last: about a minute for a week to a month, a few minutes for longer; common
#: practice, no source. For less than a week nothing is usual.
_USUAL_FROM_DAYS, _USUAL_LONGER_DAYS = 7, 31
_USUAL_S = (Fraction(_MINUTE_S),)
_USUAL_LONGER_S = tuple(Fraction(n * _MINUTE_S) for n in (2, 3, 5))


def usual_intervals_s(calendar_days: int) -> tuple[Fraction, ...]:
    """Return the intervals that are usual for a shoot of this length, in seconds, rising; none for under a week."""
    if calendar_days < _USUAL_FROM_DAYS:
        return ()
    return _USUAL_S if calendar_days <= _USUAL_LONGER_DAYS else _USUAL_LONGER_S


@formula("frames_wanted", "ceil(ceil(clip_s * fps) / kept_share)", ARITHMETIC)
def frames_wanted(clip_s: Fraction, fps: Fraction, kept_share: Fraction = Fraction(1)) -> int:
    """Return the frames to record for a clip of ``clip_s`` seconds when only a share of them is kept.

    ``clip_s`` >= 0, ``fps`` > 0, 0 < ``kept_share`` <= 1; all exact. Whole frames are counted before the
    share is applied: 20 s at 30000/1001 are 600 frames, of which 70 % kept take 858 recorded
    ones (857 would leave 599 and a clip that is too short).
    Raises ValueError for a share outside its range.
    """
    if not 0 < kept_share <= 1:
        raise ValueError("kept_share is above 0 and at most 1")
    return -(-frames_in_clip(clip_s, fps) // Fraction(kept_share))


@formula("interval_exact_s", "recorded_s / frames_wanted", ARITHMETIC)
def interval_exact_s(recorded_s: int | Fraction, frames_wanted: int) -> Fraction:
    """Return the interval in seconds that spreads the wanted frames evenly over the recorded time.

    ``recorded_s`` >= 0, ``frames_wanted`` >= 1. Every window starts with a frame, so no interval up to this one gives
    fewer frames than wanted, however the windows divide: days * ceil(W / I) >= days * W / I.
    Raises ValueError where no frame is wanted: any interval would do.
    """
    if frames_wanted < 1:
        raise ValueError("frames_wanted is 1 or more")
    return Fraction(recorded_s) / frames_wanted


def settable_at_or_below(exact_s: Fraction, settable_s: Sequence[Fraction] = SETTABLE_INTERVALS_S) -> Fraction | None:
    """Return the longest settable interval not above ``exact_s``; None if every one is longer.

    Down, because more frames can be thinned and missing frames can't be made.
    """
    return max((interval_s for interval_s in settable_s if interval_s <= exact_s), default=None)


def neighbours(
    exact_s: Fraction, count_each_side: int, settable_s: Sequence[Fraction] = SETTABLE_INTERVALS_S
) -> tuple[Fraction, ...]:
    """Return up to ``count_each_side`` settable intervals at or below ``exact_s`` and as many above it, rising.

    ``count_each_side`` >= 0; raises ValueError below. The list need not be in order.
    """
    if count_each_side < 0:
        raise ValueError("count_each_side is 0 or more")
    rising = sorted(set(settable_s))
    below = [interval_s for interval_s in rising if interval_s <= exact_s]
    above = [interval_s for interval_s in rising if interval_s > exact_s]
    return (*below[max(0, len(below) - count_each_side) :], *above[:count_each_side])


def next_interval_that_holds(
    interval_s: Fraction, settable_s: Sequence[Fraction], holds: Callable[[Fraction], bool]
) -> Fraction | None:
    """Return the shortest settable interval longer than ``interval_s`` for which ``holds`` is true; None if none is.

    A longer interval never takes more card or energy, so the first that holds is the smallest change.
    """
    longer = sorted(candidate for candidate in settable_s if candidate > interval_s)
    return next((candidate for candidate in longer if holds(candidate)), None)
