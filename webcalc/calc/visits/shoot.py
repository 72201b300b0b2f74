"""The shoot seen by those who visit it: when they can come, what they renew, and the planner that finds the dates."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import space
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.unknown import figure, figure_for, given, known, need, unless_wrong
from webcalc.calc.visits.planner import VisitPlanner, light_unknown
from webcalc.calc.visits.rules import (
    RENEWABLE,
    BatteryInUse,
    CardInUse,
    ClockShift,
    Limit,
    Reason,
    VisitPlan,
    VisitRules,
)
from webcalc.calc.visits.site_light import Light, clock_shifts, site_light

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: The words of ``renew`` and what they renew.
RENEWS = {"card": Reason.CARD, "battery": Reason.BATTERY, "clock": Reason.CLOCK}
#: How long after the last day the camera may still be fetched, for changes of summer time.
_FETCHED_WITHIN = timedelta(400)


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
        weekdays, skipped, margin, clean = need(shoot.visit_days, shoot.visit_skip, shoot.margin, shoot.clean)
        drift, drift_max, ticked = need(shoot.drift, shoot.drift_max, shoot.renew)
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
            return timezone(need(self.shoot.clock))
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
        return BatteryInUse(*need(battery.load_at(recording), battery.supply, battery.reserve_share))

    @figure
    def clock_limit(self) -> Limit | None:
        """When the camera clock is off by more than is accepted if nobody sets it; None if it never is."""
        schedule, rules, shifts = need(self.shoot.schedule, self.rules, self.shifts)
        rules = replace(rules, clean_days=None)
        alone = VisitPlanner(schedule, Recording(None), rules, None, None, shifts, light_unknown)
        return next(iter(alone.limits(alone.start())), None)

    @figure_for
    def planner_at(self, interval_s: Fraction | None) -> VisitPlanner:
        """The planner for an interval, for all that is known; the verdict tells what isn't."""
        schedule, rules = need(self.shoot.schedule, self.rules)
        recording = need(self.shoot.recording_at(interval_s))
        card_recording = self.shoot.card.recording_at(interval_s)
        return VisitPlanner(
            schedule,
            card_recording if known(card_recording) else recording,
            rules,
            unless_wrong(self.card) if self.shoot.card.kept else None,
            unless_wrong(self.battery_for(recording)) if self.shoot.battery.needed else None,
            unless_wrong(self.shifts) or (),
            self.light_on,
        )

    @figure
    def planner(self) -> VisitPlanner:
        """The planner by the plan."""
        return need(self.planner_at(need(self.shoot.recording).interval_s))

    @figure
    def plan(self) -> VisitPlan:
        """The visits, as far as what is known calls for them."""
        return need(self.planner).plan()
