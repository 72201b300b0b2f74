"""What a listing of a card tells: files with time, size and number; and how far their times can be trusted.

Times are those of the file system, taken as the camera clock's: most cards store local time without a zone. FAT keeps
writing times in steps of two seconds (Microsoft, FAT32 File System Specification, 2000, "Date and Time Formats").
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from itertools import accumulate, pairwise
from statistics import fmean, median
from typing import TypeVar

from webcalc.calc.estimate import Estimate

#: Two files of one name this near to each other are one frame, written in two formats. Own choice.
_ONE_FRAME = timedelta(seconds=10)
#: Files that follow each other faster than this on average, however many, were stamped by copying. Own choice: no
#: camera keeps half a second up for as many.
_COPIED_S, _COPIED_FILES = 0.5, 20
#: A file below this share of the usual size holds no whole picture. Own choice.
BROKEN_SHARE = 0.1


@dataclass(frozen=True)
class File:
    """One file of a listing.

    at : when it was written, naive, camera clock
    bytes : its size; None where the listing has none
    name : without folder and ending; "" where the listing has none
    number : the digits at its end, of which DCF has four (CIPA DC-009); None without
    """

    at: datetime
    bytes: int | None = None
    name: str = ""
    number: int | None = None


@dataclass(frozen=True)
class Frames:
    """The frames of a listing, in order of time.

    stamp_s : the step of the times: 60 without seconds, 2 as FAT keeps them, else 1
    trusted : whether the times can be those of recording
    """

    files: tuple[File, ...]
    stamp_s: int
    trusted: bool

    @cached_property
    def times(self) -> tuple[datetime, ...]:
        """The times, rising."""
        return tuple(file.at for file in self.files)

    @cached_property
    def by_hour(self) -> Counter[datetime]:
        """How many frames there are in each hour, by its beginning."""
        return Counter(at.replace(minute=0, second=0, microsecond=0) for at in self.times)


def frames_of(files: Iterable[File]) -> Frames:
    """Return the frames: two files of one name and time (a raw picture and its copy) are one, their sizes added."""
    ordered = sorted(files, key=lambda file: (file.at, file.number or 0))
    found: list[File] = []
    open_names: dict[str, int] = {}
    for file in ordered:
        n = open_names.get(file.name) if file.name else None
        if n is not None and file.at - found[n].at <= _ONE_FRAME:
            first = found[n]
            both = None if first.bytes is None or file.bytes is None else first.bytes + file.bytes
            found[n] = File(first.at, both, first.name, first.number)
            continue
        if file.name:
            open_names[file.name] = len(found)
        found.append(file)
    times = [file.at for file in found]
    return Frames(tuple(found), _stamp_s(times), _trusted(times))


def _stamp_s(times: Sequence[datetime]) -> int:
    if any(at.second % 2 for at in times):
        return 1
    return 2 if any(at.second for at in times) else 60


def _trusted(times: Sequence[datetime]) -> bool:
    """Whether the times are spread as a camera spreads them, not all those of one copying."""
    if len(times) < 2:
        return bool(times)
    if times[0] == times[-1] or _only_dates(times):
        return False
    return len(times) < _COPIED_FILES or (times[-1] - times[0]).total_seconds() / len(times) >= _COPIED_S


def _only_dates(times: Sequence[datetime]) -> bool:
    """Whether many of the times are midnight: a listing that gives old files no time of day."""
    midnights = sum(not (at.hour or at.minute or at.second) for at in times)
    return midnights > len({at.date() for at in times}) or midnights == len(times) > 2


def rollovers(files: Sequence[File]) -> int:
    """Return how often the numbers began again: a number lower than the one before by more than half of all."""
    numbers = [file.number for file in files if file.number is not None]
    span = max(numbers, default=0)
    return sum(before - after > span / 2 for before, after in pairwise(numbers)) if span else 0


def numbers_left_out(files: Sequence[File]) -> int:
    """Return how many numbers lie between the first and the last and have no file: deleted, or not in the listing."""
    left_out = 0
    for before, after in pairwise(file.number for file in files if file.number is not None):
        left_out += max(0, after - before - 1)
    return left_out


def broken(files: Sequence[File]) -> tuple[File, ...]:
    """Return the files that are far smaller than usual, or empty."""
    sizes = [file.bytes for file in files if file.bytes is not None]
    if not sizes:
        return ()
    limit = median(sizes) * BROKEN_SHARE
    return tuple(file for file in files if file.bytes is not None and file.bytes < limit)


# -- their sizes ------------------------------------------------------------------------------------------


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
    whole, left = sum(sizes), list(accumulate(sizes))

    def apart(n: int) -> float:
        return n * (len(sizes) - n) * (left[n - 1] / n - (whole - left[n - 1]) / (len(sizes) - n)) ** 2

    best = max(range(1, len(sizes)), key=apart, default=0)
    if not _DAYS_BESIDE <= best <= len(sizes) - _DAYS_BESIDE:
        return None
    before, after = median(sizes[:best]), median(sizes[best:])
    if not before or not after or max(after / before, before / after) < _APART:
        return None
    middle = (before + after) / 2
    on_side = sum((size > middle) == ((after > before) == (n >= best)) for n, size in enumerate(sizes))
    return SizeChange(means[best][0], after / before) if on_side >= _ON_ITS_SIDE * len(sizes) else None
