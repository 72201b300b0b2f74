"""The shoot seen from its battery: what it holds, and how long it lasts."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from functools import cached_property

from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy, runtime, shoot_energy
from webcalc.calc.power.allowance import ShootAllowance
from webcalc.calc.power.contradictions import Clash
from webcalc.calc.power.draws import MEAN_CURRENT, ShootDraws
from webcalc.calc.power.load import Way
from webcalc.calc.power.pack import ShootPack
from webcalc.calc.power.runtime import Runtime, Supply
from webcalc.calc.power.shoot_dark_runs import ShootDarkRuns
from webcalc.calc.power.sun_power import ShootPanel
from webcalc.calc.unknown import ask, figure, figure_for, is_wrong, known, need, united


@dataclass(frozen=True, eq=False)
class ShootBattery(ShootPack):
    """What the typed quantities say of the battery, and how long it lasts."""

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

    # -- what was typed twice ---------------------------------------------------------------------------------

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
        pack, temps_c, ageing, *_ = need(
            self.pack, self._temps_c, self.ageing_share, *filter(is_wrong, [self.shoot.recording])
        )
        supply = runtime.supply_of(pack, min(temps_c), ageing, warmest_c=max(temps_c))
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

    @figure
    def to_pack(self) -> int | None:
        """How many to take along: those needed at the pessimistic end, and the spares; None where none is enough."""
        packs, spares = need(self.batteries_needed, self.shoot.spares)
        return None if packs.high is None else packs.high + (spares or 0)

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

    @figure
    def bank_low_load_ma(self) -> float | None:
        """What the camera may draw between frames, where a power bank may switch off at so little; None elsewhere."""
        if need(self.converter) is None:
            return None
        drawn_ma = energy.mah_of(need(self.draws.load).low.constant_w, energy.OUTPUT_V)
        return drawn_ma if drawn_ma < energy.BANK_STAYS_ON_ABOVE_MA else None

    # -- what makes it hold ---------------------------------------------------------------------------------

    @figure
    def rated_wh_needed(self) -> float | None:
        """The printed energy of one battery of this kind that lasts at the pessimistic end; None where none can.

        None with a panel too: what is short then is no fixed energy.
        """
        if self.panel.typed:
            need(self.shoot.panel_w)
            return None
        needed, pack, temps_c, ageing, reserve, schedule = need(
            *(self.draws.energy_needed_wh, self.pack, self._temps_c),
            *(self.ageing_share, self.reserve_share, self.shoot.schedule),
        )
        span_h = shoot_energy.shoot_span_h(schedule)
        found = shoot_energy.rated_needed_wh(
            needed.high, pack, min(temps_c), ageing, reserve, span_h, warmest_c=max(temps_c)
        )
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
