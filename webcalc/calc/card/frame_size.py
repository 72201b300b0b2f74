"""How large one frame is: measured, or from its pixels and the kind of picture."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType

from webcalc.calc.card.space import MB
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula


@dataclass(frozen=True)
class FactorRange:
    """Something that multiplies a frame's size, from ``low`` to ``high`` times."""

    cause: str
    low: Fraction
    high: Fraction


#: The same setting on a plain and on a crowded scene; measured over 33 photographs.
SCENE_DETAIL = FactorRange("scene_detail", Fraction(4), Fraction(10))
#: Sensor noise at night against the same scene by day; measured with synthetic noise.
NIGHT_NOISE = FactorRange("night_noise", Fraction(140, 100), Fraction(190, 100))


@dataclass(frozen=True)
class Picture:
    """A kind of picture: bits per pixel (JPEG) or per photosite (raw), and what moves its size.

    The ranges are this project's judgement from measured photographs and simulated raw files.
    """

    name: str
    raw: bool
    bits_per_px: Estimate[Fraction]
    moved_by: tuple[FactorRange, ...] = ()


def _jpeg(name: str, low: str, expected: str, high: str) -> Picture:
    bits = Estimate(Fraction(low), Fraction(expected), Fraction(high))
    return Picture(name, raw=False, bits_per_px=bits, moved_by=(SCENE_DETAIL, NIGHT_NOISE))


def _raw(name: str, low: str, expected: str, high: str) -> Picture:
    return Picture(name, raw=True, bits_per_px=Estimate(Fraction(low), Fraction(expected), Fraction(high)))


#: Every kind of picture by name, smallest first.
PICTURES: Mapping[str, Picture] = MappingProxyType(
    {
        picture.name: picture
        for picture in (
            _jpeg("economy", "0.5", "1", "2"),
            _jpeg("standard", "1", "2", "3"),
            _jpeg("fine", "2", "4", "6"),
            _raw("raw12", "6.5", "8", "10"),
            _raw("raw14", "8", "9.5", "12"),
        )
    }
)


@formula("frame_bytes", "ceil(width_px * height_px * bits_per_px / 8)", ARITHMETIC)
def frame_bytes_at(width_px: int, height_px: int, bits_per_px: int | Fraction) -> int:
    """Return a frame's bytes at a number of bits per pixel or photosite."""
    return math.ceil(Fraction(width_px * height_px * bits_per_px) / 8)


def frame_bytes(width_px: int, height_px: int, picture: Picture) -> Estimate[int]:
    """Return a frame's bytes as a range; a guess, where a measured frame would be known.

    Width and height > 0; for raw they are those of the sensor, whatever is cropped later.
    """
    return picture.bits_per_px.map(lambda bits: frame_bytes_at(width_px, height_px, bits))


def measured(
    frame_mb: Fraction | Decimal | float, largest_mb: Fraction | Decimal | float | None = None
) -> Estimate[int]:
    """Return a measured frame size, typed in decimal megabytes; without a range unless the largest day's mean is known.

    Rounded up to whole bytes. A largest day below the mean counts as the mean. Raises ValueError unless each is a
    finite number above zero.
    """
    sizes_mb = [frame_mb] if largest_mb is None else [frame_mb, largest_mb]
    if any((isinstance(size, Decimal) and not size.is_finite()) or size <= 0 for size in sizes_mb):
        raise ValueError("a measured frame is larger than nothing")
    mean, *largest = (math.ceil(Fraction(size) * MB) for size in sizes_mb)
    return Estimate(mean, mean, max(mean, *largest)) if largest else Estimate.exact(mean)


@formula("frame_bytes", "ceil(video_mb_min * 1000000 / (60 * fps))", ARITHMETIC)
def video_frame_bytes(video_mb_min: Fraction | Decimal | float, fps: Fraction) -> int:
    """Return what one frame takes of a video file of so many decimal megabytes a minute at a rate; both above 0."""
    return math.ceil(Fraction(video_mb_min) * MB / (60 * fps))


@dataclass(frozen=True)
class LowerPicture:
    """A lower kind of picture: whether the card lasts with it, else when it is full at the earliest, camera clock."""

    picture: str
    lasts: bool
    full_at: datetime | None


def smaller_picture(picture: Picture) -> Picture | None:
    """Return the next kind that takes less card, of the same make (JPEG or raw); None below the smallest.

    Lower picture quality when the card must last: common practice, no source.
    """
    alike = [other for other in PICTURES.values() if other.raw == picture.raw]
    smaller = [other for other in alike if other.bits_per_px.expected < picture.bits_per_px.expected]
    return max(smaller, key=lambda other: other.bits_per_px.expected, default=None)
