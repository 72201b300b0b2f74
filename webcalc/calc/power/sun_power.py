"""The solar panel of a shoot, its sky and its temperatures, and what the battery takes from it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.panel import ChargeRule, Facing, Panel, Sky, TopUp
from webcalc.calc.unknown import figure, figure_for, given, need

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Seasons in the order of ``ChargeRule.seasonal``.
SEASON_NAMES = ("temp_winter", "temp_spring", "temp_summer", "temp_autumn")


@dataclass(frozen=True, eq=False)
class ShootPanel:
    """What the typed quantities say of a panel that charges the battery.

    A panel is there once its watts are typed. Everything else may be known without it, so that the smallest panel can
    be looked for.
    """

    shoot: Shoot

    @property
    def typed(self) -> bool:
        """Whether there is a panel, be it one that can't be read."""
        return given(self.shoot.panel_w)

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
    def loss_share(self) -> float:
        """The share lost between its rating and the battery."""
        return float(need(self.shoot.panel_loss)) / 100

    @figure
    def rule(self) -> ChargeRule | None:
        """When the battery may be charged, by its type's limits; None where the type has none or isn't charged."""
        seasons = [getattr(self.shoot, name) for name in SEASON_NAMES]
        seasons = [season if given(season) else self.shoot.temp_c for season in seasons]
        winter, spring, summer, autumn, latitude = need(*seasons, self.shoot.daylight.latitude_deg)
        limits = need(self.shoot.battery.pack).type_used.charge_limits_c
        if not limits:
            return None
        return ChargeRule.seasonal(latitude, *(float(c) for c in (winter, spring, summer, autumn)), *limits)

    @figure_for
    def top_up_of(self, rated_w: float) -> TopUp | None:
        """What a panel of so many watts would add, mounted as typed; None where the battery can't be charged."""
        rule, latitude, tilt, facing, loss = need(
            self.rule, self.shoot.daylight.latitude_deg, self.shoot.panel_tilt, self.facing, self.loss_share
        )
        sky = need(self.shoot.sky)
        return None if rule is None else TopUp(latitude, Panel(rated_w, float(tilt), facing, loss), Sky(sky), rule)

    @figure
    def top_up(self) -> TopUp | None:
        """What the panel adds; None without a panel."""
        watts = need(self.rated_w)
        return None if watts is None else need(self.top_up_of(watts))

    @figure
    def harvests(self) -> Estimate[Callable[[date], float]] | None:
        """The watt-hours that the battery takes on a date, each end as a function; None without a panel."""
        top_up = need(self.top_up)
        return None if top_up is None else top_up.harvests()
