"""What a planner of visits is told (rules, light, cards, batteries, clock changes) and what it tells (visits, limits).

Two clocks: the *camera clock*, by which the camera records, and the *right time*, the clock that the camera is set by
(the site's wall clock, or a fixed offset that is kept on purpose). They agree when somebody sets the camera clock and
come apart by drift and by changes of summer time. Visits and limits are told in the right time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from enum import StrEnum
from fractions import Fraction
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from webcalc.calc.estimate import Estimate
from webcalc.calc.light.daylight import LightRule, Span, day_light
from webcalc.calc.light.place import Site
from webcalc.calc.power import runtime
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.count import Counts
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, Schedule
from webcalc.calc.schedule.zone import offset_changes

if TYPE_CHECKING:
    from webcalc.calc.visits.planner import VisitPlanner

#: Crystal drift of ±20 ppm in seconds a day; DEVELOPERS.md names the sources.
USUAL_DRIFT_S_PER_DAY = Fraction(17, 10)


class Reason(StrEnum):
    """What a visit is for."""

    CARD = "card_full"
    BATTERY = "battery_reserve"
    CLOCK = "clock"
    CLEANING = "cleaning"
    LAST_DAY = "last_day"


#: The words of ``renew`` and of the log, and what they renew.
RENEWS = {"card": Reason.CARD, "battery": Reason.BATTERY, "clock": Reason.CLOCK}
RENEWABLE = frozenset(RENEWS.values())


@dataclass(frozen=True)
class VisitRules:
    """When people can go there, and what they do.

    weekdays, skipped : allowed visiting days, as in a schedule
    margin_days : whole days, >= 0, by which a visit comes before what it is for
    clean_days : longest time between two visits, in days >= 1; None: no limit
    renews : what every visit renews, of ``RENEWABLE``; cleaning is always done
    drift_s_per_day : by how much the camera clock may drift either way, >= 0
    drift_max_s : clock error that is accepted, >= 0; None: any
    """

    weekdays: frozenset[int] = ALL_WEEKDAYS
    skipped: frozenset[date] = frozenset()
    margin_days: int = 0
    clean_days: int | None = None
    renews: frozenset[Reason] = RENEWABLE
    drift_s_per_day: Fraction = USUAL_DRIFT_S_PER_DAY
    drift_max_s: Fraction | None = None

    def allows(self, day: date) -> bool:
        """Whether somebody can go there on this date."""
        return day.isoweekday() in self.weekdays and day not in self.skipped

    def meets(self, reason: Reason) -> bool:
        """Whether a visit does something about it; the lens is always cleaned."""
        return reason is Reason.CLEANING or reason in self.renews

    def next_allowed(self, after: date) -> date | None:
        """Return the first allowed date after ``after``; None if there is none within a year."""
        days = (after + timedelta(n) for n in range(1, 367))
        return next((day for day in days if self.allows(day)), None)

    def latest_allowed(self, earliest: date, latest: date) -> date | None:
        """Return the last allowed date of these, both included; None if there is none."""
        day = latest
        while day >= earliest:
            if self.allows(day):
                return day
            day -= timedelta(1)
        return None


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

    @property
    def loads(self) -> tuple[Load, ...]:
        """The ends of the load, once where they are one.

        Which end is the heavier one depends on how many windows a battery gets to, so every end is looked at.
        """
        ends = (self.load.low, self.load.expected, self.load.high)
        return ends[:1] if self.load.is_exact else ends

    def lasts(self, schedule: Schedule, recording: Recording, since: datetime, until: datetime) -> bool:
        """Whether it lasts for certain from when it was full to an instant, both on the camera clock."""
        return all(
            runtime.lasts_at_worst(
                schedule, recording, load, self.supply, since=since, until=until, reserve_share=self.reserve_share
            )
            for load in self.loads
        )


@dataclass(frozen=True)
class ClockShift:
    """A change of the right time by ``shift_s`` seconds (forward positive) at ``at``, read just before the change."""

    at: datetime
    shift_s: int


def camera_reads(shifts: Iterable[ClockShift], clock_set: datetime, at: datetime) -> datetime:
    """Return what a camera clock that was set at ``clock_set`` reads at ``at``, drift aside; both in the right time."""
    return at - timedelta(seconds=sum(shift.shift_s for shift in shifts if clock_set < shift.at <= at))


@dataclass(frozen=True)
class Standing:
    """What the last visits left.

    card_since, battery_since : when they were put in, on the camera clock as set then. Where one of them stays in
        while the clock is set, it is counted by what the clock shows: up to the shift's length of recording off.
    card_used_bytes : on the card at that time
    clock_since : when the clock was set; right time and camera clock agreed
    seen : date of the last visit, or the shoot's first day
    """

    card_since: datetime
    card_used_bytes: int
    battery_since: datetime
    clock_since: datetime
    seen: date


@dataclass(frozen=True)
class Limit:
    """Something that must not come to pass: ``reason`` at ``at``; ``last_day`` is the last date to be there before.

    ``first_day`` is the first date on which going there helps. ``corrected_after``: it is a change of summer time,
    which comes whatever is done; both dates are then the first allowed day after it.
    """

    reason: Reason
    at: datetime
    last_day: date
    first_day: date
    corrected_after: bool = False


@dataclass(frozen=True)
class DueVisit:
    """A visit that must be made: at the latest on ``day``, and to no use before ``first_day``.

    by : the instant before which somebody must have been there, the margin aside; None where nothing runs out
    """

    day: date
    first_day: date
    reasons: tuple[Reason, ...]
    by: datetime | None


@dataclass(frozen=True)
class Visit:
    """One visit, and what is found there on arrival: worked out where it is asked for, as often only dates are.

    at : arrival, right time
    by : the instant before which somebody must have been there, the margin aside; None where nothing runs out
    reasons : what it is for
    before : how things stood until then
    """

    date: date
    at: datetime
    by: datetime | None
    reasons: tuple[Reason, ...]
    planner: VisitPlanner
    before: Standing

    @property
    def late(self) -> bool:
        """Whether this comes after what it is for, as nobody came before."""
        return self.by is not None and self.by < self.at

    @cached_property
    def counts(self) -> Counts:
        """What was recorded since the card was put in."""
        return self.planner.counts(self.before, self.at)

    @cached_property
    def card_used_bytes(self) -> Estimate[int] | None:
        """What stands on the card; None where it isn't known."""
        return self.planner.card_used_bytes(self.before, self.at)

    @cached_property
    def battery_left_share(self) -> Estimate[float] | None:
        """What is left of the battery; None where it isn't known."""
        return self.planner.battery_left_share(self.before, self.at)

    @cached_property
    def clock_error_s(self) -> tuple[Fraction, Fraction]:
        """Lowest and highest difference of camera clock to right time."""
        return self.planner.clock_error_s(self.before, self.at)


