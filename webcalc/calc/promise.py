"""What can be promised for a shoot while the client is on the phone: one way to do it and two beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from itertools import chain
from typing import TYPE_CHECKING, Any

from webcalc.calc.results import Results, key
from webcalc.calc.schedule.length import clip_s_per_month
from webcalc.calc.schedule.schedule import MEAN_MONTH_DAYS
from webcalc.calc.unknown import ask, figure, given, known, need, or_none
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.proposals import Search
from webcalc.calc.visits.rules import Reason

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Longer intervals that are tried for fewer visits.
_TRIED = 8


@dataclass(frozen=True)
class Option:
    """One way to record the shoot; what isn't known is None.

    clip_s_per_month : None for a shoot that is shorter than a month
    card_needed_gb : smallest card sold that carries the whole shoot, put in empty
    cards, batteries : with the first ones, if none is used twice; cards of the typed size, else of the one needed
    visits : with the last one, which fetches the camera; None while card or battery isn't known or where no plan works
    possible : whether visits can be planned with what is known
    larger : what is larger than in the plan, as changed quantities; empty where only the interval is another
    """

    interval_s: Fraction
    frames: int
    clip_s: Fraction
    clip_s_per_month: Fraction | None
    card_needed_gb: int | None
    cards: int | None
    batteries: int | None
    visits: int | None
    possible: bool
    larger: dict[str, Any] = field(default_factory=dict)

    @property
    def changes(self) -> dict[str, Any]:
        """The quantities that this way sets."""
        return {"interval": self.interval_s, **self.larger}


@dataclass(frozen=True, eq=False)
class Promise:
    """A shoot on the phone: the interval that gives the wanted clip, and what else could be offered."""

    shoot: Shoot

    @figure
    def interval_s(self) -> Fraction | None:
        """The interval that gives the wanted clip, the typed one where no clip is wanted; None if none does."""
        if given(self.shoot.clip):
            chosen = need(self.shoot.interval_answer).chosen
            return None if chosen is None else chosen.interval_s
        if not given(self.shoot.interval):
            raise ask("clip")
        return need(self.shoot.interval_s)

    @property
    def passed_over_s(self) -> Fraction | None:
        """The plan's own interval where the wanted clip asks for another."""
        typed, found = or_none(self.shoot.interval), or_none(self.interval_s)
        return typed if given(self.shoot.clip) and typed != found else None

    @figure
    def this(self) -> Option | None:
        """The way that gives the wanted clip; None where none does."""
        interval_s = need(self.interval_s)
        return None if interval_s is None else self._option(interval_s)

    @figure
    def smoother(self) -> Option | None:
        """The next shorter interval that can be set; None without one."""
        here, settable, burst_s = need(self.interval_s, self.shoot.settable, self.shoot.burst)
        shorter = [s for s in settable if here is not None and (burst_s or 0) < s < here]
        return self._option(max(shorter)) if shorter else None

    @figure
    def cheaper(self) -> Option | None:
        """The smallest change that takes fewer visits: a longer interval, else a larger battery or card.

        Where none does, or visits aren't known, the next longer interval.
        """
        this = need(self.this)
        if this is None:
            return None
        following = next(self._longer(), None)
        # One visit is there to be saved, or no plan works so far.
        could_be_fewer = not this.possible or (this.visits or 0) > 1
        ways = chain(self._longer(), self._larger()) if could_be_fewer else iter(())
        return next((way for way in ways if self.is_fewer(way)), following)

    def is_fewer(self, option: Option | None) -> bool:
        """Whether a way takes fewer visits than the first one, or can be done where that can't."""
        this = or_none(self.this)
        if this is None or option is None or option.visits is None:
            return False
        return not this.possible or (this.visits is not None and option.visits < this.visits)

    # -- one way --------------------------------------------------------------------------------------------

    def _longer(self) -> Iterator[Option]:
        here, settable = need(self.interval_s, self.shoot.settable)
        longer = sorted(s for s in settable if here is not None and s > here)
        return (self._option(s) for s in longer[:_TRIED])

    def _larger(self) -> Iterator[Option]:
        interval_s = need(self.interval_s)
        planner = self._planner(interval_s) if interval_s is not None else None
        if planner is None or interval_s is None:
            return
        search = Search(self.shoot, planner)
        for found in chain(search.larger_batteries(), search.cards()):
            yield self._option(interval_s, found.sets, found.planner)

    def _option(
        self, interval_s: Fraction, larger: dict[str, Any] | None = None, planner: VisitPlanner | None = None
    ) -> Option:
        shoot = self.shoot
        schedule, made = need(shoot.schedule, shoot.clip_at(interval_s))
        needed_gb = or_none(shoot.card.smallest_gb_at(interval_s)) if shoot.card.kept else None
        planner = self._with_card(planner or self._planner(interval_s), needed_gb)
        plan = planner.plan(or_none(shoot.done.standing(planner))) if planner else None
        services = len(plan.services) if plan and plan.holds else None
        counted = (
            planner is not None
            and (planner.battery is not None or not shoot.battery.needed)
            and (planner.card is not None or not shoot.card.kept)
        )
        days = schedule.calendar_days
        return Option(
            interval_s=interval_s,
            frames=made.frames,
            clip_s=made.clip_s,
            clip_s_per_month=clip_s_per_month(made.clip_s, days) if days >= MEAN_MONTH_DAYS else None,
            card_needed_gb=needed_gb,
            cards=planner.in_all(Reason.CARD, services) if planner and services is not None else None,
            batteries=planner.in_all(Reason.BATTERY, services) if planner and services is not None else None,
            visits=services + 1 if services is not None and counted else None,
            possible=planner is None or services is not None,
            larger=larger or {},
        )

    @property
    def card_lacking(self) -> bool:
        """Whether what a card must hold isn't known, or no card sold holds it and none was typed."""
        this = or_none(self.this)
        if not self.shoot.card.kept:
            return False
        if not known(self.shoot.card.frame_recorded) or not known(self.shoot.card.recording):
            return True
        return this is not None and this.card_needed_gb is None and not given(self.shoot.card_gb)

    def _planner(self, interval_s: Fraction) -> VisitPlanner | None:
        """Return the planner of visits; None where visits can't be known."""
        if (or_none(self.shoot.burst) or 0) >= interval_s:
            return None
        return or_none(self.shoot.visits.planner_at(interval_s))

    def _with_card(self, planner: VisitPlanner | None, needed_gb: int | None) -> VisitPlanner | None:
        """Return the planner with the card that is needed where none is typed."""
        if planner is None or planner.card is not None or needed_gb is None or not self.shoot.card.kept:
            return planner
        return replace(planner, card=need(self.shoot.visits.card_of(needed_gb)))


