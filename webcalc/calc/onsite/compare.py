"""What was found at the camera beside what should be there.

Instants are on the camera clock. "Files" are stills, motion-triggered frames and bursts, one file each. What can't be
is not computed with: it is a doubt, and each doubt takes out only the values that it concerns.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.onsite.readings import card_doubts, clock_doubts, count_of, space_read, time_doubts
from webcalc.calc.onsite.seen import Ask, Doubt, Found, Running, Value, files_of
from webcalc.calc.power import runtime
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import NOTHING, Supply, energy_left_at
from webcalc.calc.unknown import need, or_none
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

# -- the true draw, from what a battery reads some time after it was full ---------------------------------


#: Below this share of the energy a reading tells more about its own rounding than about the draw. Own choice.
LEAST_DRAINED_SHARE = 0.02


@formula("factor", "drawn_share / planned_share", ARITHMETIC)
def drain_factor(drawn_share: float, planned_share: float) -> float:
    """Return the true draw as a multiple of the planned one, from the shares of the energy drawn; planned > 0."""
    return drawn_share / planned_share


def scaled(load: Load, factor: float) -> Load:
    """Return the load with every part multiplied."""
    return replace(
        load,
        standby_w=load.standby_w * factor,
        recording_w=load.recording_w * factor,
        frame_j=load.frame_j * factor,
        burst_w=load.burst_w * factor,
        motion_frame_j=None if load.motion_frame_j is None else load.motion_frame_j * factor,
        other_w=load.other_w * factor,
    )


def drain_factors(
    planner: VisitPlanner, since: datetime, at: datetime, left_share: Estimate[float], *, past_last: bool = True
) -> Estimate[float | None]:
    """Return by which factor the load explains what is left at ``at`` of a battery that was full at ``since``.

    The ends go together: ``low`` belongs to the least energy, the heaviest load and the lowest reading, ``high`` to the
    opposite, so that each end of the plan times its factor is what was read. None where too little can have
    been drawn to tell, or where a panel charges it: load and harvest can't be told apart. Without ``past_last`` only
    the constant draws ran after the schedule's end.
    """
    battery = planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return Estimate.exact(None)
    supply, load = battery.supply, battery.load
    rated, lost = supply.rated_wh or NOTHING, supply.self_discharge_per_month

    def factor(load: Load, supply: Supply, left: float) -> float | None:
        def left_with(times: float) -> float:
            each = scaled(load, times)
            return energy_left_at(
                planner.schedule, planner.recording, each, supply, at, since=since, past_last=past_last
            ).expected

        return _factor(left_with, left)

    return Estimate(
        factor(load.high, _one(supply.usable_wh.low, rated.low, lost.high), left_share.low),
        factor(load.expected, _one(supply.usable_wh.expected, rated.expected, lost.expected), left_share.expected),
        factor(load.low, _one(supply.usable_wh.high, rated.high, lost.low), left_share.high),
    )


def _one(usable_wh: float, rated_wh: float, lost_per_month: float) -> Supply:
    return Supply(Estimate.exact(usable_wh), Estimate.exact(rated_wh), Estimate.exact(lost_per_month))


def _factor(left_with: Callable[[float], float], left_share: float) -> float | None:
    undrawn = left_with(0.0)
    # What is drawn rises evenly with the factor until the battery is empty: look where it isn't.
    part, left = 1.0, left_with(1.0)
    while not left and part > 1e-6:
        part /= 2
        left = left_with(part)
    drawn_as_planned = (undrawn - left) / part
    if drawn_as_planned < LEAST_DRAINED_SHARE:
        return None
    return max(0.0, drain_factor(undrawn - left_share, drawn_as_planned))


# -- beside what should be there --------------------------------------------------------------------------


#: Instants are typed to the minute.
TYPED_TO_S = 60


@dataclass(frozen=True)
class Expected:
    """What should be there; ranges as far as the plan knows them. Card and battery None where they aren't known."""

    files: Estimate[int]
    card_used_bytes: Estimate[int] | None
    battery_left_share: Estimate[float] | None
    clock_error_s: Estimate[Fraction]


