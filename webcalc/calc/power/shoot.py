"""The shoot seen from its battery: what it holds, and how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy, runtime, shoot_energy
from webcalc.calc.power.allowance import ShootAllowance
from webcalc.calc.power.cells import CELLS, LI_ION, Cell, TemperatureFactor, cell_capacity_ah, temperature_factor
from webcalc.calc.power.contradictions import Clash, pack_clashes
from webcalc.calc.power.draws import MEAN_CURRENT, ShootDraws
from webcalc.calc.power.energy import OUTPUT_V, AirClass, Pack
from webcalc.calc.power.load import Load, Way
from webcalc.calc.power.runtime import Runtime, Supply
from webcalc.calc.power.shoot_dark_runs import ShootDarkRuns
from webcalc.calc.power.sun_power import ShootPanel
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.typed import Real
from webcalc.calc.unknown import NotKnown, ask, figure, figure_for, given, is_wrong, known, need, said, united

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: A converter's efficiency that was typed is taken as this much better or worse.
CONVERTER_SPREAD = 0.05


@dataclass(frozen=True, eq=False)
class ShootBattery:
    """What the typed quantities say of the battery, and how long it lasts."""

    shoot: Shoot

    @cached_property
    def draws(self) -> ShootDraws:
        """What draws on it."""
        return ShootDraws(self.shoot)

    @cached_property
    def allowance(self) -> ShootAllowance:
        """What it allows, whatever draws on it."""
        return ShootAllowance(self.shoot)

    @cached_property
    def panel(self) -> ShootPanel:
        """The solar panel and what this battery can take from it."""
        return ShootPanel(self.shoot)

    @cached_property
    def dark_runs(self) -> ShootDarkRuns:
        """What dark days do to it, with a panel."""
        return ShootDarkRuns(self.shoot)

    @property
    def needed(self) -> bool:
        """Whether a battery carries the camera; taken so while that isn't known."""
        return not known(self.shoot.power) or self.shoot.power != "mains"

    @property
    def asked_for(self) -> tuple[str, ...]:
        """The names to fill in before it is known how long it lasts; the last day may stay blank."""
        lacking = united(self.usable_wh, self.runtime)
        return lacking.names if lacking is not None else ()

    @property
    def open_end(self) -> bool:
        """Whether there is no last day: until when does it last? Not where one was to come from something wrong."""
        found = self.shoot.last_found
        if isinstance(found, NotKnown):
            return self.shoot.open_ended and not found.wrong
        return found.date is None

    @figure
    def schedule(self) -> Schedule:
        """The days that draw on it; without a last day the pattern goes on, to find out until when it lasts."""
        return need(self.shoot.endless_schedule if self.open_end else self.shoot.schedule)

    # -- what it holds --------------------------------------------------------------------------------------

    @figure
    def cell_used(self) -> Cell:
        """The type that it is taken as: Li-ion where none was said."""
        return CELLS.get(need(self.shoot.cell)) or LI_ION

    @figure
    def rated_pack(self) -> Pack:
        """What of the typed counts for the rated energy."""
        shoot = self.shoot
        if given(shoot.battery_wh):
            return Pack(wh=_real(shoot.battery_wh))
        if given(shoot.battery_mah) and given(shoot.battery_v):
            mah, volts = said(shoot.battery_mah, shoot.battery_v)
            return Pack(mah=float(mah), volts=float(volts))
        if given(shoot.battery_mah):
            mah, cell, cells = need(shoot.battery_mah, shoot.cell, shoot.cells)
            return Pack(CELLS.get(cell), cells, mah=float(said(mah)))
        kind = CELLS.get(need(shoot.cell))
        if kind is None or cell_capacity_ah(kind) is None:
            raise ask("battery_wh")
        if not given(shoot.cells):
            raise ask("cells")
        return Pack(kind, need(shoot.cells))

    @figure
    def pack(self) -> Pack:
        """The battery as far as its energy in use rests on it."""
        pack, cell, converter = need(self.rated_pack, self.shoot.cell, self.converter)
        return replace(pack, cell=CELLS.get(cell), converter=converter)

    @figure
    def converter(self) -> Estimate[float] | None:
        """The share that a built-in converter passes on; None without one."""
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
        found = energy.rated_wh(need(self.rated_pack))
        if found is None:
            raise ask("battery_wh")
        return found

    @figure
    def temperature(self) -> TemperatureFactor:
        """What the cold leaves, and whether the type stands it."""
        cell, temp_c = need(self.cell_used, self.shoot.temp_c)
        return temperature_factor(cell, float(temp_c))

    @figure
    def usable_wh(self) -> Estimate[float]:
        """What the camera gets out of a full battery, self-discharge not taken off."""
        pack, temp_c, ageing = need(self.pack, self.shoot.temp_c, self.ageing_share)
        found = energy.usable_wh(pack, float(temp_c), ageing)
        if found is None:
            raise ask("battery_wh")
        return found

    @figure
    def power_bank_output_mah(self) -> Estimate[float] | None:
        """What a power bank gives at its output; None without a converter."""
        converter = need(self.converter)
        if converter is None:
            return None
        rated = need(self.rated_wh)
        return Estimate(
            energy.mah_of(rated.low * converter.low, OUTPUT_V),
            energy.mah_of(rated.expected * converter.expected, OUTPUT_V),
            energy.mah_of(rated.high * converter.high, OUTPUT_V),
        )

    @figure
    def air_class(self) -> AirClass | None:
        """How it travels by air; None where the rules by watt-hours don't apply."""
        pack, cell = need(self.rated_pack, self.shoot.cell)
        return energy.pack_air_class(replace(pack, cell=CELLS.get(cell)))

    # -- what was typed twice -------------------------------------------------------------------------------

    @figure
    def pack_clashes(self) -> tuple[Clash, ...]:
        """What was typed twice of the battery and differs by more than a quarter."""
        shoot = self.shoot
        if not (given(shoot.battery_wh) or given(shoot.battery_mah)):
            return ()
        volts = shoot.battery_v if given(shoot.battery_mah) else None
        by_cell = given(shoot.battery_mah) and not given(shoot.battery_v)
        cell = shoot.cell if given(shoot.cells) or by_cell else ""
        wh, mah, v, name, cells = need(shoot.battery_wh, shoot.battery_mah, volts, cell, shoot.cells)
        pack = Pack(CELLS.get(name), cells, _real(wh), _real(mah), _real(v))
        rated = energy.rated_wh(pack)
        return tuple(pack_clashes(pack, rated)) if rated is not None else ()

    @figure
    def clashes(self) -> tuple[Clash, ...]:
        """What was typed twice of load and battery, and differs by more than a quarter."""
        of_load, of_pack = need(self.draws.clashes, self.pack_clashes)
        return (*of_load, *of_pack)

    @figure
    def contradicted(self) -> bool:
        """Whether what was typed of battery or load contradicts itself; one that is seen is enough."""
        for found in (self.draws.clashes, self.pack_clashes):
            if known(found) and found:
                return True
        return bool(need(self.clashes))

    # -- how long it lasts ----------------------------------------------------------------------------------

    @figure
    def since(self) -> datetime | None:
        """From when the battery in use runs, camera clock; None: from the shoot's start."""
        return need(self.shoot.done.battery_since)

    @figure
    def supply_alone(self) -> Supply:
        """The battery as the forecast needs it, without a panel."""
        pack, temp_c, ageing, *_ = need(
            self.pack, self.shoot.temp_c, self.ageing_share, *filter(is_wrong, [self.shoot.recording])
        )
        supply = runtime.supply_of(pack, float(temp_c), ageing)
        if supply is None:
            raise ask("battery_wh")
        way = self.draws.way_of(need(self.shoot.recording))
        if way not in (Way.LASTED, Way.CHARGE):
            return supply
        now_wh = need(self.draws.runs.now_wh(way))
        return runtime.of_measured_run(supply, now_wh, with_self_discharge=way is Way.LASTED)

    @figure
    def supply(self) -> Supply:
        """The same with what a panel adds."""
        supply, harvest = need(self.supply_alone, self.panel.harvests if self.panel.typed else None)
        return supply if harvest is None else replace(supply, harvest_wh=harvest)

    def load_at(self, recording: Recording) -> Estimate[Load] | NotKnown:
        """Return the load for a recording."""
        return self.draws.load_at(recording)

    @figure_for
    def runtime_at(self, interval_s: Fraction | None, past_last: bool = True) -> Runtime:
        """How long the battery lasts at an interval."""
        recording = need(self.shoot.recording_at(interval_s))
        supply, drawn, schedule, reserve, since = need(
            self.supply, self.draws.load_at(recording), self.schedule, self.reserve_share, self.since
        )
        return runtime.runtime(
            schedule, recording, drawn, supply, since=since, reserve_share=reserve, past_last=past_last
        )

    @figure
    def runtime(self) -> Runtime:
        """How long the battery lasts by the plan."""
        return self._by_plan(past_last=True)

    @figure
    def runtime_to_end(self) -> Runtime:
        """The same as far as the shoot's end, with a last day that is known: quicker."""
        return self._by_plan(past_last=False)

    def _by_plan(self, past_last: bool) -> Runtime:
        days = self.schedule if past_last else self.shoot.schedule
        _supply, _load, _days, _reserve, plan = need(
            self.supply, self.draws.load_by_plan, days, self.reserve_share, self.shoot.recording
        )
        return need(self.runtime_at(plan.interval_s, past_last))

    @figure_for
    def lasts_at(self, interval_s: Fraction) -> bool:
        """Whether the battery lasts to the shoot's end at the pessimistic end: quick, for searches."""
        recording = need(self.shoot.recording_at(interval_s))
        supply, drawn, schedule, reserve, since = need(
            self.supply, self.draws.load_at(recording), self.schedule, self.reserve_share, self.since
        )
        return runtime.lasts_at_worst(schedule, recording, drawn, supply, since=since, reserve_share=reserve)

    @figure
    def batteries_needed(self) -> Estimate[int | None]:
        """How many batteries like this one the shoot takes; None at an end where no number is enough."""
        supply, drawn, schedule, reserve, recording = need(
            self.supply, self.draws.load, self.shoot.schedule, self.reserve_share, self.shoot.recording
        )
        return runtime.batteries_needed(schedule, recording, drawn, supply, reserve_share=reserve)

    @figure_for
    def left_at(self, when: datetime) -> Estimate[float]:
        """The share of the usable energy left at an instant on the camera clock."""
        supply, drawn, schedule, recording, since = need(
            self.supply, self.draws.load, self.shoot.schedule, self.shoot.recording, self.since
        )
        return runtime.energy_left_at(schedule, recording, drawn, supply, when, since=since, past_last=False)

    @figure
    def left_at_end_share(self) -> Estimate[float]:
        """The share of the usable energy left at the shoot's end."""
        schedule, *_ = need(self.shoot.schedule, self.supply, self.draws.load, self.since)
        return need(self.left_at(schedule.ends_at))

    # -- what makes it hold ---------------------------------------------------------------------------------

    @figure
    def rated_wh_needed(self) -> float | None:
        """The printed energy of one battery of this kind that lasts at the pessimistic end; None where none can.

        None with a panel too: what is short then is no fixed energy.
        """
        if self.panel.typed:
            need(self.shoot.panel_w)
            return None
        needed, pack, temp_c, ageing, reserve, schedule = need(
            *(self.draws.energy_needed_wh, self.pack, self.shoot.temp_c),
            *(self.ageing_share, self.reserve_share, self.shoot.schedule),
        )
        span_h = shoot_energy.shoot_span_h(schedule)
        found = shoot_energy.rated_needed_wh(needed.high, pack, float(temp_c), ageing, reserve, span_h)
        return found.high if found else None

    @figure
    def interval_that_lasts_s(self) -> Fraction | None:
        """The shortest settable interval, longer than the plan's, at which it lasts; None where that mends nothing."""
        recording, found, way, settable = need(
            self.shoot.recording, self.runtime_to_end, self.draws.way, self.shoot.settable
        )
        if found.lasts or recording.interval_s is None or way == MEAN_CURRENT:
            return None
        return next_interval_that_holds(
            recording.interval_s, settable, lambda interval_s: self.lasts_at(interval_s) is True
        )


def _real(value: Real | NotKnown | None) -> float | None:
    typed = need(value)
    return None if typed is None else float(typed)
