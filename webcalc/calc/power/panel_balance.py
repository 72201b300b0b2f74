"""Whether a panel carries a battery through a shoot: the balance day by day, and the smallest panel that does.

Energies are Wh, powers W. A load is asked for by date, so the caller's windows, weekdays and skipped dates decide it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.panel import TopUp, dates_between, days_of_autonomy
from webcalc.calc.power.runtime import DEFAULT_RESERVE_SHARE

#: Own choice: nobody sells panels in finer steps, and a camera doesn't carry a larger one.
PANEL_STEP_W = 5
LARGEST_PANEL_W = 1_000


@dataclass(frozen=True)
class Store:
    """A battery's usable energy in Wh (> 0), the share of it kept as reserve, and the share it starts with."""

    usable_wh: float
    reserve_share: float = DEFAULT_RESERVE_SHARE
    start_share: float = 1.0

    def __post_init__(self) -> None:
        if not 0 < self.usable_wh < float("inf"):
            raise ValueError("a battery's usable energy is more than 0")
        if not (0 <= self.reserve_share < 1 and 0 <= self.start_share <= 1):
            raise ValueError("shares are 0 to 1, the reserve below 1")

    @property
    def reserve_wh(self) -> float:
        """Level at which somebody should have come."""
        return self.usable_wh * self.reserve_share


@dataclass(frozen=True)
class PanelMonth:
    """One calendar month of a shoot (the part of it within the shoot): sums in Wh, levels in Wh."""

    year: int
    month: int
    days: int
    load_wh: float
    gross_wh: float
    frozen_days: int
    frozen_wh: float
    lowest_wh: float

    @property
    def net_daily_wh(self) -> float:
        """Mean daily gain: what the panel offers on days that can charge, less the load. Negative eats the battery."""
        return (self.gross_wh - self.frozen_wh - self.load_wh) / self.days


@dataclass(frozen=True)
class Balance:
    """A battery walked day by day through a shoot with a panel.

    lowest_wh, lowest_on : lowest state and its first date
    reserve_on : first date at or below the reserve, None if never
    empty_on : first date without enough for its load, None if never
    end_wh : state after the last date
    heaviest_wh : load of the heaviest day
    autonomy_days : days without sun from full to empty at the heaviest load; None without a load
    months : the shoot month by month
    """

    store: Store
    lowest_wh: float
    lowest_on: date
    reserve_on: date | None
    empty_on: date | None
    end_wh: float
    heaviest_wh: float
    autonomy_days: float | None
    months: tuple[PanelMonth, ...]

    @property
    def carries(self) -> bool:
        """Whether the battery stays above its reserve throughout."""
        return self.reserve_on is None

    @property
    def worst_month(self) -> PanelMonth:
        """The month with the least mean daily gain, the earliest of equals: it decides the panel."""
        return min(self.months, key=lambda month: month.net_daily_wh)

    @property
    def frozen_days(self) -> int:
        """Days on which it was too cold to charge."""
        return sum(month.frozen_days for month in self.months)

    @property
    def frozen_wh(self) -> float:
        """Harvest lost on those days."""
        return sum(month.frozen_wh for month in self.months)


def _states(store: Store, loads_wh: Sequence[float], harvests_wh: Sequence[float]) -> Iterator[tuple[float, float]]:
    """Yield each day's lowest and last state in Wh; the lowest is negative if the load wasn't met.

    As in the walk to the minute (``battery_walk.py``) the harvest comes at noon: half the day's load is drawn before it
    and half after, so that a battery the sun fills doesn't meet the next morning full.
    """
    state, full = store.usable_wh * store.start_share, store.usable_wh
    for load, harvest in zip(loads_wh, harvests_wh, strict=True):
        noon = state - load / 2
        evening = min(full, max(0.0, noon) + harvest) - load / 2
        state = max(0.0, evening)
        yield min(noon, evening), state


