"""The shoot seen from what draws on its battery: the load in use, and what was typed twice of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import load, shoot_energy
from webcalc.calc.power.contradictions import Clash
from webcalc.calc.power.kinds import KINDS, MILLI
from webcalc.calc.power.load import FoundLoad, KnownLoad, Load, Way
from webcalc.calc.power.runs import ShootRuns
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.typed import Real
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: How a load was known: the calculation's ways, and the mean current, which to it is one of the draws.
MEAN_CURRENT = "mean_current"
_DRAW_NAMES = {"standby_w": "standby_mw", "frame_j": "frame_j", "burst_w": "burst_mw"}
_TYPED = 1.0


@dataclass(frozen=True, eq=False)
class ShootDraws:
    """What the typed quantities say of the camera's draws."""

    shoot: Shoot

    @cached_property
    def runs(self) -> ShootRuns:
        """What was measured."""
        return ShootRuns(self.shoot)

    # -- which of them count --------------------------------------------------------------------------------

    @property
    def all_in(self) -> bool:
        """Whether a mean current is all there is: taken as drawn round the clock, frames included."""
        shoot = self.shoot
        return given(shoot.draw_ma) and given(shoot.draw_v) and not given(shoot.standby_mw)

    @property
    def kind_typed(self) -> bool:
        """Whether a kind of camera was said, be it one that can't be read."""
        return not known(self.shoot.camera_kind) or bool(self.shoot.camera_kind)

    def missing(self, recording: Recording) -> tuple[str, ...]:
        """Return which draws weren't typed that their sum needs; what was typed wrong isn't missing."""
        shoot = self.shoot
        typed = KnownLoad(
            standby_w=_TYPED if given(shoot.standby_mw) or self.all_in else None,
            recording_w=_TYPED if given(shoot.record_mw) or self.all_in else None,
            frame_j=_TYPED if given(shoot.frame_j) else None,
            burst_w=_TYPED if given(shoot.burst_mw) else None,
            motion_frame_j=_TYPED if given(shoot.motion_j) else None,
        )
        return tuple(load.missing_draws(typed, recording))

    def way_of(self, recording: Recording) -> Way | None:
        """Return the way by which the load is known; None while none is complete."""
        missing = self.missing(recording)
        if not missing:
            return Way.DRAWS
        if self.runs.meter_typed:
            return Way.METER
        if given(self.shoot.lasted_days):
            return Way.LASTED
        if given(self.shoot.charge_frames) and "burst_w" not in missing:
            return Way.CHARGE
        return Way.KIND if self.kind_typed and load.kind_completes(missing) else None

    @figure
    def way(self) -> str:
        """The way by which the load of the plan is known, the mean current told apart."""
        recording = need(self.shoot.recording)
        found = self.way_of(recording)
        if found is None:
            raise ask(*self._ask_for(recording))
        if found is Way.KIND:
            need(self.shoot.camera_kind)
        return MEAN_CURRENT if found is Way.DRAWS and self.all_in else found.value

    def _ask_for(self, recording: Recording) -> list[str]:
        """Return the names that would complete the load."""
        shoot, missing = self.shoot, self.missing(recording)
        if (given(shoot.charge_frames) or self.kind_typed) and "burst_w" in missing:
            return ["burst_mw"]  # a charge was counted without bursts, and a kind says nothing of them
        if 0 < len(self.runs.meter_lacks) < 3:
            return list(self.runs.meter_lacks)
        if given(shoot.draw_ma) != given(shoot.draw_v) and not given(shoot.standby_mw):
            return ["draw_v" if given(shoot.draw_ma) else "draw_ma"]
        if {"standby_w", "frame_j"} <= set(missing):
            # Of somebody who knows nothing yet the kind is asked: everybody knows that.
            return ["camera_kind", *(_DRAW_NAMES[name] for name in missing if name == "burst_w")]
        return [_DRAW_NAMES[name] for name in missing]

    # -- the load -------------------------------------------------------------------------------------------

    @figure_for
    def known_load(self, recording: Recording, every_way: bool = False, by: Way | None = None) -> KnownLoad:
        """What counts for the load in use, or ``by`` another way; with ``every_way`` all that was typed, to compare."""
        shoot, way = self.shoot, by or self.way_of(recording)
        kind = shoot.camera_kind if way in (Way.KIND, Way.METER) else ""
        by_draws = way in (Way.DRAWS, Way.KIND)
        runs = self.runs.meter_typed or given(shoot.lasted_days) or given(shoot.charge_frames)
        takes_motion = bool(recording.motion_frames_per_day)
        takes = recording.stills or (takes_motion and not given(shoot.motion_j))
        frame_counts = takes if by_draws else not given(shoot.standby_mw)
        frame_j = shoot.frame_j if frame_counts or (every_way and runs) else None
        record_mw = shoot.record_mw if by_draws or every_way else None
        draw_ma, draw_v = (shoot.draw_ma, shoot.draw_v) if self.all_in else (None, None)
        burst_mw, motion_j = shoot.burst_mw if recording.burst_s else None, shoot.motion_j if takes_motion else None
        metered = self.runs.metered if way is Way.METER or every_way else ()
        lasted = self.runs.lasted if way is Way.LASTED or every_way else ()
        charge = self.runs.charge if way is Way.CHARGE or every_way else ()
        standby, ma, volts, frame, recorded, burst, motion, other, metered, lasted, charge, kind = need(
            *(shoot.standby_mw, draw_ma, draw_v, frame_j, record_mw, burst_mw, motion_j, shoot.other_mw),
            *(metered, lasted, charge, kind),
        )
        return KnownLoad(
            standby_w=_real(standby, MILLI),
            standby_ma=_real(ma),
            recording_w=_real(recorded, MILLI) or (0.0 if self.all_in else None),
            volts=_real(volts),
            frame_j=_real(frame),
            burst_w=_real(burst, MILLI),
            motion_frame_j=_real(motion),
            other_w=_real(other, MILLI),
            metered=metered,
            lasted=lasted,
            charge=charge,
            kind=KINDS.get(kind),
        )

    @figure
    def for_kinds(self) -> KnownLoad:
        """The draws that were typed, for any kind of camera to complete."""
        return need(self.known_load(need(self.shoot.recording), by=Way.DRAWS))

    @figure_for
    def found_load(self, recording: Recording, every_way: bool = False) -> FoundLoad:
        """The load for a recording; with ``every_way`` what contradicts it too."""
        if self.way_of(recording) is None:
            raise ask(*self._ask_for(recording))
        by_draws = self.way_of(recording) in (Way.DRAWS, Way.KIND)
        typed, schedule = need(self.known_load(recording, every_way), None if by_draws else self.shoot.battery.schedule)
        return load.find_load(typed, schedule, recording)

    @figure_for
    def load_at(self, recording: Recording) -> Estimate[Load]:
        """The load for a recording."""
        found = need(self.found_load(recording))
        if found.load is None:
            raise ask(*self._ask_for(recording))
        return found.load

    @figure
    def load(self) -> Estimate[Load]:
        """The load of the plan."""
        return need(self.load_by_plan, self.shoot.recording)[0]

    @figure
    def load_by_plan(self) -> Estimate[Load]:
        """The same, for any interval while that isn't known: so what the load lacks is asked for at once."""
        recording, stills = self.shoot.recording, self.shoot.takes_stills is not False
        return need(self.load_at(recording if known(recording) else Recording(Fraction(1), stills)))

    # -- what it takes --------------------------------------------------------------------------------------

    @figure
    def recorded_day(self) -> Estimate[float]:
        """The energy of a date with a window, Wh."""
        drawn, recording, window = need(self.load, self.shoot.recording, self.shoot.window)
        return over(drawn, lambda end: load.recorded_day_wh(end, recording, window.length_s))

    @figure
    def idle_day(self) -> Estimate[float]:
        """The energy of a date without a window, Wh."""
        return over(need(self.load), load.idle_day_wh)

    @figure
    def energy_needed_wh(self) -> Estimate[float]:
        """The energy that the camera takes over the shoot."""
        drawn, recording, schedule = need(self.load, self.shoot.recording, self.shoot.schedule)
        return over(drawn, lambda end: shoot_energy.energy_needed_wh(end, recording, schedule))

    @figure
    def narrows_most(self) -> str | None:
        """The draw whose range of a kind spreads the load most, by name; None where the load has no such range."""
        if need(self.way) != Way.KIND:
            return None
        drawn, recording, schedule = need(self.load, self.shoot.recording, self.shoot.battery.schedule)

        def spread(low: Load, high: Load) -> float:
            return load.mean_day_wh(high, recording, schedule) - load.mean_day_wh(low, recording, schedule)

        by_standby = spread(drawn.expected, replace(drawn.expected, standby_w=drawn.high.standby_w))
        by_frames = spread(drawn.expected, replace(drawn.expected, frame_j=drawn.high.frame_j))
        if not by_standby and not by_frames:
            return None
        return "standby_mw" if by_standby >= by_frames else "frame_j"

    # -- what was typed twice -------------------------------------------------------------------------------

    @figure
    def mean_w(self) -> float | None:
        """The mean draw by the typed current, used or not; None where none was typed."""
        if not (given(self.shoot.draw_ma) and given(self.shoot.draw_v)):
            return None
        current_ma, volts = said(self.shoot.draw_ma, self.shoot.draw_v)
        return load.power_w(float(current_ma), float(volts))

    @figure
    def clashes(self) -> tuple[Clash, ...]:
        """What was typed twice of the load and differs by more than a quarter."""
        plan = self.shoot.recording
        # While the recording isn't known any will do, to find all that is missing at once.
        by_plan = self.found_load(plan if known(plan) else Recording(Fraction(1)), every_way=True)
        found, mean_w, way, recording = need(by_plan, self.mean_w, self.way, plan)
        clashes = [Clash(each.quantity, each.used, each.other, str(each.way)) for each in found.contradictions]
        if mean_w is not None and way != MEAN_CURRENT and found.load is not None:
            schedule = need(self.shoot.battery.schedule)
            used = over(found.load, lambda end: load.mean_day_wh(end, recording, schedule) / 24)
            used_w = used.expected
            # The range of a kind is what it is for: only beyond it is a contradiction.
            within = way == Way.KIND and used.low <= mean_w <= used.high
            if load.differ(used_w, mean_w) and not within:
                clashes.append(Clash("mean_w", used_w, mean_w, MEAN_CURRENT))
        return tuple(clashes)


def over(drawn: Estimate[Load], wh: Callable[[Load], float]) -> Estimate[float]:
    """Return an energy over the load's range; the ends of a load cross where days differ."""
    each = [wh(end) for end in (drawn.low, drawn.expected, drawn.high)]
    return Estimate(min(each), each[1], max(each))


def _real(value: Real | None, divisor: int = 1) -> float | None:
    return None if value is None else float(value) / divisor
