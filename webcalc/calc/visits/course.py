"""What stands on the card and in the battery on the way from visit to visit: for a picture, or for a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Standing, Visit, VisitPlan

#: Points in all over which a course is told; every stretch between two visits has at least its two ends.
COURSE_POINTS = 8


@dataclass(frozen=True)
class Point:
    """One instant of the course.

    at : camera clock
    card_share : of what may be used of the card, 0 to 1; None where the card isn't known
    battery_share : left of the usable energy, 0 to 1; None where the battery isn't known
    """

    at: datetime
    card_share: Estimate[float] | None
    battery_share: Estimate[float] | None


def course(planner: VisitPlanner, plan: VisitPlan, begin: Standing) -> tuple[tuple[Point, ...], ...]:
    """Return the points of each stretch from one visit to the next, to the shoot's end.

    Where visits go no further than to some date, the last stretch is that in which something runs out.

    Parameters
    ----------
    planner : of the shoot, with a card or a battery that is known
    plan : its visits; without any, the course is that of a shoot to which nobody goes
    begin : how the last visits left it
    """
    end = planner.schedule.ends_at
    standings = [begin, *(planner.after_visit(visit.before, visit.date) for visit in plan.services)]
    stops = [min(planner.camera_reads(visit.before, visit.at), end) for visit in plan.services]
    stretches = zip([min(begin.card_since, begin.battery_since), *stops], [*stops, end], standings, strict=True)
    return tuple(_stretch(planner, *stretch) for stretch in stretches)


def _stretch(planner: VisitPlanner, begin: datetime, stop: datetime, now: Standing) -> tuple[Point, ...]:
    schedule = planner.schedule
    whole, length = schedule.ends_at - schedule.starts_at, stop - begin
    parts = max(1, round(COURSE_POINTS * (length / whole))) if whole else 1
    times = {begin + length * n / parts for n in range(parts + 1)}
    times.update(at for at in _card_full(planner, now) if begin < at < stop)
    return tuple(_point(planner, now, at) for at in sorted(times))


def _card_full(planner: VisitPlanner, now: Standing) -> Iterable[datetime]:
    """Yield when the card in the camera is full, for each size of frame: there its line bends."""
    frame = planner.card.frame if planner.card else None
    for size in {frame.low, frame.expected, frame.high} if frame else ():
        full = planner.card_full_at(now, size)
        if full is not None:
            yield full


def _point(planner: VisitPlanner, now: Standing, at: datetime) -> Point:
    right = planner.right_time(now, at)
    card, battery = planner.card, planner.battery
    used = planner.card_used_bytes(now, right)
    # The card takes no more than there is room for.
    filled = used.map(lambda size: min(1.0, size / card.usable_bytes)) if card and card.usable_bytes and used else None
    return Point(at, filled, planner.battery_left_share(now, right) if battery else None)


def share_of_shoot(schedule: Schedule, at: datetime) -> float:
    """Return where an instant on the camera clock lies between first midnight and last, 0 to 1, cut at the ends."""
    begin = datetime.combine(schedule.first, datetime.min.time())
    return min(1.0, max(0.0, (at - begin) / timedelta(days=schedule.calendar_days)))


# -- what a look finds, for a sheet that answers where nobody can ask -------------------------------------


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
