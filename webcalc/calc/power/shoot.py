"""The shoot seen from its battery: what it holds, what draws on it, how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy, load, runtime
from webcalc.calc.power.cells import CELLS, cell_capacity_ah
from webcalc.calc.power.contradictions import Clash, apart, pack_clashes
from webcalc.calc.power.energy import Pack
from webcalc.calc.power.load import FoundLoad, KnownLoad, Load, Way
from webcalc.calc.power.measured_run import MeasuredRun, run_of_charge, run_of_days
from webcalc.calc.power.runtime import Runtime, Supply
from webcalc.calc.power.sun_power import ShootPanel
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.typed import Real
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

MILLI = 1_000
#: How a load was known: the calculation's ways, and the mean current, which to it is one of the draws.
MEAN_CURRENT = "mean_current"
#: A converter's efficiency that was typed is taken as this much better or worse.
CONVERTER_SPREAD = 0.05
_DRAW_NAMES = {"standby_w": "standby_mw", "frame_j": "frame_j", "burst_w": "burst_mw"}


@dataclass(frozen=True, eq=False)
class ShootBattery:
    """What the typed quantities say of the battery and of what draws on it."""

    shoot: Shoot

    @property
    def needed(self) -> bool:
        """Whether a battery carries the camera; taken so while that isn't known."""
        return not known(self.shoot.power) or self.shoot.power != "mains"

    @figure
    def schedule(self) -> Schedule:
        """The days that draw on it; without a last day the pattern goes on, to find out until when it lasts."""
        open_end = self.shoot.open_ended and not known(self.shoot.schedule)
        return need(self.shoot.endless_schedule if open_end else self.shoot.schedule)

    # -- what it holds --------------------------------------------------------------------------------------

    @figure
    def pack(self) -> Pack:
        """The battery as it was typed."""
        shoot = self.shoot
        cell, cells, converter = need(shoot.cell, shoot.cells, self._converter)
        wh, mah, volts = need(shoot.battery_wh, shoot.battery_mah, shoot.battery_v)
        return Pack(CELLS.get(cell), cells, _real(wh), _real(mah), _real(volts), converter)

    @figure
    def _converter(self) -> Estimate[float] | None:
        percent = need(self.shoot.converter)
        if percent is None:
            return None
        share = float(percent) / 100
        return Estimate(max(0.01, share - CONVERTER_SPREAD), share, min(1.0, share + CONVERTER_SPREAD))

    @figure
    def ageing_share(self) -> float:
        """The share of the capacity that age has taken."""
        return float(need(self.shoot.ageing)) / 100

    @figure
    def reserve_share(self) -> float:
        """The share that is not to be used."""
        return float(need(self.shoot.battery_reserve)) / 100

    @figure
    def rated_wh(self) -> Estimate[float]:
        """The rated energy of the pack."""
        pack = need(self.pack)
        found = energy.rated_wh(pack)
        if found is None:
            by_cells = pack.cell is not None and cell_capacity_ah(pack.cell) is not None
            raise ask("cells" if by_cells else "battery_wh")
        return found

    @figure
    def usable_wh(self) -> Estimate[float]:
        """What the camera gets out of a full battery, self-discharge not taken off."""
        pack, temp_c, ageing, _rated = need(self.pack, self.shoot.temp_c, self.ageing_share, self.rated_wh)
        found = energy.usable_wh(pack, float(temp_c), ageing)
        if found is None:
            raise ask("battery_wh")
        return found

    @cached_property
    def panel(self) -> ShootPanel:
        """The solar panel and what this battery can take from it."""
        return ShootPanel(self.shoot)

    @figure
    def supply(self) -> Supply:
        """The battery as the forecast needs it, with what a panel adds."""
        harvests = self.panel.harvests if self.panel.typed else None
        pack, temp_c, ageing, harvest, _rated = need(
            self.pack, self.shoot.temp_c, self.ageing_share, harvests, self.rated_wh
        )
        supply = runtime.supply_of(pack, float(temp_c), ageing, harvest)
        if supply is None:
            raise ask("battery_wh")
        found = need(self.found_load(need(self.shoot.recording)))
        if found.way not in (Way.LASTED, Way.CHARGE):
            return supply
        return runtime.of_measured_run(supply, with_self_discharge=found.way is Way.LASTED)

    # -- what draws on it -----------------------------------------------------------------------------------

    @figure
    def known_load(self) -> KnownLoad:
        """Every way in which the load was typed."""
        shoot = self.shoot
        draw_ma, draw_v, standby, record, frame_j, burst, motion_j, other, lasted, charge = need(
            *(shoot.draw_ma, shoot.draw_v, shoot.standby_mw, shoot.record_mw, shoot.frame_j),
            *(shoot.burst_mw, shoot.motion_j, shoot.other_mw, self._lasted, self._charge),
        )
        # A mean current is all there is: taken as drawn round the clock, frames included.
        all_in = draw_ma is not None and draw_v is not None and standby is None
        return KnownLoad(
            standby_w=_real(standby, MILLI),
            standby_ma=_real(draw_ma) if all_in else None,
            recording_w=_real(record, MILLI) or (0.0 if all_in else None),
            volts=_real(draw_v),
            frame_j=_real(frame_j),
            burst_w=_real(burst, MILLI),
            motion_frame_j=_real(motion_j),
            other_w=_real(other, MILLI),
            lasted=lasted,
            charge=charge,
        )

    @figure
    def _lasted(self) -> MeasuredRun | None:
        if not given(self.shoot.lasted_days):
            return None
        days, energy_wh, schedule, recording = need(
            self.shoot.lasted_days, self.usable_wh, self.schedule, self.shoot.recording
        )
        return run_of_days(energy_wh.expected, float(days), schedule, recording, need(self._interval_then))

    @figure
    def _charge(self) -> MeasuredRun | None:
        if not given(self.shoot.charge_frames):
            return None
        frames, energy_wh, interval_s = need(self.shoot.charge_frames, self.usable_wh, self._interval_then)
        return run_of_charge(energy_wh.expected, frames, interval_s)

    @figure
    def _interval_then(self) -> Fraction:
        """The interval of a run that was measured: that of the plan, whatever else is tried."""
        return need(self.shoot.lasted_interval if given(self.shoot.lasted_interval) else self.shoot.interval_s)

    @figure_for
    def found_load(self, recording: Recording) -> FoundLoad:
        """The load for a recording, with what is missing or contradicts."""
        known_load, schedule = need(self.known_load, self.schedule)
        return load.find_load(known_load, schedule, recording)

    @figure_for
    def load_at(self, recording: Recording) -> Estimate[Load]:
        """The load for a recording."""
        found = need(self.found_load(recording))
        if found.load is None:
            raise ask(*self._ask_for(found))
        return found.load

    def _ask_for(self, found: FoundLoad) -> list[str]:
        """Return the names that would complete the load."""
        shoot = self.shoot
        if given(shoot.charge_frames) and "burst_w" in found.missing:
            return ["burst_mw"]  # a charge was counted without bursts
        if given(shoot.draw_ma) != given(shoot.draw_v) and not given(shoot.standby_mw):
            return ["draw_v" if given(shoot.draw_ma) else "draw_ma"]
        return [_DRAW_NAMES[name] for name in found.missing]

    @figure
    def mean_w(self) -> float | None:
        """The mean draw by the typed current, used or not; None where none was typed."""
        if not (given(self.shoot.draw_ma) and given(self.shoot.draw_v)):
            return None
        current_ma, volts = need(self.shoot.draw_ma, self.shoot.draw_v)
        return load.power_w(float(current_ma), float(volts))

    @figure
    def by_current(self) -> bool:
        """Whether the mean current is the load in use."""
        found, mean_w = need(self.found_load(need(self.shoot.recording)), self.mean_w)
        return found.way is Way.DRAWS and mean_w is not None and not given(self.shoot.standby_mw)

    @figure
    def clashes(self) -> tuple[Clash, ...]:
        """What was typed twice and differs by more than a quarter."""
        recording, mean_w, by_current, schedule = need(
            self.shoot.recording, self.mean_w, self.by_current, self.schedule
        )
        pack, rated, drawn, found = need(self.pack, self.rated_wh, self.load_at(recording), self.found_load(recording))
        clashes = [Clash(each.quantity, each.used, each.other, str(each.way)) for each in found.contradictions]
        if mean_w is not None and not by_current:
            used_w = load.mean_day_wh(drawn.expected, recording, schedule) / 24
            if apart(used_w, mean_w):
                clashes.append(Clash("mean_w", used_w, mean_w, MEAN_CURRENT))
        return (*clashes, *pack_clashes(pack, rated))

    # -- how long it lasts ----------------------------------------------------------------------------------

    @figure_for
    def runtime_at(self, interval_s: Fraction | None, past_last: bool = True) -> Runtime:
        """How long the battery lasts at an interval."""
        recording = need(self.shoot.recording_at(interval_s))
        schedule, drawn, supply, reserve = need(self.schedule, self.load_at(recording), self.supply, self.reserve_share)
        return runtime.runtime(schedule, recording, drawn, supply, reserve_share=reserve, past_last=past_last)

    @figure
    def runtime(self) -> Runtime:
        """How long the battery lasts by the plan."""
        return need(self.runtime_at(need(self.shoot.recording).interval_s))

    @figure
    def runtime_to_end(self) -> Runtime:
        """The same as far as the shoot's end, with a last day that is known: quicker."""
        need(self.shoot.schedule)
        return need(self.runtime_at(need(self.shoot.recording).interval_s, past_last=False))

    @figure
    def contradicted(self) -> bool:
        """Whether what was typed of battery or load contradicts itself."""
        return bool(need(self.clashes))

    @figure_for
    def lasts_at(self, interval_s: Fraction) -> bool:
        """Whether the battery lasts to the shoot's end at the pessimistic end: quick, for searches."""
        recording = need(self.shoot.recording_at(interval_s))
        schedule, drawn, supply, reserve = need(self.schedule, self.load_at(recording), self.supply, self.reserve_share)
        return runtime.lasts_at_worst(schedule, recording, drawn, supply, reserve_share=reserve)

    @figure
    def batteries_needed(self) -> Estimate[int | None]:
        """How many batteries like this one the shoot takes; None at an end where no number is enough."""
        recording = need(self.shoot.recording)
        schedule, drawn, supply, reserve = need(
            self.shoot.schedule, self.load_at(recording), self.supply, self.reserve_share
        )
        return runtime.batteries_needed(schedule, recording, drawn, supply, reserve_share=reserve)

    @figure_for
    def left_at(self, when: datetime) -> Estimate[float]:
        """The share of the usable energy left at an instant on the camera clock."""
        recording = need(self.shoot.recording)
        schedule, drawn, supply = need(self.shoot.schedule, self.load_at(recording), self.supply)
        return runtime.energy_left_at(schedule, recording, drawn, supply, when, past_last=False)


def _real(value: Real | None, divisor: int = 1) -> float | None:
    return None if value is None else float(value) / divisor
