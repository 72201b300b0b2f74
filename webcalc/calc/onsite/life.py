"""A way in which a camera may have run, worked out forward to what it would leave to be read, and the story of it.

How likely a story is before anything is read is an own choice, common practice, no source. One that can be fitted to
any count has its weight spread over all counts.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.seen import Running, files_of
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import energy_left_at
from webcalc.calc.schedule.count import (
    counts_between,
    elapsed_in_window,
    first_window_ending_after,
    first_window_starting_after,
)
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, Schedule
from webcalc.calc.unknown import said

#: A card is taken as full from this share of its label on: what file systems and short cards leave.
FULL_SHARE = Fraction(97, 100)
#: A battery that reads this or less may have stopped the camera. Own choice.
EMPTY_SHARE = 0.05
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Life:
    """How a camera may have run.

    schedule, recording : what it was set to
    begins, ends : when its first file could be taken, and from when on nothing was, camera clock
    files : how many there are; what the settings give in that time, unless something else is known
    counted : how many one counts, where that isn't how many there are
    size, draw : a frame's bytes and the draw as multiples of the planned ones
    clock_fast_s : camera clock minus the right time; None: as by the plan
    card_full, battery_empty : whether that ended it
    gap : whether it was off somewhere in between, nobody knows when
    sizes_known : whether its files are frames of the planned kind
    """

    schedule: Schedule
    recording: Recording
    begins: datetime
    ends: datetime
    files: int
    size: Fraction = Fraction(1)
    draw: float = 1.0
    clock_fast_s: Fraction | None = None
    card_full: bool = False
    battery_empty: bool = False
    gap: bool = False
    sizes_known: bool = True
    counted: int | None = None


def lived(
    running: Running,
    schedule: Schedule | None = None,
    recording: Recording | None = None,
    begins: datetime | None = None,
    ends: datetime | None = None,
) -> Life:
    """Return the planned life with changes, and the files that it gives."""
    planner = running.planner
    schedule, recording = schedule or planner.schedule, recording or planner.recording
    begins, ends = begins or running.since, min(ends or running.at, running.at)
    return Life(schedule, recording, begins, ends, files_of(counts_between(schedule, recording, begins, ends)))


def ends_after(
    running: Running, files: int, schedule: Schedule | None = None, recording: Recording | None = None
) -> datetime:
    """Return the first minute by which so many files should have been taken, by the plan or by other settings."""
    schedule, recording = schedule or running.planner.schedule, recording or running.planner.recording
    return running.since + _MINUTE * _first(
        running, lambda until: files_of(counts_between(schedule, recording, running.since, until)) >= files
    )


def begins_before(running: Running, files: int) -> datetime:
    """Return the last minute from which on so many files should have been taken."""
    planner, all_files = running.planner, files_of(running.planned)
    taken = _first(
        running,
        lambda begin: (
            files_of(counts_between(planner.schedule, planner.recording, running.since, begin)) >= all_files - files
        ),
    )
    return running.since + _MINUTE * taken


def _first(running: Running, reached: Callable[[datetime], bool]) -> int:
    """Return the first minute since then for which something holds that holds from then on."""
    low, high = 0, max(0, (running.at - running.since) // _MINUTE + 1)
    while low < high:
        middle = (low + high) // 2
        if reached(running.since + middle * _MINUTE):
            high = middle
        else:
            low = middle + 1
    return low


# -- what it leaves to be read ------------------------------------------------------------------------------


def used_bytes(running: Running, life: Life) -> Estimate[int] | None:
    """Return what stands on the card; None where it isn't known, or bursts are among it."""
    card_bytes, frame = running.card_bytes, running.frame
    if life.card_full and card_bytes is not None:
        return Estimate(int(card_bytes * FULL_SHARE), card_bytes, card_bytes)
    if frame is None or life.recording.burst_s or not life.sizes_known:
        return None
    sizes = frame.map(lambda size: running.on_card_bytes(math.ceil(size * life.size)))
    used = sizes.map(lambda size: running.used_before_bytes + life.files * size)
    return used if card_bytes is None else used.map(lambda size: min(size, card_bytes))


def battery_left_share(running: Running, life: Life) -> Estimate[float] | None:
    """Return what is left of the usable energy; None where load and sun can't be told apart.

    While it recorded nothing it drew what it draws at rest, or nothing.
    """
    battery = running.planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return None
    if life.battery_empty:
        return Estimate.exact(0.0)
    begin, end = drawn_from(running, life), max(life.ends, drawn_from(running, life))
    left = energy_left_at(life.schedule, life.recording, battery.load, battery.supply, end, since=begin)
    low, expected, high = left.low, left.expected, left.high
    for rests, goes_on in ((running.battery_full_at, begin), (end, running.at)):
        if rests < goes_on:
            at_rest = drawn_at_rest(running, rests, goes_on)
            low, expected = max(0.0, low - at_rest.high), max(0.0, expected - at_rest.expected)
    if life.gap:
        share = life.files / max(1, files_of(running.planned))
        high = max(high, 1 - (1 - high) * min(1.0, share))
    low, expected, high = (max(0.0, 1 - (1 - each) * life.draw) for each in (low, expected, high))
    return Estimate(min(low, expected), expected, max(expected, high))


