"""A camera simulated file by file, for hidden causes at random: what it leaves to be read, and when it really runs out.

Nothing here is calc's: the simulation fires every interval by itself, adds up bytes and joules one file after the
other, and takes its own calendar. All cameras are invented.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from random import Random

CLUSTER = 32_768
CARD_BYTES = 32 * 10**9
#: What the file system leaves of the label.
ROOM_BYTES = int(CARD_BYTES * 0.995)
FRAME_BYTES = 8_000_000
#: Li-ion as planned: a battery of which this is usable, in joules; its own loss aside.
STANDBY_W, FRAME_J = 0.06, 30.0
#: What a plan knows frames and draw to.
SCATTER = 0.03
DAY_S = 86_400


@dataclass(frozen=True)
class Truth:
    """How a simulated camera is set, and what happens to it."""

    first: date
    days: int
    from_h: float = 8
    until_h: float = 18
    weekdays: frozenset[int] = frozenset(range(1, 8))
    interval_s: int = 300
    begins: datetime | None = None
    stops: datetime | None = None
    off: tuple[datetime, datetime] | None = None
    frame_bytes: int = FRAME_BYTES
    draw: float = 1.0
    usable_j: float = 0.0
    copies: int = 1

    @property
    def starts_at(self) -> datetime:
        return datetime.combine(self.first, datetime.min.time()) + timedelta(hours=self.from_h)

    def second(self, at: datetime) -> int:
        """Return an instant as seconds since the first day's midnight."""
        return int((at - datetime.combine(self.first, datetime.min.time())).total_seconds())

    def instant(self, second: int | None) -> datetime | None:
        return None if second is None else datetime.combine(self.first, datetime.min.time()) + timedelta(0, second)

    def ticks(self, until: datetime) -> list[int]:
        """Return when it fires, before anything stops it, in seconds since the first day's midnight."""
        found: list[int] = []
        for n in range(self.days):
            if (self.first + timedelta(n)).isoweekday() in self.weekdays:
                start, end = n * DAY_S + int(self.from_h * 3_600), n * DAY_S + int(self.until_h * 3_600)
                found += range(start, end, self.interval_s)
        return found[: bisect_left(found, self.second(until))]


@dataclass
class Left:
    """What is found at a camera; what it did is in ``full_at`` and ``empty_at``."""

    files: int = 0
    used_bytes: int = 0
    left_share: float = 1.0
    first_at: datetime | None = None
    last_at: datetime | None = None
    full_at: datetime | None = None
    empty_at: datetime | None = None


