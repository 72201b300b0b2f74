"""What the page on visits answers as data. Instants carry the site's offset where its zone is known."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.light.window import best_window, spans_around
from webcalc.calc.results import Results, ranged
from webcalc.calc.schedule.schedule import DailyWindow
from webcalc.calc.unknown import known, need, or_none, said
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rhythms import RhythmResults, rhythm_rows
from webcalc.calc.visits.rules import Reason, Visit, VisitPlan
from webcalc.calc.visits.shoot import Bring

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class SlotResults(Results):
    """When on its date a visit is made.

    from_ : first usable light, or the time of the visit
    until : last usable light, or when it would be too late
    """

    from_: datetime
    until: datetime


@dataclass(frozen=True)
class VisitResults(Results):
    """One visit and what is found there.

    date : at the site
    slot : the light in which it can be made; null where that isn't known
    arrival : when it is taken as made
    before : the instant before which somebody must have been there
    reasons : what it is for
    bring : what to take along
    frames : files since the card was put in
    bursts : bursts since then
    card_used_bytes : on the card, bytes
    battery_left_share : of the usable energy, 0 to 1
    clock_error_s : camera clock minus the right time, seconds
    """

    date: date
    slot: SlotResults | None
    arrival: datetime
    before: datetime | None
    reasons: tuple[str, ...]
    bring: Bring
    frames: int
    bursts: int
    card_used_bytes: Estimate[int] | None = ranged()
    battery_left_share: Estimate[float] | None = ranged()
    clock_error_s: dict[str, Fraction] = field(default_factory=dict)


@dataclass(frozen=True)
class TotalsResults(Results):
    """What the shoot takes.

    visits : with the last, which fetches the camera
    cards : with the first, if none is used twice
    batteries : with the first, if none is charged on the way
    km : driving, km
    """

    visits: int | None = None
    cards: int | None = None
    batteries: int | None = None
    km: Fraction | None = None


@dataclass(frozen=True)
class WindowLengthResults(Results):
    """A window on the camera clock.

    from_ : its start
    until : its end
    length_s : seconds
    """

    from_: time
    until: time
    length_s: int


@dataclass(frozen=True)
class WindowStretchResults(Results):
    """The recorded days between two visits.

    first : first date
    last : last date
    recorded_days : recorded days
    window : the longest that is light on all of them
    """

    first: date
    last: date
    recorded_days: int
    window: WindowLengthResults | None


@dataclass(frozen=True)
class VisitsResults(Results):
    """When must someone go there?

    visits : every visit, the last of them to fetch the camera
    totals : what they take
    rhythms : rhythms at the intervals around the plan's
    stretches : the light between visits
    fixed_window : the longest window that is light on every day
    light_gained_share : how much more light changing the window at each visit gives
    impossible : why there is no plan of visits
    changes : single changes that make one possible
    measured_frame_bytes : a frame on the card by the log's readings, bytes
    measured_draw : true draw by them, as a multiple of the planned one
    """

    visits: tuple[VisitResults, ...] = ()
    totals: TotalsResults = field(default_factory=TotalsResults)
    rhythms: tuple[RhythmResults, ...] = ()
    stretches: tuple[WindowStretchResults, ...] = ()
    fixed_window: WindowLengthResults | None = None
    light_gained_share: float | None = None
    impossible: str | None = None
    changes: tuple[dict[str, str], ...] = ()
    measured_frame_bytes: Estimate[Fraction] | None = ranged()
    measured_draw: Estimate[float] | None = ranged()


def visits_results(shoot: Shoot, *, whole: bool = True) -> VisitsResults:
    """Return the answer to ``/visits`` as data, where there is a planner; if ``whole``, with visits and windows."""
    room = shoot.visits
    planner, plan = need(room.planner, room.plan)
    stretches = _window_stretches(shoot, plan, planner) if whole else []
    light = or_none(shoot.daylight.light) if stretches else None
    fixed = _window(light.always_light) if light else None
    totals, past = TotalsResults(), shoot.past
    if plan.holds:
        totals = TotalsResults(len(plan.visits), room.in_all(Reason.CARD), room.in_all(Reason.BATTERY), room.km)
    return VisitsResults(
        visits=tuple(_visit(shoot, planner, visit) for visit in plan.visits if whole),
        totals=totals,
        rhythms=tuple(rhythm_rows(shoot, planner)),
        stretches=tuple(stretches),
        fixed_window=fixed,
        light_gained_share=_gained_share(stretches, fixed),
        measured_frame_bytes=past.frame_bytes,
        measured_draw=past.draw,
    )


def _window(window: DailyWindow | None) -> WindowLengthResults | None:
    return None if window is None else WindowLengthResults(window.start, window.end, window.length_s)


def _visit(shoot: Shoot, planner: VisitPlanner, visit: Visit) -> VisitResults:
    room = shoot.visits
    slot, (low, high) = room.slot(visit), visit.clock_error_s
    return VisitResults.of(
        visit,
        visit.counts,
        slot=SlotResults(*slot) if slot else None,
        arrival=room.site_time(visit.at),
        before=None if visit.by is None else room.site_time(visit.by),
        bring=room.bring(planner, visit),
        clock_error_s={"low": low, "high": high},
    )


# -- the light between visits -----------------------------------------------------------------------------


def _window_stretches(shoot: Shoot, plan: VisitPlan, planner: VisitPlanner) -> list[WindowStretchResults]:
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
            found.append(WindowStretchResults(dates[0], dates[-1], len(dates), _window(window)))
    return found


def _camera_offset(shoot: Shoot, planner: VisitPlanner, clock_set: datetime) -> timedelta:
    """Return the camera's offset from UTC after a visit; the first one's where visits don't set the clock."""
    set_at = clock_set if Reason.CLOCK in planner.rules.renews else planner.schedule.starts_at
    return said(set_at.replace(tzinfo=need(shoot.visits.right_zone)).utcoffset())


def _gained_share(stretches: list[WindowStretchResults], fixed: WindowLengthResults | None) -> float | None:
    """Return how much more light the changed windows record than the fixed one; None without one of them."""
    windows = [stretch.window for stretch in stretches]
    if not stretches or fixed is None or None in windows:
        return None
    days = sum(stretch.recorded_days for stretch in stretches)
    changed_s = sum(stretch.window.length_s * stretch.recorded_days for stretch in stretches if stretch.window)
    return changed_s / (fixed.length_s * days) - 1
