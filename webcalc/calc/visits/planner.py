"""When somebody must go there: the latest allowed visiting days before something runs out.

Every limit is taken at its pessimistic end, brought forward by the margin, then snapped back to an allowed visiting
day. A change of summer time is the one limit that no earlier visit can meet: the clock is right until the change, so
it is corrected on the first allowed visiting day after it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.estimate import Estimate
from webcalc.calc.power import runtime
from webcalc.calc.schedule.count import Counts, counts_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, Schedule
from webcalc.calc.visits.rules import (
    BatteryInUse,
    CardInUse,
    ClockShift,
    DueVisit,
    Impossible,
    Light,
    Limit,
    Reason,
    Standing,
    Visit,
    VisitPlan,
    VisitRules,
    camera_reads,
)

_DAY = timedelta(1)
_SECOND = timedelta(seconds=1)
#: Where a date has no light to work in, or its light isn't known, a visit is taken at this hour.
HOUR_WITHOUT_LIGHT = time(12)
#: Time it takes to fetch the camera in the last light of a day; common practice, no source.
FETCHING = timedelta(minutes=30)
#: A local date and the date by the clock that the camera is set by can differ by this at the worst.
_DATES_APART = timedelta(2)
#: Longest list that is made; a shoot with more visits needs another card or battery, not a list.
MOST_VISITS = 400


def light_unknown(_day: date) -> Light:
    """Return None for every date: nothing is known of the light."""
    return None


@dataclass(frozen=True)
class VisitPlanner:
    """Everything that the visits of one shoot depend on; the clocks are those of ``visit_rules``.

    clock_shifts : in order, those of the shoot and of the weeks after it, in which the camera is fetched
    light_on : usable light of a date, in which visits are made; noon where there is none
    """

    schedule: Schedule
    recording: Recording
    rules: VisitRules
    card: CardInUse | None = None
    battery: BatteryInUse | None = None
    clock_shifts: tuple[ClockShift, ...] = ()
    light_on: Callable[[date], Light] = light_unknown

    def plan(self, standing: Standing | None = None, today: date | None = None) -> VisitPlan:
        """Return the visits from a standing (default: all new at the shoot's start) to the last day.

        What was due before ``today`` wasn't done: it is due on the first allowed day from then on.
        """
        visits: list[Visit] = []
        now = standing or self.start()
        lasting: set[Reason] = set()
        for _ in range(MOST_VISITS):
            next_one = self.next_visit(now, lasting)
            if today is not None and not visits:
                next_one = self.as_of(next_one, now, today)
            if isinstance(next_one, Impossible):
                return VisitPlan(tuple(visits), next_one)
            if next_one is None:
                return VisitPlan((*visits, self.last_visit(now)))
            visits.append(self.visit(now, next_one, next_one.day))
            now = self.after_visit(now, next_one.day)
        return VisitPlan(tuple(visits), cut_short=True)

    def next_visit(self, now: Standing, lasting: set[Reason] | None = None) -> DueVisit | Impossible | None:
        """Return the visit that must follow a standing; None where only the last one does. ``lasting`` as in limits."""
        limits = self.limits(now, lasting)
        allowed, meets = self.rules.latest_allowed, self.rules.meets
        days = [allowed(limit.first_day, limit.last_day) if meets(limit.reason) else None for limit in limits]
        missed = [limit for limit, day in zip(limits, days, strict=True) if day is None]
        if missed:
            first = min(missed, key=lambda limit: limit.at)
            following = self.rules.next_allowed(now.seen)
            return Impossible(first.reason, first.at, now.seen, following, meets(first.reason))
        if not limits:
            return None
        day = min(day for day in days if day)
        due = [limit for limit, latest in zip(limits, days, strict=True) if latest == day]
        ahead = [limit.at for limit in limits if not limit.corrected_after]
        return DueVisit(
            day,
            max(limit.first_day for limit in due),
            tuple(limit.reason for limit in due),
            min(ahead, default=None),
        )

    def as_of(self, due: DueVisit | Impossible | None, now: Standing, today: date) -> DueVisit | Impossible | None:
        """Return what is due as it stands today: what is late is due on the next allowed day before the end."""
        if due is None or (isinstance(due, DueVisit) and due.day >= today):
            return due
        day = self.rules.next_allowed(max(today - _DAY, now.seen))
        if day is None or (isinstance(due, Impossible) and not due.renewed):
            return due
        if self.arrival(day) >= self.right_time(now, self.schedule.ends_at):
            return None
        if isinstance(due, DueVisit):
            return replace(due, day=day, first_day=day)
        return DueVisit(day, day, (due.reason,), due.at)

    def arrival(self, day: date) -> datetime:
        """Return when a visit on a date begins, in the right time."""
        light = self.light_on(day)
        return light[0] if light else datetime.combine(day, HOUR_WITHOUT_LIGHT)

    def start(self) -> Standing:
        """Return the standing of a shoot that begins with everything new."""
        begin = self.schedule.starts_at
        used = self.card.used_bytes if self.card else 0
        return Standing(begin, used, begin, begin, self.schedule.first)

    def after_visit(self, now: Standing, day: date) -> Standing:
        """Return the standing after a visit that renews what the rules say."""
        at, renews = self.arrival(day), self.rules.renews
        reads = at if Reason.CLOCK in renews else self.camera_reads(now, at)
        card = Reason.CARD in renews
        return replace(
            now,
            seen=day,
            card_since=reads if card else now.card_since,
            card_used_bytes=0 if card else now.card_used_bytes,
            battery_since=reads if Reason.BATTERY in renews else now.battery_since,
            clock_since=at if Reason.CLOCK in renews else now.clock_since,
        )

    def in_all(self, reason: Reason, services: int) -> int | None:
        """Return how many cards or batteries are in use with so many visits before the last one, none of them twice.

        With the first one; None where what is in use isn't known.
        """
        in_use = self.card if reason is Reason.CARD else self.battery
        return None if in_use is None else 1 + (services if reason in self.rules.renews else 0)

    # -- clocks ---------------------------------------------------------------------------------------------

    def camera_reads(self, now: Standing, at: datetime) -> datetime:
        """Return what the camera clock reads, drift aside, at an instant of the right time."""
        return camera_reads(self.clock_shifts, now.clock_since, at)

    def right_time(self, now: Standing, camera: datetime) -> datetime:
        """Return the right time when the camera clock reads ``camera``, drift aside."""
        error_s = 0
        for shift in self._shifts_since(now):
            if camera < shift.at + error_s * _SECOND:
                break
            error_s -= shift.shift_s
        return camera - error_s * _SECOND

    def _shifts_since(self, now: Standing) -> Iterator[ClockShift]:
        return (shift for shift in self.clock_shifts if shift.at > now.clock_since)

    def clock_error_s(self, now: Standing, at: datetime) -> tuple[Fraction, Fraction]:
        """Return the lowest and highest difference of camera clock to right time."""
        reads = self.camera_reads(now, at)
        drift = Fraction((reads - now.clock_since) // _SECOND, DAY_S) * self.rules.drift_s_per_day
        behind_s = (reads - at) // _SECOND
        return behind_s - drift, behind_s + drift

    # -- limits ---------------------------------------------------------------------------------------------

    def limits(self, now: Standing, lasting: set[Reason] | None = None) -> list[Limit]:
        """Return every limit that comes before the shoot's end, with the last date to be there.

        ``lasting`` notes what lasts to the end from here: it does from every later standing too, and isn't looked at
        again.
        """
        lasting = set() if lasting is None else lasting
        found = [*self._cleaning_limit(now), *self._clock_limit(now)]
        if Reason.CARD not in lasting:
            full_at = self.card_full_at(now)
            if full_at is None:
                lasting.add(Reason.CARD)
            else:
                found.append(self._before(now, Reason.CARD, self.right_time(now, full_at)))
        if Reason.BATTERY not in lasting and not self._battery_outlasts(now, found):
            reserve_at = self._battery_reserve_at(now)
            if reserve_at is None:
                lasting.add(Reason.BATTERY)
            else:
                found.append(self._before(now, Reason.BATTERY, self.right_time(now, reserve_at)))
        end = self.right_time(now, self.schedule.ends_at)
        # A change of summer time is one where a day on which it can be corrected comes before the end.
        found = [limit for limit in found if not limit.corrected_after or self.arrival(limit.last_day) < end]
        return [limit for limit in found if limit.at < end]

    def _before(self, now: Standing, reason: Reason, at: datetime) -> Limit:
        return Limit(reason, at, self._in_time(at) - self.rules.margin_days * _DAY, now.seen + _DAY)

    def _in_time(self, at: datetime) -> date:
        """Return the last date whose arrival isn't after ``at``."""
        day = at.date() + _DATES_APART
        while self.arrival(day) > at:
            day -= _DAY
        return day

    def card_full_at(self, now: Standing, frame_bytes: int | None = None) -> datetime | None:
        """Return when the card in the camera is full, on its clock, by default at the earliest; None where it lasts."""
        if self.card is None:
            return None
        return card_forecast.full_at(
            self.schedule,
            self.recording,
            self.card.frame.high if frame_bytes is None else frame_bytes,
            self.card.usable_bytes,
            self.card.cluster_bytes,
            now.card_used_bytes,
            now.card_since,
        )

    def _battery_reserve_at(self, now: Standing) -> datetime | None:
        """Return when the battery in the camera is at its reserve at the earliest; None where it lasts."""
        if self.battery is None:
            return None
        reached = (
            runtime.reserve_at_worst(
                self.schedule,
                self.recording,
                load,
                self.battery.supply,
                since=now.battery_since,
                reserve_share=self.battery.reserve_share,
            )
            for load in self.battery.loads
        )
        return min((at for at in reached if at is not None), default=None)

    def _battery_outlasts(self, now: Standing, others: list[Limit]) -> bool:
        """Whether the battery certainly lasts past what these other limits leave: a short walk spares a long one."""
        battery, ahead = self.battery, [limit.at for limit in others if not limit.corrected_after]
        if battery is None or not ahead:
            return False
        beyond = self.rules.next_allowed(min(limit.last_day for limit in others))
        if beyond is None:
            return False
        late = max(self.arrival(beyond + self.rules.margin_days * _DAY), min(ahead))
        until = self.camera_reads(now, late)
        lasts = until < self.schedule.ends_at
        return lasts and battery.lasts(self.schedule, self.recording, now.battery_since, until)

    def _cleaning_limit(self, now: Standing) -> Iterator[Limit]:
        if self.rules.clean_days is not None:
            day = now.seen + self.rules.clean_days * _DAY
            last = day - self.rules.margin_days * _DAY
            yield Limit(Reason.CLEANING, datetime.combine(day, time.max), last, now.seen + _DAY)

    def _clock_limit(self, now: Standing) -> Iterator[Limit]:
        """Yield when the camera clock is off by more than is accepted: by drift, or at a change of summer time."""
        most_s, drift = self.rules.drift_max_s, self.rules.drift_s_per_day
        if most_s is None:
            return
        error_s = 0
        for shift in (*self._shifts_since(now), None):
            change = shift.at + error_s * _SECOND if shift else self.schedule.ends_at
            drifted_s = Fraction((change - now.clock_since) // _SECOND, DAY_S) * drift
            if abs(error_s) + drifted_s > most_s:
                passed = now.clock_since + int((most_s - abs(error_s)) / drift * DAY_S) * _SECOND
                yield self._before(now, Reason.CLOCK, self.right_time(now, passed))
                return
            if shift is None:
                return
            error_s -= shift.shift_s
            if abs(error_s) + drifted_s > most_s:
                yield from self._shift_limit(now, shift)
                return

    def _shift_limit(self, now: Standing, shift: ClockShift) -> Iterator[Limit]:
        day = shift.at.date()
        first = max(day if self.arrival(day) >= shift.at else day + _DAY, now.seen + _DAY)
        allowed = self.rules.next_allowed(first - _DAY)
        if allowed is not None:
            yield Limit(Reason.CLOCK, shift.at, allowed, allowed, corrected_after=True)

    # -- visits ---------------------------------------------------------------------------------------------

    def visit(self, now: Standing, due: DueVisit, day: date) -> Visit:
        """Return what is found on a visit that is due, made on ``day``: its date or an earlier one."""
        return Visit(day, self.arrival(day), due.by, due.reasons, self, now)

    def last_visit(self, now: Standing) -> Visit:
        """Return the visit that fetches the camera: the first allowed day with light left after the last window."""
        end = self.right_time(now, self.schedule.ends_at)
        day = self.rules.next_allowed(max(end.date() - _DATES_APART, now.seen)) or max(end.date(), now.seen + _DAY)
        for _ in range(366):
            light = self.light_on(day)
            if self.arrival(day) >= end or (light and max(light[0], end) + FETCHING <= light[1]):
                break
            day = self.rules.next_allowed(day) or day + _DAY
        return Visit(day, max(self.arrival(day), end), None, (Reason.LAST_DAY,), self, now)

    # -- what is found ----------------------------------------------------------------------------------------

    def counts(self, now: Standing, at: datetime) -> Counts:
        """Return what was recorded since the card was put in."""
        return counts_between(self.schedule, self.recording, now.card_since, self.camera_reads(now, at))

    def card_used_bytes(self, now: Standing, at: datetime) -> Estimate[int] | None:
        """Return what stands on the card; None where it isn't known."""
        if self.card is None:
            return None
        return card_forecast.used_at(
            self.schedule,
            self.recording,
            self.card.frame,
            self.card.cluster_bytes,
            self.camera_reads(now, at),
            used_bytes=now.card_used_bytes,
            since=now.card_since,
        ).used_bytes

    def battery_left_share(self, now: Standing, at: datetime) -> Estimate[float] | None:
        """Return what is left of the battery; None where it isn't known."""
        if self.battery is None:
            return None
        schedule, recording, supply = self.schedule, self.recording, self.battery.supply
        since, reads = now.battery_since, self.camera_reads(now, at)
        ends = [
            runtime.energy_left_at(schedule, recording, load, supply, reads, since=since, past_last=False)
            for load in self.battery.loads
        ]
        if len(ends) == 1:
            return ends[0]
        return Estimate(min(end.low for end in ends), ends[1].expected, max(end.high for end in ends))
