"""The shoot seen from what was measured on it: batteries used up, hours at a meter, each under its own conditions."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy
from webcalc.calc.power.cells import temperature_factor
from webcalc.calc.power.energy import Pack
from webcalc.calc.power.load import Way
from webcalc.calc.power.measured_run import (
    MAKERS_CADENCE_S,
    MAKERS_TEMP_C,
    MeasuredRun,
    run_of_charge,
    run_of_days,
    run_of_meter,
)
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: How far the share of a battery that two readings of its gauge tell may be off, either way: gauges go in coarse
#: steps, and read wrong under load and in the cold. Own choice, no source.
GAUGE_SPREAD = 0.05
#: The least share that a gauge can tell at all.
LEAST_SHARE = 0.01


@dataclass(frozen=True, eq=False)
class ShootRuns:
    """What was measured: ``lasted`` and ``charge`` on a battery that was seen to the end, ``metered`` at the camera.

    The first run of each is the one to expect; the others may have been meant too.
    """

    shoot: Shoot

    # -- the conditions then --------------------------------------------------------------------------------

    @property
    def by_maker(self) -> bool:
        """Whether frames per charge are a maker's figure."""
        return known(self.shoot.charge_by) and self.shoot.charge_by == "maker"

    @property
    def meter_typed(self) -> bool:
        """Whether all that a meter tells was typed, be it wrongly."""
        return not self.meter_lacks

    @property
    def meter_lacks(self) -> tuple[str, ...]:
        """Return what of a meter's reading is still to be typed."""
        names = ("meter_mah", "meter_v", "meter_min")
        return tuple(name for name in names if not given(getattr(self.shoot, name)))

    @figure
    def interval_then(self) -> Fraction:
        """The interval of a run that was measured: that of the plan, whatever else is tried."""
        return said(self.shoot.lasted_interval if given(self.shoot.lasted_interval) else self.shoot.interval_s)

    @figure_for
    def temp_then_c(self, way: Way) -> float:
        """The temperature then: as planned where nothing was said, a maker's as the standard has it."""
        if given(self.shoot.lasted_temp_c):
            return float(said(self.shoot.lasted_temp_c))
        by = need(self.shoot.charge_by) if way is Way.CHARGE else ""
        return MAKERS_TEMP_C if by == "maker" else need(self.shoot.battery.coldest_c)

    @figure_for
    def then_wh(self, way: Way) -> Estimate[float]:
        """What a camera got out of the battery then: this one, or another of its type that was new."""
        battery = self.shoot.battery
        pack, temp_c, ageing, other_wh = need(
            battery.pack, self.temp_then_c(way), battery.ageing_share, self.shoot.lasted_wh
        )
        if other_wh is not None:
            pack, ageing = Pack(pack.cell, wh=float(other_wh), converter=pack.converter), 0.0
        found = energy.usable_wh(pack, temp_c, ageing)
        if found is None:
            raise ask("battery_wh")
        if found.expected <= 0:
            raise ask("lasted_temp_c")
        return found

    @figure_for
    def now_wh(self, way: Way) -> Estimate[float]:
        """What the battery gives now, against ``then_wh(way).expected``, which the load was taken from.

        Of the same battery only the two temperatures matter: everything else was in what was measured. Cold takes it
        along the low or along the high end of the type's factor, both times along the same. Of another battery the
        ranges of both count.
        """
        battery = self.shoot.battery
        then, now, other_wh, temp_c, temp_then_c, cell = need(
            *(self.then_wh(way), battery.usable_wh, self.shoot.lasted_wh, battery.coldest_c, self.temp_then_c(way)),
            battery.cell_used,
        )
        if other_wh is not None:
            low = now.low * then.expected / then.high
            high = now.high * then.expected / then.low if then.low > 0 else now.high
            return Estimate(low, now.expected, high)
        if temp_c == temp_then_c:
            return Estimate.exact(then.expected)
        left, left_then = temperature_factor(cell, temp_c).left, temperature_factor(cell, temp_then_c).left
        ends = ((left.low, left_then.low), (left.expected, left_then.expected), (left.high, left_then.high))
        # A factor of nothing then isn't that of a battery that lasted.
        shares = [here / there for here, there in ends if there > 0]
        expected = left.expected / left_then.expected
        return Estimate(min(shares), expected, max(shares)).map(lambda share: then.expected * share)

    # -- the runs -------------------------------------------------------------------------------------------

    @figure
    def lasted(self) -> tuple[MeasuredRun, ...]:
        """ "It lasted so many days", or took so much of a battery's gauge in so many; empty if not typed."""
        shoot = self.shoot
        if not given(shoot.lasted_days):
            return ()
        recording = need(shoot.recording)
        then = self.interval_then if recording.stills or recording.burst_s else None
        days, hours, energy_wh, schedule, interval_s, shares = need(
            *(shoot.lasted_days, shoot.lasted_hours, self.then_wh(Way.LASTED), shoot.battery.schedule, then),
            self.shares_used,
        )
        whole = run_of_days(
            energy_wh.expected,
            float(said(days)),
            schedule,
            recording,
            interval_s,
            None if hours is None else float(hours),
        )
        return tuple(replace(whole, energy_wh=whole.energy_wh * share) for share in shares)

    @figure
    def shares_used(self) -> tuple[float, ...]:
        """The share of the battery that the run took, by its gauge; 1 where it was used up."""
        before, after = need(self.shoot.lasted_from, self.shoot.lasted_to)
        if before is None and after is None:
            return (1.0,)
        share = (100.0 if before is None else float(before)) / 100 - (0.0 if after is None else float(after)) / 100
        return (share, max(LEAST_SHARE, share - GAUGE_SPREAD), min(1.0, share + GAUGE_SPREAD))

    @figure
    def charge(self) -> tuple[MeasuredRun, ...]:
        """ "So many frames per charge"; empty if not typed.

        Where it isn't said how fast they were taken it may have been at the standard's cadence, or as planned.
        """
        shoot = self.shoot
        if not given(shoot.charge_frames):
            return ()
        frames, energy_wh, by = said(shoot.charge_frames, self.then_wh(Way.CHARGE), shoot.charge_by)
        cadences = [MAKERS_CADENCE_S]
        if by == "own" or (by == "" and given(shoot.lasted_interval)):
            cadences = [need(self.interval_then)]
        elif by == "":
            cadences.append(need(self.interval_then))
        return tuple(run_of_charge(energy_wh.expected, frames, cadence_s) for cadence_s in cadences)

    @figure
    def metered(self) -> tuple[MeasuredRun, ...]:
        """What a meter read while the camera recorded; empty if not typed."""
        shoot = self.shoot
        if not self.meter_typed:
            return ()
        recording = need(shoot.recording)
        interval_s = self.interval_then if recording.stills else None
        mah, volts, minutes, every_s = need(shoot.meter_mah, shoot.meter_v, shoot.meter_min, interval_s)
        return (run_of_meter(float(said(mah)), float(said(volts)), float(said(minutes)), every_s),)
