"""What is found at the camera on one date or another, for a sheet that answers where nobody can ask."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from webcalc.calc.visits.rules import Visit, VisitPlan


def looks_by_date(plan: VisitPlan, most: int) -> tuple[Visit, ...]:
    """Return what a look finds that renews nothing, after the recording of up to ``most`` dates before the first visit.

    The dates are spread evenly over the recorded ones, the first and the last always among them. None where the plan
    doesn't hold: such a shoot isn't begun.
    """
    if not plan.holds:
        return ()
    coming = plan.visits[0]
    planner, before = coming.planner, coming.before

    def ends_at(day: date) -> datetime:
        return planner.right_time(before, planner.schedule.window_on(day)[1])

    begun = max(before.card_since, before.battery_since)
    days = [
        day
        for day in planner.schedule.recorded_dates
        if begun.date() <= day <= coming.at.date() and planner.schedule.window_on(day)[1] > begun
    ]
    days = [day for day in days if ends_at(day) <= coming.at]
    return tuple(Visit(day, ends_at(day), None, (), planner, before) for day in spread(days, most))


def spread(days: Sequence[date], most: int) -> tuple[date, ...]:
    """Return up to ``most`` of these, evenly spread, the first and the last among them."""
    if len(days) <= most:
        return tuple(days)
    return tuple(days[round(n * (len(days) - 1) / (most - 1))] for n in range(most))
