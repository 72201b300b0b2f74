"""The solar panel of a shoot, its sky and its temperatures, read from the typed quantities."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import cached_property

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.cells import Cell
from webcalc.calc.power.panel import DEFAULT_LOSS_SHARE, ChargeRule, Facing, Panel, Sky, TopUp
from webcalc.web.link.inputs import Inputs
from webcalc.web.shoot.place import ShootPlace

#: Seasons as their names end, in the order of ``ChargeRule.seasonal``.
SEASON_NAMES = ("temp_winter", "temp_spring", "temp_summer", "temp_autumn")
#: Names whose wrong value would make any harvest wrong.
PANEL_NAMES = ("panel_w", "panel_tilt", "panel_facing", "sky", "panel_loss", *SEASON_NAMES)


class ShootPanel:
    """What the typed quantities say of a panel that charges the battery; ``cell`` is the type it charges.

    A panel is there once its watts are typed. Everything else may be known without it, so that the smallest panel can
    be looked for.
    """

    def __init__(self, inputs: Inputs, cell: Cell) -> None:
        self.inputs = inputs
        self.cell = cell

    @property
    def typed(self) -> bool:
        """Whether there is a panel, be it one that can't be read."""
        return self.inputs.has("panel_w") or "panel_w" in self.inputs.errors

    @property
    def rated_w(self) -> float | None:
        """Return its rated power."""
        return float(self.inputs.get("panel_w")) if self.inputs.has("panel_w") else None

    @property
    def facing(self) -> Facing:
        """Return where it faces: the equator where nothing is said."""
        return Facing(self.inputs.get("panel_facing", Facing.EQUATOR.value))

    @property
    def loss_share(self) -> float:
        """Return the share lost between its rating and the battery."""
        loss = self.inputs.get("panel_loss")
        return DEFAULT_LOSS_SHARE if loss is None else float(loss) / 100

    @cached_property
    def latitude_deg(self) -> float | None:
        """Return the site's latitude; the longitude may be missing, as the harvest doesn't need it."""
        site = ShootPlace(self.inputs, None).site
        if site is not None:
            return site.latitude_deg
        return float(self.inputs.get("lat")) if self.inputs.has("lat") else None

    @property
    def missing(self) -> list[str]:
        """Return the names to fill in, watts aside, before there is a harvest."""
        has = self.inputs.has
        names = [name for name in ("panel_tilt", "sky") if not has(name)]
        if self.latitude_deg is None:
            names.append("lat")
        if not has("temp_c") and not has(*SEASON_NAMES):
            names.append("temp_c")
        return names + [name for name in PANEL_NAMES if name in self.inputs.errors and name not in names]

    @property
    def rule(self) -> ChargeRule | None:
        """Return when the battery may be charged, by its type's limits; None while a temperature isn't known."""
        get = self.inputs.get
        seasons = [get(name, get("temp_c")) for name in SEASON_NAMES]
        if self.latitude_deg is None or None in seasons or not self.cell.charge_limits_c:
            return None
        return ChargeRule.seasonal(self.latitude_deg, *(float(c) for c in seasons), *self.cell.charge_limits_c)

    def top_up_of(self, rated_w: float) -> TopUp | None:
        """Return what a panel of so many watts would add, mounted as typed; None while something isn't known."""
        rule = self.rule
        if self.missing or rule is None or self.latitude_deg is None:
            return None
        panel = Panel(rated_w, float(self.inputs.get("panel_tilt")), self.facing, self.loss_share)
        return TopUp(self.latitude_deg, panel, Sky(self.inputs.get("sky")), rule)

    @cached_property
    def top_up(self) -> TopUp | None:
        """Return what the panel adds; None without a panel or while something isn't known."""
        return None if self.rated_w is None else self.top_up_of(self.rated_w)

    @property
    def harvests(self) -> Estimate[Callable[[date], float]] | None:
        """Return the watt-hours that the battery takes on a date, each end as a function; None without a panel."""
        return None if self.top_up is None else self.top_up.harvests()
