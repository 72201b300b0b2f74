"""One battery question, worked out: what the page ``/battery`` shows and its data holds."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from fractions import Fraction
from functools import cached_property

from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.estimate import Estimate
from webcalc.calc.power import load, shoot_energy
from webcalc.calc.power.cells import cell_capacity_ah
from webcalc.calc.power.energy import Pack, RatedFrom, mah_of, rated_wh
from webcalc.calc.power.load import CONTRADICTION_RATIO, FoundLoad, Load, Way
from webcalc.calc.power.runtime import Runtime
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS, Schedule
from webcalc.web.http.page import Asked
from webcalc.web.shoot.battery import ShootBattery

#: How a load was known: the calculation's ways, and the mean current, which to it is one of the draws.
MEAN_CURRENT = "mean_current"
#: What a power bank gives out, volts.
OUTPUT_V = 5.0
_DRAW_NAMES = {"standby_w": "standby_mw", "frame_j": "frame_j", "burst_w": "burst_mw"}


@dataclass(frozen=True)
class Clash:
    """Two typed things that can't both be right: a quantity by its name with unit, the value used, the other one.

    ``way`` is where the other one comes from.
    """

    quantity: str
    used: float
    other: float
    way: str


class BatteryCase:
    """The shoot seen from its battery.

    With the last day left blank and nothing to give it, the question is until when the battery lasts (``open_end``):
    the same pattern of days then goes on, for ten years at most.
    """

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.say = asked.say
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.recording = self.shoot.recording
        self.open_end = self.shoot.schedule is None
        self.schedule: Schedule | None = self._open_schedule() if self.open_end else self.shoot.schedule
        self.battery = ShootBattery(self.inputs, self.schedule, self.recording) if self.open_end else self.shoot.battery
        self.pack: Pack = self.battery.pack

    def _open_schedule(self) -> Schedule | None:
        get, shoot = self.inputs.get, self.shoot
        if shoot.window is None or not self.inputs.has("first", "days"):
            return None
        last = get("first") + timedelta(LONGEST_SHOOT_DAYS - 1)
        return Schedule(get("first"), last, shoot.window, get("days"), get("skip", frozenset()))

    # -- the battery ----------------------------------------------------------------------------------------

    @cached_property
    def rated(self) -> Estimate[float] | None:
        """Return the rated energy of the pack."""
        return rated_wh(self.pack)

    @property
    def usable(self) -> Estimate[float] | None:
        """Return what the camera gets out of it, self-discharge not taken off."""
        return self.battery.usable_wh

    @property
    def output_mah(self) -> Estimate[float] | None:
        """Return what a power bank gives at its output; None without a converter."""
        if self.pack.converter is None or self.rated is None:
            return None
        share = self.pack.converter
        return Estimate(
            mah_of(self.rated.low * share.low, OUTPUT_V),
            mah_of(self.rated.expected * share.expected, OUTPUT_V),
            mah_of(self.rated.high * share.high, OUTPUT_V),
        )

    # -- the load -------------------------------------------------------------------------------------------

    @cached_property
    def found(self) -> FoundLoad | None:
        """Return the load of the plan, with what is missing."""
        return self.battery.found_load(self.recording)

    @property
    def load(self) -> Estimate[Load] | None:
        """Return the load; None while it isn't known."""
        return self.found.load if self.found else None

    @property
    def mean_w(self) -> float | None:
        """Return the mean draw by the typed current, used or not."""
        if not self.inputs.has("draw_ma", "draw_v"):
            return None
        return load.power_w(float(self.inputs.get("draw_ma")), float(self.inputs.get("draw_v")))

    @property
    def way(self) -> str | None:
        """Return which of the ways in which the load was typed is in use."""
        if self.load is None:
            return None
        by_current = self.found.way is Way.DRAWS and self.mean_w is not None and not self.inputs.has("standby_mw")
        return MEAN_CURRENT if by_current else str(self.found.way)

    def per_day(self, day_wh: Callable[[Load], float]) -> Estimate[float] | None:
        """Return the energy of a kind of day over the load's range; the ends of a load cross where days differ."""
        if self.load is None:
            return None
        each = [day_wh(end) for end in (self.load.low, self.load.expected, self.load.high)]
        return Estimate(min(each), each[1], max(each))

    @property
    def recorded_day(self) -> Estimate[float] | None:
        """Return the energy of a date with a window."""
        if self.load is None:
            return None
        return self.per_day(lambda end: load.recorded_day_wh(end, self.recording, self.schedule.window.length_s))

    @property
    def idle_day(self) -> Estimate[float] | None:
        """Return the energy of a date without a window."""
        return self.per_day(load.idle_day_wh)

    @cached_property
    def clashes(self) -> tuple[Clash, ...]:
        """Return what was typed twice and differs by more than a quarter."""
        found = [Clash(each.quantity, each.used, each.other, str(each.way)) for each in self._load_contradictions()]
        if self.load is not None and self.mean_w is not None and self.way != MEAN_CURRENT:
            used_w = load.mean_day_wh(self.load.expected, self.recording, self.schedule) / 24
            smaller, larger = sorted((used_w, self.mean_w))
            if larger > smaller * CONTRADICTION_RATIO:
                found.append(Clash("mean_w", used_w, self.mean_w, MEAN_CURRENT))
        return (*found, *self._battery_clashes())

    def _load_contradictions(self) -> tuple[load.Contradiction, ...]:
        return self.found.contradictions if self.found else ()

    def _battery_clashes(self) -> list[Clash]:
        """Return where what goes after the energy in use tells another energy."""
        others, found = {}, []
        if self.pack.rated_from is RatedFrom.WH and self.pack.mah is not None:
            others[RatedFrom.MAH] = rated_wh(replace(self.pack, wh=None))
        if self.pack.rated_from in (RatedFrom.WH, RatedFrom.MAH):
            others[RatedFrom.CELLS] = rated_wh(replace(self.pack, wh=None, mah=None))
        for way, other in others.items():
            if other is None:
                continue
            more = other.low > self.rated.high * CONTRADICTION_RATIO
            if more or other.high * CONTRADICTION_RATIO < self.rated.low:
                found.append(Clash("rated_wh", self.rated.expected, other.expected, str(way)))
        return found

    # -- what is missing ------------------------------------------------------------------------------------

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is an answer; the last day may stay blank."""
        names = [*self._battery_needs(), *self._load_needs()]
        names += [name for name in self.shoot.missing_for_schedule() if name != "last"]
        if self.recording.interval_s is None and (self.recording.stills or self.recording.burst_s):
            names.append("interval")
        if self.battery.panel.typed:
            names += self.battery.panel.missing
        return list(dict.fromkeys(names))

    def _battery_needs(self) -> list[str]:
        names = []
        if self.rated is None:
            by_cells = self.pack.cell is not None and cell_capacity_ah(self.pack.cell) is not None
            names.append("cells" if by_cells else "battery_wh")
        return names if self.battery.temp_c is not None else [*names, "temp_c"]

    def _load_needs(self) -> list[str]:
        has = self.inputs.has
        missing = self.found.missing if self.found else () if has("standby_mw") else ("standby_w",)
        if self.load is not None or has("lasted_days"):
            return []
        if has("charge_frames"):  # was counted without bursts
            return ["burst_mw"] if "burst_w" in missing else []
        if has("draw_ma") != has("draw_v") and not has("standby_mw"):
            return ["draw_v" if has("draw_ma") else "draw_ma"]
        return [_DRAW_NAMES[name] for name in missing]

    # -- the answer -----------------------------------------------------------------------------------------

    @cached_property
    def runtime(self) -> Runtime | None:
        """Return how long the battery lasts."""
        return None if self.needs else self.battery.runtime(self.recording)

    @cached_property
    def left_at_end(self) -> Estimate[float] | None:
        """Return the share of the usable energy left at the shoot's end."""
        if self.runtime is None or self.open_end:
            return None
        return self.battery.left_at(self.recording, self.schedule.ends_at)

    @cached_property
    def batteries(self) -> Estimate[int | None] | None:
        """Return how many batteries like this one the shoot takes; None at an end where no number is enough."""
        if self.runtime is None or self.open_end:
            return None
        return self.battery.batteries_needed(self.recording)

    @cached_property
    def energy_needed(self) -> Estimate[float] | None:
        """Return the energy the camera takes over the shoot."""
        if self.load is None or self.open_end:
            return None
        return self.per_day(lambda end: shoot_energy.energy_needed_wh(end, self.recording, self.schedule))

    @cached_property
    def rated_needed_wh(self) -> float | None:
        """Return the printed energy of one battery of this kind that lasts at the pessimistic end, without a panel.

        None with one: what is short then is no fixed energy.
        """
        if self.runtime is None or self.energy_needed is None or self.battery.panel.typed:
            return None
        battery, span_h = self.battery, shoot_energy.shoot_span_h(self.schedule)
        found = shoot_energy.rated_needed_wh(
            self.energy_needed.high, self.pack, battery.temp_c, battery.ageing_share, battery.reserve_share, span_h
        )
        return found.high if found else None

    @cached_property
    def interval_that_lasts_s(self) -> Fraction | None:
        """Return the shortest settable interval, longer than the planned one, at which this battery lasts."""
        now_s = self.recording.interval_s
        if self.runtime is None or self.open_end or self.runtime.lasts or now_s is None or self.way == MEAN_CURRENT:
            return None
        return next_interval_that_holds(now_s, self.shoot.settable_s, self._lasts_at)

    def _lasts_at(self, interval_s: Fraction) -> bool:
        return self.battery.lasts(self.shoot.recording_at(interval_s))
