"""Solar top-up: what a panel harvests, month by month and date by date.

A month's mean day stands for each of its days (that is what the correlations of ``irradiation.py``
are made for); runs of dark days within a month are the matter of ``dark_runs.py``.
Whether the harvest carries a shoot is worked out in ``panel_balance.py``. Energies are Wh, powers W.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from enum import Enum
from functools import lru_cache
from statistics import fmean

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, COMMON_PRACTICE, formula
from webcalc.calc.power.cells import LITHIUM_CHARGE_LIMITS_C
from webcalc.calc.power.dark_runs import clearness_of_day, diffuse_share_of_day
from webcalc.calc.power.irradiation import (
    GROUND_REFLECTANCE,
    MJ_PER_KWH,
    plane_mj_per_m2,
    plane_under_sky_mj_per_m2,
    sun_of_day,
)
from webcalc.calc.power.sky import MonthlySky, Sky, days_of_month

#: Of the rated power times sun hours, this much is lost to heat, dirt, wires, controller and charging. Common practice.
DEFAULT_LOSS_SHARE = 0.25
#: Lithium-ion cells, LFP among them, are not charged at or below this. None: no such limit.
LITHIUM_COLDEST_CHARGE_C = LITHIUM_CHARGE_LIMITS_C[0]

#: Days between the darkest and the brightest that stand for a month's.
_DAYS_LOOKED_AT = 8


class Facing(Enum):
    """Bearing of the panel by class; ``from_equator_deg`` is measured from the equator's direction, either side."""

    EQUATOR = "equator"
    EAST_WEST = "east_west"
    AWAY = "away"

    @property
    def from_equator_deg(self) -> int:
        """0, 90 or 180 degrees."""
        return {Facing.EQUATOR: 0, Facing.EAST_WEST: 90, Facing.AWAY: 180}[self]


@dataclass(frozen=True)
class Panel:
    """A panel: rated power in W (>= 0), tilt 0 flat to 90 upright, bearing, share lost after the rating, ground.

    ``shade`` is what snow and shade take of the rest in each month, January first; none where it is empty.
    Raises ValueError for values outside these ranges; shares are 0 to 1, the loss below 1.
    """

    rated_w: float
    tilt_deg: float
    facing: Facing = Facing.EQUATOR
    loss_share: float = DEFAULT_LOSS_SHARE
    ground_reflectance: float = GROUND_REFLECTANCE
    shade: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if not (0 <= self.rated_w < float("inf") and 0 <= self.tilt_deg <= 90):
            raise ValueError("a panel's rated power is 0 or more, its tilt 0 to 90 degrees")
        if not (0 <= self.loss_share < 1 and all(0 <= share <= 1 for share in (self.ground_reflectance, *self.shade))):
            raise ValueError("shares are 0 to 1")
        if len(self.shade) not in (0, 12):
            raise ValueError("a loss for each of the twelve months")

    def lost_share(self, month: int) -> float:
        """Return the share lost in a month, 1 to 12: after the rating, and to snow and shade."""
        return 1 - (1 - self.loss_share) * (1 - self.shade[month - 1]) if self.shade else self.loss_share


def season_of(month: int, northern: bool) -> int:
    """Return the season of a month, 1 to 12: 0 winter to 3 autumn, three months each, winter from December."""
    return (month % 12 // 3 + (0 if northern else 2)) % 4


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
        seasons_c, northern = (winter_c, spring_c, summer_c, autumn_c), latitude_deg >= 0
        by_month = tuple(seasons_c[season_of(month, northern)] for month in range(1, 13))
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


def harvest_of_day_wh(latitude_deg: float, panel: Panel, day_of_year: int, clearness: float, month: int) -> float:
    """Return what a panel gives on a single day of this clearness, 0 to 1."""
    above_air, sunset_deg, beam = sun_of_day(latitude_deg, day_of_year, panel.tilt_deg, panel.facing.from_equator_deg)
    diffuse = diffuse_share_of_day(clearness, sunset_deg)
    plane = plane_mj_per_m2(above_air * clearness, diffuse, beam, panel.tilt_deg, panel.ground_reflectance)
    return panel_wh(panel.rated_w, plane, panel.lost_share(month))


def _mean_day_wh(latitude_deg: float, panel: Panel, day_of_year: int, clearness: float, month: int) -> float:
    """Return the harvest of a month's mean day, as the correlations for months have it."""
    plane = plane_under_sky_mj_per_m2(
        latitude_deg, day_of_year, clearness, panel.tilt_deg, panel.facing.from_equator_deg, panel.ground_reflectance
    )
    return panel_wh(panel.rated_w, plane, panel.lost_share(month))


def _mean_of_days_wh(latitude_deg: float, panel: Panel, day_of_year: int, clearness: float, month: int) -> float:
    """Return the mean harvest over the dark and bright days of a month of this mean clearness."""
    shares = [(n + 0.5) / _DAYS_LOOKED_AT for n in range(_DAYS_LOOKED_AT)]
    return fmean(
        harvest_of_day_wh(latitude_deg, panel, day_of_year, clearness_of_day(clearness, share), month)
        for share in shares
    )


@lru_cache(maxsize=64)
def monthly_harvest_wh(latitude_deg: float, panel: Panel, sky: MonthlySky) -> tuple[Estimate[float], ...]:
    """Return the mean daily harvest of each month in Wh, January first, temperature aside.

    The range is that of the sky's. It is sorted, as a steep panel that faces away from the equator gets more from
    clouds than from a clear sky.
    """
    of_day = _mean_day_wh if isinstance(sky, Sky) else _mean_of_days_wh

    def harvest(month: int, clearness: float) -> float:
        return fmean(of_day(latitude_deg, panel, day, clearness, month) for day in days_of_month(latitude_deg, month))

    months = []
    for month in range(1, 13):
        clearness = sky.clearness_in(latitude_deg, month)
        low, expected, high = (harvest(month, each) for each in (clearness.low, clearness.expected, clearness.high))
        months.append(Estimate(min(low, expected, high), expected, max(low, expected, high)))
    return tuple(months)


def daily_harvest_wh(
    latitude_deg: float, panel: Panel, sky: MonthlySky, day: date, rule: ChargeRule
) -> Estimate[float]:
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
    """A panel at its site: latitude (north positive), panel, sky and when the battery may charge."""

    latitude_deg: float
    panel: Panel
    sky: MonthlySky
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
