"""The battery and the load of a shoot, read from the typed quantities."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction
from functools import cached_property

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy, load, runtime
from webcalc.calc.power.cells import CELLS
from webcalc.calc.power.energy import Pack
from webcalc.calc.power.load import FoundLoad, KnownLoad, Load, Way
from webcalc.calc.power.measured_run import MeasuredRun, run_of_charge, run_of_days
from webcalc.calc.power.runtime import Runtime, Supply
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.web.link import needed_right
from webcalc.web.link.inputs import Inputs
from webcalc.web.shoot.panel import ShootPanel

MILLI = 1_000
#: A converter's efficiency that was typed is taken as this much better or worse.
CONVERTER_SPREAD = 0.05


class ShootBattery:
    """What the typed quantities say of the battery and of what draws on it."""

    def __init__(self, inputs: Inputs, schedule: Schedule | None, planned: Recording) -> None:
        self.inputs = inputs
        self.schedule = schedule
        #: What is recorded by the plan: a run that was measured belongs to its interval, whatever else is tried.
        self.planned = planned

    @cached_property
    def pack(self) -> Pack:
        """Return the battery as it was typed."""
        get = self.inputs.get
        return Pack(
            cell=CELLS.get(get("cell", "")),
            cells=get("cells"),
            wh=_real(get("battery_wh")),
            mah=_real(get("battery_mah")),
            volts=_real(get("battery_v")),
            converter=self._converter(),
        )

    def _converter(self) -> Estimate[float] | None:
        percent = self.inputs.get("converter")
        if percent is None:
            return None
        share = float(percent) / 100
        return Estimate(max(0.01, share - CONVERTER_SPREAD), share, min(1.0, share + CONVERTER_SPREAD))

    @property
    def temp_c(self) -> float | None:
        """Return the temperature to plan for."""
        return _real(self.inputs.get("temp_c"))

    @property
    def ageing_share(self) -> float:
        """Return the share of the capacity that age has taken; none where nothing is said."""
        return float(self.inputs.get("ageing", 0)) / 100

    @property
    def reserve_share(self) -> float:
        """Return the share that is not to be used."""
        reserve = self.inputs.get("battery_reserve")
        return runtime.DEFAULT_RESERVE_SHARE if reserve is None else float(reserve) / 100

    @cached_property
    def panel(self) -> ShootPanel:
        """Return the solar panel and what this battery can take from it."""
        return ShootPanel(self.inputs, self.pack.type_used)

    @cached_property
    def usable_wh(self) -> Estimate[float] | None:
        """Return what the camera gets out of a full battery; None while its energy or temperature isn't known."""
        return None if self.temp_c is None else energy.usable_wh(self.pack, self.temp_c, self.ageing_share)

    @cached_property
    def supply(self) -> Supply | None:
        """Return the battery as the forecast needs it, with what a panel adds.

        None while its energy or temperature isn't known, or while a panel was typed whose harvest isn't known.
        """
        if self.temp_c is None or (self.panel.typed and self.panel.top_up is None):
            return None
        supply = runtime.supply_of(self.pack, self.temp_c, self.ageing_share, self.panel.harvests)
        found = self.found_load(self.planned)
        if supply is None or found is None or found.way not in (Way.LASTED, Way.CHARGE):
            return supply
        return runtime.of_measured_run(supply, with_self_discharge=found.way is Way.LASTED)

    @cached_property
    def known_load(self) -> KnownLoad:
        """Return every way in which the load was typed."""
        get = self.inputs.get
        # A mean current is all there is: taken as drawn round the clock, frames included.
        all_in = self.inputs.has("draw_ma", "draw_v") and not self.inputs.has("standby_mw")
        return KnownLoad(
            standby_w=_real(get("standby_mw"), MILLI),
            standby_ma=_real(get("draw_ma")) if all_in else None,
            recording_w=_real(get("record_mw"), MILLI) or (0.0 if all_in else None),
            volts=_real(get("draw_v")),
            frame_j=_real(get("frame_j")),
            burst_w=_real(get("burst_mw"), MILLI),
            motion_frame_j=_real(get("motion_j")),
            other_w=_real(get("other_mw"), MILLI),
            lasted=self._lasted(),
            charge=self._charge(),
        )

    def _energy_wh(self) -> float | None:
        return None if self.usable_wh is None else self.usable_wh.expected

    def _lasted(self) -> MeasuredRun | None:
        days, energy_wh = self.inputs.get("lasted_days"), self._energy_wh()
        interval_s = self.inputs.get("lasted_interval") or self.planned.interval_s
        if days is None or energy_wh is None or interval_s is None or self.schedule is None:
            return None
        return run_of_days(energy_wh, float(days), self.schedule, self.planned, interval_s)

    def _charge(self) -> MeasuredRun | None:
        frames, energy_wh = self.inputs.get("charge_frames"), self._energy_wh()
        interval_s = self.inputs.get("lasted_interval") or self.planned.interval_s
        if frames is None or energy_wh is None or interval_s is None:
            return None
        return run_of_charge(energy_wh, frames, interval_s)

    def found_load(self, recording: Recording) -> FoundLoad | None:
        """Return the load for a recording, with what is missing or contradicts; None without a schedule."""
        if self.schedule is None or needed_right.any_wrong(self.inputs, needed_right.BATTERY, needed_right.RECORDED):
            return None
        return load.find_load(self.known_load, self.schedule, recording)

    def load_on_battery(self, recording: Recording) -> Estimate[Load] | None:
        """Return the load if it, the battery and the schedule are known, so that a walk can be made."""
        found = self.found_load(recording)
        return None if found is None or self.supply is None else found.load

    def runtime(self, recording: Recording, past_last: bool = True) -> Runtime | None:
        """Return how long the battery lasts; None while load, battery or schedule isn't known."""
        drawn = self.load_on_battery(recording)
        if drawn is None:
            return None
        reserve = self.reserve_share
        return runtime.runtime(self.schedule, recording, drawn, self.supply, reserve_share=reserve, past_last=past_last)

    def lasts(self, recording: Recording) -> bool:
        """Whether the battery is known to last to the shoot's end at the pessimistic end: quick, for searches."""
        drawn = self.load_on_battery(recording)
        if drawn is None:
            return False
        return runtime.lasts_at_worst(self.schedule, recording, drawn, self.supply, reserve_share=self.reserve_share)

    def batteries_needed(self, recording: Recording) -> Estimate[int | None] | None:
        """Return how many batteries like this one the shoot takes; None while something isn't known."""
        drawn = self.load_on_battery(recording)
        if drawn is None:
            return None
        return runtime.batteries_needed(self.schedule, recording, drawn, self.supply, reserve_share=self.reserve_share)

    def left_at(self, recording: Recording, when: datetime) -> Estimate[float] | None:
        """Return the share of the usable energy left at an instant; None while something isn't known."""
        drawn = self.load_on_battery(recording)
        if drawn is None:
            return None
        return runtime.energy_left_at(self.schedule, recording, drawn, self.supply, when, past_last=False)


def _real(value: Fraction | None, divisor: int = 1) -> float | None:
    return None if value is None else float(value) / divisor
