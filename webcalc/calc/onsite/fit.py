"""One judgement over all readings together: how well each story fits what was read, and what would tell two apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from fractions import Fraction

from webcalc.calc.card.limits import DCF_FILES_PER_FOLDER
from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison, compare
from webcalc.calc.onsite.life import (
    EMPTY_SHARE,
    Code,
    Life,
    Tried,
    battery_left_share,
    first_file_at,
    last_file_at,
    used_bytes,
)
from webcalc.calc.onsite.readings import SET_TO_S, SIZE_SPREAD
from webcalc.calc.onsite.seen import Found, Running, Value
from webcalc.calc.onsite.stories import tried

#: A reading that a story misses counts so much at most: two things may have happened.
WORST_MISFIT = 40.0
#: A gauge of a battery is read to this, as a share of the usable energy. Own choice.
GAUGE_SHARE = 0.03
#: A story that fits less than this is not told, nor planned for. Own choice.
LEAST_FIT = 0.01
#: So much better than the plan a story must explain what was read. Own choice.
BETTER_THAN_PLAN = 1.5
#: Stories that go as planned.
GOES_AS_PLANNED = (Code.AS_PLANNED, Code.CLOCK_SUMMER_TIME)
#: So many stories are told; what fits less well than these is of no help on a mast.
MOST_TOLD = 4
#: So often numbers start again at most while nobody looks. Own choice.
MOST_ROLLS = 4
_MINUTE = timedelta(minutes=1)


class Reading(StrEnum):
    """What can be read at a camera, in the order in which one looks for what tells two stories apart."""

    LAST_AT = "last_at"
    FIRST_AT = "first_at"
    FRAMES = "frames"
    SPACE = "space"
    BATTERY = "battery"
    CLOCK = "clock"


@dataclass(frozen=True)
class Story:
    """One story of what happened.

    fit : how likely it is among all of them by what was read, 0 to 1
    at : when it stopped, began or changed, camera clock; None where the story has no such instant
    """

    code: Code
    fit: float
    life: Life
    at: datetime | None = None


@dataclass(frozen=True)
class Judgement:
    """The stories in order of fit, and how well the best of them fit in all (to weigh one count against another)."""

    stories: tuple[Story, ...]
    weight: float


def judge(comparison: Comparison) -> Judgement:
    """Return the stories in order of fit; none where nothing was read that could tell.

    A story that explains what was read no better than the plan does isn't told: nothing speaks for it.
    """
    if not _readings(comparison) or not comparison.expected.files.expected:
        return Judgement((), 0.0)
    weights: dict[Code, float] = {}
    best: dict[Code, tuple[float, float, Tried]] = {}
    readings = sorted(_readings(comparison), key=_COST.index)
    whole = 0.0
    for each in tried(comparison):
        likelihood = _likelihood(comparison, each, readings, LEAST_FIT / 100 * whole)
        whole += each.weight * likelihood
        weights[each.code] = weights.get(each.code, 0.0) + each.weight * likelihood
        if each.code not in best or each.weight * likelihood > best[each.code][0]:
            best[each.code] = (each.weight * likelihood, likelihood, each)
    by_plan = best[Code.AS_PLANNED][1]
    weights = {
        code: weight
        for code, weight in weights.items()
        if code in GOES_AS_PLANNED or best[code][1] > BETTER_THAN_PLAN * by_plan
    }
    whole = sum(weights.values())
    found = [
        Story(code, weight / whole, best[code][2].life, _at(comparison.running, code, best[code][2].life))
        for code, weight in weights.items()
        if weight >= LEAST_FIT * whole
    ]
    return Judgement(tuple(sorted(found, key=lambda story: -story.fit)), whole)


def _at(running: Running, code: Code, life: Life) -> datetime | None:
    if code in (Code.STOPPED, Code.STOPPED_CARD_FULL, Code.STOPPED_BATTERY_EMPTY):
        return life.ends
    if code is Code.LATE_START:
        return life.begins
    return running.shifted_at if code is Code.CLOCK_SUMMER_TIME else None


# -- one story against what was read ------------------------------------------------------------------------


def _readings(comparison: Comparison) -> list[Reading]:
    """Return what was read and isn't in doubt."""
    found, doubted = comparison.found, comparison.is_doubted
    there = {
        Reading.FRAMES: comparison.files is not None,
        Reading.SPACE: comparison.used_bytes is not None,
        Reading.BATTERY: comparison.battery_left_share is not None,
        # A clock that was set wrong is told by its story: only what can't be compared at all is left out.
        Reading.CLOCK: found.clock_fast_s is not None and comparison.running.at > comparison.running.since,
        Reading.FIRST_AT: found.first_at is not None and not doubted(Value.COUNT),
        Reading.LAST_AT: found.last_at is not None and not doubted(Value.COUNT),
    }
    return [reading for reading in Reading if there[reading]]


