"""A shoot lived through step by step: the camera's clock, card and battery, with nothing taken from the planner.

Time runs in real steps of half an hour from the shoot's start. The right time and the camera clock are two clocks read
at each step. A step takes its files at its beginning, and then its energy. All windows, intervals, arrivals and changes
of the right time fall on whole steps, so that nothing lies between them but a battery's last moment.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

STEP = timedelta(minutes=30)
STEP_S = 1_800
DAY = timedelta(days=1)


@dataclass
class World:
    """What the simulation knows of a shoot, in plain values."""

    first: date
    last: date
    window_start: time
    window_s: int
    weekdays: set[int]
    skipped: set[date]
    interval_s: int
    stills: bool
    burst_bytes: int
    frame_bytes: tuple[int, int, int]
    cluster_bytes: int
    card_bytes: int | None
    used_bytes: int
    usable_j: tuple[float, float, float] | None
    reserve: float
    standby_w: float
    recording_w: float
    frame_j: float
    burst_j: float
    shifts: list[tuple[datetime, int]]
    arrival: Callable[[date], datetime]
    allowed: Callable[[date], bool]
    margin: int
    clean: int | None
    renews: set[str]
    drift: float
    drift_max: float | None
    right_at: list[datetime] = field(default_factory=list)
    step_of: dict[datetime, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Run the right time on past the shoot's end, so that it can be read at every step."""
        reads = self.begin
        pending = sorted(self.shifts)
        for n in range(((self.last - self.first).days + 60) * 48):
            while pending and reads >= pending[0][0]:
                reads += timedelta(seconds=pending.pop(0)[1])
            self.right_at.append(reads)
            self.step_of[reads] = n  # of an hour that comes twice the second one
            reads += STEP
        self.events: dict[datetime, tuple[bool, bool]] = {}

    @property
    def begin(self) -> datetime:
        return datetime.combine(self.first, self.window_start)

    @property
    def end_reads(self) -> datetime:
        """What the camera clock reads when the shoot is over."""
        return datetime.combine(self.last, self.window_start) + timedelta(seconds=self.window_s)

    def camera_does(self, reads: datetime) -> tuple[bool, bool]:
        """Return whether the camera is within a window, and whether it takes something at this very moment."""
        if reads not in self.events:
            within = takes = False
            for day in (reads.date() - DAY, reads.date()):
                start = datetime.combine(day, self.window_start)
                records = self.first <= day <= self.last and day.isoweekday() in self.weekdays
                if records and day not in self.skipped and start <= reads < start + timedelta(seconds=self.window_s):
                    within = True
                    takes = (reads - start).seconds % self.interval_s == 0
            self.events[reads] = (within, takes)
        return self.events[reads]

    def clusters(self, size: int) -> int:
        return math.ceil(size / self.cluster_bytes) * self.cluster_bytes


@dataclass
class State:
    """The camera between two visits: real step, what its clock reads, what it has taken and used since."""

    step: int
    reads: datetime
    set_step: int
    seen: date
    stills: int = 0
    bursts: int = 0
    used_bytes: tuple[int, int, int] = (0, 0, 0)
    used_j: float = 0.0

    def copy(self) -> State:
        return State(**vars(self))


@dataclass
class Fate:
    """When things go wrong if nobody comes, as steps: the first step in which, and where it is close to a step's edge.

    ``clock`` is by drift; ``change_day`` the first day to correct the clock after a change; ``end`` the shoot's end.
    """

    card: int | None = None
    battery: float | None = None
    clock: int | None = None
    change_day: date | None = None
    end: int = 0


def begin(world: World) -> State:
    return State(0, world.begin, 0, world.first, used_bytes=(world.used_bytes,) * 3)


