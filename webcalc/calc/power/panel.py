"""Solar top-up: what a panel harvests, month by month and date by date.

A month's mean day stands for each of its days (that is what the correlations of ``irradiation.py``
are made for), so a run of dark days within a month is the battery's task: see ``days_of_autonomy``.
Whether the harvest carries a shoot is worked out in ``panel_balance.py``. Energies are Wh, powers W.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from functools import lru_cache

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, COMMON_PRACTICE, formula
from webcalc.calc.power.cells import LITHIUM_CHARGE_LIMITS_C
from webcalc.calc.power.irradiation import (
    GROUND_REFLECTANCE,
    MJ_PER_KWH,
    MONTH_MEAN_DAYS,
    is_beyond_fao_winter_range,
    plane_under_sky_mj_per_m2,
)

#: Of the rated power times sun hours, this much is lost to heat, dirt, wires, controller and charging. Common practice.
DEFAULT_LOSS_SHARE = 0.25
#: Lithium-ion cells, LFP among them, are not charged at or below this. None: no such limit.
LITHIUM_COLDEST_CHARGE_C = LITHIUM_CHARGE_LIMITS_C[0]


class Facing(Enum):
    """Bearing of the panel by class; ``from_equator_deg`` is measured from the equator's direction, either side."""

    EQUATOR = "equator"
    EAST_WEST = "east_west"
    AWAY = "away"

    @property
    def from_equator_deg(self) -> int:
        """0, 90 or 180 degrees."""
        return {Facing.EQUATOR: 0, Facing.EAST_WEST: 90, Facing.AWAY: 180}[self]


class Sky(Enum):
    """Typical sky of a month, from dark to bright. The outer two are the ends of FAO-56's own scale."""

    OVERCAST = "overcast"
    MIXED = "mixed"
    CLEAR = "clear"

    @property
    def sunshine_share(self) -> float:
        """Bright hours over possible hours, FAO-56's n/N."""
        return {Sky.OVERCAST: 0.0, Sky.MIXED: 0.5, Sky.CLEAR: 1.0}[self]

    @property
    def with_neighbours(self) -> tuple[Sky, ...]:
        """This class, the next darker and the next brighter."""
        skies = list(Sky)
        here = skies.index(self)
        return tuple(skies[max(0, here - 1) : here + 2])


@dataclass(frozen=True)
class Panel:
    """A panel: rated power in W (>= 0), tilt 0 flat to 90 upright, bearing, share lost after the rating, ground.

    Raises ValueError for values outside these ranges; shares are 0 to 1, the loss below 1.
    """

    rated_w: float
    tilt_deg: float
    facing: Facing = Facing.EQUATOR
    loss_share: float = DEFAULT_LOSS_SHARE
    ground_reflectance: float = GROUND_REFLECTANCE

    def __post_init__(self) -> None:
        if not (0 <= self.rated_w < float("inf") and 0 <= self.tilt_deg <= 90):
            raise ValueError("a panel's rated power is 0 or more, its tilt 0 to 90 degrees")
        if not (0 <= self.loss_share < 1 and 0 <= self.ground_reflectance <= 1):
            raise ValueError("shares are 0 to 1")


@dataclass(frozen=True)
class ChargeRule:
    """On which days the battery takes a charge: only if the day is warmer than ``coldest_charge_c``.

    day_c_by_month : twelve typical day temperatures in °C, January first
    coldest_charge_c : 0 for lithium-ion and LFP (the default), None for lead-acid, which always charges
    hottest_charge_c : no charge on a hotter day; None for no such limit
    """

    day_c_by_month: tuple[float, ...]
    coldest_charge_c: float | None = LITHIUM_COLDEST_CHARGE_C
    hottest_charge_c: float | None = None

    def __post_init__(self) -> None:
        if len(self.day_c_by_month) != 12:
            raise ValueError("a temperature for each of the twelve months")

    @classmethod
    def constant(cls, day_c: float, coldest_charge_c: float | None = LITHIUM_COLDEST_CHARGE_C) -> ChargeRule:
        """Return the rule for one temperature all year."""
        return cls((day_c,) * 12, coldest_charge_c)

    @classmethod
    def seasonal(
        cls,
        latitude_deg: float,
        winter_c: float,
        spring_c: float,
        summer_c: float,
        autumn_c: float,
        coldest_charge_c: float | None = LITHIUM_COLDEST_CHARGE_C,
        hottest_charge_c: float | None = None,
    ) -> ChargeRule:
        """Return the rule for four seasons of three months: winter from December, south of the equator from June."""
        from_december = [c for c in (winter_c, spring_c, summer_c, autumn_c) for _ in range(3)]
        december_at = 0 if latitude_deg >= 0 else 6
        by_month = tuple(from_december[(december_at + month) % 12] for month in range(1, 13))
        return cls(by_month, coldest_charge_c, hottest_charge_c)

    def charges_on(self, day: date) -> bool:
        """Whether the battery may be charged on this date."""
        return self.charges_in(day.month)

    def charges_in(self, month: int) -> bool:
        """Whether the battery may be charged on the days of a month, 1 to 12."""
        day_c = self.day_c_by_month[month - 1]
        warm = self.coldest_charge_c is None or day_c > self.coldest_charge_c
        return warm and (self.hottest_charge_c is None or day_c <= self.hottest_charge_c)


