"""The light between visits: the longest window of each stretch, and what setting it anew at each visit gains."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from webcalc.calc.light.window import best_window, spans_around
from webcalc.calc.schedule.schedule import DailyWindow
from webcalc.calc.unknown import known, need, or_none, said
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Reason, VisitPlan

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class WindowStretch:
    """The recorded dates between two visits, and the longest window that is light on all of them."""

    first: date
    last: date
    days: int
    window: DailyWindow | None


def window_stretches(shoot: Shoot, plan: VisitPlan, planner: VisitPlanner) -> list[WindowStretch]:
    """Return the longest all-light window of each stretch between visits; none without place, zone and visits."""
    site, zone, rule = shoot.daylight.site, shoot.daylight.zone, shoot.daylight.rule
    recorded = planner.schedule.recorded_dates
    if not (known(site) and known(zone) and known(rule)) or not plan.holds or not plan.services or not recorded:
        return []
    changes = [visit.date for visit in plan.services]
    set_at = [planner.schedule.starts_at, *(visit.at for visit in plan.services)]
    found, begun = [], date.min
    spans = spans_around(recorded[0], recorded[-1], site, zone, rule)
    for clock_set, end in zip(set_at, [*changes, date.max], strict=True):
        dates = [day for day in recorded if begun <= day < end]
        begun = end
        if dates:
            window = best_window(dates, site, zone, rule, _camera_offset(shoot, planner, clock_set), spans)
            found.append(WindowStretch(dates[0], dates[-1], len(dates), window))
    return found


def _camera_offset(shoot: Shoot, planner: VisitPlanner, clock_set: datetime) -> timedelta:
    """Return the camera's offset from UTC after a visit; the first one's where visits don't set the clock."""
    set_at = clock_set if Reason.CLOCK in planner.rules.renews else planner.schedule.starts_at
    return said(set_at.replace(tzinfo=need(shoot.visits.right_zone)).utcoffset())


def fixed_window(shoot: Shoot) -> DailyWindow | None:
    """Return the longest window that is light on every recorded day and is never changed."""
    light = or_none(shoot.daylight.light)
    return light.always_light if light else None


def gained_share(stretches: list[WindowStretch], fixed: DailyWindow | None) -> float | None:
    """Return how much more light the changed windows record than the fixed one; None without one of them."""
    windows = [stretch.window for stretch in stretches]
    if not stretches or fixed is None or None in windows:
        return None
    days = sum(stretch.days for stretch in stretches)
    changed_s = sum(stretch.window.length_s * stretch.days for stretch in stretches if stretch.window)
    return changed_s / (fixed.length_s * days) - 1
