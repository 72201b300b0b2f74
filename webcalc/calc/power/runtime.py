"""How long the battery lasts by the calendar, what is left of it at an instant, and how many a shoot takes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power.cells import self_discharge_at
from webcalc.calc.power.energy import Pack, rated_wh, usable_wh
from webcalc.calc.power.load import Load
from webcalc.calc.power.walk import HARVEST_S, JOULES_PER_WH, Walk, WindowDrain, datetime_of, seconds_of
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, MEAN_MONTH_DAYS, Schedule

DEFAULT_RESERVE_SHARE = 0.2
#: Longest runtime that is told; beyond it the answer is None. As far as ``count.window_dates`` goes on.
LONGEST_RUNTIME_DAYS = 7_305
DAY_H = 24
MONTH_H = float(MEAN_MONTH_DAYS * DAY_H)
NOTHING = Estimate.exact(0.0)

Harvest = Callable[[date], float] | Mapping[date, float]


@formula(
    "self_discharge_w", "rated_wh * share_per_month / 730.485", "constant drain; month of 730.485 h; " + ARITHMETIC
)
def self_discharge_w(rated_wh: float, share_per_month: float) -> float:
    """Return self-discharge as a constant drain in watts, so that it can be summed with the load."""
    return rated_wh * share_per_month / MONTH_H


@formula("budget_wh", "usable_wh * (1 - reserve_share)", ARITHMETIC)
def budget_wh(usable_wh: float, reserve_share: float) -> float:
    """Return the energy that may be used before the reserve is reached; ``reserve_share`` 0 to 1."""
    return usable_wh * (1 - reserve_share)


@dataclass(frozen=True)
class Supply:
    """A battery as the walk needs it: usable and rated energy, self-discharge a month, and what the sun adds.

    ``harvest_wh`` tells the watt-hours a date adds (a mapping gives 0 for dates it doesn't name); the pack never
    holds more than its usable energy. Low, expected and high ends go together: the low end of the
    usable energy with the high end of self-discharge, the heaviest load and the low harvest.
    """

    usable_wh: Estimate[float]
    rated_wh: Estimate[float] = NOTHING
    self_discharge_per_month: Estimate[float] = NOTHING
    harvest_wh: Harvest | Estimate[Harvest] | Estimate[Callable[[date], float]] | None = None


def supply_of(
    pack: Pack,
    temp_c: float,
    ageing_share: float = 0.0,
    harvest_wh: Harvest | Estimate[Harvest] | None = None,
    warmest_c: float | None = None,
) -> Supply | None:
    """Return the supply that a pack is, or None where its energy is unknown.

    ``temp_c`` is the coldest it gets and decides what is usable, ``warmest_c`` (None: the same) what it loses
    by itself.
    """
    rated, usable = rated_wh(pack), usable_wh(pack, temp_c, ageing_share)
    if rated is None or usable is None:
        return None
    lost = self_discharge_at(pack.type_used, temp_c if warmest_c is None else warmest_c)
    return Supply(usable, rated, lost, harvest_wh)


def of_measured_run(supply: Supply, now_wh: Estimate[float], *, with_self_discharge: bool) -> Supply:
    """Return the supply that goes with a load taken from a run of a battery.

    The load came out as energy over time, so only their ratio is known, and it was measured: ``now_wh`` is what the
    battery gives now against the energy that the load was taken from. A run over days holds the self-discharge too
    (``with_self_discharge``); in a run without a break it is not to be seen.
    """
    lost = NOTHING if with_self_discharge else supply.self_discharge_per_month
    return Supply(now_wh, Estimate.exact(supply.rated_wh.expected), lost, supply.harvest_wh)


@dataclass(frozen=True)
class _End:
    """One end of the range: everything that goes together."""

    load: Load
    usable_wh: float
    drain_w: float
    harvest_wh: Callable[[date], float] | None


def _harvest_of(harvest: Harvest | None) -> Callable[[date], float] | None:
    return (lambda day: harvest.get(day, 0.0)) if isinstance(harvest, Mapping) else harvest


def _ends(load: Load | Estimate[Load], supply: Supply) -> Estimate[tuple[_End, ...]]:
    """Return the candidates for the pessimistic, the expected and the optimistic end.

    Which of several possible loads is the heaviest depends on the weekdays that a battery meets, so each of them is
    walked with the pessimistic and with the optimistic battery, and the outermost results count.
    """
    loads = load if isinstance(load, Estimate) else Estimate.exact(load)
    possible = tuple(dict.fromkeys((loads.high, loads.expected, loads.low)))
    harvest = supply.harvest_wh if isinstance(supply.harvest_wh, Estimate) else Estimate.exact(supply.harvest_wh)
    usable, rated, lost = supply.usable_wh, supply.rated_wh, supply.self_discharge_per_month
    low_w, high_w = self_discharge_w(rated.low, lost.high), self_discharge_w(rated.high, lost.low)
    expected_w = self_discharge_w(rated.expected, lost.expected)
    return Estimate(
        tuple(_End(each, usable.low, low_w, _harvest_of(harvest.low)) for each in possible),
        (_End(loads.expected, usable.expected, expected_w, _harvest_of(harvest.expected)),),
        tuple(_End(each, usable.high, high_w, _harvest_of(harvest.high)) for each in possible),
    )


def _beyond_all(value: Any) -> tuple[bool, Any]:
    """Order results with None, which stands for "not within what was asked", after every number."""
    return (True, 0) if value is None else (False, value)


def _outermost(ends: Estimate[tuple[_End, ...]], result: Callable[[_End], Any]) -> Estimate[Any]:
    """Return the least result of the low candidates, the expected one, and the greatest of the high candidates."""
    return Estimate(
        min(map(result, ends.low), key=_beyond_all),
        result(ends.expected[0]),
        max(map(result, ends.high), key=_beyond_all),
    )


def _outermost_by_day(
    days: Iterable[date], ends: Estimate[tuple[_End, ...]], shares: Callable[[_End], Sequence[float]]
) -> tuple[tuple[date, Estimate[float]], ...]:
    """Return for each day the least share of the low candidates, the expected one, and the greatest."""
    low, high = zip(*map(shares, ends.low), strict=True), zip(*map(shares, ends.high), strict=True)
    rows = zip(days, map(min, low), shares(ends.expected[0]), map(max, high), strict=True)
    return tuple((day, Estimate(*each)) for day, *each in rows)


def _walk(schedule: Schedule, recording: Recording, end: _End, reserve_share: float) -> Walk:
    constant_w = end.load.constant_w + end.drain_w
    full_j = end.usable_wh * JOULES_PER_WH
    return Walk(
        schedule=schedule,
        drain=WindowDrain.of(end.load, recording, constant_w, schedule.window.length_s),
        constant_w=constant_w,
        left_j=full_j,
        full_j=full_j,
        reserve_j=full_j - budget_wh(end.usable_wh, reserve_share) * JOULES_PER_WH,
        harvest_wh=end.harvest_wh,
    )


@dataclass(frozen=True)
class Runtime:
    """How long the battery lasts.

    days : from ``since`` to the reserve, in days; None where that is beyond 20 years after the shoot's start
        (or, without ``past_last``, beyond the shoot's end)
    reserve_at : camera clock, cut to the second; None where it lasts to the shoot's end
    lasts : whether it lasts to the shoot's end at the pessimistic end too
    """

    since: datetime
    days: Estimate[float | None]
    reserve_at: Estimate[datetime | None]

    @property
    def lasts(self) -> bool:
        """Whether even the low end lasts to the end of the shoot."""
        return self.reserve_at.low is None


def _horizon_s(schedule: Schedule, past_last: bool) -> float:
    end_s = seconds_of(schedule, schedule.ends_at)
    if not past_last:
        return end_s
    longest_s = (min(LONGEST_RUNTIME_DAYS, date.max.toordinal() - schedule.first.toordinal() - 1)) * DAY_S
    return max(end_s, longest_s)


def runtime(
    schedule: Schedule,
    recording: Recording,
    load: Load | Estimate[Load],
    supply: Supply,
    *,
    since: datetime | None = None,
    reserve_share: float = DEFAULT_RESERVE_SHARE,
    past_last: bool = True,
) -> Runtime:
    """Walk the calendar from a full battery at ``since`` to the moment its reserve is reached.

    ``since`` is on the camera clock and defaults to the schedule's start; before the first window only the constant
    draws run. ``reserve_share`` 0 to 1. With ``past_last`` the weekday pattern goes on after the last date to tell
    the days; ``reserve_at`` is None there in any case.
    """
    since = schedule.starts_at if since is None else since
    since_s = seconds_of(schedule, since)
    end_s = seconds_of(schedule, schedule.ends_at)

    def reserve_s(end: _End) -> float | None:
        walk = _walk(schedule, recording, end, reserve_share)
        return walk.at_s if walk.run(since_s, _horizon_s(schedule, past_last)) else None

    reached = _outermost(_ends(load, supply), reserve_s)
    return Runtime(
        since=since,
        days=reached.map(lambda at_s: None if at_s is None else (at_s - since_s) / DAY_S),
        reserve_at=reached.map(lambda at_s: None if at_s is None or at_s >= end_s else datetime_of(schedule, at_s)),
    )


def reserve_at_worst(
    schedule: Schedule,
    recording: Recording,
    load: Load | Estimate[Load],
    supply: Supply,
    *,
    since: datetime | None = None,
    reserve_share: float = DEFAULT_RESERVE_SHARE,
) -> datetime | None:
    """Return the earliest that the reserve may be reached: ``runtime(..., past_last=False).reserve_at.low``.

    Without walking the other ends, which may go on for years after this one: for searches.
    """
    since_s = seconds_of(schedule, schedule.starts_at if since is None else since)
    end_s = earliest_s = seconds_of(schedule, schedule.ends_at)
    for end in _ends(load, supply).low:
        walk = _walk(schedule, recording, end, reserve_share)
        if walk.run(since_s, earliest_s):
            earliest_s = min(earliest_s, walk.at_s)
    return None if earliest_s >= end_s else datetime_of(schedule, earliest_s)


def lasts_at_worst(
    schedule: Schedule,
    recording: Recording,
    load: Load | Estimate[Load],
    supply: Supply,
    *,
    since: datetime | None = None,
    until: datetime | None = None,
    reserve_share: float = DEFAULT_RESERVE_SHARE,
) -> bool:
    """Whether the low end of a battery that is full at ``since`` stays above its reserve until ``until``.

    Both default to the shoot's: then this is ``runtime(...).lasts``, by one walk, for searches.
    """
    since_s = seconds_of(schedule, schedule.starts_at if since is None else since)
    until_s = seconds_of(schedule, schedule.ends_at if until is None else until)

    def lasts(end: _End) -> bool:
        walk = _walk(schedule, recording, end, reserve_share)
        return not walk.run(since_s, until_s) or walk.at_s >= until_s

    return all(map(lasts, _ends(load, supply).low))


def energy_left_at(
    schedule: Schedule,
    recording: Recording,
    load: Load | Estimate[Load],
    supply: Supply,
    when: datetime,
    *,
    since: datetime | None = None,
    past_last: bool = True,
) -> Estimate[float]:
    """Return the share of the usable energy left at ``when`` in a battery that was full at ``since``.

    0 to 1; 1 before ``since``; 0 once it is empty, and it stays so until somebody goes there. Without ``past_last``
    only the constant draws run after the shoot's end.
    """
    since = schedule.starts_at if since is None else since
    when_s = seconds_of(schedule, when)
    end_s = when_s if past_last else seconds_of(schedule, schedule.ends_at)

    def left_share(end: _End) -> float:
        if end.usable_wh <= 0:
            return 0.0
        walk = _walk(schedule, recording, end, 0.0)
        empty = walk.run(seconds_of(schedule, since), min(when_s, end_s)) or walk.rest(when_s)
        return 0.0 if empty else walk.left_j / walk.full_j

    return _outermost(_ends(load, supply), left_share)


def energy_left_by_noon(
    schedule: Schedule, recording: Recording, load: Load | Estimate[Load], supply: Supply
) -> tuple[tuple[date, Estimate[float]], ...]:
    """Return the share of the usable energy left at each noon of the shoot before that day's harvest.

    With a panel this is the day's lowest state: between two noons the battery only gives. 0 once it is empty, and it
    stays so until somebody goes there.
    """
    since_s, end_s = seconds_of(schedule, schedule.starts_at), seconds_of(schedule, schedule.ends_at)
    noons = range(int((since_s - HARVEST_S) // DAY_S) + 1, int((end_s - HARVEST_S) // DAY_S) + 1)
    days = [schedule.first + timedelta(days=n) for n in noons]

    def shares(end: _End) -> tuple[float, ...]:
        seen: dict[date, float] = {}
        walk = _walk(schedule, recording, end, 0.0)

        def harvest_wh(day: date) -> float:
            seen[day] = walk.left_j / walk.full_j
            return end.harvest_wh(day) if end.harvest_wh else 0.0

        # The walk asks for a day's harvest when it gets to noon: nothing has to be walked twice.
        walk.harvest_wh = harvest_wh
        if end.usable_wh > 0:
            walk.run(since_s, end_s)
        return tuple(seen.get(day, 0.0) for day in days)

    return _outermost_by_day(days, _ends(load, supply), shares)


def batteries_needed(
    schedule: Schedule,
    recording: Recording,
    load: Load | Estimate[Load],
    supply: Supply,
    *,
    reserve_share: float = DEFAULT_RESERVE_SHARE,
) -> Estimate[int | None]:
    """Return how many packs the whole shoot takes if each is changed at the moment its reserve is reached.

    The first one counts. ``high`` is the pessimistic end, the number to pack; None where the pack has nothing to
    give.
    """
    since_s, end_s = seconds_of(schedule, schedule.starts_at), seconds_of(schedule, schedule.ends_at)

    def packs(end: _End) -> int | None:
        walk = _walk(schedule, recording, end, reserve_share)
        walk.swap_j = walk.full_j - walk.reserve_j
        if walk.swap_j <= 0:
            return None
        walk.run(since_s, end_s)
        return 1 + walk.swaps

    ends = _ends(load, supply)
    # More packs is the pessimistic end here; None, a pack that gives nothing, is beyond every number.
    return _outermost(Estimate(ends.high, ends.expected, ends.low), packs)