@dataclass(frozen=True)
class Impossible:
    """Why there is no schedule of visits: ``reason`` comes at ``at``, and no visit after ``after`` is in time.

    next_day : the first allowed visiting day that there is, too late; None within a year
    renewed : whether visits renew what runs out; if not, no visit helps
    """

    reason: Reason
    at: datetime
    after: date
    next_day: date | None
    renewed: bool = True


@dataclass(frozen=True)
class VisitPlan:
    """The visits to the end, the last of them to fetch the camera; or as far as they go.

    impossible : why they go no further; None if they do
    cut_short : there would be more than the planner lists
    """

    visits: tuple[Visit, ...]
    impossible: Impossible | None = None
    cut_short: bool = False

    @property
    def holds(self) -> bool:
        """Whether these visits carry the shoot to its end."""
        return self.impossible is None and not self.cut_short

    @property
    def services(self) -> tuple[Visit, ...]:
        """The visits before the last one, which only fetches the camera."""
        return tuple(visit for visit in self.visits if Reason.LAST_DAY not in visit.reasons)


# -- the light that visits are made in, and the changes of summer time, in the right time -----------------


_MINUTE = timedelta(minutes=1)
#: Dates that one planner asks for at most, again and again: ten years and a little.
_KEPT_DATES = 4_096

#: First and last usable light of a date, in the right time; None without.
Light = tuple[datetime, datetime] | None


def in_zone(utc: datetime, zone: tzinfo) -> datetime:
    """Return what a clock of this zone reads at an instant (aware); naive."""
    return utc.astimezone(zone).replace(tzinfo=None)


def longest_light(spans: tuple[Span, ...]) -> Span | None:
    """Return the longest of a date's light spans in whole minutes, rounded inward; None without a minute of light."""
    inward = [(start + (start.replace(second=0, microsecond=0) - start) % _MINUTE, end) for start, end in spans]
    whole = [(start, start + (end - start) // _MINUTE * _MINUTE) for start, end in inward]
    longest = max(whole, key=lambda span: span[1] - span[0], default=None)
    return longest if longest and longest[1] > longest[0] else None


def site_light(site: Site, zone: ZoneInfo, rule: LightRule, right: tzinfo) -> Callable[[date], Light]:
    """Return a function from a local date of ``zone`` to its longest light span, told in the zone ``right``."""

    @lru_cache(_KEPT_DATES)
    def light_on(day: date) -> Light:
        span = longest_light(day_light(site, zone, day, rule).light)
        return (in_zone(span[0], right), in_zone(span[1], right)) if span else None

    return light_on


def clock_shifts(right: tzinfo, since_utc: datetime, until_utc: datetime) -> tuple[ClockShift, ...]:
    """Return the changes of a zone's clock from ``since_utc`` to ``until_utc`` (aware); none for a fixed offset."""
    if not isinstance(right, ZoneInfo):
        return ()
    return tuple(
        ClockShift(
            at=(change.at_utc + change.before).replace(tzinfo=None),
            shift_s=(change.after - change.before) // timedelta(seconds=1),
        )
        for change in offset_changes(right, since_utc, until_utc)
    )