def drawn_from(running: Running, life: Life) -> datetime:
    """Return from when on the battery gave what recording takes: since it was full, or since a late start."""
    return max(running.battery_full_at, life.begins) if life.begins > running.since else running.battery_full_at


def drawn_at_rest(running: Running, begin: datetime, end: datetime) -> Estimate[float]:
    """Return the share of the usable energy that a camera draws that takes nothing in a span."""
    battery = said(running.planner.battery)
    left = energy_left_at(
        running.planner.schedule,
        Recording(None),
        battery.load.map(lambda load: Load(load.standby_w, other_w=load.other_w)),
        battery.supply,
        end,
        since=begin,
    )
    return Estimate(1 - left.high, 1 - left.expected, 1 - left.low)


def cut(life: Life) -> Schedule:
    """Return its schedule up to the day on which it stopped."""
    schedule = life.schedule
    return replace(schedule, last=min(schedule.last, max(schedule.first, life.ends.date())))


def first_file_at(life: Life) -> datetime | None:
    """Return when the first still or burst was taken, camera clock; None where there is none on the interval."""
    return _tick(life, last=False)


def last_file_at(life: Life) -> datetime | None:
    """Return when the last one was taken."""
    return _tick(life, last=True)


def _tick(life: Life, *, last: bool) -> datetime | None:
    interval_s, schedule = life.recording.interval_s, life.schedule
    if interval_s is None or life.ends <= life.begins:
        return None
    dates = schedule.recorded_dates
    begin = first_window_ending_after(schedule, dates, life.begins)
    end = first_window_starting_after(schedule, dates, life.ends)
    for day in reversed(dates[begin:end]) if last else dates[begin:end]:
        start = schedule.window_on(day)[0]
        # The first frame at or after the beginning, the last one before the end, within the window.
        first_n = math.ceil(elapsed_in_window(schedule, day, life.begins) / interval_s)
        until_n = math.ceil(elapsed_in_window(schedule, day, life.ends) / interval_s)
        if first_n < until_n:
            n = until_n - 1 if last else first_n
            return start + timedelta(seconds=float(n * interval_s))
    return None


# -- the story of it --------------------------------------------------------------------------------------


#: A camera that runs a month has had time to stop for some reason; one that runs an hour has not.
STOPS_WITHIN_S = 30 * DAY_S


class Code(StrEnum):
    """What may have happened."""

    AS_PLANNED = "as_planned"
    STOPPED_CARD_FULL = "stopped_card_full"
    STOPPED_BATTERY_EMPTY = "stopped_battery_empty"
    STOPPED = "stopped"
    PAUSED = "paused"
    OTHER_INTERVAL = "other_interval"
    OTHER_HOURS = "other_hours"
    OTHER_WEEKDAYS = "other_weekdays"
    LATE_START = "late_start"
    LARGER_FRAMES = "larger_frames"
    SMALLER_FRAMES = "smaller_frames"
    HEAVIER_DRAW = "heavier_draw"
    LIGHTER_DRAW = "lighter_draw"
    ROLLED_OVER = "rolled_over"
    BURSTS_COUNTED = "bursts_counted"
    BURSTS_LEFT_OUT = "bursts_left_out"
    OLDER_FILES = "older_files"
    CLOCK_SUMMER_TIME = "clock_summer_time"
    CLOCK_OFFSET = "clock_offset"
    CLOCK_SET_WRONG = "clock_set_wrong"
    CLOCK_DRIFT = "clock_drift"


@dataclass(frozen=True)
class Tried:
    """One way in which a story may have gone; ``weight`` is how likely it is before anything is read."""

    code: Code
    life: Life
    weight: float


def narrow(comparison: Comparison) -> float:
    """Return the share of all counts that are as good as one: what a story that fits any count is worth."""
    return min(1.0, (2 * comparison.running.slack + 1) / max(1, comparison.expected.files.expected))


def had_time_to_stop(comparison: Comparison) -> float:
    """Return how likely it is, 0 to 1, that it stopped for some reason or other in this time."""
    return min(1.0, max(0.0, float(comparison.running.elapsed_s / STOPS_WITHIN_S)))


def ranked(count: int) -> list[float]:
    """Return weights of what is ever farther from the plan; they add up to 1."""
    parts = [1 / (1 + n) for n in range(count)]
    return [part / sum(parts) for part in parts]


def unlikely(factor: float, exact: bool) -> float:
    """Return how much less likely it is that frames or draw are by a factor from the plan: twice is seldom."""
    if factor <= 0:
        return 0.01
    apart = max(factor, 1 / factor) - 1
    return max(0.01, 1 / (1 + (apart / (0.3 if exact else 0.6)) ** 2))
