"""The shoot as a whole as data: the answers of its parts, what runs out first, and the moment asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from webcalc.calc.card.results import CardResults, card_results
from webcalc.calc.clip.results import ClipResults, IntervalResults, clip_results, interval_results
from webcalc.calc.light.results import DaylightResults, daylight_results
from webcalc.calc.now import NowResults, ShootNow, now_results
from webcalc.calc.power.results import BatteryResults, PanelSummary, battery_results
from webcalc.calc.results import Results, key
from webcalc.calc.shoot import Shoot
from webcalc.calc.verdict import Judged, Part, Verdict


@dataclass(frozen=True)
class FirstResults(Results):
    """What runs out first."""

    what: str | None = key("card or battery; null where neither runs out, as far as is known")
    at: datetime | None = key("when at the earliest, camera clock")


@dataclass(frozen=True)
class PlanResults(Results):
    """Does the whole shoot work?"""

    interval: IntervalResults = key("as on its own page", factory=IntervalResults)
    clip: ClipResults = key("as on its own page", factory=ClipResults)
    storage: CardResults = key("as on its own page", factory=CardResults)
    battery: BatteryResults = key("as on its own page", factory=BatteryResults)
    daylight: DaylightResults = key("as on its own page", factory=DaylightResults)
    solar: PanelSummary | None = key("the battery's panel")
    first_to_run_out: FirstResults = key("what runs out first if nothing is renewed", FirstResults())
    today: NowResults | None = key("the shoot at the moment asked for")


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