def expect(running: Running) -> Expected:
    """Return what should be found at ``running.at``."""
    planner, at = running.planner, running.at
    days = max(running.clock_days, Fraction(0))
    drift_s = days * planner.rules.drift_s_per_day
    late = timedelta(seconds=TYPED_TO_S + float(drift_s))
    files = Estimate(*(files_of(running.counts(until=when)) for when in (at - late, at, at + late)))
    used = left = None
    if running.frame is not None:
        used = card_forecast.used_at(
            planner.schedule,
            planner.recording,
            running.frame,
            running.cluster_bytes,
            at,
            used_bytes=running.used_before_bytes,
            since=running.since,
        ).used_bytes
        card_bytes = running.card_bytes
        if card_bytes is not None:  # a full card takes no more
            used = used.map(lambda size: min(size, card_bytes))
    if planner.battery is not None:
        battery = planner.battery
        left = runtime.energy_left_at(
            planner.schedule, planner.recording, battery.load, battery.supply, at, since=running.battery_full_at
        )
        # The ends of a load may cross where nights and days take their turns.
        left = Estimate(min(left.low, left.expected), left.expected, max(left.expected, left.high))
    shift = Fraction(running.clock_shift_s)
    return Expected(files, used, left, Estimate(shift - drift_s, shift, shift + drift_s))


@formula("missed_frames", "expected_frames - found_frames", ARITHMETIC)
def missed_frames(expected_frames: int, found_frames: int) -> int:
    """Return the frames that are missing; negative: more than expected."""
    return expected_frames - found_frames


@formula("missed_s", "recorded_s * missed_frames / expected_frames", ARITHMETIC)
def missed_time_s(recorded_s: Fraction, missed_frames: int, expected_frames: int) -> Fraction:
    """Return the recording time that missing frames stand for; ``expected_frames`` > 0."""
    return Fraction(recorded_s * missed_frames) / expected_frames


@formula("frame_bytes", "(used_bytes - used_before_bytes) / files", "whole clusters included; " + ARITHMETIC)
def bytes_per_file(used_bytes: int, used_before_bytes: int, files: int) -> Fraction:
    """Return what one file takes on the card, clusters included; ``files`` > 0."""
    return Fraction(used_bytes - used_before_bytes, files)


@formula("drift_s_per_day", "(clock_fast_s - clock_shift_s) / days", ARITHMETIC)
def measured_drift(clock_fast_s: Fraction, clock_shift_s: int, days: Fraction) -> Fraction:
    """Return the drift in seconds a day, fast positive; ``days`` > 0 since the clock was set."""
    return (clock_fast_s - clock_shift_s) / days


@dataclass(frozen=True)
class Comparison:
    """What was found against what was expected; None where it wasn't looked at, can't be told or is in doubt.

    files : the count, typed or by the numbers
    missed : expected minus found; negative: extra
    agrees : whether the count is as planned, within ``Running.slack``
    frame_bytes : what one frame takes on the card, clusters included
    file_bytes : its size as a file, from one cluster less to no less than that
    drain_factor : true draw as a multiple of the planned load, by end (see ``drain_factors``)
    """

    running: Running
    expected: Expected
    found: Found
    doubts: tuple[Doubt, ...]
    asks: tuple[Ask, ...] = ()
    files: int | None = None
    missed: int | None = None
    missed_s: Fraction | None = None
    agrees: bool | None = None
    used_bytes: Estimate[int] | None = None
    frame_bytes: Estimate[Fraction] | None = None
    file_bytes: Estimate[Fraction] | None = None
    battery_left_share: Estimate[float] | None = None
    drain_factor: Estimate[float | None] = field(default_factory=lambda: Estimate.exact(None))
    drift_s_per_day: Fraction | None = None

    def is_doubted(self, value: Value) -> bool:
        """Whether something that was typed takes this value out."""
        return any(value in doubt.concerns for doubt in self.doubts)


def compare(running: Running, found: Found) -> Comparison:
    """Return what was found beside what was expected, and what is to be asked about."""
    expected = expect(running)
    files, count_doubts = count_of(running, found, expected.files.high + running.slack)
    used, unsure = space_read(running, found, files)
    doubts = [*found.doubts, *time_doubts(running), *count_doubts, *card_doubts(running, used, files)]
    doubts += clock_doubts(running, found)
    asks = [*found.asks, *([Ask.GB_SHOWS] if unsure else [])]
    if found.clock_fast_s is not None and not found.clock_by and running.clock_shift_s:
        asks.append(Ask.CLOCK_BY)
    plain = Comparison(running, expected, found, tuple(dict.fromkeys(doubts)), tuple(asks))
    return _measured(plain, files, used)


