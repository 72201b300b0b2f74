"""The length of a shoot as people say it, "six weeks" or "three months", and the last day that it gives."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS, MEAN_MONTH_DAYS
from webcalc.calc.visits.rhythms import add_months

_LONGEST_MONTH_DAYS = 31
_MOST_MONTHS = 120


@dataclass(frozen=True)
class ShootLength:
    """Calendar months and days, first and last day both counted.

    months, days : >= 0, together at least one day and never more than ``LONGEST_SHOOT_DAYS`` whatever the first day is;
        raises ValueError otherwise
    """

    months: int = 0
    days: int = 0

    def __post_init__(self) -> None:
        most_days = _LONGEST_MONTH_DAYS * self.months + self.days
        whole_years = self.months <= _MOST_MONTHS and not self.days
        if min(self.months, self.days) < 0 or not most_days or (most_days > LONGEST_SHOOT_DAYS and not whole_years):
            raise ValueError("a shoot takes from one day to ten years")


def last_day(first: date, length: ShootLength) -> date:
    """Return the last day of a shoot of this length.

    Months are those of the calendar: three months from 1 March end on 31 May, from 31 January on 29 or 30 April. Where
    the month that is reached has no such day, its last day counts as that day.
    """
    return add_months(first, length.months) + timedelta(length.days - 1)


@formula("clip_s_per_month", "clip_s * 146097 / 4800 / calendar_days", "a month of 30.436875 days; " + ARITHMETIC)
def clip_s_per_month(clip_s: Fraction, calendar_days: int) -> Fraction:
    """Return the seconds of clip that a mean month of the shoot gives; ``calendar_days`` >= 1.

    Means little for a shoot that is shorter than a month.
    """
    return clip_s * MEAN_MONTH_DAYS / calendar_days
