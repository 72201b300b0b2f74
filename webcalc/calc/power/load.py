"""What the camera draws: the sum of its loads, and the ways in which people know it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula
from webcalc.calc.power.kinds import CameraKind
from webcalc.calc.power.measured_run import (
    MeasuredRun,
    frame_by_remainder_j,
    run_energy_wh,
    standby_by_remainder_w,
    standby_by_share_w,
)
from webcalc.calc.schedule.count import counts_in
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule

#: Share of a measured run's energy that standby took, where nobody knows: anything. Both ends are computed.
UNKNOWN_STANDBY_SHARE = Estimate(0.0, 0.5, 1.0)

#: Two ways of knowing the load are reported as contradicting each other if they differ by more than this ratio.
#: Own choice: within the spread of cells.
CONTRADICTION_RATIO = 1.25


@dataclass(frozen=True)
class Load:
    """Everything that draws on the battery; each part is optional, all >= 0.

    standby_w : round the clock
    recording_w : on top of standby while the daily window is open
    frame_j : energy of one still on top of that
    burst_w : on top of that while a burst is taken
    motion_frame_j : energy of one motion-triggered frame; None takes ``frame_j``
    other_w : whatever else runs round the clock (heater, modem)
    """

    standby_w: float = 0.0
    recording_w: float = 0.0
    frame_j: float = 0.0
    burst_w: float = 0.0
    motion_frame_j: float | None = None
    other_w: float = 0.0

    @property
    def constant_w(self) -> float:
        """What is drawn at every hour of every day."""
        return self.standby_w + self.other_w

    @property
    def motion_j(self) -> float:
        """Energy of one motion-triggered frame."""
        return self.frame_j if self.motion_frame_j is None else self.motion_frame_j


@formula("power_w", "current_ma / 1000 * volts", DEFINITION)
def power_w(current_ma: float, volts: float) -> float:
    """Return watts for milliamperes at the voltage they were measured at."""
    return current_ma / 1000 * volts


@formula("idle_day_wh", "24 * (standby_w + other_w)", ARITHMETIC)
def idle_day_energy_wh(standby_w: float, other_w: float) -> float:
    """Return the energy of a date without a window."""
    return 24 * (standby_w + other_w)


@formula(
    "recorded_day_wh",
    "24 * (standby_w + other_w) + recording_w * window_s / 3600 + frame_j * frames / 3600"
    " + burst_w * burst_s * bursts / 3600 + motion_frame_j * motion_frames / 3600",
    ARITHMETIC,
)
def recorded_day_energy_wh(
    standby_w: float,
    other_w: float,
    recording_w: float,
    window_s: float,
    frame_j: float,
    frames: int,
    burst_w: float,
    burst_s: float,
    bursts: int,
    motion_frame_j: float,
    motion_frames: int,
) -> float:
    """Return the energy of a date with a window, in watt-hours, as the sum of its loads."""
    taken_j = frame_j * frames + burst_w * burst_s * bursts + motion_frame_j * motion_frames
    return 24 * (standby_w + other_w) + recording_w * window_s / 3600 + taken_j / 3600


def recorded_day_values(load: Load, recording: Recording, window_s: int) -> dict[str, Any]:
    """Return the parameters of ``recorded_day_energy_wh`` for a load, so that a page can show its working."""
    counts = counts_in(recording, window_s)
    return {
        "standby_w": load.standby_w,
        "other_w": load.other_w,
        "recording_w": load.recording_w,
        "window_s": window_s,
        "frame_j": load.frame_j,
        "frames": counts.stills,
        "burst_w": load.burst_w,
        "burst_s": float(recording.burst_s),
        "bursts": counts.bursts,
        "motion_frame_j": load.motion_j,
        "motion_frames": counts.motion_frames,
    }


def recorded_day_wh(load: Load, recording: Recording, window_s: int) -> float:
    """Return the energy of a date on which a window of ``window_s`` seconds is recorded."""
    return recorded_day_energy_wh(**recorded_day_values(load, recording, window_s))


def idle_day_wh(load: Load) -> float:
    """Return the energy of a date without a window: standby and whatever else runs."""
    return idle_day_energy_wh(load.standby_w, load.other_w)


def _split(run: MeasuredRun, standby_w: float) -> Load:
    """Return the load with this standby draw; the rest of the run's energy goes to the frames."""
    if run.frames > 0:
        return Load(standby_w, frame_j=frame_by_remainder_j(run.energy_wh, standby_w, run.run_h, run.frames))
    return Load(standby_w, recording_w=(run.energy_wh - standby_w * run.run_h) / run.recorded_h)


