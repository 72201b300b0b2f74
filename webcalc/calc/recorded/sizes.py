"""The sizes of recorded frames: what a day's frames take, by hour, and from when they are another."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from statistics import fmean, median
from typing import TypeVar

from webcalc.calc.estimate import Estimate
from webcalc.calc.recorded.files import File

Key = TypeVar("Key", bound=Hashable)
#: Days on either side of a change, how far apart sizes then are, the share of days on their side. Own choice: weather
#: changes sizes from day to day, a dirty lens those of all days that follow.
_DAYS_BESIDE, _APART, _ON_ITS_SIDE = 4, 1.25, 0.9


def daily_means(files: Iterable[File]) -> dict[date, float]:
    """Return the mean bytes of a frame on each date."""
    return _means(files, lambda file: file.at.date())


def hourly_means(files: Iterable[File]) -> dict[int, float]:
    """Return the mean bytes of a frame in each hour of the day."""
    return _means(files, lambda file: file.at.hour)


def _means(files: Iterable[File], key: Callable[[File], Key]) -> dict[Key, float]:
    found: dict[Key, list[int]] = defaultdict(list)
    for file in files:
        if file.bytes is not None:
            found[key(file)].append(file.bytes)
    return {group: fmean(sizes) for group, sizes in sorted(found.items())}


def frame_bytes(files: Sequence[File]) -> Estimate[int] | None:
    """Return a frame's bytes: the mean of all, and the range of the means of days; None without sizes.

    What fills a card is the mean of many frames; single ones vary far more and say nothing of it.
    """
    means = daily_means(files).values()
    if not means:
        return None
    whole = fmean(file.bytes for file in files if file.bytes is not None)
    return Estimate(round(min(means)), round(whole), round(max(means)))


@dataclass(frozen=True)
class SizeChange:
    """From ``since`` on frames take ``factor`` times what they took before."""

    since: date
    factor: float


def size_change(files: Iterable[File]) -> SizeChange | None:
    """Return the date from which frames are of another size for good; None where there is none.

    The date that parts the days' means best (the largest variance between the two groups), if nearly all days lie on
    their own side of the middle: a foggy week is no change for good.
    """
    means = list(daily_means(files).items())
    sizes = [size for _day, size in means]
    cuts = range(_DAYS_BESIDE, len(means) - _DAYS_BESIDE + 1)
    whole, left = sum(sizes), list(accumulate(sizes))
    apart = {n: n * (len(sizes) - n) * (left[n - 1] / n - (whole - left[n - 1]) / (len(sizes) - n)) ** 2 for n in cuts}
    if not apart:
        return None
    best = max(apart, key=apart.__getitem__)
    before, after = median(sizes[:best]), median(sizes[best:])
    if not before or not after or max(after / before, before / after) < _APART:
        return None
    middle = (before + after) / 2
    on_side = sum((size > middle) == ((after > before) == (n >= best)) for n, size in enumerate(sizes))
    return SizeChange(means[best][0], after / before) if on_side >= _ON_ITS_SIDE * len(sizes) else None
