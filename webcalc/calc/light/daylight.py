"""Which hours are light enough, day by day.

What "light enough" means is the user's choice (``LightRule``). Light is kept as spans [start, end) in UTC that run
across midnight, and is cut into local dates only to be shown: a margin counts from the real sunrise or sunset, even if
that lies on the date before or after. How this meets a camera's daily window is in ``window_light.py``.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import (
    CIVIL_DEG,
    SUNRISE_DEG,
    DayEvents,
    sun_days,
)

LONGEST_MARGIN_MIN = 720
_DAY = timedelta(1)

Span = tuple[datetime, datetime]
DayState = Literal["normal", "polar_day", "polar_night"]
_STATES: dict[str, DayState] = {"normal": "normal", "always_above": "polar_day", "always_below": "polar_night"}


@dataclass(frozen=True)
class LightRule:
    """What counts as light enough.

    threshold_deg : the sun's centre is at or above this altitude
    margin_min : and has been for this many minutes, and will be for as many; 0 to ``LONGEST_MARGIN_MIN``.
        On a date without sunset nothing is taken off.

    ``LightRule.sun()``, ``.civil()`` and ``.inside(minutes)`` are the choices offered.
    """

    threshold_deg: float = SUNRISE_DEG
    margin_min: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.margin_min <= LONGEST_MARGIN_MIN:
            raise ValueError("margin is outside 0 to 720 minutes")

    @classmethod
    def sun(cls) -> LightRule:
        """Return: from sunrise to sunset."""
        return cls()

    @classmethod
    def civil(cls) -> LightRule:
        """Return: from the start of civil twilight in the morning to its end in the evening."""
        return cls(CIVIL_DEG)

    @classmethod
    def inside(cls, margin_min: int) -> LightRule:
        """Return: from ``margin_min`` minutes after sunrise to as many before sunset. Raises ValueError."""
        return cls(SUNRISE_DEG, margin_min)


@dataclass(frozen=True)
class DayLight:
    """Sun and light on one local date.

    state : whether the sun rises or sets on this date, stays up or stays down (whatever the rule)
    sunrises, sunsets : none, one or two instants each, UTC
    light : the light spans of the date, UTC, cut at its midnights
    """

    date: date
    state: DayState
    sunrises: tuple[datetime, ...]
    sunsets: tuple[datetime, ...]
    light: tuple[Span, ...]


class LightSpans:
    """All light spans that touch the local dates first … last, computed once and then searched.

    Beyond these dates nothing is known: ask only about instants within them. ``bounds`` tells their extent in UTC.
    """

    def __init__(self, site: Site, zone: ZoneInfo, rule: LightRule, first: date, last: date) -> None:
        days = [first + n * _DAY for n in range(-1, (last - first).days + 2)]
        sun = sun_days(site, zone, rule.threshold_deg)
        events = [sun.on(day) for day in days]
        spans = _joined(span for day in events for span in day.above)
        # A margin wrongly taken off where only the days looked at begin or end doesn't reach into the asked dates:
        # it is at most half a day, and there is a whole day more on either side.
        self.spans = _within_margin(spans, rule)
        self.bounds: Span = (events[1].start_utc, events[-2].end_utc)
        self._starts = [start for start, _ in self.spans]
        #: Sunrise and sunset, whatever the rule.
        self.sun = sun if rule.threshold_deg == SUNRISE_DEG else sun_days(site, zone, SUNRISE_DEG)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, LightSpans) and (self.spans, self.bounds) == (other.spans, other.bounds)

    def __hash__(self) -> int:
        return hash((self.spans, self.bounds))

    def within(self, start: datetime, end: datetime) -> tuple[Span, ...]:
        """Return the light in [start, end), cut at these ends."""
        found = []
        for n in range(max(0, bisect_right(self._starts, start) - 1), len(self.spans)):
            light_start, light_end = self.spans[n]
            if light_start >= end:
                break
            if light_end > start:
                found.append((max(light_start, start), min(light_end, end)))
        return tuple(found)


def _within_margin(spans: Iterable[Span], rule: LightRule) -> tuple[Span, ...]:
    margin = timedelta(minutes=rule.margin_min)
    return tuple((start + margin, end - margin) for start, end in spans if end - start > 2 * margin)


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Join spans that meet at a midnight."""
    joined: list[Span] = []
    for start, end in spans:
        if joined and joined[-1][1] >= start:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return joined


def day_light(site: Site, zone: ZoneInfo, day: date, rule: LightRule) -> DayLight:
    """Return sun and light of one local date."""
    crossed = sun_days(site, zone, rule.threshold_deg).on(day)
    if any(start == crossed.start_utc or end == crossed.end_utc for start, end in crossed.above):
        return light_days(site, zone, day, day, rule)[0]
    # None goes on past midnight: the dates beside it needn't be looked at.
    return _told(sun_days(site, zone, SUNRISE_DEG).on(day), _within_margin(crossed.above, rule))


def light_days(
    site: Site, zone: ZoneInfo, first: date, last: date, rule: LightRule, spans: LightSpans | None = None
) -> tuple[DayLight, ...]:
    """Return sun and light of every local date from ``first`` to ``last``, both included.

    ``spans``: the light of these dates or more, found before.
    """
    spans = spans or LightSpans(site, zone, rule, first, last)
    suns = (spans.sun.on(first + n * _DAY) for n in range((last - first).days + 1))
    return tuple(_told(sun, spans.within(sun.start_utc, sun.end_utc)) for sun in suns)


def _told(sun: DayEvents, light: tuple[Span, ...]) -> DayLight:
    return DayLight(sun.day, _STATES[sun.state], sun.rises, sun.sets, light)