def run(truth: Truth, at: datetime, since: datetime | None = None) -> Left:
    """Run a camera from ``since`` (default: the start), card empty and battery full then, and say what it leaves."""
    since_s, at_s = truth.second(since or truth.starts_at), truth.second(at)
    begins = since_s if truth.begins is None else truth.second(truth.begins)
    stops = at_s if truth.stops is None else truth.second(truth.stops)
    off = (0, 0) if truth.off is None else (truth.second(truth.off[0]), truth.second(truth.off[1]))
    on_card = -(-truth.frame_bytes // CLUSTER) * CLUSTER * truth.copies
    rest_w, frame_j = STANDBY_W * truth.draw, FRAME_J * truth.draw
    usable_j = truth.usable_j or 1e12
    files = used = 0
    drawn_j, before = 0.0, since_s
    first = last = full = empty = None
    for tick in truth.ticks(at):
        if tick < since_s or tick < begins or tick >= stops or off[0] <= tick < off[1]:
            continue
        drawn_j += rest_w * (tick - before)
        before = tick
        if drawn_j >= usable_j:
            empty = tick
            break
        if used + on_card > ROOM_BYTES:
            full = full or tick
            continue
        drawn_j += frame_j
        files += truth.copies
        used += on_card
        first = tick if first is None else first
        last = tick
    else:
        drawn_j += rest_w * (at_s - before)
        empty = at_s if drawn_j >= usable_j else None
    left = 0.0 if empty is not None else max(0.0, 1 - drawn_j / usable_j)
    return Left(files, used, left, *map(truth.instant, (first, last, full, empty)))


@dataclass(frozen=True)
class Case:
    """A plan, what really happened, when somebody looks, and what is read."""

    cause: str
    plan: Truth
    truth: Truth
    at: datetime
    read: Left
    #: Names of what was read: files, space, battery, times, numbers, clock.
    looked_at: frozenset[str]
    clock_s: float = 0.0
    first_number: int = 1
    last_number: int = 1
    counted: int = 0
    #: By how much a change of summer time puts the clock off: known from the calendar.
    shift_s: int = 0


CAUSES = (
    *("as_planned", "stopped", "stopped_card_full", "stopped_battery_empty", "other_interval", "other_hours"),
    *("other_weekdays", "late_start", "larger_frames", "heavier_draw", "rolled_over", "clock_offset", "bursts_counted"),
    *("paused", "smaller_frames", "clock_summer_time", "clock_set_wrong", "clock_drift"),
)
INTERVALS = (300, 600, 900, 1_200, 1_800, 3_600)


def random_case(random: Random, cause: str) -> Case:
    """Return a case with one hidden cause, far enough from the plan to be seen at all."""
    first = date(2027, 1, 4) + timedelta(random.randrange(0, 60))
    weekdays = random.choice([frozenset(range(1, 8)), frozenset(range(1, 6))])
    plan = Truth(
        first,
        random.randrange(100, 160),
        from_h=random.choice([6, 7, 8]),
        until_h=random.choice([16, 17, 18]),
        weekdays=weekdays,
        interval_s=random.choice([900, 1_200, 1_800]),
    )
    days = random.randrange(20, 60)
    at = datetime.combine(first + timedelta(days), datetime.min.time()) + timedelta(hours=random.randrange(7, 20))
    # Over the time until the look about half of the battery goes.
    drawn_j = STANDBY_W * (at - plan.starts_at).total_seconds() + FRAME_J * len(plan.ticks(at))
    plan = replace(plan, usable_j=drawn_j * random.uniform(1.8, 2.6))
    middle = plan.starts_at + (at - plan.starts_at) * random.uniform(0.25, 0.8)
    middle = middle.replace(second=0, microsecond=0)
    shift_s = 0
    truth, clock_s, first_number = plan, random.uniform(-1.5, 1.5) * days, random.randrange(1, 4_000)
    if cause == "stopped":
        truth = replace(plan, stops=middle)
    elif cause == "stopped_card_full":
        share = random.uniform(0.3, 0.8)
        truth = replace(plan, frame_bytes=int(ROOM_BYTES / (share * len(plan.ticks(at)))))
    elif cause == "stopped_battery_empty":
        part = STANDBY_W * (middle - plan.starts_at).total_seconds() + FRAME_J * len(plan.ticks(middle))
        truth = replace(plan, draw=plan.usable_j / max(part, 1.0))
    elif cause == "other_interval":
        truth = replace(plan, interval_s=random.choice([s for s in INTERVALS if s != plan.interval_s]))
    elif cause == "other_hours":
        hours = random.choice([(plan.from_h, plan.until_h - 3), (plan.from_h + 2, plan.until_h), (0, 24)])
        truth = replace(plan, from_h=hours[0], until_h=hours[1])
    elif cause == "other_weekdays":
        others = [frozenset(range(1, 8)), frozenset(range(1, 6)), frozenset(range(1, 7)), frozenset((6, 7))]
        truth = replace(plan, weekdays=random.choice([days for days in others if days != plan.weekdays]))
    elif cause == "late_start":
        truth = replace(plan, begins=middle)
    elif cause == "larger_frames":
        most = 0.9 * ROOM_BYTES / (FRAME_BYTES * len(plan.ticks(at)))
        truth = replace(plan, frame_bytes=int(FRAME_BYTES * random.uniform(1.25, max(1.3, min(2.0, most)))))
    elif cause == "smaller_frames":
        truth = replace(plan, frame_bytes=int(FRAME_BYTES * random.uniform(0.5, 0.8)))
    elif cause == "heavier_draw":
        truth = replace(plan, draw=random.uniform(1.3, 1.7))
    elif cause == "paused":
        truth = replace(plan, off=(middle, middle + (at - middle) * random.uniform(0.3, 0.8)))
    elif cause == "clock_offset":
        clock_s += 3_600 * random.choice([-5, -3, -2, 2, 3, 6])
    elif cause == "clock_set_wrong":
        clock_s += random.choice([-1, 1]) * (900 * random.randrange(9, 60) + 450)
    elif cause == "clock_summer_time":
        clock_s += (shift_s := random.choice([-3_600, 3_600]))
    elif cause == "clock_drift":
        clock_s = random.choice([-1, 1]) * random.uniform(6, 15) * days
    elif cause == "bursts_counted":
        truth = replace(plan, copies=2, frame_bytes=FRAME_BYTES // 2)
    elif cause == "rolled_over":
        at = datetime.combine(first + timedelta(18 if len(weekdays) == 7 else 25), at.time())
        plan = replace(plan, interval_s=60, frame_bytes=FRAME_BYTES // 8)
        drawn_j = STANDBY_W * (at - plan.starts_at).total_seconds() + FRAME_J * len(plan.ticks(at))
        plan = truth = replace(plan, usable_j=drawn_j * 2.2)
    # No camera's frames and draw are to the byte and joule those of the plan.
    scatter = [random.uniform(1 - SCATTER, 1 + SCATTER) for _ in range(2)]
    truth = replace(truth, frame_bytes=int(truth.frame_bytes * scatter[0]), draw=truth.draw * scatter[1])
    read = run(truth, at)
    counted = read.files
    if cause == "rolled_over":
        counted = (read.files - 1) % 9_999 + 1
    looked_at = {"files"} | {name for name in ("space", "battery", "times", "numbers") if random.random() < 0.7}
    if cause.startswith("clock") or random.random() < 0.5:
        looked_at.add("clock")
    # A cause can only be told by what it changes.
    looked_at |= {
        "stopped_card_full": {"space"},
        "stopped_battery_empty": {"battery"},
        "larger_frames": {"space"},
        "smaller_frames": {"space"},
    }.get(cause, set())
    looked_at |= {"battery"} if cause == "heavier_draw" else set()
    if cause == "rolled_over":
        looked_at -= {"numbers"}
    last_number = (first_number + read.files - 2) % 9_999 + 1
    return Case(
        cause, plan, truth, at, read, frozenset(looked_at), clock_s, first_number, last_number, counted, shift_s
    )
