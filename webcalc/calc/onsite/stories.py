"""What may have happened at a camera: every story that is tried, with the life that it would have been."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta
from fractions import Fraction

from webcalc.calc.card.limits import DCF_FILES_PER_FOLDER
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.life import (
    FULL_SHARE,
    Code,
    Life,
    Tried,
    begins_before,
    drawn_from,
    ends_after,
    had_time_to_stop,
    lived,
    narrow,
    ranked,
    unlikely,
)
from webcalc.calc.onsite.readings import SET_TO_S, SIZE_SPREAD, may_drift_s
from webcalc.calc.onsite.seen import files_of
from webcalc.calc.power import runtime
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DAY_S, Schedule
from webcalc.calc.unknown import said

QUARTER_S, HOUR_S = 900, 3_600


def tried(comparison: Comparison) -> Iterator[Tried]:
    """Yield every story that could be told of this camera."""
    yield Tried(Code.AS_PLANNED, lived(comparison.running), 8.0)
    for tell in (_clocks, _sizes, _draws, _ends, _begins, _counts):
        yield from tell(comparison)
    found = comparison.found
    files_seen = (comparison.files, comparison.used_bytes, found.first_at, found.last_at)
    # Of a battery alone one thinks of its draw first, not of what the camera is set to.
    share = 0.1 if all(one is None for one in files_seen) else 1.0
    for tell in (_weekdays, _intervals, _hours):
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


# -- it ran only part of the time -------------------------------------------------------------------------


def _stops(comparison: Comparison) -> tuple[datetime, ...]:
    """Return the instants at which it may have stopped: by the last file, by the count, by the space used."""
    running, found = comparison.running, comparison.found
    interval_s = running.planner.recording.interval_s
    instants = []
    if found.last_at is not None and running.since <= found.last_at < running.at:
        instants.append(found.last_at + timedelta(seconds=float(min(interval_s or 60, 3_600))))
    files = comparison.files
    if files is None and running.frame is not None and comparison.used_bytes is not None:
        taken = comparison.used_bytes.expected - running.used_before_bytes
        files = max(0, taken // running.on_card_bytes(running.frame.expected))
    if files is not None and files < files_of(running.planned):
        instants.append(ends_after(running, files))
    return tuple(dict.fromkeys(instants))


def _ends(comparison: Comparison) -> Iterator[Tried]:
    running, files = comparison.running, comparison.files
    planner, share, hazard = running.planner, narrow(comparison), had_time_to_stop(comparison)
    full_at, empty_at = _full_by_plan(comparison), _empty_by_plan(comparison)
    if full_at is not None:
        yield Tried(Code.STOPPED_CARD_FULL, replace(lived(running, ends=full_at), card_full=True), 2.0)
    if empty_at is not None:
        yield Tried(Code.STOPPED_BATTERY_EMPTY, replace(lived(running, ends=empty_at), battery_empty=True), 2.0)
    for at in _stops(comparison):
        life = lived(running, ends=at)
        if running.card_bytes is not None and running.frame is not None and life.files:
            # What each file must take to fill the card by then, over what it takes by the plan.
            each = Fraction(running.card_bytes - running.used_before_bytes, files or life.files)
            size = each / running.on_card_bytes(running.frame.expected)
            if size > 0:
                yield Tried(
                    Code.STOPPED_CARD_FULL,
                    replace(life, card_full=True, size=size),
                    share * unlikely(float(size), running.frame.is_exact),
                )
        if planner.battery is not None:
            yield Tried(
                Code.STOPPED_BATTERY_EMPTY,
                replace(life, battery_empty=True),
                2 * share * unlikely(_draw_to_empty(comparison, life), exact=False),
            )
        yield Tried(Code.STOPPED, life, 0.8 * share * hazard)
    if files is not None and files < files_of(running.planned):
        yield Tried(Code.PAUSED, replace(lived(running), files=files, gap=True), 0.6 * share * hazard)


def _full_by_plan(comparison: Comparison) -> datetime | None:
    """Return when the card is full by the plan, before the look; None where it isn't."""
    running = comparison.running
    if running.planner.card is None or running.frame is None:
        return None
    begin = replace(running.planner.start(), card_since=running.since, card_used_bytes=running.used_before_bytes)
    at = running.planner.card_full_at(begin, running.frame.expected)
    return at if at is not None and at < running.at else None


def _empty_by_plan(comparison: Comparison) -> datetime | None:
    """Return when the battery is empty by the plan, before the look; None where it isn't."""
    running = comparison.running
    battery = running.planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return None
    left = comparison.expected.battery_left_share
    if left is None or left.expected > 0:
        return None
    return runtime.runtime(
        running.planner.schedule,
        running.planner.recording,
        battery.load.expected,
        battery.supply,
        since=running.battery_full_at,
        reserve_share=0.0,
        past_last=False,
    ).reserve_at.expected


def _draw_to_empty(comparison: Comparison, life: Life) -> float:
    """Return by which factor the draw must be above the plan for the battery to be empty by then; 0: can't be told."""
    running = comparison.running
    battery = running.planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return 1.0
    load, supply, since = battery.load.expected, battery.supply, drawn_from(running, life)
    left = runtime.energy_left_at(life.schedule, life.recording, load, supply, life.ends, since=since).expected
    return 1 / (1 - left) if left < 1 else 0.0