def one_step(world: World, state: State) -> tuple[bool, float | None]:
    """Live through one step; return whether a file didn't fit, and where in the step the reserve was reached."""
    within, takes = world.camera_does(state.reads)
    full, reserve_in = False, None
    here_j = 0.0
    if takes:
        frames = 1 if world.stills else 0
        burst = 1 if world.burst_bytes else 0
        added = [
            frames * world.clusters(size) + burst * world.clusters(world.burst_bytes) for size in world.frame_bytes
        ]
        state.used_bytes = tuple(old + new for old, new in zip(state.used_bytes, added, strict=True))
        state.stills += frames
        state.bursts += burst
        full = world.card_bytes is not None and state.used_bytes[2] > world.card_bytes
        here_j = frames * world.frame_j + burst * world.burst_j
    slope_w = world.standby_w + (world.recording_w if within else 0)
    if world.usable_j is not None:
        left_j = world.usable_j[0] * (1 - world.reserve) - state.used_j
        if here_j >= left_j:
            reserve_in = 0.0
        elif here_j + slope_w * STEP_S >= left_j:
            reserve_in = (left_j - here_j) / (slope_w * STEP_S)
    state.used_j += here_j + slope_w * STEP_S
    state.step += 1
    state.reads += STEP
    return full, reserve_in


def error_s(world: World, state: State) -> tuple[float, float]:
    """Return camera clock minus right time, and by how much it may have drifted besides."""
    apart = (state.reads - world.right_at[state.step]).total_seconds()
    return apart, (state.step - state.set_step) * STEP_S / 86_400 * world.drift


def fate(world: World, state: State) -> Fate:
    """Live on without a visit to the shoot's end and note what goes wrong."""
    state, found = state.copy(), Fate()
    apart_before = error_s(world, state)[0]
    while state.reads < world.end_reads:
        step = state.step
        full, reserve_in = one_step(world, state)
        if full and found.card is None:
            found.card = step
        if reserve_in is not None and found.battery is None:
            found.battery = step + reserve_in
        if world.drift_max is None or found.clock is not None or found.change_day is not None:
            continue
        apart, drifted = error_s(world, state)
        if abs(apart_before) + drifted > world.drift_max:
            found.clock = step
        elif abs(apart) + drifted > world.drift_max:
            day = world.right_at[state.step].date()
            while world.arrival(day) < world.right_at[state.step] or day <= state.seen or not world.allowed(day):
                day += DAY
            found.change_day = day
        apart_before = apart
    found.end = state.step
    return found


def step_at(world: World, at: datetime) -> int:
    """Return the real step at which the right time reads ``at``."""
    return world.step_of[at]


def in_time(world: World, state: State, found: Fate, day: date) -> bool | None:
    """Whether a visit on this date is early enough, were it as late as the margin allows; None if too close to say."""
    at = step_at(world, world.arrival(day + world.margin * DAY))
    if found.card is not None and found.card < at:
        return False
    if found.clock is not None and found.clock < at:
        return False
    if (
        world.clean is not None
        and misses_cleaning(world, state, found)
        and (day - state.seen).days + world.margin > world.clean
    ):
        return False
    if found.change_day is not None and matters(world, found) and day > found.change_day:
        return False
    if found.battery is not None and found.battery < found.end:
        if abs(found.battery - at) < 2 / STEP_S:
            return None
        return found.battery > at
    return True


def matters(world: World, found: Fate) -> bool:
    """Whether the clock can be corrected before the shoot's end."""
    return found.change_day is not None and step_at(world, world.arrival(found.change_day)) < found.end


def misses_cleaning(world: World, state: State, found: Fate) -> bool:
    """Whether the shoot goes on past the last date for cleaning."""
    return world.clean is not None and state.seen + world.clean * DAY < world.right_at[found.end].date()


def survives(world: World, state: State, found: Fate) -> bool:
    """Whether the shoot gets to its end from here without a visit."""
    return (
        found.card is None
        and (found.battery is None or found.battery >= found.end)
        and found.clock is None
        and not matters(world, found)
        and not misses_cleaning(world, state, found)
    )


def go_on_to(world: World, state: State, at: datetime) -> State:
    """Return the state on arrival at an instant of the right time."""
    state = state.copy()
    until = step_at(world, at)
    while state.step < until:
        one_step(world, state)
    return state


def renew(world: World, state: State, day: date) -> State:
    """Return the state after a visit."""
    state = state.copy()
    state.seen = day
    if "clock" in world.renews:
        state.reads, state.set_step = world.right_at[state.step], state.step
    if "card" in world.renews:
        state.stills = state.bursts = 0
        state.used_bytes = (0, 0, 0)
    if "battery" in world.renews:
        state.used_j = 0.0
    return state
