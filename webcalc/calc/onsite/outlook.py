"""How long card and battery last by what was measured at the camera, and whether to leave, change or come back.

A date is never to be too late. So where the cause of a shortfall isn't known, the larger of the planned and the
measured rate counts: missing frames may come back, and with them the planned rate.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from fractions import Fraction

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.card.space import FileSizes
from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.causes import LikelyInterval
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.drain import drain_factors, scaled
from webcalc.calc.onsite.seen import files_of
from webcalc.calc.power import runtime
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.unknown import said
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse, CardInUse, Reason, Standing

#: An empty battery can't be walked; this is as good as empty.
NEARLY_EMPTY_SHARE = 1e-9


class Verdict(StrEnum):
    """What to do at the camera."""

    LEAVE = "leave"
    CHANGE = "change"
    RETURN_BY = "return_by"
    OVER = "over"


@dataclass(frozen=True)
class Outlook:
    """What the measurement means for the rest of the shoot.

    full_at, reserve_at : on the camera clock; low is the date to plan on; None at an end that lasts; None altogether
        where card or battery isn't known
    verdict : None while neither card nor battery is known
    reasons : what has to be changed now, or what the return is for
    return_by : date of the latest visit that protects, for ``RETURN_BY``
    renewed_return_by : the same if everything that visits renew is renewed now; None where nothing more is due
    """

    full_at: Estimate[datetime | None] | None
    reserve_at: Estimate[datetime | None] | None
    verdict: Verdict | None = None
    reasons: tuple[Reason, ...] = ()
    return_by: date | None = None
    renewed_return_by: date | None = None


@dataclass(frozen=True)
class Rates:
    """The rates to plan on from now: recording, card and battery as measured, and what stands on the card."""

    recording: Recording
    card: CardInUse | None
    used_bytes: Estimate[int] | None
    battery: BatteryInUse | None


def rates(comparison: Comparison, likely: LikelyInterval | None) -> Rates:
    """Return the rates that follow from what was found, never below the planned ones where the cause isn't known."""
    running = comparison.running
    planner, recording = running.planner, running.planner.recording
    # More files than planned: at the shorter interval that explains them, else the excess goes into each file.
    excess = Fraction(1)
    if comparison.missed is not None and comparison.missed < 0 and not comparison.agrees:
        if likely and likely.explains and likely.interval_s < said(recording.interval_s):
            recording = replace(recording, interval_s=likely.interval_s)
        elif comparison.expected.files.expected:
            excess = Fraction(said(comparison.files), comparison.expected.files.expected)
    card, used = _card(comparison, excess)
    battery = planner.battery
    if battery is not None:
        factors = comparison.drain_factor
        if recording is not planner.recording and comparison.battery_left_share is not None:
            faster = replace(planner, recording=recording)
            factors = drain_factors(faster, running.battery_full_at, running.at, comparison.battery_left_share)
        battery = replace(
            battery,
            load=Estimate(
                scaled(battery.load.low, _or_planned(factors.high)),
                scaled(battery.load.expected, _or_planned(factors.expected)),
                scaled(battery.load.high, max(float(excess), _or_planned(factors.low))),
            ),
        )
    return Rates(recording, card, used, battery)


def _or_planned(factor: float | None) -> float:
    return 1.0 if factor is None else factor


def _card(comparison: Comparison, excess: Fraction) -> tuple[CardInUse | None, Estimate[int] | None]:
    running = comparison.running
    card, frame, cluster_bytes = running.planner.card, running.frame, running.cluster_bytes
    if comparison.frame_bytes is not None:
        # Whole clusters are in the measured size already.
        frame, cluster_bytes = comparison.frame_bytes.map(math.ceil), 1
    if frame is None:
        return None, comparison.used_bytes
    used = comparison.used_bytes or _used_by_count(comparison) or comparison.expected.card_used_bytes
    if comparison.used_bytes is not None and comparison.frame_bytes is None:
        frame = _at_least_as_used(comparison, frame)
    frame = Estimate(frame.low, frame.expected, math.ceil(frame.high * excess))
    if card is not None:
        card = replace(card, frame=frame, cluster_bytes=cluster_bytes, used_bytes=said(used).high)
    return card, used


def _used_by_count(comparison: Comparison) -> Estimate[int] | None:
    """Return what stands on the card by the count of files and the planned size."""
    running, files = comparison.running, comparison.files
    if files is None or running.frame is None or running.planner.recording.burst_s:
        return None
    sizes = running.frame.map(
        lambda size: FileSizes.of(running.planner.recording, size, running.cluster_bytes).frame_bytes
    )
    return sizes.map(lambda size: running.used_before_bytes + files * size)


def _at_least_as_used(comparison: Comparison, frame: Estimate[int]) -> Estimate[int]:
    """Return the planned frame, at its high end no less than the space used says if all frames are there."""
    running = comparison.running
    files = files_of(running.counts())
    if not files or running.planner.recording.burst_s:
        return frame
    by_use = math.ceil(Fraction(said(comparison.used_bytes).high - running.used_before_bytes, files))
    return Estimate(frame.low, frame.expected, max(frame.high, by_use))


