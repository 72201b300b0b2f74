"""When somebody must go there: the latest allowed visiting days before something runs out.

All instants are on the camera clock. Every limit is taken at its pessimistic end, brought forward by the margin, then
snapped back to an allowed visiting day. A change of summer time is the one limit that no earlier visit can meet: the
clock is right until the change, so it is corrected on the first allowed visiting day from the change on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from fractions import Fraction

from webcalc.calc import card_forecast, runtime
from webcalc.calc.count import Counts, counts_between
from webcalc.calc.estimate import Estimate
from webcalc.calc.load import Load
from webcalc.calc.recording import Recording
from webcalc.calc.runtime import Supply
from webcalc.calc.schedule import ALL_WEEKDAYS, Schedule

_DAY = timedelta(1)
#: Where a date has no light to work in, a visit is taken at this hour.
HOUR_WITHOUT_LIGHT = time(12)
#: Longest list that is made; a shoot with more visits needs another card or battery, not a list.
MOST_VISITS = 600
#: Crystal drift of ±20 ppm in seconds a day; DEVELOPERS.md names the sources.
USUAL_DRIFT_S_PER_DAY = Fraction(17, 10)


class Reason(StrEnum):
    """What a visit is for."""

    CARD = "card_full"
    BATTERY = "battery_reserve"
    CLOCK = "clock"
    CLEANING = "cleaning"
    LAST_DAY = "last_day"


@dataclass(frozen=True)
class VisitRules:
    """When people can go there, and what they do.

    weekdays, skipped : allowed visiting days, as in a schedule
    margin_days : whole days, >= 0, by which a visit comes before what it is for
    clean_days : longest time between two visits, in days >= 1; None: no limit
    renews : what every visit renews, of CARD, BATTERY and CLOCK; cleaning is always done
    drift_s_per_day : by how much the camera clock may drift either way, >= 0
    drift_max_s : clock error that is accepted, >= 0; None: any
    """

    weekdays: frozenset[int] = ALL_WEEKDAYS
    skipped: frozenset[date] = frozenset()
    margin_days: int = 0
    clean_days: int | None = None
    renews: frozenset[Reason] = frozenset({Reason.CARD, Reason.BATTERY, Reason.CLOCK})
    drift_s_per_day: Fraction = USUAL_DRIFT_S_PER_DAY
    drift_max_s: Fraction | None = None

    def allows(self, day: date) -> bool:
        """Whether somebody can go there on this date."""
        return day.isoweekday() in self.weekdays and day not in self.skipped


@dataclass(frozen=True)
class CardInUse:
    """The cards that are put in: frame size in bytes, usable bytes, cluster, and what is on the first one."""

    frame: Estimate[int]
    usable_bytes: int
    cluster_bytes: int
    used_bytes: int = 0


@dataclass(frozen=True)
class BatteryInUse:
    """The batteries that are put in, each full."""

    load: Estimate[Load]
    supply: Supply
    reserve_share: float


@dataclass(frozen=True)
class ClockShift:
    """A change of the wall clock, on the camera clock, by ``shift_s`` seconds (forward positive)."""

    at: datetime
    shift_s: int


@dataclass(frozen=True)
class Standing:
    """What the last visits left: when card and battery were put in, the clock set, the place seen to."""

    card_since: datetime
    card_used_bytes: int
    battery_since: datetime
    clock_since: datetime
    seen: date


@dataclass(frozen=True)
class Limit:
    """Something that must not come to pass: ``reason`` at ``at``; ``last_day`` is the last date to be there before.

    ``not_before`` is the first date on which going there helps (a change of summer time), None for any.
    """

    reason: Reason
    at: datetime
    last_day: date
    not_before: date | None = None


@dataclass(frozen=True)
class Visit:
    """One visit and what is found there on arrival.

    at : arrival, on the camera clock
    reasons : what it is for
    counts : recorded since the card was put in
    card_used_bytes, battery_left_share : on arrival; None where card or battery isn't known
    clock_error_s : lowest and highest difference of camera clock to wall clock on arrival
    """

    date: date
    at: datetime
    reasons: tuple[Reason, ...]
    counts: Counts
    card_used_bytes: Estimate[int] | None
    battery_left_share: Estimate[float] | None
    clock_error_s: tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Impossible:
    """Why there is no schedule of visits: ``reason`` comes at ``at``, and no visiting day after ``after`` is in time.

    next_day : the first allowed visiting day that there is, too late; None within a year
    """

    reason: Reason
    at: datetime
    after: date
    next_day: date | None


@dataclass(frozen=True)
class VisitPlan:
    """The visits to the end, or as far as they go, and why they go no further."""

    visits: tuple[Visit, ...]
    impossible: Impossible | None = None

    def renewals(self, reason: Reason, rules: VisitRules) -> int:
        """Return how many visits before the last day renew a card or a battery."""
        if reason not in rules.renews:
            return 0
        return sum(1 for visit in self.visits if Reason.LAST_DAY not in visit.reasons)


@dataclass(frozen=True)
class VisitPlanner:
    """Everything that the visits of one shoot depend on.

    arrival : camera-clock instant of a visit on a date; noon where nothing better is known
    """

    schedule: Schedule
    recording: Recording
    rules: VisitRules
    card: CardInUse | None = None
    battery: BatteryInUse | None = None
    clock_shifts: tuple[ClockShift, ...] = ()
    arrival: Callable[[date], datetime] = lambda day: datetime.combine(day, HOUR_WITHOUT_LIGHT)

    def plan(self, standing: Standing | None = None) -> VisitPlan:
        """Return the visits from a standing (default: all new at the shoot's start) to the last day."""
        now = standing or self.start()
        visits: list[Visit] = []
        while len(visits) < MOST_VISITS:
            limits = sorted(self.limits(now), key=lambda limit: limit.last_day)
            if not limits:
                return VisitPlan((*visits, self._last_visit(now)))
            day = self._latest_day(now, limits[0])
            if day is None:
                return VisitPlan(tuple(visits), self._impossible(now, limits[0]))
            reasons = tuple(limit.reason for limit in limits if limit.last_day == limits[0].last_day)
            visits.append(self._visit(now, day, reasons))
            now = self.after_visit(now, day)
        return VisitPlan(tuple(visits))

    def start(self) -> Standing:
        """Return the standing of a shoot that begins with everything new."""
        begin = self.schedule.starts_at
        used = self.card.used_bytes if self.card else 0
        return Standing(begin, used, begin, begin, self.schedule.first)

    def after_visit(self, now: Standing, day: date) -> Standing:
        """Return the standing after a visit that renews what the rules say."""
        at, renews = self.arrival(day), self.rules.renews
        after = replace(now, seen=day)
        if Reason.CARD in renews:
            after = replace(after, card_since=at, card_used_bytes=0)
        if Reason.BATTERY in renews:
            after = replace(after, battery_since=at)
        if Reason.CLOCK in renews:
            after = replace(after, clock_since=at)
        return after

    # -- limits ---------------------------------------------------------------------------------------------

    def limits(self, now: Standing) -> list[Limit]:
        """Return every limit that comes before the shoot's end, with the last date to be there."""
        found = [
            *self._of(Reason.CARD, self.card_full_at(now)),
            *self._of(Reason.BATTERY, self.battery_reserve_at(now)),
            *self._drift_limit(now),
            *self._shift_limit(now),
            *self._cleaning_limit(now),
        ]
        return [limit for limit in found if limit.at < self.schedule.ends_at]

    def card_full_at(self, now: Standing) -> datetime | None:
        """Return when the card in the camera is full at the earliest; None where it lasts."""
        if self.card is None:
            return None
        return card_forecast.forecast(
            self.schedule,
            self.recording,
            Estimate.exact(self.card.frame.high),
            self.card.usable_bytes,
            self.card.cluster_bytes,
            now.card_used_bytes,
            now.card_since,
            reserve_share=Fraction(0),
        ).full_at.low

    def battery_reserve_at(self, now: Standing) -> datetime | None:
        """Return when the battery in the camera reaches its reserve at the earliest; None where it lasts."""
        if self.battery is None:
            return None
        return runtime.runtime(
            self.schedule,
            self.recording,
            self.battery.load,
            self.battery.supply,
            since=now.battery_since,
            reserve_share=self.battery.reserve_share,
            past_last=False,
        ).reserve_at.low

    def _of(self, reason: Reason, at: datetime | None) -> Iterator[Limit]:
        if at is not None:
            yield Limit(reason, at, self._in_time(at) - self.rules.margin_days * _DAY)

    def _in_time(self, at: datetime) -> date:
        """Return the last date whose arrival isn't after ``at``."""
        day = at.date()
        return day if self.arrival(day) <= at else day - _DAY

    def _drift_limit(self, now: Standing) -> Iterator[Limit]:
        rules = self.rules
        if rules.drift_max_s is not None and rules.drift_s_per_day:
            days = rules.drift_max_s / rules.drift_s_per_day
            if days < (datetime.max - now.clock_since).days - 1:
                yield from self._of(Reason.CLOCK, now.clock_since + timedelta(seconds=float(days * 86_400)))

    def _shift_limit(self, now: Standing) -> Iterator[Limit]:
        """Yield the next change of summer time that puts the clock off by more than is accepted."""
        if self.rules.drift_max_s is None or Reason.CLOCK not in self.rules.renews:
            return
        for shift in self.clock_shifts:
            if shift.at >= now.clock_since and abs(self._shift_s(now, shift.at)) > self.rules.drift_max_s:
                first = shift.at.date() if self.arrival(shift.at.date()) >= shift.at else shift.at.date() + _DAY
                day = self._next_allowed(first - _DAY)
                if day is not None:
                    yield Limit(Reason.CLOCK, shift.at, day, not_before=first)
                return

    def _shift_s(self, now: Standing, until: datetime) -> int:
        """Return the camera clock minus the wall clock at ``until`` by changes since the clock was set."""
        return -sum(shift.shift_s for shift in self.clock_shifts if now.clock_since <= shift.at <= until)

    def _cleaning_limit(self, now: Standing) -> Iterator[Limit]:
        if self.rules.clean_days is not None:
            day = now.seen + self.rules.clean_days * _DAY
            yield Limit(Reason.CLEANING, datetime.combine(day, time.max), day - self.rules.margin_days * _DAY)

    # -- visits ---------------------------------------------------------------------------------------------

    def _latest_day(self, now: Standing, limit: Limit) -> date | None:
        """Return the last allowed visiting day up to the limit's last day and after the standing's visit."""
        day = limit.last_day
        earliest = max(now.seen + _DAY, limit.not_before or date.min)
        while day >= earliest:
            if self.rules.allows(day):
                return day
            day -= _DAY
        return None

    def _next_allowed(self, after: date) -> date | None:
        return next((after + n * _DAY for n in range(1, 367) if self.rules.allows(after + n * _DAY)), None)

    def _impossible(self, now: Standing, limit: Limit) -> Impossible:
        return Impossible(limit.reason, limit.at, now.seen, self._next_allowed(now.seen))

    def _last_visit(self, now: Standing) -> Visit:
        """Return the visit that fetches the camera: the first allowed day on which the last window is over."""
        end = self.schedule.ends_at
        first = end.date() if self.arrival(end.date()) >= end else end.date() + _DAY
        # With an arrival by daylight the last window's own date counts: the camera is fetched after it ends.
        day = self._next_allowed(min(first, self.schedule.last) - _DAY) or first
        return self._visit(now, day, (Reason.LAST_DAY,), at=max(self.arrival(day), end))

    def _visit(self, now: Standing, day: date, reasons: tuple[Reason, ...], at: datetime | None = None) -> Visit:
        at = at or self.arrival(day)
        card_used = battery_left = None
        if self.card:
            card_used = card_forecast.used_at(
                self.schedule,
                self.recording,
                self.card.frame,
                self.card.cluster_bytes,
                at,
                used_bytes=now.card_used_bytes,
                since=now.card_since,
            ).used_bytes
        if self.battery:
            battery_left = runtime.energy_left_at(
                self.schedule,
                self.recording,
                self.battery.load,
                self.battery.supply,
                at,
                since=now.battery_since,
            )
        return Visit(
            day,
            at,
            reasons,
            counts_between(self.schedule, self.recording, now.card_since, at),
            card_used,
            battery_left,
            self._clock_error_s(now, at),
        )

    def _clock_error_s(self, now: Standing, at: datetime) -> tuple[Fraction, Fraction]:
        days = Fraction((at - now.clock_since) // timedelta(seconds=1), 86_400)
        drift, shift = days * self.rules.drift_s_per_day, self._shift_s(now, at)
        return shift - drift, shift + drift