def _measured(plain: Comparison, files: int | None, used: Estimate[int] | None) -> Comparison:
    running, expected, found, doubted = plain.running, plain.expected, plain.found, plain.is_doubted
    values: dict[str, Any] = {}
    if files is not None and not doubted(Value.COUNT):
        missed = missed_frames(expected.files.expected, files)
        values |= {"files": files, "missed": missed, "agrees": abs(missed) <= running.slack}
        if expected.files.expected:
            values["missed_s"] = missed_time_s(running.recorded_s, missed, expected.files.expected)
    if used is not None and not doubted(Value.CARD):
        values["used_bytes"] = used
        # With bursts among them the mean of all files is nobody's size; a reading of no growth is one too coarse.
        grown = used.expected > running.used_before_bytes
        if files and "files" in values and grown and not running.planner.recording.burst_s:
            size = used.map(lambda each: bytes_per_file(each, running.used_before_bytes, files))
            least = max(size.low - running.cluster_bytes, Fraction(1))
            values["frame_bytes"] = size
            values["file_bytes"] = Estimate(least, max(least, size.expected - running.cluster_bytes // 2), size.high)
    if found.battery_left_share is not None and not doubted(Value.BATTERY):
        values["battery_left_share"] = found.battery_left_share
        if running.planner.battery is not None and found.battery_left_share.expected < 1:
            values["drain_factor"] = drain_factors(
                running.planner, running.battery_full_at, running.at, found.battery_left_share
            )
    days = running.clock_days
    if found.clock_fast_s is not None and not doubted(Value.CLOCK) and days >= 1:
        values["drift_s_per_day"] = measured_drift(found.clock_fast_s, running.clock_shift_s, days)
    return replace(plain, **values)


# -- what was measured, as the quantities that a plan goes on with ----------------------------------------


#: A measured rate that differs from the plan by more than this factor is asked about. Own choice.
FAR_OFF = 2
#: What was measured before and under which conditions: nothing of it holds once the draws were measured here.
_OF_A_RUN = ("lasted_days", "lasted_interval", "lasted_temp_c", "lasted_wh", "lasted_hours", "lasted_from", "lasted_to")
_OTHERS = ("draw_ma", "draw_v", "meter_mah", "meter_v", "meter_min", "charge_frames", *_OF_A_RUN)
#: Draws that a measured drain is carried into, with the load's own name and what makes its unit of watts or joules.
_DRAWS = (
    ("standby_mw", "standby_w", 1000),
    ("record_mw", "recording_w", 1000),
    ("frame_j", "frame_j", 1),
    ("burst_mw", "burst_w", 1000),
    ("motion_j", "motion_frame_j", 1),
    ("other_mw", "other_w", 1000),
)


def tells_draw(look: Comparison, factor: float | None) -> bool:
    """Whether a measured draw is that of a camera that records as planned, by a reading that means one thing.

    With frames missing, or far below the plan, it isn't.
    """
    return (
        factor is not None and look.agrees is not False and factor * FAR_OFF >= 1 and Ask.BATTERY_SHOWS not in look.asks
    )


def to_kilobytes(size: Fraction) -> float:
    """Return bytes in megabytes, rounded up to the next kilobyte: never a later date than was measured."""
    return -(-size // 1000) / 1000


def carried_frame(shoot: Shoot, frame_bytes: Fraction) -> dict[str, Any]:
    """Return the quantity of a measured frame size, on the card's clusters."""
    if or_none(shoot.card.as_video):
        return {"video_mb_min": to_kilobytes(frame_bytes * 60 * need(shoot.fps))}
    return {"frame_mb": to_kilobytes(frame_bytes)}


def carried_draw(shoot: Shoot, battery: BatteryInUse, factor: float) -> dict[str, Any]:
    """Return the draws at a measured multiple of the planned load; what said them otherwise before goes."""
    load, changes = scaled(battery.load.expected, factor), dict[str, Any]()
    for name, part, unit in _DRAWS:
        value = getattr(load, part)
        # Without these two the load isn't known; 0 is a value.
        if value or name in ("standby_mw", "frame_j"):
            changes[name] = value * unit
    return changes | {name: None for name in _OTHERS if or_none(getattr(shoot, name)) is not None}