class Way(StrEnum):
    """How the load was known, in the order of precedence."""

    DRAWS = "draws"
    METER = "meter"
    LASTED = "lasted"
    CHARGE = "charge"
    KIND = "kind"


@dataclass(frozen=True)
class Contradiction:
    """Two values of one quantity that can't both be right: the one used and the other.

    ``quantity`` is the parameter's name with its unit: ``standby_w``, ``recording_w``, ``frame_j``, or
    ``run_energy_wh`` (what a measured run used, against what the load used here would have); ``way`` is where
    the other one comes from.
    """

    quantity: str
    used: float
    other: float
    way: Way


@dataclass(frozen=True)
class KnownLoad:
    """What somebody knows about the draws; None where they don't.

    ``kind`` stands in for the standby draw and the energy of a frame that aren't known. ``volts`` belongs to the mA
    values. Of runs the first is the one to expect, the others may have been meant. ``metered`` and ``lasted`` are
    taken to contain all that the camera did then, ``charge`` standby, recording and frames; ``burst_w`` and
    ``other_w``, where given, come on top of either.
    """

    standby_w: float | None = None
    standby_ma: float | None = None
    recording_w: float | None = None
    recording_ma: float | None = None
    volts: float | None = None
    frame_j: float | None = None
    burst_w: float | None = None
    motion_frame_j: float | None = None
    other_w: float | None = None
    metered: tuple[MeasuredRun, ...] = ()
    lasted: tuple[MeasuredRun, ...] = ()
    charge: tuple[MeasuredRun, ...] = ()
    standby_share: Estimate[float] | None = None
    kind: CameraKind | None = None


@dataclass(frozen=True)
class FoundLoad:
    """The load in use (lightest, expected, heaviest for this schedule), or None with what is missing."""

    load: Estimate[Load] | None
    way: Way | None
    contradictions: tuple[Contradiction, ...] = ()
    missing: tuple[str, ...] = ()


def differ(one: float, other: float) -> bool:
    """Whether two values >= 0 of one quantity differ by more than ``CONTRADICTION_RATIO``."""
    smaller, larger = sorted((one, other))
    return larger > smaller * CONTRADICTION_RATIO


def _watts(
    name: str, watts: float | None, current_ma: float | None, volts: float | None, found: list[Contradiction]
) -> float | None:
    """Return watts as typed, else from mA at volts; note it where both are there and differ."""
    by_current = None if current_ma is None or volts is None else power_w(current_ma, volts)
    if watts is None:
        return by_current
    if by_current is not None and differ(watts, by_current):
        found.append(Contradiction(name, watts, by_current, Way.DRAWS))
    return watts


def missing_draws(known: KnownLoad, recording: Recording) -> list[str]:
    """Return which draws must still be known, as watts, for the sum to be whole."""
    missing = [] if known.standby_w is not None else ["standby_w"]
    if known.recording_w is not None:
        return missing  # a draw measured while recording contains the frames unless they are given too
    takes_stills = recording.interval_s is not None and recording.stills
    motion_open = recording.motion_frames_per_day > 0 and known.motion_frame_j is None
    if known.frame_j is None and (takes_stills or motion_open):
        missing.append("frame_j")
    if known.burst_w is None and recording.interval_s is not None and recording.burst_s:
        missing.append("burst_w")
    return missing


def _from_run(known: KnownLoad, run: MeasuredRun, standby_w: float | None) -> tuple[Load, ...]:
    """Return one load if a draw is known and fits the run, else the loads for the shares standby may have had."""
    if standby_w is not None and standby_w * run.run_h <= run.energy_wh:
        return (_split(run, standby_w),)
    if standby_w is None and known.frame_j is not None:
        rest_w = standby_by_remainder_w(run.energy_wh, known.frame_j, run.frames, run.run_h)
        if rest_w >= 0:
            return (Load(rest_w, frame_j=known.frame_j),)
    if known.kind is not None and known.standby_share is None:
        # The kind bounds what standby may have taken, and the run bounds the kind.
        most_w, standby = run.energy_wh / run.run_h, known.kind.standby_w
        return tuple(_split(run, min(each, most_w)) for each in (standby.low, standby.expected, standby.high))
    share = known.standby_share or UNKNOWN_STANDBY_SHARE
    shares = (share.low, share.expected, share.high)
    return tuple(_split(run, standby_by_share_w(each, run.energy_wh, run.run_h)) for each in shares)


def kind_completes(missing: Sequence[str]) -> bool:
    """Whether the kind of camera tells the draws that are missing: standby and frames, never bursts."""
    return "burst_w" not in missing


