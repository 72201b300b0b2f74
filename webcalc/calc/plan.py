"""The shoot as a whole as data: the answers of its parts, what runs out first, and the moment asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from webcalc.calc.card.results import CardResults, card_results
from webcalc.calc.clip.results import ClipResults, IntervalResults, clip_results, interval_results
from webcalc.calc.light.results import DaylightResults, daylight_results
from webcalc.calc.now import NowResults, ShootNow, now_results
from webcalc.calc.power.results import BatteryResults, PanelSummary, battery_results
from webcalc.calc.results import Results
from webcalc.calc.shoot import Shoot
from webcalc.calc.verdict import Judged, Part, Verdict


@dataclass(frozen=True)
class FirstResults(Results):
    """What runs out first.

    what : card or battery; null where neither runs out, as far as is known
    at : when at the earliest, camera clock
    """

    what: str | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class PlanResults(Results):
    """Does the whole shoot work?

    interval : as on its own page
    clip : as on its own page
    storage : as on its own page
    battery : as on its own page
    daylight : as on its own page
    solar : the battery's panel
    first_to_run_out : what runs out first if nothing is renewed
    today : the shoot at the moment asked for
    """

    interval: IntervalResults = field(default_factory=IntervalResults)
    clip: ClipResults = field(default_factory=ClipResults)
    storage: CardResults = field(default_factory=CardResults)
    battery: BatteryResults = field(default_factory=BatteryResults)
    daylight: DaylightResults = field(default_factory=DaylightResults)
    solar: PanelSummary | None = None
    first_to_run_out: FirstResults = FirstResults()
    today: NowResults | None = None


def first_to_run_out(verdict: Verdict) -> Judged | None:
    """Return the part, card or battery, that runs out first at its pessimistic end; None where none does."""
    reached = [one for one in verdict.judged if one.part in (Part.CARD, Part.BATTERY) and one.at is not None]
    return min(reached, key=lambda one: one.at or datetime.max, default=None)


def plan_results(shoot: Shoot, verdict: Verdict, now: ShootNow) -> PlanResults:
    """Return the answer to ``/plan`` as data."""
    first, battery = first_to_run_out(verdict), battery_results(shoot)
    return PlanResults(
        interval=interval_results(shoot),
        clip=clip_results(shoot),
        storage=card_results(shoot),
        battery=battery,
        daylight=daylight_results(shoot, now.instant),
        solar=battery.solar,
        first_to_run_out=FirstResults(first.part.value, shoot.daylight.dated(first.at)) if first else FirstResults(),
        today=now_results(now),
    )
