"""One panel question, worked out: what the page ``/solar`` shows, and what other pages tell of a panel."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import runtime
from webcalc.calc.power.panel import TopUp, monthly_harvest_wh
from webcalc.calc.power.panel_balance import Balance, PanelMonth, Store, balance_range, smallest_rated_w
from webcalc.calc.power.runtime import Runtime
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked
from webcalc.web.questions.battery.case import BatteryCase

#: How far the months of a shoot without an end are looked at: once round the year.
OPEN_END_DAYS = 364
DAY_H = 24
#: A date and the share of the usable energy left on it.
Left = tuple[date, Estimate[float]]


class SolarCase:
    """A shoot seen from its panel.

    Everything by date comes from the walk to the minute that the battery page uses, so that the two can't differ;
    only the months are summed day by day.
    """

    def __init__(self, asked: Asked, case: BatteryCase | None = None) -> None:
        self.asked = asked
        self.say = asked.say
        self.case = case or BatteryCase(asked)
        self.panel = self.case.battery.panel
        self.top_up: TopUp | None = self.panel.top_up

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is a balance; watts may stay blank, the smallest are looked for."""
        names = [*self.panel.missing, *self.case.needs, *(["last"] if self.case.open_end else [])]
        return list(dict.fromkeys(names))

    @cached_property
    def by_month(self) -> tuple[Estimate[float], ...] | None:
        """Return what the panel offers on the mean day of each month in Wh, January first; temperature aside."""
        top_up = self.top_up
        return monthly_harvest_wh(top_up.latitude_deg, top_up.panel, top_up.sky) if top_up else None

    # -- the months -----------------------------------------------------------------------------------------

    @cached_property
    def balances(self) -> Estimate[Balance] | None:
        """Return load and harvest summed by month; a shoot without an end is taken for a year."""
        case, usable = self.case, self.case.usable
        if self.top_up is None or case.needs or case.recorded_day is None or not usable or usable.low <= 0:
            return None
        schedule, supply = case.schedule, case.battery.supply
        last = min(schedule.last, schedule.first + timedelta(OPEN_END_DAYS)) if case.open_end else schedule.last
        lost_wh = Estimate(
            runtime.self_discharge_w(supply.rated_wh.low, supply.self_discharge_per_month.low) * DAY_H,
            runtime.self_discharge_w(supply.rated_wh.expected, supply.self_discharge_per_month.expected) * DAY_H,
            runtime.self_discharge_w(supply.rated_wh.high, supply.self_discharge_per_month.high) * DAY_H,
        )
        recorded, idle = (
            Estimate(day.low + lost_wh.low, day.expected + lost_wh.expected, day.high + lost_wh.high)
            for day in (case.recorded_day, case.idle_day)
        )
        stores = usable.map(lambda wh: Store(wh, case.battery.reserve_share))
        return balance_range(
            schedule.first, last, stores, lambda day: recorded if schedule.records_on(day) else idle, self.top_up
        )

    @property
    def worst_month(self) -> Estimate[PanelMonth] | None:
        """Return the month with the least gain at the pessimistic end, as each end has it."""
        if self.balances is None:
            return None
        at = self.balances.low.months.index(self.balances.low.worst_month)
        return self.balances.map(lambda balance: balance.months[at])

    @property
    def worst_harvest_wh(self) -> Estimate[float] | None:
        """Return what the battery can take on a mean day of the worst month."""
        months = self.worst_month
        return months.map(lambda month: (month.gross_wh - month.frozen_wh) / month.days) if months else None

    @property
    def worst_load_wh(self) -> float | None:
        """Return what is drawn on a mean day of the worst month, self-discharge too, at the pessimistic end."""
        months = self.worst_month
        return months.low.load_wh / months.low.days if months else None

    # -- the walk -------------------------------------------------------------------------------------------

    @property
    def runtime(self) -> Runtime | None:
        """Return how long the battery lasts with the panel; None without one, or while something isn't known."""
        return self.case.runtime if self.panel.typed and not self.needs else None

    @property
    def carries(self) -> bool | None:
        """Whether the battery stays above its reserve to the last day, at the pessimistic end."""
        return self.runtime.lasts if self.runtime else None

    @cached_property
    def lows(self) -> tuple[Left, ...] | None:
        """Return the lowest state of each day: before noon's harvest, and at the shoot's end."""
        case = self.case
        if self.runtime is None:
            return None
        rows = runtime.energy_left_by_noon(case.schedule, case.recording, case.load, case.battery.supply)
        return (*rows, (case.schedule.ends_at.date(), case.left_at_end))

    def lowest(self, end: str) -> tuple[date, float] | None:
        """Return the first date of the lowest state at an end of the range, and that state."""
        if not self.lows:
            return None
        day, left = min(self.lows, key=lambda row: getattr(row[1], end))
        return day, getattr(left, end)

    @cached_property
    def can_size(self) -> bool:
        """Whether enough is known to look for the smallest panel."""
        return not self.needs and self.case.load is not None and self.panel.top_up_of(0.0) is not None

    @cached_property
    def smallest_w(self) -> float | None:
        """Return the smallest panel, mounted as typed, that carries at the pessimistic end; 0 if none is needed."""
        return smallest_rated_w(self._carried_by) if self.can_size else None

    def _carried_by(self, rated_w: float) -> bool:
        case, top_up = self.case, self.panel.top_up_of(rated_w)
        supply = replace(case.battery.supply, harvest_wh=top_up.harvests())
        reserve = case.battery.reserve_share
        return runtime.lasts_at_worst(case.schedule, case.recording, case.load, supply, reserve_share=reserve)

    # -- data -----------------------------------------------------------------------------------------------

    @property
    def summary(self) -> dict[str, Any] | None:
        """Return what other pages' data tell of the panel; None without one."""
        if not self.panel.typed:
            return None
        month = self.worst_month
        return {
            "panel_w": self.panel.rated_w,
            "worst_month": month_key(month.low) if month else None,
            "worst_month_harvest_wh_per_day": ends(self.worst_harvest_wh),
            "worst_month_load_wh_per_day": self.worst_load_wh,
            "carries": self.carries,
        }


def month_key(month: PanelMonth) -> str:
    """Return a month as ISO 8601 writes it."""
    return f"{month.year:04}-{month.month:02}"
