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
from functools import lru_cache

from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import DueVisit, Impossible, Reason, Standing, Visit


@dataclass(frozen=True)
class Need:
    """The next visit of a camera: between ``first`` and ``last``, both included; on ``last`` it is always allowed.

    due : what it is for; Impossible: no visit is in time, None: it fetches the camera, on ``last``
    """

    first: date
    last: date
    due: DueVisit | Impossible | None
    standing: Standing


class CameraNeeds:
    """One camera's visits to come, each from the one before.

    Parameters
    ----------
    planner : of its visits
    standing : after the last visit that is known; None: new at the shoot's start
    not_before : where its visits were noted, today: none other was made. None: visits are taken as made
    made : how many were noted
    """

    def __init__(
        self, planner: VisitPlanner, standing: Standing | None = None, not_before: date | None = None, made: int = 0
    ) -> None:
        self.planner, self.made, self._not_before = planner, made, not_before
        self._begin = standing or planner.start()
        #: What lasts to the end if renewed on this day or later.
        self._lasting: dict[Reason, date] = {}
        self.after = lru_cache(None)(self._after)

    def _after(self, seen: date | None) -> Need:
        """Return what a camera needs that was last seen on a day; None: as it stands at first."""
        now = self._begin if seen is None else self.planner.after_visit(self._begin, seen)
        lasting = {reason for reason, since in self._lasting.items() if seen is not None and seen >= since}
        known = set(lasting)
        due = self.planner.next_visit(now, lasting)
        for reason in lasting - known if seen is not None else ():
            self._lasting[reason] = min(seen or date.max, self._lasting.get(reason, date.max))
        first = date.min
        if seen is None and self._not_before is not None:
            due, first = self.planner.as_of(due, now, self._not_before), self._not_before
        if due is None:
            fetch = self.planner.last_visit(now).date
            return Need(fetch, fetch, None, now)
        if isinstance(due, Impossible):
            return Need(date.max, date.max, due, now)
        return Need(max(due.first_day, first), due.day, due, now)

    @property
    def looked(self) -> int:
        """How many visits were worked out so far."""
        return self.after.cache_info().currsize

    def visit(self, need: Need, day: date) -> Visit:
        """Return what is found on such a visit."""
        if isinstance(need.due, DueVisit):
            return self.planner.visit(need.standing, need.due, day)
        return self.planner.last_visit(need.standing)


# -- the days of driving ----------------------------------------------------------------------------------


#: Lists of drives that one answer may look at, and visits of cameras that it may work out.
MOST_LISTS, MOST_LOOKS = 10_000, 3_000
_DAY = timedelta(1)
#: Days on one of which a camera may have been seen last (None: as it stands at first).
Options = tuple[date | None, ...]


@dataclass(frozen=True)
class _Window:
    """When the visit after another one may be made.

    fetches : whether it is the last; called_for : whether it must be made at all; stuck : whether none is in time
    """

    first: date
    last: date
    fetches: bool
    stuck: bool
    called_for: bool


class Called:
    """A camera that calls for somebody; what is worked out once serves every list of drives.

    Parameters
    ----------
    needs : what it needs after each visit
    early_days : how many days early one may come at most
    until : to which date to look
    """

    def __init__(self, needs: CameraNeeds, early_days: int, until: date) -> None:
        self.needs, self._early, self._until = needs, timedelta(early_days), until
        self._allows = needs.planner.rules.allows
        self._windows: dict[date | None, _Window] = {}
        self._steps: dict[tuple[Options, date], Options] = {}
        self._spans: dict[Options, tuple[date, date]] = {}

    def window(self, seen: date | None) -> _Window:
        """Return when the next visit may be made, seen last on a day."""
        found = self._windows.get(seen)
        if found is None:
            need = self.needs.after(seen)
            stuck, last = isinstance(need.due, Impossible), need.last
            first = last if stuck else max(need.first, last - self._early)
            found = _Window(first, last, need.due is None, stuck, not stuck and last <= self._until)
            self._windows[seen] = found
        return found

    def covers(self, window: _Window, day: date) -> bool:
        """Whether a day will do for a visit."""
        return window.first <= day <= window.last and (window.fetches or self._allows(day))

    def settled(self, options: Options) -> Options:
        """Return the options that still need a visit; none where one of them needs none."""
        able = tuple(seen for seen in options if not self.window(seen).stuck)
        return able if all(self.window(seen).called_for for seen in able) else ()

    def span(self, options: Options) -> tuple[date, date]:
        """Return the first day on which a visit may be made, and the last on which it must."""
        found = self._spans.get(options)
        if found is None:
            windows = [self.window(seen) for seen in options]
            found = min(window.first for window in windows), max(window.last for window in windows)
            self._spans[options] = found
        return found

    def step(self, options: Options, day: date) -> Options:
        """Return the options after a drive on a day; the same where it is of no use."""
        found = self._steps.get((options, day))
        if found is None:
            found = self._steps[options, day] = self._step(options, day)
        return found

    def _step(self, options: Options, day: date) -> Options:
        served, kept = False, []
        for seen in options:
            window = self.window(seen)
            if self.covers(window, day):
                if window.fetches:
                    return ()
                served = True
            if window.last > day:
                kept.append(seen)
        return self.settled((*kept, day)) if served else options


