"""The smallest single changes that make visits possible, each tried by the planner before it is offered."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from webcalc.calc.card.space import CARD_SIZES_GB
from webcalc.calc.power.energy import RatedFrom
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import RENEWABLE, Reason
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.visits.case import VisitsCase
from webcalc.web.shoot.visits import RENEWS

#: Batteries that are tried, as multiples of the one in use.
LARGER = (1.25, 1.5, 2, 3, 4, 6, 8, 12, 16)


@dataclass(frozen=True)
class Proposal:
    """A change that works: words for it, and the quantities that it sets."""

    words: str
    changes: dict[str, Any]


def proposals(case: VisitsCase) -> list[Proposal]:
    """Return the smallest change of each kind that makes the visits reach the last day."""
    search = _Search(case)
    kinds = (
        search.renew,
        search.cards,
        search.intervals,
        search.batteries,
        search.margins,
        search.days,
        search.cleaning,
    )
    # A list without end is there because of cleaning, where that is limited: nothing else would shorten it.
    if case.plan.cut_short and case.planner.rules.clean_days is not None:
        kinds = (search.cleaning,)
    found = (next((proposal for proposal, planner in kind() if search.holds(planner)), None) for kind in kinds)
    return [proposal for proposal in found if proposal]


def larger_parts(case: VisitsCase) -> Iterator[tuple[Proposal, VisitPlanner]]:
    """Yield larger batteries, then larger cards, smallest first, each with its planner."""
    search = _Search(case)
    yield from search.batteries()
    yield from search.cards()


class _Search:
    """Changed planners, smallest change first, kind by kind."""

    def __init__(self, case: VisitsCase) -> None:
        self.case = case
        self.say = case.say
        self.planner = case.planner

    def holds(self, planner: VisitPlanner | None) -> bool:
        """Whether visits with this planner reach the end."""
        return planner is not None and planner.holds()

    def _with_rules(self, **changes: Any) -> VisitPlanner:
        return replace(self.planner, rules=replace(self.planner.rules, **changes))

    def renew(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """Renew what visits leave as it is."""
        stuck = self.case.plan.impossible
        if stuck is None or stuck.renewed:
            return
        for renews in (self.planner.rules.renews | {stuck.reason}, RENEWABLE):
            words = frozenset(word for word, reason in RENEWS.items() if reason in renews)
            named = " and ".join(word for word, reason in RENEWS.items() if reason in renews)
            yield Proposal(f"Let each visit renew {named}", {"renew": words}), self._with_rules(renews=renews)

    def cards(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """Larger cards, as sold, empty."""
        here = self.case.inputs.get("card_gb")
        if self.planner.card is None or here is None:
            return
        for size_gb in CARD_SIZES_GB:
            if size_gb > here:
                changed = replace(self.planner, card=self.case.visits.card(size_gb))
                words = f"A card of {self.say.number(size_gb)} GB"
                yield Proposal(words, {"card_gb": size_gb, "used_gb": None}), changed

    def intervals(self) -> Iterator[tuple[Proposal, VisitPlanner | None]]:
        """Longer intervals that can be set."""
        here = self.planner.recording.interval_s
        for interval_s in self.case.shoot.settable_s:
            if here is not None and interval_s > here:
                words = f"A frame every {self.say.length(interval_s)}"
                yield Proposal(words, {"interval": interval_s}), self.case.visits.planner_at(interval_s)

    def batteries(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """Larger batteries of the same kind."""
        battery, pack = self.planner.battery, self.case.shoot.battery.pack
        if battery is None:
            return
        for times in LARGER:
            if pack.rated_from is RatedFrom.WH and pack.wh is not None:
                name, here, value = "battery_wh", pack.wh, _round_up(pack.wh * times)
                words = f"A battery of {self.say.unit(value, 'Wh')}"
            elif pack.rated_from is RatedFrom.CELLS and pack.cells is not None:
                name, here, value = "cells", pack.cells, math.ceil(pack.cells * times)
                words = self.say.count(value, "cell")
            else:
                return
            if value > QUANTITIES[name].kind.high:
                return
            supply = _scaled(battery.supply, float(value) / here)
            yield Proposal(words, {name: value}), replace(self.planner, battery=replace(battery, supply=supply))

    def margins(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """Smaller margins."""
        for margin in range(self.planner.rules.margin_days - 1, -1, -1):
            words = f"A margin of {self.say.count(margin, 'day')}" if margin else "No margin"
            yield Proposal(words, {"margin": margin}), self._with_rules(margin_days=margin)

    def days(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """One more weekday, then all of them."""
        here = self.planner.rules.weekdays
        for weekdays in (*(here | {day} for day in sorted(ALL_WEEKDAYS - here)), ALL_WEEKDAYS):
            if weekdays != here:
                words = f"Visits on {self.say.weekdays(weekdays)}".replace("on every", "every")
                yield Proposal(words, {"visit_days": weekdays}), self._with_rules(weekdays=weekdays)

    def cleaning(self) -> Iterator[tuple[Proposal, VisitPlanner]]:
        """More days between visits, where cleaning is what stands in the way."""
        plan, here = self.case.plan, self.planner.rules.clean_days
        if here is None:
            return
        wanted: list[int] = []
        if plan.cut_short:
            wanted = [here * times for times in (2, 4, 8, 16) if here * times <= QUANTITIES["clean"].kind.high]
        elif plan.impossible is not None and plan.impossible.reason is Reason.CLEANING:
            wanted = list(range(here + 1, here + self.planner.rules.margin_days + 15))
        for days in wanted:
            words = f"Up to {self.say.count(days, 'day')} between visits"
            yield Proposal(words, {"clean": days}), self._with_rules(clean_days=days)


def _scaled(supply: Supply, times: float) -> Supply:
    """Return the supply of so many times the battery; what the sun adds stays."""
    return replace(
        supply,
        usable_wh=supply.usable_wh.map(lambda wh: wh * times),
        rated_wh=supply.rated_wh.map(lambda wh: wh * times),
    )


def _round_up(wh: float) -> Fraction:
    """Return an energy with two figures, never rounded down."""
    step = Fraction(10) ** (math.floor(math.log10(wh)) - 1)
    return math.ceil(Fraction(wh) / step) * step