@formula("harvest_wh", "rated_w * plane_mj_per_m2 / 3.6 * (1 - loss_share)", "rated at 1 kW/m²; " + COMMON_PRACTICE)
def panel_wh(rated_w: float, plane_mj_per_m2: float, loss_share: float) -> float:
    """Return a day's harvest in Wh from the energy on its plane; 3.6 MJ per square metre are one full-sun hour."""
    return rated_w * plane_mj_per_m2 / MJ_PER_KWH * (1 - loss_share)


@formula("autonomy_days", "usable_wh / daily_wh", ARITHMETIC)
def days_of_autonomy(usable_wh: float, daily_wh: float) -> float:
    """Return how many days without any sun the usable energy lasts, from full to empty; ``daily_wh`` > 0."""
    return usable_wh / daily_wh


@lru_cache(maxsize=64)
def monthly_harvest_wh(latitude_deg: float, panel: Panel, sky: Sky) -> tuple[Estimate[float], ...]:
    """Return the mean daily harvest of each month in Wh, January first, temperature aside.

    The range is that of the next darker and the next brighter sky. It is sorted, as a steep panel that faces away from
    the equator gets more from clouds than from a clear sky. Where FAO-56 warns of its own formula (winter beyond
    55°) the low end is the darkest sky's.
    """

    def harvest(day_of_year: int, of_sky: Sky) -> float:
        plane = plane_under_sky_mj_per_m2(
            latitude_deg,
            day_of_year,
            of_sky.sunshine_share,
            panel.tilt_deg,
            panel.facing.from_equator_deg,
            panel.ground_reflectance,
        )
        return panel_wh(panel.rated_w, plane, panel.loss_share)

    months = []
    for day_of_year in MONTH_MEAN_DAYS:
        skies = tuple(Sky) if is_beyond_fao_winter_range(latitude_deg, day_of_year) else sky.with_neighbours
        ends = [harvest(day_of_year, other) for other in skies]
        months.append(Estimate(min(ends), harvest(day_of_year, sky), max(ends)))
    return tuple(months)


def daily_harvest_wh(latitude_deg: float, panel: Panel, sky: Sky, day: date, rule: ChargeRule) -> Estimate[float]:
    """Return what the battery can take from the panel on this date, in Wh: nothing on a day too cold to charge."""
    if not rule.charges_on(day):
        return Estimate.exact(0.0)
    return monthly_harvest_wh(latitude_deg, panel, sky)[day.month - 1]


def dates_between(first: date, last: date) -> list[date]:
    """Return every date from first to last, both included. Raises ValueError if ``last`` is before ``first``."""
    if last < first:
        raise ValueError("last is before first")
    return [first + timedelta(n) for n in range((last - first).days + 1)]


@dataclass(frozen=True)
class TopUp:
    """A panel at its site: latitude (north positive), panel, sky class and when the battery may charge."""

    latitude_deg: float
    panel: Panel
    sky: Sky
    rule: ChargeRule

    def gross_wh(self, day: date) -> Estimate[float]:
        """Return what the panel offers on this date, in Wh, temperature aside."""
        return monthly_harvest_wh(self.latitude_deg, self.panel, self.sky)[day.month - 1]

    def harvest_wh(self, day: date) -> Estimate[float]:
        """Return what the battery can take on this date, in Wh."""
        return daily_harvest_wh(self.latitude_deg, self.panel, self.sky, day, self.rule)

    def harvests(self) -> Estimate[Callable[[date], float]]:
        """Return each end of ``harvest_wh`` as a function of the date, for a walk of any length."""
        offered = monthly_harvest_wh(self.latitude_deg, self.panel, self.sky)
        taken = [
            wh if self.rule.charges_in(month) else Estimate.exact(0.0) for month, wh in enumerate(offered, start=1)
        ]

        def of(by_month: list[float]) -> Callable[[date], float]:
            return lambda day: by_month[day.month - 1]

        return Estimate(of([wh.low for wh in taken]), of([wh.expected for wh in taken]), of([wh.high for wh in taken]))