@dataclass(frozen=True)
class _Drives:
    """A list of drives: its days, the last one first, and what each camera needs then (nothing: it is done)."""

    options: tuple[Options, ...]
    days: tuple[date, ...]

    def score(self, cameras: Sequence[Called]) -> tuple[date, int]:
        """Return how far it comes: when the next drive must be, and all cameras' dates together."""
        lasts = [camera.span(options)[1] for camera, options in zip(cameras, self.options, strict=True) if options]
        done = len(self.options) - len(lasts)
        total = sum(last.toordinal() for last in lasts) + done * date.max.toordinal()
        return min(lasts, default=date.max), total


def fewest_days(cameras: Sequence[Called]) -> tuple[date, ...]:
    """Return the days, rising: as few as are found, of those the ones with the fewest visits of cameras, the latest."""
    begin = _Drives(tuple(called.settled((None,)) for called in cameras), ())
    if not any(begin.options):
        return ()
    return _search(cameras, begin, _search(cameras, begin, None))[::-1]


def _search(cameras: Sequence[Called], begin: _Drives, quick: tuple[date, ...] | None) -> tuple[date, ...]:
    """Return the days, falling; without ``quick``, a list to improve on, only the latest possible days are tried."""
    layer, left, tried = [begin], MOST_LISTS, 1
    looked = sum(camera.needs.looked for camera in cameras)
    for n in range(len(quick) if quick else date.max.toordinal()):
        found: dict[tuple[Options, ...], _Drives] = {}
        few = quick is None or left <= 0 or sum(camera.needs.looked for camera in cameras) - looked > MOST_LOOKS
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


def _following(cameras: Sequence[Called], drives: _Drives, *, only_last: bool) -> Iterator[_Drives]:
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
        options, useful = list(drives.options), False
        for n, camera, before in near:
            options[n] = after = camera.step(before, day)
            useful = useful or after is not before
        if useful:
            yield _Drives(tuple(options), (day, *drives.days))
        if only_last:
            return
        day -= _DAY


def _visits(cameras: Sequence[Called], days: tuple[date, ...]) -> tuple[int, int]:
    """Return how many visits of cameras these drives take, and how early they are."""
    rising = days[::-1]
    return sum(len(route(camera, rising)) for camera in cameras), -sum(day.toordinal() for day in days)


def route(called: Called, days: Sequence[date]) -> tuple[date, ...]:
    """Return on which of these days, rising, a camera is seen: as seldom as will do, the last visit as late.

    A camera that no visits help is seen as long as they do.
    """
    ways: dict[date | None, tuple[date, ...]] = {None: ()}
    reached: list[tuple[date, ...]] = []
    stuck: list[tuple[date, ...]] = []
    for day in (*days, date.max):
        windows = [(called.window(seen), way) for seen, way in ways.items()]
        reached += [way for window, way in windows if not window.called_for and not window.stuck]
        stuck += [way for window, way in windows if window.stuck]
        served = [(window, way) for window, way in windows if window.called_for and called.covers(window, day)]
        reached += [(*way, day) for window, way in served if window.fetches]
        came = [way for window, way in served if not window.fetches]
        ways = {
            seen: way for seen, way in ways.items() if called.window(seen).called_for and called.window(seen).last > day
        }
        if came:
            ways[day] = (*min(came, key=_seldom), day)
    return min(reached or stuck or [()], key=_seldom)


def _seldom(way: tuple[date, ...]) -> tuple[int, list[int]]:
    """Return what is least for the fewest visits, of those the latest."""
    return len(way), [-day.toordinal() for day in reversed(way)]
