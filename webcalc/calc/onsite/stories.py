"""What may have happened at a camera: every story that is tried, with the life that it would have been."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from webcalc.calc.card.limits import DCF_FILES_PER_FOLDER
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.doubts import SET_TO_S, SIZE_SPREAD, may_drift_s
from webcalc.calc.onsite.life import lived
from webcalc.calc.onsite.part_time import begins, ends
from webcalc.calc.onsite.set_otherwise import hours, intervals, weekdays
from webcalc.calc.onsite.story import Code, Tried, narrow, unlikely
from webcalc.calc.unknown import said

QUARTER_S, HOUR_S = 900, 3_600


def tried(comparison: Comparison) -> Iterator[Tried]:
    """Yield every story that could be told of this camera."""
    yield Tried(Code.AS_PLANNED, lived(comparison.running), 8.0)
    for tell in (_clocks, _sizes, _draws, ends, begins, _counts):
        yield from tell(comparison)
    found = comparison.found
    files_seen = (comparison.files, comparison.used_bytes, found.first_at, found.last_at)
    # Of a battery alone one thinks of its draw first, not of what the camera is set to.
    share = 0.1 if all(one is None for one in files_seen) else 1.0
    for tell in (weekdays, intervals, hours):
        for each in tell(comparison):
            yield replace(each, weight=each.weight * share)


# -- other frames, other draw -------------------------------------------------------------------------------


def _sizes(comparison: Comparison) -> Iterator[Tried]:
    running, used = comparison.running, comparison.used_bytes
    if running.frame is None or used is None or running.planner.recording.burst_s:
        return
    life = lived(running)
    files = life.files if comparison.files is None else comparison.files
    if not files:
        return
    taken = Fraction(used.expected - running.used_before_bytes, files)
    planned = running.frame.map(lambda size: running.on_card_bytes(size))
    size = taken / planned.expected
    if taken > planned.high * (1 + SIZE_SPREAD):
        yield Tried(Code.LARGER_FRAMES, replace(life, size=size), 0.6 * unlikely(float(size), exact=False))
    elif taken < planned.low * (1 - SIZE_SPREAD) and size > 0:
        yield Tried(Code.SMALLER_FRAMES, replace(life, size=size), 0.4 * unlikely(float(size), exact=False))


def _draws(comparison: Comparison) -> Iterator[Tried]:
    running, factor = comparison.running, comparison.drain_factor.expected
    if factor is None:
        return
    life = replace(lived(running), draw=max(factor, 0.0))
    if factor > 1:
        yield Tried(Code.HEAVIER_DRAW, life, 0.6 * unlikely(factor, exact=False))
    elif factor < 1:
        yield Tried(Code.LIGHTER_DRAW, life, 0.3 * unlikely(max(factor, 0.01), exact=False))


# -- another count ------------------------------------------------------------------------------------------


def _counts(comparison: Comparison) -> Iterator[Tried]:
    running, files = comparison.running, comparison.files
    if files is None:
        return
    life, counts = lived(running), running.planned
    rolled, typed = 1, comparison.found.files is not None
    while typed and life.files - rolled * DCF_FILES_PER_FOLDER > 0:
        yield Tried(
            Code.ROLLED_OVER,
            replace(life, counted=life.files - rolled * DCF_FILES_PER_FOLDER),
            0.3 / rolled,
        )
        rolled += 1
    if counts.stills and not counts.bursts:
        yield Tried(Code.BURSTS_COUNTED, replace(life, counted=life.files + counts.stills, sizes_known=False), 0.2)
    elif counts.bursts:
        yield Tried(Code.BURSTS_COUNTED, replace(life, counted=life.files + counts.bursts), 0.2)
        if counts.frames:
            yield Tried(Code.BURSTS_LEFT_OUT, replace(life, counted=counts.frames), 0.4)
    if files > life.files:
        yield Tried(Code.OLDER_FILES, replace(life, counted=files, sizes_known=False), 0.3 * narrow(comparison))


# -- another clock ------------------------------------------------------------------------------------------


def quarters_off(comparison: Comparison) -> int:
    """Return by how many quarters of an hour the clock is off, if it is by whole ones; else 0.

    Offsets from UTC are whole quarters of an hour.
    """
    fast_s, error_s = comparison.found.clock_fast_s, comparison.expected.clock_error_s
    if fast_s is None:
        return 0
    off_s = fast_s - error_s.expected
    quarters = round(off_s / QUARTER_S)
    return quarters if abs(off_s - quarters * QUARTER_S) <= error_s.high - error_s.expected + SET_TO_S else 0


def _clocks(comparison: Comparison) -> Iterator[Tried]:
    running, found = comparison.running, comparison.found
    fast_s, shift_s, room_s = found.clock_fast_s, running.clock_shift_s, may_drift_s(comparison.running)
    if fast_s is None:
        return
    life = lived(running)
    if shift_s and not running.shift_wanted:
        # As planned, and still what one wonders about: it goes before.
        yield Tried(Code.CLOCK_SUMMER_TIME, replace(life, clock_fast_s=Fraction(shift_s)), 9.0)
        yield Tried(Code.CLOCK_SUMMER_TIME, replace(life, clock_fast_s=Fraction(0)), 1.0)
    off_s = fast_s - shift_s
    as_found = replace(life, clock_fast_s=fast_s)
    zones = quarters_off(comparison)
    if zones and abs(off_s) > room_s:
        if abs(zones) * QUARTER_S == HOUR_S:
            yield Tried(Code.CLOCK_SUMMER_TIME, as_found, 1.0)
        yield Tried(Code.CLOCK_OFFSET, as_found, 0.6 if zones % 4 == 0 else 0.3)
    if abs(off_s) > room_s:
        yield Tried(Code.CLOCK_SET_WRONG, as_found, 0.1)
    elif abs(off_s) > comparison.expected.clock_error_s.high - said(comparison.expected.clock_error_s.expected):
        yield Tried(Code.CLOCK_DRIFT, as_found, 0.5)
