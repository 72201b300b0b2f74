"""Stories of a camera that was set to another interval, other hours or other weekdays than planned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time, timedelta

from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.life import FULL_SHARE, ends_after, lived
from webcalc.calc.onsite.story import Code, Tried, ranked
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DAY_S, Schedule

WORKDAYS = frozenset(range(1, 6))
#: Weekdays that are set by mistake for others; common practice, no source.
LIKELY_WEEKDAYS = (
    *(WORKDAYS, frozenset(range(1, 7)), ALL_WEEKDAYS, ALL_WEEKDAYS - WORKDAYS),
    frozenset((7, 1, 2, 3, 4)),
)
#: Windows are compared in steps of half an hour.
WINDOW_STEP_S = 1_800


def more_than_fits(comparison: Comparison) -> bool:
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


def intervals(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    recording = running.planner.recording
    planned_s = recording.interval_s
    if planned_s is None:
        return
    rising = sorted({planned_s, *running.settable_s})
    place = rising.index(planned_s)
    others = sorted((s for s in rising if s != planned_s), key=lambda s: abs(rising.index(s) - place))
    files = comparison.files if more_than_fits(comparison) else None
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


def hours(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    schedule = running.planner.schedule
    length_s = schedule.window.length_s
    lengths = [s for s in range(WINDOW_STEP_S, DAY_S + 1, WINDOW_STEP_S) if s != length_s]
    lengths.sort(key=lambda s: abs(s - length_s))
    files = comparison.files if more_than_fits(comparison) else None
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


def weekdays(comparison: Comparison) -> Iterator[Tried]:
    running = comparison.running
    schedule = running.planner.schedule
    others = [days for days in LIKELY_WEEKDAYS if days != schedule.weekdays]
    for days in others:
        yield Tried(Code.OTHER_WEEKDAYS, lived(running, replace(schedule, weekdays=days)), 0.6 / len(others))
