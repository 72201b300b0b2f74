"""When a camera must be seen next, by the day on which it was last seen; worked out where it is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
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
