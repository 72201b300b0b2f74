"""How much of the sun comes through the air in each month: by one class of sky, or by what is known of the site."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import Protocol

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.dark_runs import DARKEST, spread_of_months
from webcalc.calc.power.irradiation import (
    MJ_PER_KWH,
    MONTH_MEAN_DAYS,
    clearness_of_sky,
    fao_extraterrestrial_mj_per_m2,
    is_beyond_fao_winter_range,
)

#: Beyond this latitude a month's mean day can be polar night while the month isn't: its days are summed.
MEAN_DAY_LATITUDE_DEG = 65.0
#: Mean clearness of the darkest months there are; from memory: published values of FAO-56's constant for a sky without
#: sunshine lie between about 0.15 and 0.3, by site.
DARKEST_MONTH = 0.15
#: One month of ten is this many standard deviations darker than its mean, one of ten brighter (normal distribution).
ONE_IN_TEN = 1.28
#: Clearness of a sky without a cloud, FAO-56's own upper end.
CLEAREST = clearness_of_sky(1)
_MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
#: Less than this above the air is no sun to speak of, MJ.
_NIGHT_MJ = 0.05


def days_of_month(latitude_deg: float, month: int) -> tuple[int, ...]:
    """Return the days of the year that stand for a month, 1 to 12: Klein's one, or all of them near the poles."""
    if abs(latitude_deg) <= MEAN_DAY_LATITUDE_DEG:
        return (MONTH_MEAN_DAYS[month - 1],)
    before = sum(_MONTH_DAYS[: month - 1])
    return tuple(range(before + 1, before + _MONTH_DAYS[month - 1] + 1))


@lru_cache(maxsize=256)
def above_air_mj_per_m2(latitude_deg: float, month: int) -> float:
    """Return the mean energy of a day of a month on the level above the air, MJ per square metre."""
    days = days_of_month(latitude_deg, month)
    return sum(fao_extraterrestrial_mj_per_m2(latitude_deg, day) for day in days) / len(days)


class MonthlySky(Hashable, Protocol):
    """What tells how clear the air is, month by month."""

    def clearness_in(self, latitude_deg: float, month: int) -> Estimate[float]:
        """Return the mean clearness of a month, 1 to 12."""


class Sky(Enum):
    """Typical sky of a whole year, from dark to bright. The outer two are the ends of FAO-56's own scale."""

    OVERCAST = "overcast"
    MIXED = "mixed"
    CLEAR = "clear"

    @property
    def sunshine_share(self) -> float:
        """Bright hours over possible hours, FAO-56's n/N."""
        return {Sky.OVERCAST: 0.0, Sky.MIXED: 0.5, Sky.CLEAR: 1.0}[self]

    def clearness_in(self, latitude_deg: float, month: int) -> Estimate[float]:
        """Return a month's mean clearness, between that of the next darker sky and of the next brighter one.

        Darker than overcast are the darkest months there are. Where FAO-56 warns of its own formula (winter beyond 55°)
        the ends are at least its darkest and its brightest sky.
        """
        skies = list(Sky)
        here = skies.index(self)
        if is_beyond_fao_winter_range(latitude_deg, MONTH_MEAN_DAYS[month - 1]):
            near = skies
        else:
            near = skies[max(0, here - 1) : here + 2]
        low = DARKEST_MONTH if self is Sky.OVERCAST else clearness_of_sky(near[0].sunshine_share)
        return Estimate(low, clearness_of_sky(self.sunshine_share), clearness_of_sky(near[-1].sunshine_share))


@dataclass(frozen=True)
class SiteSun:
    """The site's own sun, January first: shares of sunshine n/N (0 to 1), or kWh per square metre and day on the level.

    What is measured in kWh counts where both are known.
    """

    sunshine: tuple[float, ...] = ()
    kwh: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if {len(self.sunshine), len(self.kwh)} - {0, 12} or not (self.sunshine or self.kwh):
            raise ValueError("a value for each of the twelve months")

    def measured_clearness(self, latitude_deg: float, month: int) -> float | None:
        """Return the typed kWh over the sun above the air; None where there is no such sun, or where none were typed.

        More than ``CLEAREST`` can't be right.
        """
        above_air = above_air_mj_per_m2(latitude_deg, month)
        return self.kwh[month - 1] * MJ_PER_KWH / above_air if self.kwh and above_air > _NIGHT_MJ else None

    def mean_in(self, latitude_deg: float, month: int) -> float:
        """Return a month's mean clearness, no more than ``CLEAREST``."""
        if self.kwh:
            measured = self.measured_clearness(latitude_deg, month)
            return DARKEST if measured is None else min(CLEAREST, measured)
        return clearness_of_sky(self.sunshine[month - 1])

    def clearness_in(self, latitude_deg: float, month: int) -> Estimate[float]:
        """Return a month's mean clearness, between a month as dark as one of ten is and one as bright.

        Where FAO-56 warns of its own formula the low end is at least its darkest sky, unless the sun was measured.
        """
        mean = self.mean_in(latitude_deg, month)
        either_way = ONE_IN_TEN * spread_of_months(mean)
        low, high = min(mean, max(DARKEST, mean - either_way)), min(CLEAREST, mean + either_way)
        if not self.kwh and is_beyond_fao_winter_range(latitude_deg, MONTH_MEAN_DAYS[month - 1]):
            low = min(low, clearness_of_sky(Sky.OVERCAST.sunshine_share))
        return Estimate(low, mean, high)
