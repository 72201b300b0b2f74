"""Stories of a camera that ran only part of the time: it stopped, it began late, it was off in between."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.life import Life, begins_before, drawn_from, ends_after, lived
from webcalc.calc.onsite.seen import files_of
from webcalc.calc.onsite.story import Code, Tried, had_time_to_stop, narrow, unlikely
from webcalc.calc.power import runtime


def stops(comparison: Comparison) -> tuple[datetime, ...]:
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


def ends(comparison: Comparison) -> Iterator[Tried]:
    running, files = comparison.running, comparison.files
    planner, share, hazard = running.planner, narrow(comparison), had_time_to_stop(comparison)
    full_at, empty_at = _full_by_plan(comparison), _empty_by_plan(comparison)
    if full_at is not None:
        yield Tried(Code.STOPPED_CARD_FULL, replace(lived(running, ends=full_at), card_full=True), 2.0)
    if empty_at is not None:
        yield Tried(Code.STOPPED_BATTERY_EMPTY, replace(lived(running, ends=empty_at), battery_empty=True), 2.0)
    for at in stops(comparison):
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
    card = running.planner.card
    if card is None or running.frame is None:
        return None
    at = card_forecast.full_at(
        running.planner.schedule,
        running.planner.recording,
        running.frame.expected,
        card.usable_bytes,
        card.cluster_bytes,
        running.used_before_bytes,
        running.since,
    )
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
    left = runtime.energy_left_at(
        life.schedule,
        life.recording,
        battery.load.expected,
        battery.supply,
        life.ends,
        since=drawn_from(running, life),
    ).expected
    return 1 / (1 - left) if left < 1 else 0.0


def begins(comparison: Comparison) -> Iterator[Tried]:
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
