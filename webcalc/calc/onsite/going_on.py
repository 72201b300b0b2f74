"""The ways in which a camera may go on after the look: as planned, and as each story has it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from fractions import Fraction

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison, drain_factors, scaled
from webcalc.calc.onsite.fit import Story
from webcalc.calc.onsite.life import Code, cut, drawn_from
from webcalc.calc.onsite.seen import files_of
from webcalc.calc.schedule.count import counts_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.unknown import said
from webcalc.calc.visits.rules import BatteryInUse, CardInUse


@dataclass(frozen=True)
class Rates:
    """One way in which it may go on: settings, card and battery as measured, and what stands on the card."""

    schedule: Schedule
    recording: Recording
    card: CardInUse | None
    used_bytes: Estimate[int] | None
    battery: BatteryInUse | None


def ways_on(comparison: Comparison, stories: tuple[Story, ...] = ()) -> tuple[Rates, ...]:
    """Return every way in which it may go on: as planned and as each story has it, the best story first.

    The draw is what each story makes of the battery's reading; never below the planned one. Where more files than
    planned came and no story says from which settings, the excess goes into each file.
    """
    running = comparison.running
    planner, ahead = running.planner, _battery_ahead(comparison)
    excess, missed = Fraction(1), comparison.missed
    planned = comparison.expected.files.expected
    unexplained = not any(takes_more(comparison, story) for story in stories)
    if missed is not None and missed < 0 and not comparison.agrees and unexplained and planned:
        excess = Fraction(said(comparison.files), planned)
    found: dict[tuple[object, ...], Rates] = {}
    for story in (*stories, None):
        files = files_by(comparison, story)
        draw = comparison.drain_factor if story is None else draw_by(comparison, story)
        settings = [(planner.schedule, planner.recording, excess)]
        if story is not None and takes_more(comparison, story):
            # What it takes besides goes into each file, too: it may be set to a little more than the nearest fit.
            rest = Fraction(max(story.life.files, comparison.files or 0), max(1, story.life.files))
            schedules = [story.life.schedule]
            if story.code is Code.OTHER_HOURS:
                schedules += at_other_times(story.life.schedule, running.at)
            settings = [*((each, story.life.recording, rest) for each in schedules), *settings]
        for schedule, recording, more in settings:
            key = (schedule, recording, more, files, *_rounded(draw))
            if key not in found:
                card, used = _card(comparison, files, more)
                battery = None if ahead is None else _drawing(ahead, draw, float(more))
                found[key] = Rates(schedule, recording, card, used, battery)
    return tuple(found.values())


def _battery_ahead(comparison: Comparison) -> BatteryInUse | None:
    """Return the battery as planned from the look on; where nothing was read of it, as it was if that is less."""
    running = comparison.running
    battery, ahead = running.planner.battery, running.supply_ahead
    if battery is None or ahead is None:
        return battery
    if comparison.battery_left_share is None and battery.supply.usable_wh.low < ahead.usable_wh.low:
        return battery
    return replace(battery, supply=ahead)


def at_other_times(schedule: Schedule, at: datetime) -> list[Schedule]:
    """Return the same hours a day begun as early as they can be: at midnight, and at the time of the look.

    A count tells how many hours a day it records, not when: none of that length takes more from the look on.
    """
    length_s = schedule.window.length_s
    starts = (datetime.combine(at.date(), time()), at.replace(second=0, microsecond=0))
    windows = [DailyWindow(start.time(), (start + timedelta(seconds=length_s)).time()) for start in starts]
    return [replace(schedule, window=window) for window in windows]


def takes_more(comparison: Comparison, story: Story) -> bool:
    """Whether by this story it is set to take more than planned."""
    planner, life = comparison.running.planner, story.life
    if (life.schedule, life.recording) == (planner.schedule, planner.recording):
        return False
    whole = files_of(counts_between(life.schedule, life.recording, comparison.running.since, comparison.running.at))
    return whole > comparison.expected.files.expected


def draw_by(comparison: Comparison, story: Story) -> Estimate[float | None]:
    """Return the draw as a multiple of the planned one, if the story is true.

    A camera that stopped has drawn since what it draws at rest; one that an empty battery stopped has drawn nothing
    since, and its whole energy until then. An empty battery without a date of that only says "at least".
    """
    running, left, life = comparison.running, comparison.battery_left_share, story.life
    if left is None or is_full(left):
        return Estimate.exact(None)
    planner = replace(running.planner, schedule=life.schedule, recording=life.recording)
    begins = drawn_from(running, life)
    if life.battery_empty:
        return drain_factors(planner, begins, life.ends, Estimate.exact(0.0))
    if life.ends < running.at:
        planner = replace(planner, schedule=cut(life))
        return drain_factors(planner, begins, running.at, left, past_last=False)
    return drain_factors(planner, begins, running.at, left)


def is_full(left: Estimate[float]) -> bool:
    """Whether a battery reads full: then it has drawn little, or somebody changed or charged it."""
    return left.expected >= 1


def empty_since_when(comparison: Comparison) -> bool:
    """Whether a battery reads empty and nothing dates when it became so: its draw is then unknown, not only its end."""
    left, found = comparison.battery_left_share, comparison.found
    if left is None or left.expected > 0 or comparison.running.planner.battery is None:
        return False
    return comparison.files is None and found.last_at is None


def _rounded(draw: Estimate[float | None]) -> tuple[float | None, ...]:
    """Return factors as near as they matter: ways that differ by less are one."""
    return tuple(None if each is None else round(each, 3) for each in (draw.low, draw.expected, draw.high))


def _drawing(battery: BatteryInUse, draw: Estimate[float | None], excess: float) -> BatteryInUse:
    return replace(
        battery,
        load=Estimate(
            scaled(battery.load.low, _or_planned(draw.high)),
            scaled(battery.load.expected, _or_planned(draw.expected)),
            scaled(battery.load.high, max(excess, _or_planned(draw.low))),
        ),
    )


def _or_planned(factor: float | None) -> float:
    return 1.0 if factor is None else factor


def _card(comparison: Comparison, files: int | None, excess: Fraction) -> tuple[CardInUse | None, Estimate[int] | None]:
    running = comparison.running
    card, frame, cluster_bytes = running.planner.card, running.frame, running.cluster_bytes
    if comparison.frame_bytes is not None:
        # Whole clusters are in the measured size already.
        frame, cluster_bytes = comparison.frame_bytes.map(math.ceil), 1
    if frame is None:
        return None, comparison.used_bytes
    used = comparison.used_bytes or _used_by_count(comparison, files) or comparison.expected.card_used_bytes
    if comparison.used_bytes is not None and comparison.frame_bytes is None:
        frame = _at_least_as_used(comparison, frame)
    frame = Estimate(frame.low, frame.expected, math.ceil(frame.high * excess))
    if card is not None:
        card = replace(card, frame=frame, cluster_bytes=cluster_bytes, used_bytes=said(used).high)
    return card, used


def files_by(comparison: Comparison, story: Story | None) -> int | None:
    """Return how many files there are: as counted, or more where by the story the count has started again."""
    files = comparison.files
    if files is None or story is None or story.life.counted is None:
        return files
    return max(files, story.life.files)


def _used_by_count(comparison: Comparison, files: int | None) -> Estimate[int] | None:
    """Return what stands on the card by the count of files and the planned size."""
    running = comparison.running
    if files is None or running.frame is None or running.planner.recording.burst_s:
        return None
    return running.frame.map(lambda size: running.used_before_bytes + files * running.on_card_bytes(size))


def _at_least_as_used(comparison: Comparison, frame: Estimate[int]) -> Estimate[int]:
    """Return the planned frame, at its high end no less than the space used says if all frames are there."""
    running = comparison.running
    files = files_of(running.counts())
    if not files or running.planner.recording.burst_s:
        return frame
    by_use = math.ceil(Fraction(said(comparison.used_bytes).high - running.used_before_bytes, files))
    return Estimate(frame.low, frame.expected, max(frame.high, by_use))