def balance(
    first: date,
    last: date,
    store: Store,
    load_wh: Callable[[date], float],
    gross_wh: Callable[[date], float],
    charges_on: Callable[[date], bool],
) -> Balance:
    """Walk the battery from first to last date, both included: the harvest at noon, capped at full.

    ``gross_wh`` is what the panel offers; it is lost on dates that ``charges_on`` refuses. A battery at 0 stays there
    until the sun refills it. Raises ValueError if ``last`` is before ``first`` or a load or harvest is negative.
    """
    days = dates_between(first, last)
    loads, offers = [load_wh(day) for day in days], [gross_wh(day) for day in days]
    charges = [charges_on(day) for day in days]
    if min(loads) < 0 or min(offers) < 0:
        raise ValueError("loads and harvests are not negative")
    harvests = [offer if charged else 0.0 for offer, charged in zip(offers, charges, strict=True)]
    states = list(_states(store, loads, harvests))
    lows = [max(0.0, low) for low, _ in states]
    lowest_at = min(range(len(days)), key=lows.__getitem__)
    months = []
    for (year, month), numbers in groupby(range(len(days)), key=lambda n: (days[n].year, days[n].month)):
        span = list(numbers)
        frozen = [offers[n] for n in span if not charges[n]]
        months.append(
            PanelMonth(
                year=year,
                month=month,
                days=len(span),
                load_wh=sum(loads[n] for n in span),
                gross_wh=sum(offers[n] for n in span),
                frozen_days=len(frozen),
                frozen_wh=sum(frozen),
                lowest_wh=min(lows[n] for n in span),
            )
        )
    heaviest = max(loads)
    return Balance(
        store=store,
        lowest_wh=lows[lowest_at],
        lowest_on=days[lowest_at],
        reserve_on=next((day for day, low in zip(days, lows, strict=True) if low <= store.reserve_wh), None),
        empty_on=next((day for day, (low, _) in zip(days, states, strict=True) if low < 0), None),
        end_wh=states[-1][1],
        heaviest_wh=heaviest,
        autonomy_days=days_of_autonomy(store.usable_wh, heaviest) if heaviest else None,
        months=tuple(months),
    )


def balance_range(
    first: date,
    last: date,
    stores: Estimate[Store],
    load_wh: Callable[[date], Estimate[float]],
    top_up: TopUp,
) -> Estimate[Balance]:
    """Return the balance at both ends: low has the smaller battery, the heavier load and the darker sky."""

    def walk(store: Store, load_end: str, sky_end: str) -> Balance:
        return balance(
            first,
            last,
            store,
            lambda day: getattr(load_wh(day), load_end),
            lambda day: getattr(top_up.gross_wh(day), sky_end),
            top_up.rule.charges_on,
        )

    return Estimate(
        walk(stores.low, "high", "low"),
        walk(stores.expected, "expected", "expected"),
        walk(stores.high, "low", "high"),
    )


def smallest_panel_w(
    first: date,
    last: date,
    store: Store,
    load_wh: Callable[[date], float],
    top_up: TopUp,
    *,
    sky_end: str = "low",
    step_w: float = PANEL_STEP_W,
    largest_w: float = LARGEST_PANEL_W,
) -> float | None:
    """Return the smallest rated W, in steps, that keeps the battery above its reserve; None if not even the largest.

    0 means that the battery needs no panel. The panel's own rated power is ignored, its tilt, bearing and
    losses count. ``sky_end`` is the end of the harvest's range to plan on (low, expected, high).
    """
    days = dates_between(first, last)
    one_watt = replace(top_up, panel=replace(top_up.panel, rated_w=1.0))
    loads = [load_wh(day) for day in days]
    per_watt = [getattr(one_watt.harvest_wh(day), sky_end) for day in days]

    def carries(steps: float) -> bool:
        harvests = [steps * step_w * harvest for harvest in per_watt]
        return all(max(0.0, low) > store.reserve_wh for low, _ in _states(store, loads, harvests))

    return smallest_rated_w(lambda rated_w: carries(rated_w / step_w), step_w=step_w, largest_w=largest_w)


def smallest_rated_w(
    carries: Callable[[float], bool], *, step_w: float = PANEL_STEP_W, largest_w: float = LARGEST_PANEL_W
) -> float | None:
    """Return the smallest rated W, in steps from 0, for which ``carries`` holds; None if not even for the largest.

    Bisection: whatever a panel carries, a larger one must carry too.
    """
    failing, carrying = -1, int(largest_w // step_w)
    if not carries(carrying * step_w):
        return None
    while carrying - failing > 1:
        middle = (failing + carrying) // 2
        failing, carrying = (failing, middle) if carries(middle * step_w) else (middle, carrying)
    return carrying * step_w