def _likelihood(comparison: Comparison, story: Tried, readings: list[Reading], least: float) -> float:
    """Return how well a story explains all readings, 1 at best; below ``least`` (with its weight) only about."""
    likelihood = 1.0
    for reading in readings:
        likelihood *= math.exp(-min(WORST_MISFIT, _MISFITS[reading](comparison, story.life)) / 2)
        if story.weight * likelihood < least:
            break
    return likelihood


def _frames(comparison: Comparison, life: Life) -> float:
    files = comparison.files or 0
    return ((files - (life.files if life.counted is None else life.counted)) / comparison.running.slack) ** 2


def _space(comparison: Comparison, life: Life) -> float:
    told, read = used_bytes(comparison.running, life), comparison.used_bytes
    if told is None or read is None:
        return 0.0
    room = float(SIZE_SPREAD) * max(told.high - comparison.running.used_before_bytes, 1) + 1e6
    # Files placed otherwise in their windows change what they take, too.
    room += (comparison.running.slack * (told.high - comparison.running.used_before_bytes)) / max(1, life.files)
    return _apart(read, told, room)


def _battery(comparison: Comparison, life: Life) -> float:
    told, read = battery_left_share(comparison.running, life), comparison.battery_left_share
    if told is None or read is None:
        return 0.0
    if life.battery_empty and read.low <= EMPTY_SHARE:
        return 0.0
    middle = (read.expected - told.expected) / (GAUGE_SHARE + (told.high - told.low + read.high - read.low) / 2)
    return _apart(read, told, GAUGE_SHARE) + middle**2 / 4


def _clock(comparison: Comparison, life: Life) -> float:
    expected, fast_s = comparison.expected.clock_error_s, comparison.found.clock_fast_s
    if fast_s is None:
        return 0.0
    room_s = float(expected.high - expected.expected) + SET_TO_S
    told = [expected.expected if life.clock_fast_s is None else life.clock_fast_s]
    if life.clock_fast_s is None and not comparison.found.clock_by:
        told.append(Fraction(0))  # held against the offset it keeps
    return min((float(fast_s - each) / room_s) ** 2 for each in told)


def _first(comparison: Comparison, life: Life) -> float:
    return _times(comparison, comparison.found.first_at, first_file_at(life), life)


def _last(comparison: Comparison, life: Life) -> float:
    return _times(comparison, comparison.found.last_at, last_file_at(life), life)


def _times(comparison: Comparison, read: datetime | None, told: datetime | None, life: Life) -> float:
    if read is None or told is None:
        return 0.0
    return (abs(read - told) / _time_room(comparison, life)) ** 2


def _time_room(comparison: Comparison, life: Life) -> timedelta:
    """Return how near a file's time is told: to an interval, what a clock may have drifted, and the minute typed."""
    drift_s = comparison.expected.clock_error_s.high - comparison.expected.clock_error_s.expected
    return timedelta(seconds=float(life.recording.interval_s or 600) + float(drift_s)) + 2 * _MINUTE


