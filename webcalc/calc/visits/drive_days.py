"""The fewest days of driving on which every camera of a crew is seen in time.

Which visit of a camera a drive serves needn't be settled while the days are looked for: a camera has a list of days on
one of which it may have been seen last, and must be seen again only when the last of the dates that follow from them
comes. So a list of drives is a list of days, made from the first to the last, several side by side: those that come
furthest with so many drives are kept. Near the end of what may be worked out, only the latest possible days are tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from webcalc.calc.visits.needs import CameraNeeds, Need
from webcalc.calc.visits.rules import Impossible

#: Lists of drives that one answer may look at, and visits of cameras that it may work out.
MOST_LISTS, MOST_LOOKS = 30_000, 6_000
_DAY = timedelta(1)
#: Days on one of which a camera may have been seen last (None: as it stands at first).
Options = tuple[date | None, ...]


@dataclass(frozen=True)
class Called:
    """A camera that calls for somebody: what it needs, how many days early one may come, and to which date to look."""

    needs: CameraNeeds
    early_days: int
    until: date

    def alive(self, need: Need) -> bool:
        """Whether a visit follows that must be made before the end of what is looked at."""
        return not isinstance(need.due, Impossible) and need.last <= self.until

    def covers(self, need: Need, day: date) -> bool:
        """Whether a day will do for this visit."""
        if not self.needs.first_day(need, self.early_days) <= day <= need.last:
            return False
        return need.ends or self.needs.planner.rules.allows(day)

    def settled(self, options: Options) -> Options:
        """Return the options that still need a visit; none where one of them needs none."""
        needs = [self.needs.after(seen) for seen in options]
        able = [n for n, need in enumerate(needs) if not isinstance(need.due, Impossible)]
        if all(self.alive(needs[n]) for n in able):
            return tuple(options[n] for n in able)
        return ()


class _Camera:
    """The same with what was worked out before: many lists share it."""

    def __init__(self, called: Called) -> None:
        self.called = called
        self._steps: dict[tuple[Options, date], Options] = {}
        self._spans: dict[Options, tuple[date, date]] = {}

    def span(self, options: Options) -> tuple[date, date]:
        """Return the first day on which a visit may be made, and the last on which it must."""
        if options not in self._spans:
            needs, early = [self.called.needs.after(seen) for seen in options], self.called.early_days
            first = min((self.called.needs.first_day(need, early) for need in needs), default=date.max)
            self._spans[options] = first, max((need.last for need in needs), default=date.max)
        return self._spans[options]

    def step(self, options: Options, day: date) -> Options:
        """Return the options after a drive on a day."""
        found = self._steps.get((options, day))
        if found is None:
            found = self._steps[options, day] = self._step(options, day)
        return found

    def _step(self, options: Options, day: date) -> Options:
        needs = [(seen, self.called.needs.after(seen)) for seen in options]
        served = [need for _seen, need in needs if self.called.covers(need, day)]
        if any(need.ends for need in served):
            return ()
        kept = tuple(seen for seen, need in needs if need.last > day)
        return self.called.settled((*kept, day)) if served else kept


@dataclass(frozen=True)
class _Drives:
    """A list of drives: its days, the last one first, and what each camera needs then (nothing: it is done)."""

    options: tuple[Options, ...]
    days: tuple[date, ...]

    def score(self, cameras: Sequence[_Camera]) -> tuple[date, int]:
        """Return how far it comes: when the next drive must be, and all cameras' dates together."""
        lasts = [camera.span(options)[1] for camera, options in zip(cameras, self.options, strict=True) if options]
        done = len(self.options) - len(lasts)
        total = sum(last.toordinal() for last in lasts) + done * date.max.toordinal()
        return min(lasts, default=date.max), total


def fewest_days(cameras: Sequence[Called]) -> tuple[date, ...]:
    """Return the days, rising: as few as are found, of those the ones with the fewest visits of cameras, the latest."""
    known = [_Camera(called) for called in cameras]
    begin = _Drives(tuple(called.settled((None,)) for called in cameras), ())
    quick = _search(known, begin, None)
    return _search(known, begin, quick)[::-1] if quick else ()


