"""How often a battery with a panel comes to its reserve: a site's days on a panel, put through the dark runs.

Energies are Wh, powers W.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from webcalc.calc.power.dark_runs import Day, clearness_of_day, reserve_chance, shares_of_classes
from webcalc.calc.power.panel import ChargeRule, Panel, harvest_of_day_wh
from webcalc.calc.power.sky import SiteSun
from webcalc.calc.schedule.schedule import Schedule

#: Once in so many years of a shoot is too often to rely on; common practice, no source.
USUAL_CHANCE = 1 / 20
#: Chances for which battery and panel are sized: what people rely on, and what nobody comes back for.
RELIED_ON = (USUAL_CHANCE, 1 / 100)
#: More often than this the reserve is touched rather than not.
EVEN_CHANCE = 1 / 2
#: Below so many days from full to the reserve the chance was not held against a simulation.
PROVEN_DAYS = 2.0
#: So many years of a longer shoot are worked out; those that follow are as the last of them.
_MOST_YEARS = 2
_YEAR_DAYS = 365
_WINDOW_DAYS = 10
_THIRDS = 3
#: Batteries are sized up to so many times the smallest; less than this is no chance.
_MOST_TIMES = 256
_NOTHING = 1e-9


@dataclass(frozen=True)
class Draw:
    """What is drawn over a shoot: on a recorded day and on an idle one, from a first to a last date."""

    schedule: Schedule
    first: date
    last: date
    recorded_wh: float
    idle_wh: float

    def day(self, number: int) -> date:
        """Return the date so many days after the first."""
        return self.first + timedelta(number)

    @property
    def heaviest_wh(self) -> float:
        """Load of the heaviest day."""
        return max(self.recorded_wh, self.idle_wh) if self.schedule.recorded_days else self.idle_wh


@dataclass(frozen=True)
class Chance:
    """In what share of the years of a shoot the reserve is touched.

    at_least : whether it is only known that it is no smaller: a larger battery's is taken for a small one's
    """

    share: float
    at_least: bool = False

    @property
    def is_usual(self) -> bool:
        """Whether it is known to be as small as people rely on."""
        return self.share <= USUAL_CHANCE and not self.at_least


def _third(day: date) -> int:
    """Return the number of the third of a month in which a date lies, 0 to 35."""
    return (day.month - 1) * _THIRDS + min(_THIRDS - 1, (day.day - 1) // _WINDOW_DAYS)


def _middle(third: int) -> int:
    """Return the day of the year in the middle of a third of a month."""
    month, part = divmod(third, _THIRDS)
    return date(2027, month + 1, 1 + _WINDOW_DAYS // 2 + part * _WINDOW_DAYS).timetuple().tm_yday


@lru_cache(maxsize=32)
def dark_harvests_wh(latitude_deg: float, panel: Panel, clearness: float) -> tuple[float, ...]:
    """Return what a panel gives on a day of this clearness in each third of a month."""
    return tuple(
        harvest_of_day_wh(latitude_deg, panel, _middle(third), clearness, third // _THIRDS + 1)
        for third in range(12 * _THIRDS)
    )


@lru_cache(maxsize=32)
def _harvests_wh(latitude_deg: float, panel: Panel, sun: SiteSun) -> tuple[tuple[tuple[float, ...], ...], ...]:
    """Return what a panel gives on the days that stand for each class of sky, for each third of a month."""
    means = [sun.mean_in(latitude_deg, month) for month in range(1, 13)]
    return tuple(
        tuple(
            tuple(
                harvest_of_day_wh(
                    latitude_deg,
                    panel,
                    _middle(third),
                    clearness_of_day(means[third // _THIRDS], share),
                    third // _THIRDS + 1,
                )
                for share in shares
            )
            for shares in shares_of_classes()
        )
        for third in range(12 * _THIRDS)
    )


@lru_cache(maxsize=256)
def chance_of(latitude_deg: float, panel: Panel, sun: SiteSun, rule: ChargeRule, draw: Draw, room_wh: float) -> Chance:
    """Return the chance that a battery with this much between full and its reserve comes to the reserve.

    ``room_wh`` > 0. What is drawn is taken as spread over the day, the harvest as coming at noon.
    """
    if not draw.heaviest_wh:
        return Chance(0.0)
    one_watt = replace(panel, rated_w=1.0)
    least_wh = PROVEN_DAYS * draw.heaviest_wh
    dark = tuple((0.0,) for _ in shares_of_classes())
    kept: dict[tuple[int, bool], Day] = {}

    def day_of(day: date) -> Day:
        key = third, records = _third(day), draw.schedule.records_on(day)
        if key not in kept:
            harvests = _harvests_wh(latitude_deg, one_watt, sun)[third] if rule.charges_on(day) else dark
            scaled = tuple(tuple(panel.rated_w * wh for wh in of_class) for of_class in harvests)
            kept[key] = (draw.recorded_wh if records else draw.idle_wh, scaled)
        return kept[key]

    span = (draw.last - draw.first).days + 1
    days = [day_of(draw.day(n)) for n in range(min(span, _MOST_YEARS * _YEAR_DAYS))]
    share = reserve_chance(days, max(room_wh, least_wh), -(-span // _YEAR_DAYS))
    return Chance(share, room_wh < least_wh)


def on_dates(harvests_wh: tuple[float, ...], rule: ChargeRule) -> Callable[[date], float]:
    """Return what the battery takes on a date, of what a panel gives in each third of a month."""
    return lambda day: harvests_wh[_third(day)] if rule.charges_on(day) else 0.0


def dark_days_to_reserve(harvests_wh: tuple[float, ...], rule: ChargeRule, draw: Draw, room_wh: float) -> int | None:
    """Return after how many days in a row with such a harvest a full battery is at its reserve, at the worst date.

    Each day's load is the heaviest one. None where such days carry it. ``harvests_wh``: by thirds of a month.
    """
    fewest: int | None = None
    seen, harvest_wh = set(), on_dates(harvests_wh, rule)
    for n in range(min((draw.last - draw.first).days + 1, _YEAR_DAYS)):
        day = draw.day(n)
        third = _third(day)
        if third in seen:
            continue
        seen.add(third)
        lost_wh = draw.heaviest_wh - harvest_wh(day)
        if lost_wh > 0:
            days = int(room_wh / lost_wh)
            fewest = days if fewest is None else min(fewest, days)
    return fewest


def rooms_for(chance: Callable[[float], float], least_wh: float) -> tuple[float | None, ...]:
    """Return the smallest room in Wh, within 5 %, at which a chance falls to each of ``RELIED_ON``.

    None less than ``least_wh`` is looked at. None where that takes more than ``_MOST_TIMES`` as much. The chance falls
    about as an exponential of the room: the secant on its logarithm finds it in a few steps.
    """
    logs: dict[float, float] = {}

    def log_at(room_wh: float) -> float:
        if room_wh not in logs:
            logs[room_wh] = math.log(max(chance(room_wh), _NOTHING))
        return logs[room_wh]

    def room_for(goal: float) -> float | None:
        low_wh, high_wh = 0.0, least_wh
        while log_at(high_wh) > goal:
            low_wh, high_wh = high_wh, 2 * high_wh
            if high_wh > _MOST_TIMES * least_wh:
                return None
        while low_wh and high_wh > 1.05 * low_wh:
            low, high = log_at(low_wh), log_at(high_wh)
            part = (low - goal) / (low - high) if low > high else 0.5
            # A little beyond the straight line, so that both ends close in.
            middle_wh = low_wh + (high_wh - low_wh) * min(0.9, max(0.1, part + 0.03))
            low_wh, high_wh = (low_wh, middle_wh) if log_at(middle_wh) <= goal else (middle_wh, high_wh)
        return high_wh

    return tuple(room_for(math.log(wanted)) for wanted in RELIED_ON)
