"""The light that visits are made in, and the changes of summer time, in the right time of ``visit_rules``."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule, Span, day_light
from webcalc.calc.light.place import Site
from webcalc.calc.schedule.zone import offset_changes
from webcalc.calc.visits.rules import ClockShift

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
    inward = [(-(-(start - _epoch(start)) // _MINUTE) * _MINUTE + _epoch(start), end) for start, end in spans]
    whole = [(start, start + (end - start) // _MINUTE * _MINUTE) for start, end in inward]
    longest = max(whole, key=lambda span: span[1] - span[0], default=None)
    return longest if longest and longest[1] > longest[0] else None


def _epoch(instant: datetime) -> datetime:
    return instant.replace(hour=0, minute=0, second=0, microsecond=0)


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
