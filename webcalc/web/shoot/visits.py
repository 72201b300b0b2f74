"""When and how people visit a shoot, read from the typed quantities into a planner."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card import space as card
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.visits.planner import VisitPlanner, light_unknown
from webcalc.calc.visits.rules import (
    RENEWABLE,
    USUAL_DRIFT_S_PER_DAY,
    BatteryInUse,
    CardInUse,
    ClockShift,
    Reason,
    VisitRules,
)
from webcalc.calc.visits.site_light import Light, clock_shifts, site_light
from webcalc.web.shoot.shoot import Shoot

#: The ticked words and what they renew.
RENEWS = {"card": Reason.CARD, "battery": Reason.BATTERY, "clock": Reason.CLOCK}
#: How long after the last day the camera may still be fetched, for changes of summer time.
_FETCHED_WITHIN = timedelta(400)


class ShootVisits:
    """What the typed quantities say of visits. A part that isn't known is None.

    A camera clock that was typed is kept at that offset on purpose: visits set it by that, and changes of summer time
    don't put it off. Otherwise it is set by the site's wall clock.
    """

    def __init__(self, shoot: Shoot) -> None:
        self.shoot = shoot
        self.inputs = shoot.inputs

    @cached_property
    def rules(self) -> VisitRules:
        """Return when people can come and what they renew; what is blank has the meaning that its hint tells."""
        get = self.inputs.get
        ticked = get("renew")
        usual = VisitRules()
        return VisitRules(
            weekdays=get("visit_days", usual.weekdays),
            skipped=get("visit_skip", usual.skipped),
            margin_days=get("margin", 0),
            clean_days=get("clean"),
            renews=frozenset(RENEWS[word] for word in ticked) if ticked is not None else RENEWABLE,
            drift_s_per_day=Fraction(get("drift", USUAL_DRIFT_S_PER_DAY)),
            drift_max_s=get("drift_max"),
        )

    # -- clocks and light -----------------------------------------------------------------------------------

    @cached_property
    def right_zone(self) -> tzinfo | None:
        """Return the zone of the clock that the camera is set by; None while it isn't known."""
        typed = self.inputs.get("clock")
        return self.shoot.place.zone if typed is None else timezone(typed)

    @cached_property
    def shifts(self) -> tuple[ClockShift, ...]:
        """Return the changes of that clock during the shoot and until the camera is fetched."""
        schedule = self.shoot.schedule
        if self.right_zone is None or schedule is None:
            return ()
        begin, end = schedule.starts_at.replace(tzinfo=UTC), schedule.ends_at.replace(tzinfo=UTC)
        return clock_shifts(self.right_zone, begin - timedelta(1), end + _FETCHED_WITHIN)

    @cached_property
    def light_on(self) -> Callable[[date], Light]:
        """Return the usable light of each date, in the right time; unknown without a place."""
        place = self.shoot.place
        if place.site is None or place.zone is None or place.light_rule is None or self.right_zone is None:
            return light_unknown
        return site_light(place.site, place.zone, place.light_rule, self.right_zone)

    @property
    def light_known(self) -> bool:
        """Whether the light of a date can be told."""
        return self.light_on is not light_unknown

    def site_time(self, right: datetime | None) -> datetime | None:
        """Return an instant of the right time on the site's wall clock, with its offset where the zone is known."""
        if right is None or self.right_zone is None:
            return right
        aware = right.replace(tzinfo=self.right_zone)
        return aware.astimezone(self.shoot.place.zone) if self.shoot.place.zone else aware

    def offset_at(self, right: datetime) -> timedelta | None:
        """Return the offset from UTC of a camera clock that is set at this instant."""
        return None if self.right_zone is None else right.replace(tzinfo=self.right_zone).utcoffset()

    # -- what runs out --------------------------------------------------------------------------------------

    def card(self, size_gb: int | None = None) -> CardInUse | None:
        """Return the cards in use, or empty ones of another size in GB; None while card or load isn't known."""
        shoot = self.shoot
        if shoot.frame is None or not shoot.card_load_known or (shoot.card_bytes is None and size_gb is None):
            return None
        if size_gb is None:
            return CardInUse(shoot.frame, shoot.card_usable_bytes, shoot.cluster_bytes, shoot.used_bytes)
        size_bytes = size_gb * card.GB
        usable = card.usable_bytes(size_bytes, shoot.reserve_share)
        return CardInUse(shoot.frame, usable, card.file_system_for(size_bytes).cluster_bytes)

    def battery(self, recording: Recording) -> BatteryInUse | None:
        """Return the batteries in use; None while battery or load isn't known."""
        battery = self.shoot.battery
        drawn = battery.load_on_battery(recording)
        return None if drawn is None else BatteryInUse(drawn, battery.supply, battery.reserve_share)

    def planner_at(self, interval_s: Fraction | None) -> VisitPlanner | None:
        """Return the planner for an interval; None without a schedule."""
        if self.shoot.schedule is None:
            return None
        recording = self.shoot.recording_at(interval_s)
        return VisitPlanner(
            self.shoot.schedule,
            recording,
            self.rules,
            self.card(),
            self.battery(recording),
            self.shifts,
            self.light_on,
        )

    @cached_property
    def planner(self) -> VisitPlanner | None:
        """Return the planner for the interval typed or worked out."""
        return self.planner_at(self.shoot.interval_s)

    @property
    def nothing_to_plan_by(self) -> bool:
        """Whether nothing is known that could run out or call for somebody."""
        planner, rules = self.planner, self.rules
        if rules.clean_days is not None or rules.drift_max_s is not None:
            return False
        return planner is None or (planner.card is None and planner.battery is None)