@dataclass(frozen=True)
class OptionResults(Results):
    """One way to record the shoot; all null where there is none."""

    interval_s: Fraction | None = key("seconds")
    larger: dict[str, Any] | None = key("what is larger than in the plan")
    frames: int | None = key("stills of the shoot")
    clip_s: Fraction | None = key("the clip, seconds")
    clip_s_per_month: Fraction | None = key("clip of a mean month, seconds")
    card_needed_gb: int | None = key("smallest card sold that carries the whole shoot, GB")
    cards: int | None = key("in all, if none is used twice")
    batteries: int | None = key("in all, if none is charged on the way")
    visits: int | None = key("with the last, which fetches the camera")
    link: str | None = key("the plan that way")


@dataclass(frozen=True)
class PromiseResults(Results):
    """What can be promised on the phone?"""

    first: date | None = key("first day")
    last: date | None = key("last day")
    calendar_days: int | None = key("from first to last")
    recorded_days: int | None = key("days with a window")
    this: OptionResults = key("the way that gives the wanted clip", factory=OptionResults)
    fewer_visits: OptionResults = key(
        "the smallest change that takes fewer visits, else the next longer interval", factory=OptionResults
    )
    smoother: OptionResults = key("the next shorter interval", factory=OptionResults)
    text: str | None = key("the promise as a message")


def option_results(option: Option | None, link: str) -> OptionResults:
    """Return one way as data, with the link to its plan."""
    return OptionResults() if option is None else OptionResults.of(option, link=link)
