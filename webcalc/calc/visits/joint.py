"""Visits to several cameras as one list of drives.

The camera that must be seen first gives the date of a drive. Every other camera that is due within its own margin after
that date, and may be visited on it, is seen on the same drive: earlier than it need be, never later. What that renews
counts from then on, so each camera's next date follows from when it really was visited.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from webcalc.calc.visits.planner import MOST_VISITS, VisitPlanner
from webcalc.calc.visits.rules import DueVisit, Impossible, Reason, Standing, Visit


@dataclass(frozen=True)
class CameraVisit:
    """One camera on a drive: which of the planners, the visit, and the date on which it would have been due.

    number : counted from the camera's first visit, those before the period too
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


class _Camera:
    """One camera as it stands: its next visit, worked out one at a time."""

    def __init__(self, number: int, planner: VisitPlanner, standing: Standing | None) -> None:
        self.number = number
        self.planner = planner
        self.standing = standing or planner.start()
        self.lasting: set[Reason] = set()
        self.visits = 0
        self.next: DueVisit | Impossible | None = None
        self.last: Visit | None = None
        self._look()

    def _look(self) -> None:
        self.next = self.planner.next_visit(self.standing, self.lasting)
        if self.next is None:
            self.last = self.planner.last_visit(self.standing)

    @property
    def day(self) -> date | None:
        """Return the date of the next visit; None where there is none."""
        if isinstance(self.next, DueVisit):
            return self.next.day
        return self.last.date if self.last else None

    def may_come_along(self, day: date) -> bool:
        """Whether this camera is due within its margin after ``day``, and a visit on it is allowed and of use."""
        rules, due = self.planner.rules, self.next
        if not isinstance(due, DueVisit):
            return self.day == day
        return due.first_day <= day <= due.day <= day + timedelta(rules.margin_days) and rules.allows(day)

    def go(self, day: date, *, listed: bool) -> CameraVisit | None:
        """Make the visit on ``day``; what is found is worked out only where it is listed."""
        due, standing, last = self.next, self.standing, self.last
        if not isinstance(due, DueVisit):
            self.next = self.last = None
            return CameraVisit(self.number, last, last.date, self.visits + 1) if last and listed else None
        self.visits += 1
        visit = self.planner.visit(standing, due, day) if listed else None
        found = CameraVisit(self.number, visit, due.day, self.visits) if visit else None
        self.standing = self.planner.after_visit(standing, day)
        self._look()
        return found


class TooManyVisits(Exception):
    """More visits than are worked out in one go."""


def joint_visits(
    cameras: Iterable[tuple[VisitPlanner, Standing | None]],
    since: date,
    until: date,
    most: int | None = None,
    near: Callable[[int, int], bool] = lambda one, other: True,
) -> JointVisits:
    """Return the drives from ``since`` to ``until``, both included; ``near``: whether one drive reaches both cameras,
    asked of every two on it.

    Raises TooManyVisits where the cameras together take more than ``most`` visits, earlier ones included.

    ``cameras`` are planners, each with its standing after the last visit that is known (None: new at the shoot's
    start). Visits before ``since`` are taken as made on the dates of this same list.
    """
    found, number, made = JointVisits(), 0, 0
    waiting = [_Camera(n, planner, standing) for n, (planner, standing) in enumerate(cameras)]
    while waiting := [camera for camera in waiting if _is_due(camera, found)]:
        first = min(waiting, key=lambda camera: camera.day or date.max)
        day = first.day
        if day is None or day > until:
            break
        number += 1
        coming: list[_Camera] = []
        for one in waiting:
            if one.may_come_along(day) and all(near(other.number, one.number) for other in (first, *coming)):
                coming.append(one)
        made += len(coming)
        if most is not None and made > most:
            raise TooManyVisits
        visits = [camera.go(day, listed=day >= since) for camera in coming]
        if day >= since:
            found.drives.append(Drive(number, day, tuple(visit for visit in visits if visit)))
    found.later = {camera.number: camera.day for camera in waiting if camera.day}
    return found


def _is_due(camera: _Camera, found: JointVisits) -> bool:
    """Whether a camera has a visit to come; notes why a shoot that isn't over has none."""
    if isinstance(camera.next, Impossible):
        found.impossible[camera.number] = camera.next
        return False
    if camera.visits >= MOST_VISITS:
        found.endless.add(camera.number)
        return False
    return camera.day is not None
