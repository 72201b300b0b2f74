"""The finished clip: frame rates, length, speed-up, and thinning to a wanted number of frames."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula
from webcalc.calc.results import Results, meaning

#: Frame rates in frames per second, exact: 23.976, 29.97 and 59.94 are only their short names.
FRAME_RATES: tuple[Fraction, ...] = (
    Fraction(24),
    Fraction(25),
    Fraction(30),
    Fraction(50),
    Fraction(60),
    Fraction(24_000, 1_001),
    Fraction(30_000, 1_001),
    Fraction(60_000, 1_001),
)


@formula("clip_s", "frames / fps", DEFINITION)
def clip_s(frames: int, fps: Fraction) -> Fraction:
    """Return the length in seconds of a clip of ``frames`` >= 0 frames at ``fps`` > 0, exact."""
    return frames / Fraction(fps)


@formula("frames", "ceil(clip_s * fps)", ARITHMETIC)
def frames_in_clip(clip_s: Fraction, fps: Fraction) -> int:
    """Return the fewest whole frames that last ``clip_s`` >= 0 seconds at ``fps`` > 0."""
    return math.ceil(clip_s * fps)


@formula("kept_frames", "floor(frames * kept_share)", ARITHMETIC)
def kept_frames(frames: int, kept_share: Fraction) -> int:
    """Return how many of ``frames`` are left when a share of 0 to 1 is kept, rounded down to whole frames.

    Long outdoor shoots usually keep 60–90 % (common practice, no source).
    """
    return math.floor(frames * kept_share)


@formula("speed_up", "interval_s * fps", DEFINITION)
def speed_up(interval_s: Fraction, fps: Fraction) -> Fraction:
    """Return how many times faster than life the clip runs while no frame is left out.

    ``interval_s`` > 0, ``fps`` > 0. At 60 s and 30 fps: 1,800, so a minute of clip shows 30 h of recorded time.
    Also reads as recorded seconds per second of clip, for a stretch whose frames are all kept.
    """
    return interval_s * fps


@formula("clip_s_per_recorded_day", "frames_per_day * kept_share / fps", ARITHMETIC)
def clip_s_per_recorded_day(frames_per_day: int, kept_share: Fraction, fps: Fraction) -> Fraction:
    """Return the seconds of clip that a recorded day gives on average (not rounded to whole frames)."""
    return frames_per_day * kept_share / fps


@dataclass(frozen=True)
class Thinning(Results):
    """Thinning to the wanted length; where frames are missing every one is kept."""

    frames_wanted: int = field(metadata=meaning("frames of the wanted clip"))
    keep_every: int = field(metadata=meaning("2 for every second frame"))
    frames_left: int = field(metadata=meaning("what is then left"))
    frames_to_trim: int = field(metadata=meaning("how many of these are too many"))
    frames_missing: int = field(metadata=meaning("how many are too few"))


@formula("left", "ceil(frames / keep_every)", ARITHMETIC)
def frames_left(frames: int, keep_every: int) -> int:
    """Return the frames that remain when the first and then every ``keep_every``-th >= 1 is kept."""
    return -(-frames // keep_every)


def thin(frames: int | None, target: int | None) -> Thinning | None:
    """Return an even thinning of ``frames`` >= 0 that leaves at least ``target`` >= 1 frames.

    Keep every floor(frames / target)-th; what is left is less than twice the target, and the rest is trimmed.
    With ``target`` >= ``frames`` nothing is thinned. An unknown count gives None.
    Raises ValueError for a count out of range.
    """
    if frames is None or target is None:
        return None
    if frames < 0 or target < 1:
        raise ValueError("frames is 0 or more and target 1 or more")
    if target >= frames:
        return Thinning(target, keep_every=1, frames_left=frames, frames_to_trim=0, frames_missing=target - frames)
    keep_every = frames // target
    left = frames_left(frames, keep_every)
    return Thinning(target, keep_every, left, frames_to_trim=left - target, frames_missing=0)
