"""What can be promised for a shoot, told while the client is on the phone: one way to do it and two beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from itertools import chain
from typing import Any

from webcalc.calc.clip import solve
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.schedule.length import clip_s_per_month
from webcalc.calc.schedule.schedule import MEAN_MONTH_DAYS
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Reason, VisitPlan
from webcalc.web.http.page import Asked
from webcalc.web.link import needed_right
from webcalc.web.questions.visits.case import VisitsCase
from webcalc.web.questions.visits.proposals import larger_parts
from webcalc.web.shoot.visits import ShootVisits

#: Longer intervals that are tried for fewer visits.
_TRIED = 8


@dataclass(frozen=True)
class Option:
    """One way to record the shoot; what isn't known is None.

    clip_s_per_month : None for a shoot that is shorter than a month
    card_needed_gb : smallest card sold that carries the whole shoot, put in empty
    cards, batteries : with the first ones, if none is used twice; cards of the typed size, else of the one needed
    visits : with the last one, which fetches the camera; None while the battery isn't known or where no plan works
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
        """Return the quantities that this way sets."""
        return {"interval": self.interval_s, **self.larger}


class CallCase:
    """One question on the phone."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.visits = ShootVisits(asked.old)

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is an answer; the length stands for the last day."""
        missing = ["shoot_days" if name == "last" else name for name in self.shoot.missing_for_schedule()]
        wanted = [] if self.inputs.has("clip") or self._interval_typed_s else ["clip"]
        # The three that are asked for on the phone come first.
        return [*sorted(missing, key="shoot_days".__ne__), *wanted, *([] if self.inputs.has("fps") else ["fps"])]

    @property
    def _interval_typed_s(self) -> Fraction | None:
        return self.inputs.get("interval")

    @cached_property
    def interval_s(self) -> Fraction | None:
        """Return the interval that gives the wanted clip, the typed one where no clip is wanted; None if none does."""
        if not self.inputs.has("clip"):
            return self._interval_typed_s
        found = self.shoot.interval_answer
        return found.chosen.interval_s if found and found.chosen else None

    @property
    def passed_over_s(self) -> Fraction | None:
        """Return the plan's own interval where the wanted clip asks for another."""
        typed = self._interval_typed_s
        return typed if self.inputs.has("clip") and typed != self.interval_s else None

    # -- the three ways -------------------------------------------------------------------------------------

    @cached_property
    def this(self) -> Option | None:
        """Return the way that gives the wanted clip."""
        return None if self.interval_s is None else self._option(self.interval_s)

    @cached_property
    def smoother(self) -> Option | None:
        """Return the next shorter interval that can be set."""
        here, burst_s = self.interval_s, self.shoot.recording.burst_s
        shorter = [s for s in self.shoot.settable_s if here is not None and burst_s < s < here]
        return self._option(max(shorter)) if shorter else None

    @cached_property
    def cheaper(self) -> Option | None:
        """Return the smallest change that takes fewer visits: a longer interval, else a larger battery or card.

        Where none does, or visits aren't known, the next longer interval.
        """
        if self.this is None:
            return None
        following = next(self._longer(), None)
        ways = chain(self._longer(), self._larger()) if self._could_be_fewer else ()
        return next(filter(self.is_fewer, ways), following)

    def is_fewer(self, option: Option) -> bool:
        """Whether a way takes fewer visits than the first one, or can be done where that can't."""
        if self.this is None or option.visits is None:
            return False
        return not self.this.possible or (self.this.visits is not None and option.visits < self.this.visits)

    @property
    def _could_be_fewer(self) -> bool:
        """Whether looking for fewer visits makes sense: one is there to be saved, or no plan works so far."""
        assert self.this is not None  # noqa: S101 - callers have looked
        return not self.this.possible or (self.this.visits or 0) > 1

    def _larger(self) -> Iterator[Option]:
        assert self.interval_s is not None  # noqa: S101 - callers have looked
        inputs = replace(self.inputs, values={**self.inputs.values, "interval": self.interval_s})
        case = VisitsCase(replace(self.asked, inputs=inputs))
        for proposal, planner in larger_parts(case):
            yield self._option(self.interval_s, proposal.changes, planner)

    def _longer(self) -> Iterator[Option]:
        here = self.interval_s
        longer = sorted(s for s in self.shoot.settable_s if here is not None and s > here)
        return (self._option(s) for s in longer[:_TRIED])

    def _option(
        self, interval_s: Fraction, larger: dict[str, Any] | None = None, planner: VisitPlanner | None = None
    ) -> Option:
        shoot, get = self.shoot, self.inputs.get
        assert shoot.schedule is not None  # noqa: S101 - needs is empty
        made: ClipMade = solve.clip_from_interval(shoot.schedule, interval_s, get("fps"), shoot.kept_share)
        calendar_days = shoot.schedule.calendar_days
        card = shoot.card_forecast_at(interval_s)
        needed_gb = card.card_needed_gb if card else None
        planner = self._with_card(planner or self._planner(interval_s), needed_gb)
        plan = planner.plan() if planner else None
        return Option(
            interval_s=interval_s,
            frames=made.frames,
            clip_s=made.clip_s,
            clip_s_per_month=clip_s_per_month(made.clip_s, calendar_days) if calendar_days >= MEAN_MONTH_DAYS else None,
            card_needed_gb=needed_gb,
            cards=_in_all(planner, plan, Reason.CARD, known=bool(planner and planner.card)),
            batteries=_in_all(planner, plan, Reason.BATTERY, known=bool(planner and planner.battery)),
            visits=len(plan.visits) if plan and plan.holds and planner and planner.battery and planner.card else None,
            possible=plan is None or plan.holds,
            larger=larger or {},
        )

    def _planner(self, interval_s: Fraction) -> VisitPlanner | None:
        """Return the planner of visits; None where visits can't be known."""
        wrong = needed_right.any_wrong(self.inputs, needed_right.VISITING, needed_right.PLACE)
        if wrong or self.shoot.recording.burst_s >= interval_s:
            return None
        return self.visits.planner_at(interval_s)

    def _with_card(self, planner: VisitPlanner | None, needed_gb: int | None) -> VisitPlanner | None:
        """Return the planner with the card that is needed where none is typed."""
        if planner is None or planner.card is not None or needed_gb is None:
            return planner
        return replace(planner, card=self.visits.card(needed_gb))


def _in_all(planner: VisitPlanner | None, plan: VisitPlan | None, reason: Reason, *, known: bool) -> int | None:
    if planner is None or plan is None or not plan.holds or not known:
        return None
    return 1 + plan.renewals(reason, planner.rules)