def _search(cameras: Sequence[_Camera], begin: _Drives, quick: tuple[date, ...] | None) -> tuple[date, ...]:
    """Return the days, falling; without ``quick``, a list to improve on, only the latest possible days are tried."""
    layer, left, tried = [begin], MOST_LISTS, 1
    looked = sum(camera.called.needs.looked for camera in cameras)
    for n in range(len(quick) if quick else date.max.toordinal()):
        found: dict[tuple[Options, ...], _Drives] = {}
        few = quick is None or left <= 0 or sum(c.called.needs.looked for c in cameras) - looked > MOST_LOOKS
        for drives in layer:
            for following in _following(cameras, drives, only_last=few):
                left -= 1
                best = found.get(following.options)
                if best is None or best.days < following.days:
                    found[following.options] = following
        done = [drives for drives in found.values() if not any(drives.options)]
        if done:
            return min((drives.days for drives in done), key=lambda days: _visits(cameras, days))
        tried = max(1, len(found) // len(layer))
        width = 1 if quick is None else max(1, left // (tried * max(1, len(quick) - n - 1)))
        layer = sorted(found.values(), key=lambda drives: drives.score(cameras), reverse=True)[:width]
    return quick or ()


def _following(cameras: Sequence[_Camera], drives: _Drives, *, only_last: bool) -> Iterator[_Drives]:
    """Yield the lists with one drive more: the last possible day first."""
    open_ones = [
        (n, camera, options) for n, (camera, options) in enumerate(zip(cameras, drives.options, strict=True)) if options
    ]
    spans = [camera.span(options) for _n, camera, options in open_ones]
    last = min(until for _since, until in spans)
    first = max(min(since for since, _until in spans), drives.days[0] + _DAY if drives.days else date.min)
    near = [one for one, (since, _until) in zip(open_ones, spans, strict=True) if since <= last]
    day = last
    while day >= first:
        options = list(drives.options)
        for n, camera, before in near:
            options[n] = camera.step(before, day)
        if any(options[n] != before and (not options[n] or options[n][-1] == day) for n, _camera, before in near):
            yield _Drives(tuple(options), (day, *drives.days))
        if only_last:
            return
        day -= _DAY


def _visits(cameras: Sequence[_Camera], days: tuple[date, ...]) -> tuple[int, int]:
    """Return how many visits of cameras these drives take, and how early they are."""
    rising = days[::-1]
    return sum(len(route(camera.called, rising)) for camera in cameras), -sum(day.toordinal() for day in days)


def route(called: Called, days: Sequence[date]) -> tuple[date, ...]:
    """Return on which of these days, rising, a camera is seen: as seldom as will do, the last visit as late.

    A camera that no visits help is seen as long as they do.
    """
    ways: dict[date | None, tuple[date, ...]] = {None: ()}
    reached: list[tuple[date, ...]] = []
    stuck: list[tuple[date, ...]] = []
    for day in (*days, date.max):
        needs = [(called.needs.after(seen), way) for seen, way in ways.items()]
        over = [(need, way) for need, way in needs if not called.alive(need)]
        reached += [way for need, way in over if not isinstance(need.due, Impossible)]
        stuck += [way for need, way in over if isinstance(need.due, Impossible)]
        served = [(need, way) for need, way in needs if called.alive(need) and called.covers(need, day)]
        reached += [(*way, day) for need, way in served if need.ends]
        came = [way for need, way in served if not need.ends]
        ways = {
            seen: way for (need, way), seen in zip(needs, ways, strict=True) if called.alive(need) and need.last > day
        }
        if came:
            ways[day] = (*min(came, key=_seldom), day)
    return min(reached or stuck or [()], key=_seldom)


def _seldom(way: tuple[date, ...]) -> tuple[int, list[int]]:
    """Return what is least for the fewest visits, of those the latest."""
    return len(way), [-day.toordinal() for day in reversed(way)]
