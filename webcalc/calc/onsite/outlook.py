"""How long card and battery last by what was measured at the camera, and whether to leave, change or come back.

A date is never to be too late. So every story that may be true counts, and the plan too: missing frames may come
back, and with them the planned rate.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from enum import StrEnum

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.fit import Story
from webcalc.calc.onsite.going_on import Rates, draw_by, empty_since_when, ways_on
from webcalc.calc.power import runtime
from webcalc.calc.unknown import said
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse, Reason, Standing

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
    renewed_known : whether that can be told; not while an empty battery's draw isn't known, or no visit is in time
    draw : true draw as a multiple of the planned one, by the best story
    """

    full_at: Estimate[datetime | None] | None
    reserve_at: Estimate[datetime | None] | None
    verdict: Verdict | None = None
    reasons: tuple[Reason, ...] = ()
    return_by: date | None = None
    renewed_return_by: date | None = None
    renewed_known: bool = True
    draw: Estimate[float | None] = field(default_factory=lambda: Estimate.exact(None))


def outlook(
    comparison: Comparison, stories: tuple[Story, ...], *, clock_since: datetime, looked_at: datetime
) -> Outlook:
    """Return the dates by what was found and the verdict: the earliest of all ways in which it may go on.

    ``clock_since``: when the camera clock was set, ``looked_at``: when somebody looked; both in the right time.
    """
    running = comparison.running
    rules = running.planner.rules
    if comparison.drift_s_per_day is not None:
        rules = replace(rules, drift_s_per_day=max(rules.drift_s_per_day, abs(comparison.drift_s_per_day)))
    ways = ways_on(comparison, stories)
    draw = draw_by(comparison, stories[0]) if stories else comparison.drain_factor
    if empty_since_when(comparison):
        draw = Estimate.exact(None)
    found = [_one_way(comparison, replace(running.planner, rules=rules), way, clock_since, looked_at) for way in ways]
    dates = Outlook(
        _outermost([one.full_at for one in found]), _outermost([one.reserve_at for one in found]), draw=draw
    )
    if running.at >= running.planner.schedule.ends_at:
        return replace(dates, verdict=Verdict.OVER)
    if running.at < running.since or (dates.full_at is None and dates.reserve_at is None):
        return dates
    renewed = [one.renewed for one in found if one.renewed is not None]
    if empty_since_when(comparison) or any(one.by is None for one in renewed):
        # Its draw isn't known, or even what is new doesn't last until somebody can come.
        dates = replace(dates, renewed_known=False)
    else:
        dates = replace(dates, renewed_return_by=min((one.by for one in renewed if one.by), default=None))
    due = [one.due for one in found if one.due is not None]
    full = bool(stories) and stories[0].life.card_full and dates.full_at is not None
    if full:
        # No frame is lost until the next one is due, and yet it is full.
        dates = replace(dates, full_at=Estimate(running.at, running.at, said(dates.full_at).high))
    now = [Reason.CARD] if full else []
    now += [reason for one in due if one.by is None for reason in one.reasons]
    if clock_is_off(comparison):
        now.append(Reason.CLOCK)
    if now:
        return replace(dates, verdict=Verdict.CHANGE, reasons=tuple(dict.fromkeys(now)))
    by = min((one.by for one in due if one.by), default=None)
    if by is None:
        return replace(dates, verdict=Verdict.LEAVE)
    reasons = dict.fromkeys(reason for one in due if one.by == by for reason in one.reasons)
    return replace(dates, verdict=Verdict.RETURN_BY, reasons=tuple(reasons), return_by=by)


@dataclass(frozen=True)
class _WayOn:
    """What one way leads to: dates, what is due as it stands, and what if all is renewed now."""

    full_at: Estimate[datetime | None] | None
    reserve_at: Estimate[datetime | None] | None
    due: Due | None = None
    renewed: Due | None = None


def _one_way(
    comparison: Comparison, planner: VisitPlanner, way: Rates, clock_since: datetime, looked_at: datetime
) -> _WayOn:
    running, left = comparison.running, comparison.battery_left_share
    fresh = replace(planner, schedule=way.schedule, recording=way.recording, card=way.card, battery=way.battery)
    found = _WayOn(_full_at(comparison, fresh, way), _reserve_at(comparison, fresh))
    if running.at < running.since or running.at >= fresh.schedule.ends_at:
        return found
    standing = Standing(
        card_since=running.at,
        card_used_bytes=way.used_bytes.high if way.used_bytes else 0,
        battery_since=running.battery_full_at if left is None else running.at,
        clock_since=clock_since,
        seen=looked_at.date(),
    )
    as_found = fresh
    if left is not None and fresh.battery is not None:
        as_found = replace(fresh, battery=partly_used(fresh.battery, left.low))
    renewed = next_due(fresh, Standing(looked_at, 0, looked_at, looked_at, looked_at.date()))
    return replace(found, due=next_due(as_found, standing), renewed=renewed)


def _outermost(found: list[Estimate[datetime | None] | None]) -> Estimate[datetime | None] | None:
    """Return the earliest, the expected one of the first way, and the latest; None is after all."""
    known = [one for one in found if one is not None]
    if not known:
        return None
    return Estimate(
        min((one.low for one in known), key=_never_last),
        known[0].expected,
        max((one.high for one in known), key=_never_last),
    )


def _never_last(at: datetime | None) -> datetime:
    return at or datetime.max


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
    """The next visit that is due: the latest date that is in time, None where none is, and all that it is for."""

    by: date | None
    reasons: tuple[Reason, ...]


def next_due(planner: VisitPlanner, standing: Standing) -> Due | None:
    """Return the first visit of the planner's list, without making the rest of it; None where nothing runs out.

    What a visit doesn't renew is due all the same: at the look it can be renewed.
    """
    limits = planner.limits(standing)
    latest = [planner.rules.latest_allowed(limit.first_day, limit.last_day) for limit in limits]
    if None in latest:
        late = [limit for limit, day in zip(limits, latest, strict=True) if day is None]
        return Due(None, tuple(limit.reason for limit in sorted(late, key=lambda limit: limit.at)))
    by = min((day for day in latest if day), default=None)
    if by is None:
        return None
    return Due(by, tuple(limit.reason for limit, day in zip(limits, latest, strict=True) if day == by))


def _full_at(comparison: Comparison, plan: VisitPlanner, found: Rates) -> Estimate[datetime | None] | None:
    card = found.card
    if card is None or found.used_bytes is None:
        return None

    def at(frame_bytes: int, used_bytes: int) -> datetime | None:
        begin = replace(plan.start(), card_since=comparison.running.at, card_used_bytes=used_bytes)
        return plan.card_full_at(begin, frame_bytes)

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
    low, expected, high = sorted(ends, key=_never_last)
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
