"""After the shoot: size of the finished clip, copies, copying, sending."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.schedule.schedule import Schedule


@dataclass(frozen=True)
class CopyRule:
    """How many copies to keep, on how many kinds of media, how many of them at another place."""

    copies: int
    media: int
    elsewhere: int


#: Common practice, no source.
THREE_TWO_ONE = CopyRule(copies=3, media=2, elsewhere=1)


@formula("clip_bytes", "ceil(bits_per_s * clip_s / 8)", ARITHMETIC)
def clip_file_bytes(bits_per_s: int | Fraction, clip_s: int | Fraction) -> int:
    """Return the size of a finished clip at a mean bitrate, sound and container aside."""
    return math.ceil(Fraction(bits_per_s * clip_s) / 8)


@formula("copy_s", "total_bytes / bytes_per_s", ARITHMETIC)
def copy_s(total_bytes: int, bytes_per_s: int | Fraction) -> Fraction:
    """Return the seconds that copying takes at a reader's or disk's rate, > 0 bytes a second."""
    return Fraction(total_bytes) / Fraction(bytes_per_s)


@formula("upload_s", "total_bytes * 8 / bits_per_s", ARITHMETIC)
def upload_s(total_bytes: int, bits_per_s: int | Fraction) -> Fraction:
    """Return the seconds that sending takes over a line of > 0 bits a second, when all of it is had."""
    return Fraction(total_bytes * 8) / Fraction(bits_per_s)


@formula("kept_bytes", "total_bytes * copies", ARITHMETIC)
def kept_bytes(total_bytes: int, copies: int = THREE_TWO_ONE.copies) -> int:
    """Return the storage that all copies take together."""
    return total_bytes * copies


def recorded_days_by_month(schedule: Schedule) -> dict[tuple[int, int], int]:
    """Return how many windows start in each (year, month) of the shoot that has any, in order."""
    return dict(Counter((day.year, day.month) for day in schedule.recorded_dates))


def busiest_month_bytes(schedule: Schedule, day_bytes: int) -> int:
    """Return the bytes sent in the calendar month with most recorded days."""
    return max(recorded_days_by_month(schedule).values(), default=0) * day_bytes