def load_of_kind(known: KnownLoad, kind: CameraKind) -> Estimate[Load]:
    """Return the lightest, the expected and the heaviest load of a kind; a draw that is known replaces its own.

    A draw measured while recording contains the frames unless they are given too.
    """
    standby = kind.standby_w if known.standby_w is None else Estimate.exact(known.standby_w)
    by_frame = known.frame_j is None and known.recording_w is None
    frame = kind.frame_j if by_frame else Estimate.exact(known.frame_j or 0.0)

    def end(standby_w: float, frame_j: float) -> Load:
        load = Load(standby_w, known.recording_w or 0.0, frame_j)
        return replace(load, **_on_top(known))

    return Estimate(end(standby.low, frame.low), end(standby.expected, frame.expected), end(standby.high, frame.high))


def _on_top(known: KnownLoad) -> dict[str, Any]:
    """Return what adds to a load however it is known."""
    return {
        "burst_w": known.burst_w or 0.0,
        "motion_frame_j": known.motion_frame_j,
        "other_w": known.other_w or 0.0,
    }


def mean_day_wh(load: Load, recording: Recording, schedule: Schedule) -> float:
    """Return the energy of a calendar day as the mean over the days of the week."""
    share = len(schedule.weekdays) / 7
    return share * recorded_day_wh(load, recording, schedule.window.length_s) + (1 - share) * idle_day_wh(load)


def _range(sets: list[list[Load]], schedule: Schedule | None, recording: Recording) -> Estimate[Load]:
    """Return the lightest and the heaviest of all loads for this schedule, and the middle one of the first set.

    Each set goes from one end of the split to the other. Where all are alike up to rounding both ends must be kept, as
    one is the heavier by day and the other by night.
    """
    expected = sets[0][len(sets[0]) // 2]
    if schedule is None:
        return Estimate.exact(expected)
    ends = chain(*((each[0], each[-1]) for each in sets))
    every = sorted(ends, key=lambda load: mean_day_wh(load, recording, schedule))
    return Estimate(every[0], expected, every[-1])


def _energy_of(load: Load, run: MeasuredRun) -> float:
    return run_energy_wh(load.standby_w, run.run_h, load.recording_w, run.recorded_h, load.frame_j, run.frames)


def find_load(known: KnownLoad, schedule: Schedule | None, recording: Recording) -> FoundLoad:
    """Turn what is known into one load, and report what contradicts it.

    Precedence: draws, if they are complete (they are the most specific); else an hour at a meter; else "it lasted so
    many days", which was measured under a like schedule; else frames per charge; else the kind of camera. Of a run,
    the part that a known draw explains is taken out; where none is known every share for standby is possible, and the
    range holds the lightest and the heaviest for this schedule: at the interval of the run they are the same. Complete
    draws and kinds need no schedule.
    """
    found: list[Contradiction] = []
    standby_w = _watts("standby_w", known.standby_w, known.standby_ma, known.volts, found)
    recording_w = _watts("recording_w", known.recording_w, known.recording_ma, known.volts, found)
    known = replace(known, standby_w=standby_w, recording_w=recording_w)
    ways = ((Way.METER, known.metered), (Way.LASTED, known.lasted), (Way.CHARGE, known.charge))
    measured = [(way, runs) for way, runs in ways if runs]
    missing = missing_draws(known, recording)
    if not missing:
        way = Way.DRAWS
        sets: list[tuple[Load, ...]] = [(Load(known.standby_w or 0.0, recording_w or 0.0, known.frame_j or 0.0),)]
    elif measured and not (measured[0][0] is Way.CHARGE and "burst_w" in missing):
        way, runs = measured[0]
        sets = [_from_run(known, run, standby_w) for run in runs]
    elif known.kind is not None and kind_completes(missing):
        return FoundLoad(load_of_kind(known, known.kind), Way.KIND, tuple(found))
    else:
        return FoundLoad(None, None, tuple(found), tuple(missing))
    load = _range([[replace(load, **_on_top(known)) for load in each] for each in sets], schedule, recording)
    for other_way, runs in measured:
        predicted = [_energy_of(load.expected, run) for run in runs]
        if all(differ(wh, run.energy_wh) for wh, run in zip(predicted, runs, strict=True)):
            found.append(Contradiction("run_energy_wh", predicted[0], runs[0].energy_wh, other_way))
    # A known draw that the run in use can't contain was set aside: say so.
    if way is not Way.DRAWS:
        for name, typed, taken in (
            ("standby_w", standby_w, load.expected.standby_w),
            ("recording_w", recording_w, load.expected.recording_w),
            ("frame_j", known.frame_j, load.expected.frame_j),
        ):
            if typed is not None and typed != taken:
                found.append(Contradiction(name, taken, typed, Way.DRAWS))
    return FoundLoad(load, way, tuple(found))
