"""The shoot seen by those who visit it: when they can come, what they renew, and the planner that finds the dates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import space
from webcalc.calc.results import Results, key, meaning
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.typed import Real
from webcalc.calc.unknown import figure, figure_for, given, is_wrong, known, need, or_none, said
from webcalc.calc.visits.course import Point, course, looks_by_date
from webcalc.calc.visits.planner import VisitPlanner, light_unknown
from webcalc.calc.visits.rhythms import Stretch
from webcalc.calc.visits.rules import (
    RENEWABLE,
    RENEWS,
    BatteryInUse,
    CardInUse,
    ClockShift,
    Light,
    Limit,
    Reason,
    Visit,
    VisitPlan,
    VisitRules,
    clock_shifts,
    site_light,
)

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: How long somebody is at the camera on a visit: card, battery, lens, clock, a test frame; own choice.
STOP = timedelta(hours=1)
#: How long after the last day the camera may still be fetched, for changes of summer time.
_FETCHED_WITHIN = timedelta(400)


@dataclass(frozen=True)
class Bring(Results):
    """What to take along."""

    cards: int | None = field(metadata=meaning("cards; 0: none is renewed, null: not known what is in use"))
    card_gb: Real | None = field(metadata=meaning("their size, GB"))
    batteries: int | None = field(metadata=meaning("batteries; 0: none is renewed, null: not known what is in use"))
    battery_wh: float | None = field(metadata=meaning("their energy, Wh"))
    cells: int | None = field(metadata=meaning("single cells instead"))
    cell: str | None = key("type of the cells or of the battery")


@dataclass(frozen=True, eq=False)
class ShootVisits:
    """What the typed quantities say of visits.

    A camera clock that was typed is kept at that offset on purpose: visits set it by that, and changes of summer time
    don't put it off. Otherwise it is set by the site's wall clock.
    """

    shoot: Shoot

    @figure
    def rules(self) -> VisitRules:
        """When people can come and what they renew."""
        shoot = self.shoot
        weekdays, skipped, margin, clean, drift, drift_max, ticked = need(
            *(shoot.visit_days, shoot.visit_skip, shoot.margin, shoot.clean, shoot.drift, shoot.drift_max, shoot.renew)
        )
        return VisitRules(
            weekdays=weekdays,
            skipped=skipped,
            margin_days=margin,
            clean_days=clean,
            renews=RENEWABLE if ticked is None else frozenset(RENEWS[word] for word in ticked),
            drift_s_per_day=Fraction(drift),
            drift_max_s=drift_max,
        )

    # -- clocks and light -----------------------------------------------------------------------------------

    @figure
    def right_zone(self) -> tzinfo:
        """The zone of the clock that the camera is set by."""
        if given(self.shoot.clock):
            return timezone(said(self.shoot.clock))
        return need(self.shoot.daylight.zone)

    @figure
    def shifts(self) -> tuple[ClockShift, ...]:
        """The changes of that clock during the shoot and until the camera is fetched."""
        zone, schedule = need(self.right_zone, self.shoot.schedule)
        begin, end = schedule.starts_at.replace(tzinfo=UTC), schedule.ends_at.replace(tzinfo=UTC)
        return clock_shifts(zone, begin - timedelta(1), end + _FETCHED_WITHIN)

    @figure
    def site_light(self) -> Callable[[date], Light]:
        """The usable light of each date, in the right time."""
        daylight = self.shoot.daylight
        return site_light(*need(daylight.site, daylight.zone, daylight.rule, self.right_zone))

    @property
    def light_on(self) -> Callable[[date], Light]:
        """The usable light of each date; unknown on all of them without a place."""
        found = self.site_light
        return found if known(found) else light_unknown

    def site_time(self, right: datetime) -> datetime:
        """Return an instant of the right time on the site's wall clock, with its offset where the zone is known."""
        right_zone, zone = self.right_zone, self.shoot.daylight.zone
        if not known(right_zone):
            return right
        aware = right.replace(tzinfo=right_zone)
        return aware.astimezone(zone) if known(zone) else aware

    # -- what runs out --------------------------------------------------------------------------------------

    @figure
    def card(self) -> CardInUse:
        """The cards in use."""
        card = self.shoot.card
        frame, usable, files, used, _recording = need(
            card.frame_recorded, card.usable_bytes, card.file_system, card.used_bytes, card.recording
        )
        return CardInUse(frame, usable, files.cluster_bytes, used)

    @figure_for
    def card_of(self, size_gb: int) -> CardInUse:
        """Empty cards of another size."""
        frame, reserve, _recording = need(
            self.shoot.card.frame_recorded, self.shoot.card.reserve_share, self.shoot.card.recording
        )
        size_bytes = size_gb * space.GB
        usable, files = space.usable_bytes(size_bytes, reserve), space.file_system_for(size_bytes)
        return CardInUse(frame, usable, files.cluster_bytes)

    @figure_for
    def battery_for(self, recording: Recording) -> BatteryInUse:
        """The batteries in use."""
        battery = self.shoot.battery
        return BatteryInUse(*need(battery.draws.load_at(recording), battery.supply, battery.reserve_share))

    @figure
    def clock_limit(self) -> Limit | None:
        """When the camera clock is off by more than is accepted if nobody sets it; None if it never is."""
        schedule, rules, shifts, clock_set = need(
            self.shoot.schedule, self.rules, self.shifts, self.shoot.done.clock_set
        )
        rules = replace(rules, clean_days=None)
        alone = VisitPlanner(schedule, Recording(None), rules, None, None, shifts, light_unknown)
        now = alone.start()
        return next(iter(alone.limits(now if clock_set is None else replace(now, clock_since=clock_set))), None)

    @figure_for
    def planner_at(self, interval_s: Fraction | None) -> VisitPlanner:
        """The planner for an interval, for all that is known; the verdict tells what isn't."""
        recording = self.shoot.recording_at(interval_s)
        card = self.card if self.shoot.card.kept else None
        # While the recording isn't known any will do, to find all that is wrong at once.
        drawn_by = recording if known(recording) else Recording(Fraction(1))
        battery = self.battery_for(drawn_by) if self.shoot.battery.needed else None
        # What is blank is left out; what is wrong is asked for, all of it at once.
        wrong = filter(is_wrong, (card, battery, self.shifts, self.shoot.power, self.shoot.kept_on))
        schedule, rules, recording, *_ = need(self.shoot.schedule, self.rules, recording, *wrong)
        # How it is filed matters where it is kept only.
        filed = recording if card is None else self.shoot.card.recording_at(interval_s)
        return VisitPlanner(
            schedule,
            filed if known(filed) else recording,
            rules,
            or_none(card),
            or_none(battery),
            or_none(self.shifts) or (),
            self.light_on,
        )

    @figure
    def planner(self) -> VisitPlanner:
        """The planner by the plan."""
        recording = self.shoot.recording
        planner = self.planner_at(recording.interval_s if known(recording) else None)
        return need(planner, recording)[0]

    @figure
    def plan(self) -> VisitPlan:
        """The visits to come, as far as what is known calls for them; all of them while nothing was done."""
        planner = self.planner
        need(planner, *self.shoot.done.stood)
        found = need(planner)
        done = self.shoot.done
        return found.plan(need(done.standing(found)), done.looked_on if done.any else None)

    @figure_for
    def looks(self, most: int) -> tuple[Visit, ...]:
        """What is found on up to so many dates before the first visit, if nobody renews anything."""
        return looks_by_date(need(self.plan), most)

    @figure_for
    def course_of(self, plan: VisitPlan) -> tuple[tuple[Point, ...], ...]:
        """What stands on card and in battery with these visits; of what isn't known, nothing."""
        planner = need(self.planner)
        return course(planner, plan, need(self.shoot.done.standing(planner)))

    @figure_for
    def course_if_nobody_goes(self, reason: Reason) -> tuple[tuple[Point, ...], ...]:
        """The same of the card or of the battery alone, if nobody goes there."""
        planner = need(self.planner)
        alone = replace(planner, battery=None) if reason is Reason.CARD else replace(planner, card=None)
        return course(alone, VisitPlan(()), need(self.shoot.done.standing(planner)))

    @figure
    def nothing_to_plan_by(self) -> bool:
        """Whether something may run out, and nothing is known that could call for somebody."""
        planner, shoot = need(self.planner), self.shoot
        if planner.rules.clean_days is not None or planner.rules.drift_max_s is not None:
            return False
        runs_out = shoot.card.kept or shoot.battery.needed
        return runs_out and planner.card is None and planner.battery is None

    # -- one visit ------------------------------------------------------------------------------------------

    @property
    def light_known(self) -> bool:
        """Whether the light of a date can be told."""
        return known(self.site_light)

    def slot(self, visit: Visit) -> tuple[datetime, datetime] | None:
        """Return the light in which a visit can be made, ending where it would be too late; site time."""
        light = self.light_on(visit.date)
        if light is None:
            return None
        until = light[1] if visit.by is None or visit.late else min(light[1], visit.by)
        return self.site_time(visit.at), self.site_time(max(until, visit.at))

    def stop(self, visit: Visit) -> tuple[datetime, datetime]:
        """Return when somebody is there on a visit: from arrival on, not longer than there is light; site time."""
        begin, ends = self.site_time(visit.at), self.site_time(visit.at + STOP)
        slot = self.slot(visit)
        # An event has a length, be the light gone.
        return begin, min(ends, slot[1]) if slot and slot[1] > begin else ends

    def bring(self, planner: VisitPlanner, visit: Visit) -> Bring:
        """Return what to take along; nothing to fetch the camera."""
        shoot = self.shoot
        goes = 0 if Reason.LAST_DAY in visit.reasons else 1
        cards = goes if Reason.CARD in planner.rules.renews and shoot.card.kept else 0
        batteries = goes if Reason.BATTERY in planner.rules.renews and shoot.battery.needed else 0
        by_cells = not given(shoot.battery_wh) and not given(shoot.battery_mah)
        wh, size_gb = or_none(shoot.battery_wh), or_none(shoot.card_gb)
        return Bring(
            cards=None if planner.card is None and shoot.card.kept else cards,
            card_gb=size_gb if cards else None,
            batteries=None if planner.battery is None and shoot.battery.needed else batteries,
            battery_wh=float(wh) if batteries and wh is not None else None,
            cells=or_none(shoot.cells) or 1 if batteries and by_cells and planner.battery is not None else None,
            cell=or_none(shoot.cell) or None if batteries else None,
        )

    # -- in all ---------------------------------------------------------------------------------------------

    def in_all(self, reason: Reason) -> int | None:
        """Return how many cards or batteries the shoot takes if none is used twice; None while that isn't known."""
        planner, plan = self.planner, self.plan
        if not known(planner) or not known(plan) or not plan.holds:
            return None
        return planner.in_all(reason, len(plan.services))

    @property
    def km(self) -> Fraction | None:
        """The driving of all visits, the last one too; None while it isn't known."""
        km, plan = or_none(self.shoot.visit_km), self.plan
        return Fraction(km) * len(plan.visits) if km is not None and known(plan) and plan.holds else None

    def first_stretch(self, planner: VisitPlanner, plan: VisitPlan, reason: Reason) -> Stretch:
        """Return the stretch up to the first visit, on the camera clock."""
        visit = plan.visits[0]
        now = visit.before
        since = now.card_since if reason is Reason.CARD else now.battery_since
        return Stretch(since, planner.camera_reads(now, visit.at))

    @property
    def changes(self) -> tuple[ClockShift, ...]:
        """The changes of summer time within the shoot, as far as they are known."""
        shifts, planner = self.shifts, self.planner
        if not known(shifts) or not known(planner):
            return ()
        end = planner.right_time(planner.start(), planner.schedule.ends_at)
        return tuple(shift for shift in shifts if planner.schedule.starts_at < shift.at < end)
