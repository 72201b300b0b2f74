"""Visits to several cameras as one list of drives: as few as are found, each camera seen early but never late.

A drive takes cameras that stand near each other. One may come to a camera some days before it is due, at most; what is
renewed then counts from that day, so each camera's next date follows from when it really was visited.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from webcalc.calc.visits.drive_days import Called, CameraNeeds, Need, fewest_days, route
from webcalc.calc.visits.planner import MOST_VISITS
from webcalc.calc.visits.rules import Impossible, Visit

#: How far beyond a period its drives are planned, so that it matters little where the list ends; own choice.
BEYOND = timedelta(183)


@dataclass(frozen=True)
class CameraVisit:
    """One camera on a drive: which of the cameras, the visit, and the date on which it would have been due.

    number : counted from the camera's first visit, those before the period and those noted too
    """

    camera: int
    visit: Visit
    due: date
    number: int


@dataclass(frozen=True)
class Drive:
    """One date and the cameras that are visited on it, in the order given.

    number : counted from the first drive of all, those before the period too
    """

    number: int
    date: date
    cameras: tuple[CameraVisit, ...]


@dataclass
class JointVisits:
    """The drives of a period, and what lies outside of it.

    later : camera -> date on which it is due after the period
    impossible : camera -> why no visit after the ones listed is in time
    endless : cameras with more visits than are looked at
    """

    drives: list[Drive] = field(default_factory=list)
    later: dict[int, date] = field(default_factory=dict)
    impossible: dict[int, Impossible] = field(default_factory=dict)
    endless: set[int] = field(default_factory=set)


class TooManyVisits(Exception):
    """More visits than are worked out in one go."""


def joint_visits(
    cameras: Sequence[tuple[CameraNeeds, int]],
    since: date,
    until: date,
    most: int | None = None,
    near: Callable[[int, int], bool] = lambda one, other: True,
) -> JointVisits:
    """Return the drives from ``since`` to ``until``, both included.

    Visits before ``since`` are taken as made on the dates of this same list, where none were noted. Raises
    TooManyVisits where the cameras together take more than ``most`` visits, earlier ones included.

    Parameters
    ----------
    cameras : each with how many days early one may come
    near : whether one drive reaches both cameras, asked of every two on it
    """
    found = JointVisits()
    alone = [_days_alone(needs, until + BEYOND) for needs, _early in cameras]
    found.endless = {n for n, days in enumerate(alone) if _upto(days, until) >= MOST_VISITS}
    if most is not None and sum(_upto(days, until) for days in alone) > most:
        raise TooManyVisits
    # What comes after the period has its part in which cameras to take along, where it isn't too much.
    horizon = until + BEYOND if sum(map(len, alone)) <= (most or MOST_VISITS) else until
    stops: dict[tuple[date, int], list[_Leg]] = {}
    for region in regions([n for n in range(len(cameras)) if n not in found.endless], near):
        called = {n: Called(*cameras[n], horizon) for n in region}
        days = fewest_days(list(called.values()))
        for n, one in called.items():
            legs = _legs(n, one, route(one, days))
            for leg in legs:
                if leg.day is not None and leg.day <= until:
                    stops.setdefault((leg.day, region[0]), []).append(leg)
            following = next((leg.need for leg in legs if leg.day is None or leg.day > until), None)
            if following is not None and isinstance(following.due, Impossible):
                found.impossible[n] = following.due
            elif following is not None:
                found.later[n] = following.last
    if most is not None and sum(map(len, stops.values())) > most:
        raise TooManyVisits
    found.drives = [
        Drive(number, day, tuple(leg.visit(cameras[leg.camera][0]) for leg in sorted(legs, key=lambda leg: leg.camera)))
        for number, ((day, _region), legs) in enumerate(sorted(stops.items()), start=1)
        if day >= since
    ]
    return found


@dataclass(frozen=True)
class _Leg:
    """What one camera needs, and the day on which it gets it; None: on none that is listed."""

    camera: int
    number: int
    day: date | None
    need: Need

    def visit(self, needs: CameraNeeds) -> CameraVisit:
        day = self.need.last if self.day is None else self.day
        return CameraVisit(self.camera, needs.visit(self.need, day), self.need.last, self.number)


def _legs(n: int, one: Called, way: tuple[date, ...]) -> list[_Leg]:
    """Return a camera's visits, and what it needs after them; nothing where it was fetched."""
    need, legs = one.needs.after(None), []
    for number, day in enumerate(way, start=1):
        legs.append(_Leg(n, one.needs.made + number, day, need))
        if need.due is None:
            return legs
        need = one.needs.after(day)
    return [*legs, _Leg(n, one.needs.made + len(way) + 1, None, need)]


def regions(cameras: Sequence[int], near: Callable[[int, int], bool]) -> list[list[int]]:
    """Return the cameras in groups in which every two are near each other."""
    found: list[list[int]] = []
    for one in cameras:
        home = next((group for group in found if all(near(other, one) for other in group)), None)
        if home is None:
            found.append([one])
        else:
            home.append(one)
    return found


def _days_alone(needs: CameraNeeds, until: date) -> list[date]:
    """Return when a camera is visited that is alone, at most ``MOST_VISITS`` times."""
    need, days = needs.after(None), list[date]()
    while not isinstance(need.due, Impossible) and need.last <= until and len(days) < MOST_VISITS:
        days.append(need.last)
        if need.due is None:
            break
        need = needs.after(need.last)
    return days


def _upto(days: Sequence[date], until: date) -> int:
    return sum(day <= until for day in days)
