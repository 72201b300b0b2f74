"""What the shoot allows: the mean draw at which the battery just lasts, and which kinds of camera stay below it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power import load, shoot_energy
from webcalc.calc.power.draws import over
from webcalc.calc.power.kinds import KINDS
from webcalc.calc.power.runtime import DAY_H, MONTH_H, budget_wh
from webcalc.calc.unknown import ask, figure, known, need

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Lengths to tell an allowance for while it isn't known how long the shoot is: a month, three, six, a year.
LENGTHS_DAYS = (30, 91, 182, 365)
#: Usable and rated energy, what it loses a month, the reserve.
_Battery = tuple[Estimate[float], Estimate[float], Estimate[float], float]


@formula(
    "allowed_mean_w",
    "max(0, budget_wh / span_h - rated_wh * share_per_month / 730.485)",
    "energy above the reserve over the hours, less self-discharge; month of 730.485 h; " + ARITHMETIC,
)
def allowed_mean_w(budget_wh: float, span_h: float, rated_wh: float, share_per_month: float) -> float:
    """Return the constant draw at which a battery reaches its reserve after ``span_h`` (> 0); 0 if none is left."""
    return max(0, budget_wh / span_h - rated_wh * share_per_month / MONTH_H)


def _allowed(battery: _Battery, span_h: float) -> Estimate[float]:
    usable, rated, lost, reserve = battery
    return Estimate(
        allowed_mean_w(budget_wh(usable.low, reserve), span_h, rated.low, lost.high),
        allowed_mean_w(budget_wh(usable.expected, reserve), span_h, rated.expected, lost.expected),
        allowed_mean_w(budget_wh(usable.high, reserve), span_h, rated.high, lost.low),
    )


@dataclass(frozen=True)
class KindOfCamera:
    """What a kind of camera draws on average over the shoot, and whether the battery lasts with it.

    lasts : at the pessimistic end; None where only as expected
    """

    name: str
    mean_w: Estimate[float]
    lasts: bool | None


@dataclass(frozen=True, eq=False)
class ShootAllowance:
    """The shoot seen from its battery alone, whatever draws on it."""

    shoot: Shoot

    @figure
    def mean_w(self) -> Estimate[float] | None:
        """The constant draw at which the shoot just lasts, each end by that end of the battery.

        None with a panel: what it allows is no fixed energy.
        """
        if self.shoot.battery.panel.typed:
            need(self.shoot.panel_w)
            return None
        schedule, battery = need(self.shoot.schedule, self._battery)
        return _allowed(battery, shoot_energy.shoot_span_h(schedule))

    @figure
    def by_days(self) -> tuple[tuple[int, Estimate[float]], ...]:
        """The same for lengths in whole days, however long the shoot is; empty with a panel."""
        if self.shoot.battery.panel.typed:
            need(self.shoot.panel_w)
            return ()
        battery = need(self._battery)
        return tuple((days, _allowed(battery, days * DAY_H)) for days in LENGTHS_DAYS)

    @figure
    def _battery(self) -> _Battery:
        battery = self.shoot.battery
        return need(battery.usable_wh, battery.rated_wh, battery.lost_a_month, battery.reserve_share)

    @figure
    def kinds(self) -> tuple[KindOfCamera, ...]:
        """Every kind of camera beside the allowance; what else was typed counts, draws that were typed replace its own.

        Empty with a panel.
        """
        counted = (self.shoot.battery.draws.for_kinds, self.shoot.recording, self.shoot.schedule)
        allowed_w = need(self.mean_w) if known(self.mean_w) else need(self.mean_w, *counted)[0]
        if allowed_w is None:
            return ()
        draws, recording, schedule = need(*counted)
        if not load.kind_completes(load.missing_draws(draws, recording)):
            raise ask("burst_mw")
        span_h, found = shoot_energy.shoot_span_h(schedule), []
        for kind in KINDS.values():
            drawn = load.load_of_kind(draws, kind)
            mean_w = over(drawn, lambda end: shoot_energy.energy_needed_wh(end, recording, schedule) / span_h)
            perhaps = None if mean_w.expected <= allowed_w.expected else False
            found.append(KindOfCamera(kind.name, mean_w, True if mean_w.high <= allowed_w.low else perhaps))
        return tuple(found)
