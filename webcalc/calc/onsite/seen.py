"""What a person at the camera reads off, of which shoot, and what can be doubtful about it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card.space import FileSizes
from webcalc.calc.clip.interval import SETTABLE_INTERVALS_S
from webcalc.calc.estimate import Estimate
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.count import Counts, counts_between, recorded_time_between, seconds_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S
from webcalc.calc.visits.planner import VisitPlanner


class Value(StrEnum):
    """What a doubt may concern."""

    COUNT = "count"
    CARD = "card"
    BATTERY = "battery"
    CLOCK = "clock"


class Doubt(StrEnum):
    """What can't be as it was typed, or can't be told from it."""

    AT_BEFORE_SINCE = "at_before_since"
    SINCE_BEFORE_START = "since_before_start"
    MORE_THAN_SECONDS = "more_than_seconds"
    MORE_THAN_SHORTEST_INTERVAL = "more_than_shortest_interval"
    NUMBERS_DISAGREE = "numbers_disagree"
    NUMBERS_ROLLED_OVER = "numbers_rolled_over"
    MORE_THAN_CARD = "more_than_card"
    LESS_THAN_BEFORE = "less_than_before"
    SMALLER_THAN_CLUSTERS = "smaller_than_clusters"
    USED_TWICE = "used_twice"
    READINGS_DISAGREE = "readings_disagree"
    NOT_AT_REST = "not_at_rest"
    VOLTAGE_TELLS_NOTHING = "voltage_tells_nothing"
    CLOCK_SET_WRONG = "clock_set_wrong"
    CLOCK_COMPARED = "clock_compared"

    @property
    def concerns(self) -> frozenset[Value]:
        """Which values are not computed because of it."""
        return frozenset(_CONCERNS[self])


_CONCERNS: dict[Doubt, tuple[Value, ...]] = {
    Doubt.AT_BEFORE_SINCE: tuple(Value),
    Doubt.SINCE_BEFORE_START: (Value.COUNT, Value.BATTERY),
    Doubt.MORE_THAN_SECONDS: (Value.COUNT,),
    Doubt.MORE_THAN_SHORTEST_INTERVAL: (Value.COUNT,),
    Doubt.NUMBERS_DISAGREE: (Value.COUNT,),
    Doubt.NUMBERS_ROLLED_OVER: (Value.COUNT,),
    Doubt.MORE_THAN_CARD: (Value.CARD,),
    Doubt.LESS_THAN_BEFORE: (Value.CARD,),
    Doubt.SMALLER_THAN_CLUSTERS: (Value.COUNT, Value.CARD),
    Doubt.USED_TWICE: (Value.CARD,),
    Doubt.READINGS_DISAGREE: (Value.BATTERY,),
    Doubt.NOT_AT_REST: (Value.BATTERY,),
    Doubt.VOLTAGE_TELLS_NOTHING: (Value.BATTERY,),
    Doubt.CLOCK_SET_WRONG: (Value.CLOCK,),
    Doubt.CLOCK_COMPARED: (Value.CLOCK,),
}


class Ask(StrEnum):
    """What a reading means, where it can mean two things: the protecting one is taken until somebody says."""

    BATTERY_SHOWS = "battery_shows"
    GB_SHOWS = "gb_shows"
    CLOCK_BY = "clock_by"


@dataclass(frozen=True)
class Running:
    """The shoot as planned, from when it runs to when somebody looks.

    planner : schedule, recording, card, battery as warm as it was, and how the next visit is found
    supply_ahead : the battery as it is planned from the look on; None without one
    since, at : of the card's start and of the look, on the camera clock
    battery_since, clock_since : when the battery was last full and the clock set; None: at ``since``
    frame : a frame's bytes as a file; None where they aren't known
    cluster_bytes : of the card's file system
    card_bytes : as printed on the card; None without one
    used_before_bytes : what stood on the card at ``since``
    clock_shift_s : camera minus wall clock at ``at``, by changes of summer time since it was set or on purpose
    shift_wanted : whether the camera clock keeps a fixed offset from UTC on purpose
    shifted_at : when summer time last changed before the look, right time; None where it didn't
    settable_s : intervals the camera can set
    """

    planner: VisitPlanner
    since: datetime
    at: datetime
    frame: Estimate[int] | None = None
    cluster_bytes: int = 1
    card_bytes: int | None = None
    used_before_bytes: int = 0
    clock_shift_s: int = 0
    shift_wanted: bool = False
    shifted_at: datetime | None = None
    settable_s: tuple[Fraction, ...] = SETTABLE_INTERVALS_S
    battery_since: datetime | None = None
    clock_since: datetime | None = None
    supply_ahead: Supply | None = None

    @property
    def battery_full_at(self) -> datetime:
        """When the battery was last full."""
        return self.battery_since or self.since

    @property
    def clock_days(self) -> Fraction:
        """Days since the clock was set."""
        return seconds_between(self.clock_since or self.since, self.at) / DAY_S

    @property
    def elapsed_s(self) -> Fraction:
        """Seconds between the two instants, by day and night."""
        return seconds_between(self.since, self.at)

    @cached_property
    def recorded_s(self) -> Fraction:
        """Recorded time between the two instants."""
        recorded = recorded_time_between(self.planner.schedule, self.since, self.at)
        return Fraction(recorded // timedelta(microseconds=1), 1_000_000)

    def counts(self, recording: Recording | None = None, until: datetime | None = None) -> Counts:
        """Return what should have been taken."""
        return counts_between(self.planner.schedule, recording or self.planner.recording, self.since, until or self.at)

    def on_card_bytes(self, size: int) -> int:
        """Return what a frame of a size takes on the card."""
        return FileSizes.of(self.planner.recording, size, self.cluster_bytes).frame_bytes

    @cached_property
    def planned(self) -> Counts:
        """What should have been taken by the look."""
        return self.counts()

    @cached_property
    def slack(self) -> int:
        """Return by how many files a count may differ without meaning anything; own choice.

        A camera may place its frames in a window otherwise than taken here: one frame a window, though no more than
        2 % of them, and one at the ends. Motion-triggered frames are known only by half.
        """
        files = files_of(self.planned)
        windows = math.ceil(self.recorded_s / self.planner.schedule.window.length_s)
        return 1 + min(windows, files // 50) + self.planned.motion_frames // 2


def files_of(counts: Counts) -> int:
    """Return stills, motion-triggered frames and bursts, one file each."""
    return counts.frames + counts.bursts


@dataclass(frozen=True)
class Found:
    """What somebody reads off the camera; None for what wasn't looked at.

    files : taken since ``Running.since``
    used_bytes : all that is used on the card; a range by the digits that are shown
    used_if_binary : the same if the device writes GB and means GiB; None where that can't be
    battery_left_share : of the usable energy, 0 to 1
    clock_fast_s : camera clock minus the right time
    clock_by : what it was compared with: "phone", "offset" (what the camera keeps), or "" not said
    first_number, last_number : of the files taken since then, 1 to 9999
    first_at, last_at : their times, as the camera wrote them
    doubts, asks : those that reading it raised
    """

    files: int | None = None
    used_bytes: Estimate[int] | None = None
    battery_left_share: Estimate[float] | None = None
    clock_fast_s: Fraction | None = None
    first_number: int | None = None
    last_number: int | None = None
    doubts: tuple[Doubt, ...] = ()
    used_if_binary: Estimate[int] | None = None
    clock_by: str = ""
    first_at: datetime | None = None
    last_at: datetime | None = None
    asks: tuple[Ask, ...] = ()
