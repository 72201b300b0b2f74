"""The solar panel of a shoot: its sky and temperatures, what the battery takes from it, and whether that carries it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from operator import add
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import runtime
from webcalc.calc.power.panel import ChargeRule, Facing, Panel, TopUp, monthly_harvest_wh
from webcalc.calc.power.panel_balance import Balance, PanelMonth, Store, balance_range, smallest_rated_w
from webcalc.calc.power.sky import MonthlySky, SiteSun, Sky
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, said, united

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Seasons in the order of ``ChargeRule.seasonal``.
SEASON_NAMES = ("temp_winter", "temp_spring", "temp_summer", "temp_autumn")
#: How far the months of a shoot without an end are looked at: once round the year.
OPEN_END_DAYS = 364
#: A date and the share of the usable energy left on it.
Left = tuple[date, Estimate[float]]


@dataclass(frozen=True, eq=False)
class ShootPanel:
    """What the typed quantities say of a panel that charges the battery.

    A panel is there once its watts are typed. Everything else may be known without it, so that the smallest panel can
    be looked for. What is told by date comes from the walk to the minute that the battery is judged by, so that the two
    can't differ; only the months are summed day by day.
    """

    shoot: Shoot

    @property
    def typed(self) -> bool:
        """Whether there is a panel, be it one that can't be read."""
        return given(self.shoot.panel_w)

    @property
    def asked_for(self) -> tuple[str, ...]:
        """The names to fill in before there is a balance; watts may stay blank: the smallest are looked for."""
        found = self.top_up if self.typed else self.top_up_of(0.0)
        lacking = united(found, self.shoot.battery.runtime, self.shoot.last_day)
        return lacking.names if lacking is not None else ()

    @figure
    def rated_w(self) -> float | None:
        """Its rated power; None without a panel."""
        watts = need(self.shoot.panel_w)
        return None if watts is None else float(watts)

    @figure
    def facing(self) -> Facing:
        """Where it faces."""
        return Facing(need(self.shoot.panel_facing))

    @figure
    def losses(self) -> tuple[float, tuple[float, ...]]:
        """The share lost between its rating and the battery, and of the rest in each month to snow and shade."""
        shade, loss = need(self.shoot.panel_shade, self.shoot.panel_loss)
        return float(loss) / 100, tuple(float(each) / 100 for each in shade or ())

    @figure
    def refused(self) -> bool:
        """Whether no panel may charge cells of this type."""
        return not need(self.shoot.battery.cell_used).charge_limits_c

    @figure
    def rule(self) -> ChargeRule:
        """When the battery may be charged, by its type's limits; not known for a type that isn't charged."""
        seasons = [getattr(self.shoot, name) for name in SEASON_NAMES]
        seasons = [season if given(season) else self.shoot.temp_c for season in seasons]
        winter, spring, summer, autumn, latitude, cell = need(
            *seasons, self.shoot.daylight.latitude_deg, self.shoot.battery.cell_used
        )
        if not cell.charge_limits_c:
            raise ask("cell")
        return ChargeRule.seasonal(
            latitude, *(float(c) for c in (winter, spring, summer, autumn)), *cell.charge_limits_c
        )

    @figure
    def site_sun(self) -> SiteSun | None:
        """The site's own sun by month; None where only a class of sky is known."""
        if given(self.shoot.sun_kwh):
            return SiteSun(kwh=tuple(map(float, said(self.shoot.sun_kwh))))
        sunshine = need(self.shoot.sunshine)
        return SiteSun(tuple(float(percent) / 100 for percent in sunshine)) if sunshine is not None else None

    @figure
    def sky(self) -> MonthlySky:
        """The site's own sun, else its class of sky."""
        own = need(self.site_sun)
        return own if own is not None else Sky(need(self.shoot.sky))

    @figure
    def mounted(self) -> tuple[Panel, MonthlySky]:
        """How it is mounted, whatever its watts, and under which sky."""
        typed = self.shoot.panel_tilt
        flat = known(typed) and not typed  # and so faces nowhere
        faces = Facing.EQUATOR if flat else self.facing
        tilt, sky, facing, losses = need(typed, self.sky, faces, self.losses)
        loss_share, shade = losses
        return Panel(0.0, float(tilt), facing, loss_share, shade=shade), sky

    @figure_for
    def top_up_of(self, rated_w: float) -> TopUp | None:
        """What a panel of so many watts would add, mounted as typed; None where the battery can't be charged."""
        if self.refused is True:
            return None
        mounted, latitude, rule = need(self.mounted, self.shoot.daylight.latitude_deg, self.rule)
        panel, sky = mounted
        return TopUp(latitude, replace(panel, rated_w=rated_w), sky, rule)

    @figure
    def top_up(self) -> TopUp | None:
        """What the panel adds; None without one."""
        watts, _mounted = need(self.rated_w, self.top_up_of(0.0) if self.typed else None)
        return None if watts is None else need(self.top_up_of(watts))

    @figure
    def harvests(self) -> Estimate[Callable[[date], float]] | None:
        """The watt-hours that the battery takes on a date, each end as a function; None without a panel."""
        top_up = need(self.top_up)
        return None if top_up is None else top_up.harvests()

    @figure
    def by_month(self) -> tuple[Estimate[float], ...]:
        """What it offers on the mean day of each month in Wh, January first, temperature aside; empty without one."""
        if not self.typed or self.refused is True:
            return ()
        watts, latitude, mounted, _cell = need(
            self.rated_w, self.shoot.daylight.latitude_deg, self.mounted, self.refused
        )
        panel, sky = mounted
        return monthly_harvest_wh(latitude, replace(panel, rated_w=said(watts)), sky)

    # -- the months -----------------------------------------------------------------------------------------

    @figure_for
    def lost_in_a_day(self) -> Estimate[float]:
        """What the battery loses by itself on a day, Wh."""
        supply = need(self.shoot.battery.supply_alone)
        lost_w = supply.rated_wh.with_(supply.self_discharge_per_month, runtime.self_discharge_w)
        return lost_w.map(lambda watts: runtime.DAY_H * watts)

    @figure
    def day_loads(self) -> tuple[Estimate[float], Estimate[float]]:
        """What a recorded and an idle date draw in Wh, self-discharge too."""
        battery = self.shoot.battery
        lost, *days = need(self.lost_in_a_day(), battery.draws.recorded_day, battery.draws.idle_day)
        recorded, idle = (day.with_(lost, add) for day in days)
        return recorded, idle

    @figure
    def looked_at_until(self) -> date:
        """The last day, or a year on where there is none."""
        schedule = need(self.shoot.battery.schedule)
        if self.shoot.battery.open_end:
            return min(schedule.last, schedule.first + timedelta(OPEN_END_DAYS))
        return schedule.last

    @figure
    def balances(self) -> Estimate[Balance] | None:
        """Load and harvest summed by month; a shoot without an end is taken for a year; None without a panel."""
        if not self.typed:
            return None
        battery = self.shoot.battery
        top_up, usable, schedule, last, reserve, loads = need(
            *(self.top_up, battery.usable_wh, battery.schedule, self.looked_at_until),
            *(battery.reserve_share, self.day_loads),
        )
        if top_up is None:
            return None
        if usable.low <= 0:
            return None
        recorded, idle = loads
        stores = usable.map(lambda wh: Store(wh, reserve))
        return balance_range(
            schedule.first, last, stores, lambda day: recorded if schedule.records_on(day) else idle, top_up
        )

    @figure
    def worst_month(self) -> Estimate[PanelMonth] | None:
        """The month with the least gain at the pessimistic end, as each end has it; None without a panel."""
        balances = need(self.balances)
        if balances is None:
            return None
        at = balances.low.months.index(balances.low.worst_month)
        return balances.map(lambda balance: balance.months[at])

    @figure
    def worst_month_harvest_wh_per_day(self) -> Estimate[float] | None:
        """What the battery can take on a mean day of the worst month."""
        months = need(self.worst_month)
        return months.map(lambda month: (month.gross_wh - month.frozen_wh) / month.days) if months else None

    @figure
    def worst_month_load_wh_per_day(self) -> float | None:
        """What is drawn on a mean day of the worst month, self-discharge too, at the pessimistic end."""
        months = need(self.worst_month)
        return months.low.load_wh / months.low.days if months else None

    @figure
    def autonomy_days(self) -> Estimate[float] | None:
        """The days without sun from full to empty, with the heaviest load; None where nothing is drawn."""
        balances = need(self.balances)
        if balances is None or not balances.low.heaviest_wh:
            return None
        return balances.map(lambda balance: balance.autonomy_days or 0.0)

    # -- the walk -------------------------------------------------------------------------------------------

    @figure
    def carries(self) -> bool | None:
        """Whether the battery stays above its reserve to the last day, at the pessimistic end; None without a panel."""
        found, _last = need(self.shoot.battery.runtime_to_end if self.typed else None, self.shoot.last_day)
        return found.lasts if found else None

    @figure
    def lows(self) -> tuple[Left, ...]:
        """The lowest state of each day: before noon's harvest, and at the shoot's end; empty without a panel."""
        if not self.typed:
            return ()
        battery = self.shoot.battery
        supply, drawn, schedule, recording, left = need(
            *(battery.supply, battery.draws.load, self.shoot.schedule, self.shoot.recording),
            battery.left_at_end_share,
        )
        rows = runtime.energy_left_by_noon(schedule, recording, drawn, supply)
        return (*rows, (schedule.ends_at.date(), left))

    @figure_for
    def lowest(self, end: str) -> tuple[date, float] | None:
        """The first date of the lowest state at an end of the range, and that state; None without a panel."""
        lows = need(self.lows)
        if not lows:
            return None
        day, left = min(lows, key=lambda row: float(getattr(row[1], end)))
        return day, getattr(left, end)

    @figure
    def smallest_panel_w(self) -> float | None:
        """The smallest panel, mounted as typed, that carries at the pessimistic end; 0 if none is needed.

        On mean days; where the site's own sun is known, on dark ones too, as often as people rely on. None where no
        panel does, or may.
        """
        battery = self.shoot.battery
        sun = self.site_sun
        top_up, supply, drawn, schedule, recording, reserve, *_ = need(
            *(self.top_up_of(0.0), battery.supply_alone, battery.draws.load, self.shoot.schedule),
            *(self.shoot.recording, battery.reserve_share, sun if sun is None else battery.since),
        )
        if top_up is None:
            return None

        def carried_by(rated_w: float) -> bool:
            larger = replace(top_up, panel=replace(top_up.panel, rated_w=rated_w))
            with_sun = replace(supply, harvest_wh=larger.harvests())
            if not runtime.lasts_at_worst(schedule, recording, drawn, with_sun, reserve_share=reserve):
                return False
            if sun is None or battery.dark_runs.carried_anyhow_with(larger) is True:
                return True  # by mean days, or whatever the days
            return need(battery.dark_runs.chance_with(larger)).is_usual

        return smallest_rated_w(carried_by)
