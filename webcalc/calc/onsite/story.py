"""One story of what may have happened at a camera, and how likely such a thing is before anything is read.

Weights are own choices, common practice, no source. A story that can be fitted to any count has its weight spread over
all counts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.life import Life
from webcalc.calc.schedule.schedule import DAY_S

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