_MISFITS: dict[Reading, Callable[[Comparison, Life], float]] = {
    Reading.FRAMES: _frames,
    Reading.CLOCK: _clock,
    Reading.SPACE: _space,
    Reading.FIRST_AT: _first,
    Reading.LAST_AT: _last,
    Reading.BATTERY: _battery,
}
_COST = list(_MISFITS)


def _apart(read: Estimate[int] | Estimate[float], told: Estimate[int] | Estimate[float], room: float) -> float:
    """Return how far two ranges are apart, in units of ``room``, squared; 0 where they meet."""
    return float(max(0.0, float(read.low - told.high), float(told.low - read.high)) / room) ** 2


def _size_room(one: Estimate[int], other: Estimate[int]) -> float:
    return float(SIZE_SPREAD) * max(one.high, other.high, 1)


# -- several counts -----------------------------------------------------------------------------------------


def look_at(running: Running, found: Found) -> tuple[Comparison, Judgement]:
    """Return what was found beside what was expected, and the stories that fit it.

    Numbers start again after 9999. Where no count was typed, the one counts of which a story fits best.
    """
    comparison = compare(running, found)
    judgement = judge(comparison)
    files = comparison.files
    if found.files is not None or files is None or comparison.agrees:
        return comparison, judgement
    best, rolled = (comparison, judgement), False
    for rolls in range(1, MOST_ROLLS + 1):
        other = compare(running, replace(found, files=files + rolls * DCF_FILES_PER_FOLDER))
        if other.files is None:
            break
        judged = judge(other)
        judged = replace(judged, weight=judged.weight / 2**rolls)
        if judged.weight > best[1].weight:
            best, rolled = (other, judged), True
    comparison, judgement = best
    if rolled and judgement.stories:
        first = replace(judgement.stories[0], fit=judgement.stories[0].fit / 2)
        again = replace(first, code=Code.ROLLED_OVER, at=None)
        judgement = replace(judgement, stories=(first, again, *judgement.stories[1:]))
        judgement = replace(judgement, stories=tuple(sorted(judgement.stories, key=lambda story: -story.fit)))
    return comparison, judgement


# -- what would tell two apart ------------------------------------------------------------------------------


@dataclass(frozen=True)
class TellsApart:
    """A reading that nobody took yet, what it would be by the first story, and by the ``nth`` one that it rules out."""

    reading: Reading
    first: object
    other: object
    nth: int = 2


def tells_apart(comparison: Comparison, stories: Sequence[Story]) -> TellsApart | None:
    """Return what to look at next: to tell the first story from the second, else from the next that can be told."""
    unread = [reading for reading in Reading if reading not in _readings(comparison)]
    for nth, story in enumerate(stories[1:MOST_TOLD], start=2):
        for reading, one, other, differ in _told(comparison, stories[0].life, story.life, unread):
            if one is not None and other is not None and differ:
                return TellsApart(reading, one, other, nth)
    return None


def _told(
    comparison: Comparison, first: Life, second: Life, unread: Iterable[Reading]
) -> Iterable[tuple[Reading, object, object, bool]]:
    running = comparison.running
    for reading in unread:
        if reading in (Reading.LAST_AT, Reading.FIRST_AT):
            tell = last_file_at if reading is Reading.LAST_AT else first_file_at
            one, other = tell(first), tell(second)
            room = max(_time_room(comparison, first), _time_room(comparison, second))
            apart = one is not None and other is not None and abs(one - other) > 2 * room
            # Within a gap nobody knows.
            yield reading, one, other, apart
        elif reading is Reading.FRAMES:
            yield reading, first.files, second.files, abs(first.files - second.files) > 2 * running.slack
        elif reading is Reading.SPACE:
            used, others = used_bytes(running, first), used_bytes(running, second)
            apart = used is not None and others is not None and _apart(used, others, _size_room(used, others)) > 1
            yield reading, used, others, apart
        elif reading is Reading.BATTERY:
            left, lefts = battery_left_share(running, first), battery_left_share(running, second)
            apart = left is not None and lefts is not None and _apart(left, lefts, 2 * GAUGE_SHARE) > 1
            yield reading, left, lefts, apart