def _begins(comparison: Comparison) -> Iterator[Tried]:
    running, files, first_at = comparison.running, comparison.files, comparison.found.first_at
    times = [first_at] if first_at is not None and running.since < first_at < running.at else []
    if files is not None and 0 < files < files_of(running.planned):
        times.append(begins_before(running, files))
    schedule = running.planner.schedule
    first_day = next(iter(schedule.window_start_days(running.since)), None)
    soon = running.since if first_day is None else schedule.window_on(first_day)[1]
    for begin in dict.fromkeys(times):
        # Within the first window it is a start that was forgotten for hours, else one that somebody would have noticed.
        yield Tried(Code.LATE_START, lived(running, begins=begin), narrow(comparison) * (0.9 if begin <= soon else 0.4))


# -- set to another interval, other hours or weekdays -----------------------------------------------------


WORKDAYS = frozenset(range(1, 6))
#: Weekdays that are set by mistake for others; common practice, no source.
LIKELY_WEEKDAYS = (
    *(WORKDAYS, frozenset(range(1, 7)), ALL_WEEKDAYS, ALL_WEEKDAYS - WORKDAYS),
    frozenset((7, 1, 2, 3, 4)),
)
#: Windows are compared in steps of half an hour.
WINDOW_STEP_S = 1_800


def _more_than_fits(comparison: Comparison) -> bool:
    """Whether more files than planned fill the card: then it stopped before the look, whatever it was set to."""
    running, used, files = comparison.running, comparison.used_bytes, comparison.files
    high = used.high if used is not None else None
    if high is None and files is not None and running.frame is not None:
        high = running.used_before_bytes + files * running.on_card_bytes(running.frame.high)
    full = high is not None and running.card_bytes is not None and high >= running.card_bytes * FULL_SHARE
    return full and comparison.missed is not None and comparison.missed < -running.slack


def _near(comparison: Comparison, share: float) -> bool:
    """Whether such a share of the planned frames may be what was counted: what is far off needs no working out."""
    files, planned = comparison.files, comparison.expected.files.expected
    if files is None or not planned:
        return True
    told = planned * share
    return abs(told - files) <= 5 * comparison.running.slack + (told + files) / 16


def _intervals(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    recording = running.planner.recording
    planned_s = recording.interval_s
    if planned_s is None:
        return
    rising = sorted({planned_s, *running.settable_s})
    place = rising.index(planned_s)
    others = sorted((s for s in rising if s != planned_s), key=lambda s: abs(rising.index(s) - place))
    files = comparison.files if _more_than_fits(comparison) else None
    for interval_s, share in zip(others, ranked(len(others)), strict=True):
        if files and interval_s < planned_s:
            faster = replace(recording, interval_s=interval_s)
            ends = ends_after(running, files, recording=faster)
            if ends < running.at:
                life = replace(lived(running, recording=faster, ends=ends), card_full=True)
                yield Tried(Code.OTHER_INTERVAL, life, share)
        if not _near(comparison, float(planned_s / interval_s)):
            continue
        life = lived(running, recording=replace(recording, interval_s=interval_s))
        yield Tried(Code.OTHER_INTERVAL, life, 1.5 * share)


def _hours(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    schedule = running.planner.schedule
    length_s = schedule.window.length_s
    lengths = [s for s in range(WINDOW_STEP_S, DAY_S + 1, WINDOW_STEP_S) if s != length_s]
    lengths.sort(key=lambda s: abs(s - length_s))
    files = comparison.files if _more_than_fits(comparison) else None
    for other_s, share in zip(lengths, ranked(len(lengths)), strict=True):
        share = max(share, 0.1) if other_s == DAY_S else share
        if files and other_s > length_s:
            longer = _until_later(schedule, other_s)
            ends = ends_after(running, files, longer)
            if ends < running.at:
                life = replace(lived(running, longer, ends=ends), card_full=True)
                yield Tried(Code.OTHER_HOURS, life, 0.3 * share)
        if not _near(comparison, other_s / length_s):
            continue
        for with_length in (_all_day, _until_later) if other_s == DAY_S else (_until_later, _from_earlier):
            yield Tried(Code.OTHER_HOURS, lived(running, with_length(schedule, other_s)), 0.4 * share)


def _until_later(schedule: Schedule, length_s: int) -> Schedule:
    end = datetime.combine(schedule.first, schedule.window.start) + timedelta(seconds=length_s)
    return replace(schedule, window=replace(schedule.window, end=end.time()))


def _all_day(schedule: Schedule, length_s: int) -> Schedule:
    """Return the same days from midnight to midnight: what "around the clock" means to a camera with weekdays."""
    midnight = time()
    return replace(schedule, window=replace(schedule.window, start=midnight, end=midnight))


def _from_earlier(schedule: Schedule, length_s: int) -> Schedule:
    start = datetime.combine(schedule.first, schedule.window.end) - timedelta(seconds=length_s)
    return replace(schedule, window=replace(schedule.window, start=start.time()))


def _weekdays(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    schedule = running.planner.schedule
    others = [days for days in LIKELY_WEEKDAYS if days != schedule.weekdays]
    for days in others:
        yield Tried(Code.OTHER_WEEKDAYS, lived(running, replace(schedule, weekdays=days)), 0.6 / len(others))