def outlook(
    comparison: Comparison, likely: LikelyInterval | None, *, clock_since: datetime, looked_at: datetime
) -> Outlook:
    """Return the dates by the measured rates and the verdict.

    ``clock_since``: when the camera clock was set, ``looked_at``: when somebody looked; both in the right time.
    """
    running, found, left = comparison.running, rates(comparison, likely), comparison.battery_left_share
    rules = running.planner.rules
    if comparison.drift_s_per_day is not None:
        rules = replace(rules, drift_s_per_day=max(rules.drift_s_per_day, abs(comparison.drift_s_per_day)))
    fresh = replace(running.planner, rules=rules, recording=found.recording, card=found.card, battery=found.battery)
    dates = Outlook(_full_at(comparison, fresh, found), _reserve_at(comparison, fresh))
    if running.at >= fresh.schedule.ends_at:
        return replace(dates, verdict=Verdict.OVER)
    if running.at < running.since or (dates.full_at is None and dates.reserve_at is None):
        return dates
    standing = Standing(
        card_since=running.at,
        card_used_bytes=found.used_bytes.high if found.used_bytes else 0,
        battery_since=running.battery_full_at if left is None else running.at,
        clock_since=clock_since,
        seen=looked_at.date(),
    )
    as_found = fresh
    if left is not None and fresh.battery is not None:
        as_found = replace(fresh, battery=partly_used(fresh.battery, left.low))
    renewed = next_due(fresh, Standing(looked_at, 0, looked_at, looked_at, looked_at.date()))
    dates = replace(dates, renewed_return_by=renewed.by if renewed else None)
    due = next_due(as_found, standing)
    if due and due.by is None:
        return replace(dates, verdict=Verdict.CHANGE, reasons=due.reasons)
    if clock_is_off(comparison):
        return replace(dates, verdict=Verdict.CHANGE, reasons=(Reason.CLOCK,))
    if due is None:
        return replace(dates, verdict=Verdict.LEAVE)
    return replace(dates, verdict=Verdict.RETURN_BY, reasons=due.reasons, return_by=due.by)


def clock_is_off(comparison: Comparison) -> bool:
    """Whether the camera clock is off by more than is accepted: as it was read, else as it must be by summer time."""
    running, found_s = comparison.running, comparison.found.clock_fast_s
    most_s = running.planner.rules.drift_max_s
    error_s = comparison.expected.clock_error_s.expected if found_s is None else found_s
    if running.shift_wanted:
        error_s -= running.clock_shift_s
    return most_s is not None and abs(error_s) > most_s


@dataclass(frozen=True)
class Due:
    """The next visit that is due: the latest date that is in time, None where none is, and what for."""

    by: date | None
    reasons: tuple[Reason, ...]


def next_due(planner: VisitPlanner, standing: Standing) -> Due | None:
    """Return the first visit of the planner's list, without making the rest of it; None where nothing runs out.

    What a visit doesn't renew is due all the same: at the look it can be renewed.
    """
    limits = planner.limits(standing)
    latest = [planner.rules.latest_allowed(limit.first_day, limit.last_day) for limit in limits]
    if None in latest:
        late = tuple(limit for limit, day in zip(limits, latest, strict=True) if day is None)
        return Due(None, (min(late, key=lambda limit: limit.at).reason,))
    by = min((day for day in latest if day), default=None)
    if by is None:
        return None
    return Due(by, tuple(limit.reason for limit, day in zip(limits, latest, strict=True) if day == by))


def _full_at(comparison: Comparison, plan: VisitPlanner, found: Rates) -> Estimate[datetime | None] | None:
    card = found.card
    if card is None or found.used_bytes is None:
        return None

    def at(frame_bytes: int, used_bytes: int) -> datetime | None:
        return card_forecast.forecast(
            plan.schedule,
            found.recording,
            Estimate.exact(frame_bytes),
            card.usable_bytes,
            card.cluster_bytes,
            used_bytes,
            comparison.running.at,
            reserve_share=Fraction(0),
        ).full_at.low

    frame, used = card.frame, found.used_bytes
    return Estimate(at(frame.high, used.high), at(frame.expected, used.expected), at(frame.low, used.low))


def _reserve_at(comparison: Comparison, plan: VisitPlanner) -> Estimate[datetime | None] | None:
    battery, left = plan.battery, comparison.battery_left_share
    if battery is None:
        return None
    if left is None:
        found = _runtime(plan, battery, comparison.running.battery_full_at)
        ends = (found.low, found.expected, found.high)
    else:
        since = comparison.running.at
        ends = (
            _runtime(plan, partly_used(battery, left.low), since).low,
            _runtime(plan, partly_used(battery, left.expected), since).expected,
            _runtime(plan, partly_used(battery, left.high), since).high,
        )
    # The ends of a load may cross where nights and days take their turns; what lasts comes last.
    low, expected, high = sorted(ends, key=lambda at: at or datetime.max)
    return Estimate(low, expected, high)


def _runtime(plan: VisitPlanner, battery: BatteryInUse, since: datetime) -> Estimate[datetime | None]:
    return runtime.runtime(
        plan.schedule,
        plan.recording,
        battery.load,
        battery.supply,
        since=since,
        reserve_share=battery.reserve_share,
        past_last=False,
    ).reserve_at


def partly_used(battery: BatteryInUse, left_share: float) -> BatteryInUse:
    """Return a battery that, full, holds what is left in this one; its reserve is the same energy."""
    share = max(left_share, NEARLY_EMPTY_SHARE)
    supply = replace(battery.supply, usable_wh=battery.supply.usable_wh.map(lambda wh: wh * share))
    return replace(battery, supply=supply, reserve_share=min(1.0, battery.reserve_share / share))
