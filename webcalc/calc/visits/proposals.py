"""The smallest single changes that make visits possible, each tried by the planner before it is offered."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.card.space import CARD_SIZES_GB
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import RENEWABLE, RENEWS, Reason, VisitPlan

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Batteries that are tried for fewer visits, as multiples of the one in use.
LARGER = (1.25, 1.5, 2, 3, 4, 6, 8, 12, 16)
#: Largest battery and number of cells that are looked at; what can be typed.
MOST_WH, MOST_CELLS = 100_000, 1_000
#: Longest time between visits that is looked at, days; what can be typed.
MOST_CLEAN_DAYS = 3_660


class Change(StrEnum):
    """What is changed."""

    RENEW = "renew"
    CARD = "card"
    INTERVAL = "interval"
    BATTERY = "battery"
    CELLS = "cells"
    MARGIN = "margin"
    WEEKDAYS = "weekdays"
    CLEANING = "cleaning"


@dataclass(frozen=True)
class Proposal:
    """A change: its kind and new value, the quantities that it sets, and the planner with it."""

    change: Change
    value: Any
    sets: dict[str, Any]
    planner: VisitPlanner = field(repr=False)


def proposals(shoot: Shoot, plan: VisitPlan, planner: VisitPlanner) -> list[Proposal]:
    """Return the smallest change of each kind that makes the visits reach the last day."""
    search = Search(shoot, planner)
    kinds: tuple[Iterable[Proposal], ...] = (
        search.renew(plan),
        search.cards(),
        search.intervals(),
        search.smallest_battery(),
        search.margins(),
        search.days(),
        search.cleaning(plan),
    )
    # A list without end is there because of cleaning, where that is limited: nothing else would shorten it.
    if plan.cut_short and planner.rules.clean_days is not None:
        kinds = (search.cleaning(plan),)
    found = (next((proposal for proposal in kind if search.holds(proposal)), None) for kind in kinds)
    return [proposal for proposal in found if proposal]


@dataclass(frozen=True)
class Search:
    """Changed planners, smallest change first, kind by kind."""

    shoot: Shoot
    planner: VisitPlanner

    def holds(self, proposal: Proposal) -> bool:
        """Whether the visits reach the last day with a change, from where the log left the camera."""
        return proposal.planner.plan(or_none(self.shoot.done.standing(proposal.planner))).holds

    def _with_rules(self, **changes: Any) -> VisitPlanner:
        return replace(self.planner, rules=replace(self.planner.rules, **changes))

    def renew(self, plan: VisitPlan) -> Iterator[Proposal]:
        """Renew what visits leave as it is."""
        stuck = plan.impossible
        if stuck is None or stuck.renewed:
            return
        for renews in (self.planner.rules.renews | {stuck.reason}, RENEWABLE):
            words = frozenset(word for word, reason in RENEWS.items() if reason in renews)
            yield Proposal(Change.RENEW, words, {"renew": words}, self._with_rules(renews=renews))

    def cards(self) -> Iterator[Proposal]:
        """Larger cards, as sold, empty."""
        here = self.shoot.card_gb
        if self.planner.card is None or not known(here):
            return
        for size_gb in CARD_SIZES_GB:
            if size_gb > need(here):
                changed = replace(self.planner, card=need(self.shoot.visits.card_of(size_gb)))
                yield Proposal(Change.CARD, size_gb, {"card_gb": size_gb, "used_gb": None}, changed)

    def intervals(self) -> Iterator[Proposal]:
        """Longer intervals that can be set."""
        here = self.planner.recording.interval_s
        for interval_s in or_none(self.shoot.settable) or ():
            changed = self.shoot.visits.planner_at(interval_s)
            if here is not None and interval_s > here and known(changed):
                yield Proposal(Change.INTERVAL, interval_s, {"interval": interval_s}, changed)

    # -- batteries ------------------------------------------------------------------------------------------

    def larger_batteries(self) -> Iterator[Proposal]:
        """Larger batteries of the same kind, by ``LARGER``."""
        for times in LARGER:
            found = self._battery(self._round_up(times))
            if found is not None:
                yield found

    def smallest_battery(self) -> Iterator[Proposal]:
        """The smallest battery of the same kind that makes it hold, in two figures; nothing where none does."""
        values = self._values()
        if values is None:
            return
        at = bisect_left(values, True, key=self._holds_with)
        found = self._battery(values[at]) if at < len(values) else None
        if found is not None:
            yield found

    def _holds_with(self, value: Any) -> bool:
        found = self._battery(value)
        return found is not None and self.holds(found)

    @property
    def _here(self) -> tuple[Change, float] | None:
        """Return what of the battery is scaled, and how much of it there is."""
        shoot = self.shoot
        if self.planner.battery is None:
            return None
        if given(shoot.battery_wh):
            return Change.BATTERY, float(need(shoot.battery_wh) or 0)
        cells = or_none(shoot.cells)
        return (Change.CELLS, float(cells)) if cells and not given(shoot.battery_mah) else None

    def _values(self) -> list[Any] | None:
        """Return every larger size that is offered, rising: whole cells, energies in two figures."""
        here = self._here
        if here is None:
            return None
        if here[0] is Change.CELLS:
            return list(range(int(here[1]) + 1, MOST_CELLS + 1))
        values, value = [], _two_figures(here[1])
        while value <= MOST_WH:
            values.append(value)
            value = _two_figures(float(value) * (1 + 1e-9))
        return values

    def _round_up(self, times: float) -> Any:
        here = self._here
        if here is None:
            return None
        return math.ceil(here[1] * times) if here[0] is Change.CELLS else _two_figures(here[1] * times)

    def _battery(self, value: Any) -> Proposal | None:
        battery, here = self.planner.battery, self._here
        if battery is None or here is None or value > (MOST_CELLS if here[0] is Change.CELLS else MOST_WH):
            return None
        supply = _scaled(battery.supply, float(value) / here[1])
        name = "cells" if here[0] is Change.CELLS else "battery_wh"
        return Proposal(here[0], value, {name: value}, replace(self.planner, battery=replace(battery, supply=supply)))

    # -- rules ----------------------------------------------------------------------------------------------

    def margins(self) -> Iterator[Proposal]:
        """Smaller margins."""
        for margin in range(self.planner.rules.margin_days - 1, -1, -1):
            yield Proposal(Change.MARGIN, margin, {"margin": margin}, self._with_rules(margin_days=margin))

    def days(self) -> Iterator[Proposal]:
        """One more weekday, then all of them."""
        here = self.planner.rules.weekdays
        for weekdays in (*(here | {day} for day in sorted(ALL_WEEKDAYS - here)), ALL_WEEKDAYS):
            if weekdays != here:
                yield Proposal(Change.WEEKDAYS, weekdays, {"visit_days": weekdays}, self._with_rules(weekdays=weekdays))

    def cleaning(self, plan: VisitPlan) -> Iterator[Proposal]:
        """More days between visits, where cleaning is what stands in the way."""
        here = self.planner.rules.clean_days
        if here is None:
            return
        wanted: list[int] = []
        if plan.cut_short:
            wanted = [here * times for times in (2, 4, 8, 16) if here * times <= MOST_CLEAN_DAYS]
        elif plan.impossible is not None and plan.impossible.reason is Reason.CLEANING:
            wanted = list(range(here + 1, here + self.planner.rules.margin_days + 15))
        for days in wanted:
            yield Proposal(Change.CLEANING, days, {"clean": days}, self._with_rules(clean_days=days))


def _scaled(supply: Supply, times: float) -> Supply:
    """Return the supply of so many times the battery; what the sun adds stays."""
    return replace(
        supply,
        usable_wh=supply.usable_wh.map(lambda wh: wh * times),
        rated_wh=supply.rated_wh.map(lambda wh: wh * times),
    )


def _two_figures(wh: float) -> Fraction:
    """Return an energy with two figures, never rounded down."""
    step = Fraction(10) ** (math.floor(math.log10(wh)) - 1)
    return math.ceil(Fraction(wh) / step) * step
