"""A battery that was seen to the end: what "it lasted N days" and "so many frames per charge" say about the draws."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula
from webcalc.calc.schedule.count import counts_in
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule

HOUR_S = 3600
#: CIPA DC-002 counts frames per charge one each 30 s, at 23 °C (both from memory).
MAKERS_CADENCE_S = Fraction(30)
MAKERS_TEMP_C = 23.0


@dataclass(frozen=True)
class MeasuredRun:
    """A battery that was seen to the end: usable energy, calendar hours, hours inside windows, frames taken."""

    energy_wh: float
    run_h: float
    recorded_h: float
    frames: float


@formula("run_h", "frames * interval_s / 3600", ARITHMETIC)
def charge_run_h(frames: float, interval_s: float | Fraction) -> float:
    """Return how long a charge lasted that gave ``frames`` at this interval without a break."""
    return float(frames * interval_s / 3600)


@formula("frames", "lasted_days * weekdays_a_week / 7 * frames_a_day", ARITHMETIC)
def frames_while_lasting(lasted_days: float, weekdays_a_week: int, frames_a_day: int) -> float:
    """Return the frames of so many calendar days, as a mean over the days of the week."""
    return lasted_days * weekdays_a_week / 7 * frames_a_day


def run_of_charge(energy_wh: float, frames_per_charge: float, interval_s: Fraction) -> MeasuredRun:
    """Return the run that "so many frames per charge" at an interval stands for: recording without a break."""
    run_h = charge_run_h(frames_per_charge, interval_s)
    return MeasuredRun(energy_wh, run_h, run_h, frames_per_charge)


def run_of_days(
    energy_wh: float,
    lasted_days: float,
    schedule: Schedule,
    recording: Recording,
    interval_s: Fraction | None = None,
    hours_a_day: float | None = None,
) -> MeasuredRun:
    """Return the run that "it lasted so many days" stands for.

    ``interval_s`` is the interval at that time; None takes the recording's. ``hours_a_day`` were recorded then, every
    day; None takes window and weekdays of the schedule.
    """
    then = recording if interval_s is None else replace(recording, interval_s=interval_s)
    window_s, weekdays = schedule.window.length_s, len(schedule.weekdays)
    if hours_a_day is not None:
        window_s, weekdays = round(hours_a_day * HOUR_S), 7
    frames = frames_while_lasting(lasted_days, weekdays, counts_in(then, window_s).frames if window_s else 0)
    return MeasuredRun(energy_wh, lasted_days * 24, lasted_days * weekdays / 7 * window_s / HOUR_S, frames)


@formula("energy_wh", "capacity_mah / 1000 * volts", DEFINITION)
def metered_wh(capacity_mah: float, volts: float) -> float:
    """Return the energy that went through a meter."""
    return capacity_mah / 1000 * volts


def run_of_meter(capacity_mah: float, volts: float, minutes: float, interval_s: Fraction | None) -> MeasuredRun:
    """Return the run that a meter saw while the camera recorded without a break; None: it took no stills."""
    run_h = minutes * 60 / HOUR_S
    frames = 0.0 if interval_s is None else float(minutes * 60 / interval_s)
    return MeasuredRun(metered_wh(capacity_mah, volts), run_h, run_h, frames)


@formula("standby_w", "standby_share * energy_wh / run_h", ARITHMETIC)
def standby_by_share_w(standby_share: float, energy_wh: float, run_h: float) -> float:
    """Return the standby draw if it took this share (0 to 1) of a run's energy; ``run_h`` > 0."""
    return standby_share * energy_wh / run_h


@formula("frame_j", "(energy_wh - standby_w * run_h) * 3600 / frames", ARITHMETIC)
def frame_by_remainder_j(energy_wh: float, standby_w: float, run_h: float, frames: float) -> float:
    """Return the energy of one frame from what standby left of a run's energy; ``frames`` > 0.

    Negative if the standby draw alone would have used more: then one of the two is wrong.
    """
    return (energy_wh - standby_w * run_h) * 3600 / frames


@formula("standby_w", "(energy_wh - frame_j * frames / 3600) / run_h", ARITHMETIC)
def standby_by_remainder_w(energy_wh: float, frame_j: float, frames: float, run_h: float) -> float:
    """Return the standby draw from what the frames left of a run's energy; negative if they contradict each other."""
    return (energy_wh - frame_j * frames / 3600) / run_h


@formula("energy_wh", "standby_w * run_h + recording_w * recorded_h + frame_j * frames / 3600", ARITHMETIC)
def run_energy_wh(
    standby_w: float, run_h: float, recording_w: float, recorded_h: float, frame_j: float, frames: float
) -> float:
    """Return the energy a camera with these draws would have used in a run."""
    return standby_w * run_h + recording_w * recorded_h + frame_j * frames / 3600
