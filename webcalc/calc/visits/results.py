"""What the page on visits answers as data. Instants carry the site's offset where its zone is known."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.light.window import best_window, spans_around
from webcalc.calc.results import Results, key, meaning, ranged
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
    """When on its date a visit is made."""

    from_: datetime = field(metadata=meaning("first usable light, or the time of the visit"))
    until: datetime = field(metadata=meaning("last usable light, or when it would be too late"))


@dataclass(frozen=True)
class VisitResults(Results):
    """One visit and what is found there."""

    date: date = field(metadata=meaning("at the site"))
    slot: SlotResults | None = field(metadata=meaning("the light in which it can be made; null where that isn't known"))
    arrival: datetime = field(metadata=meaning("when it is taken as made"))
    before: datetime | None = field(metadata=meaning("the instant before which somebody must have been there"))
    reasons: tuple[str, ...] = field(metadata=meaning("what it is for"))
    bring: Bring = field(metadata=meaning("what to take along"))
    frames: int = field(metadata=meaning("files since the card was put in"))
    bursts: int = field(metadata=meaning("bursts since then"))
    card_used_bytes: Estimate[int] | None = ranged("on the card, bytes")
    battery_left_share: Estimate[float] | None = ranged("of the usable energy, 0 to 1")
    clock_error_s: dict[str, Fraction] = key("camera clock minus the right time, seconds", factory=dict)


@dataclass(frozen=True)
class TotalsResults(Results):
    """What the shoot takes."""

    visits: int | None = key("with the last, which fetches the camera")
    cards: int | None = key("with the first, if none is used twice")
    batteries: int | None = key("with the first, if none is charged on the way")
    km: Fraction | None = key("driving, km")


@dataclass(frozen=True)
class WindowLengthResults(Results):
    """A window on the camera clock."""

    from_: time = field(metadata=meaning("its start"))
    until: time = field(metadata=meaning("its end"))
    length_s: int = field(metadata=meaning("seconds"))


@dataclass(frozen=True)
class WindowStretchResults(Results):
    """The recorded days between two visits."""

    first: date = field(metadata=meaning("first date"))
    last: date = field(metadata=meaning("last date"))
    recorded_days: int = field(metadata=meaning("recorded days"))
    window: WindowLengthResults | None = field(metadata=meaning("the longest that is light on all of them"))


@dataclass(frozen=True)
class VisitsResults(Results):
    """When must someone go there?"""

    visits: tuple[VisitResults, ...] = key("every visit, the last of them to fetch the camera", ())
    totals: TotalsResults = key("what they take", factory=TotalsResults)
    rhythms: tuple[RhythmResults, ...] = key("rhythms at the intervals around the plan's", ())
    stretches: tuple[WindowStretchResults, ...] = key("the light between visits", ())
    fixed_window: WindowLengthResults | None = key("the longest window that is light on every day")
    light_gained_share: float | None = key("how much more light changing the window at each visit gives")
    impossible: str | None = key("why there is no plan of visits")
    changes: tuple[dict[str, str], ...] = key("single changes that make one possible", ())
    measured_frame_bytes: Estimate[Fraction] | None = ranged("a frame on the card by the log's readings, bytes")
    measured_draw: Estimate[float] | None = ranged("true draw by them, as a multiple of the planned one")


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
