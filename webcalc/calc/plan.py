"""The shoot as a whole as data, and at one moment: what should be true while nobody can ask the camera."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import forecast as filling
from webcalc.calc.card.results import CardResults, card_results
from webcalc.calc.clip import frames
from webcalc.calc.clip.results import ClipResults, IntervalResults, clip_results, interval_results
from webcalc.calc.estimate import Estimate
from webcalc.calc.light.results import DaylightResults, daylight_results
from webcalc.calc.power.results import BatteryResults, PanelSummary, battery_results
from webcalc.calc.results import Results, key, meaning, ranged
from webcalc.calc.schedule.moment import Moment, moment
from webcalc.calc.schedule.zone import utc_to_camera
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import figure, given, is_wrong, known, need, or_none
from webcalc.calc.verdict import CALLING, Judged, Part, Verdict, judge

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

# -- at one moment ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NextVisit:
    """The planned visit that comes next: its date, in how many days, and whether it only fetches the camera."""

    date: date
    days: int
    fetches: bool


@dataclass(frozen=True, eq=False)
class ShootNow:
    """A shoot and the instant (aware) at which somebody asks."""

    shoot: Shoot
    instant: datetime

    @figure
    def at(self) -> datetime:
        """The moment to look at, on the camera clock: as typed (site time), else now.

        A date stands for the end of its window hours.
        """
        typed, daylight = need(self.shoot.on), self.shoot.daylight
        if isinstance(typed, datetime):
            return need(daylight.camera_time(typed))
        if typed is not None:
            return need(self.shoot.schedule).window_on(typed)[1]
        return utc_to_camera(self.instant, need(daylight.camera_offset)).replace(second=0, microsecond=0)

    @figure
    def here(self) -> Moment:
        """Where that lies in the shoot, and what was taken until then."""
        return moment(*need(self.shoot.schedule, self.shoot.recording, self.at))

    @figure
    def card_used_bytes(self) -> Estimate[int]:
        """What stands on the card: never more than it holds, what is kept free on it by the plan aside."""
        shoot, card = self.shoot, self.shoot.card
        schedule, recording, frame, files, at, since = need(
            *(shoot.schedule, card.recording, card.frame_recorded, card.file_system, self.at, card.since)
        )
        before = need(card.used_bytes)
        used = filling.used_at(
            schedule, recording, frame, files.cluster_bytes, at, used_bytes=before, since=since
        ).used_bytes
        if not given(shoot.card_gb):
            return used
        whole = need(card.card_bytes)
        return used.map(lambda size: min(size, whole))

    @figure
    def battery_left_share(self) -> Estimate[float]:
        """What is left of the battery's usable energy."""
        battery = self.shoot.battery
        at, *_ = need(self.at, battery.supply, battery.draws.load, battery.since, self.shoot.schedule)
        return need(battery.left_at(at))

    @figure
    def clip_s(self) -> Fraction:
        """The clip that the frames until then give."""
        here, fps, kept_share = need(self.here, self.shoot.fps, self.shoot.kept_share)
        return frames.clip_s(frames.kept_frames(here.counts.stills, kept_share), fps)

    @figure
    def site_date(self) -> date:
        """The date at the site; that of the camera clock while the zone isn't known."""
        daylight = self.shoot.daylight
        at, *_ = need(self.at, None, *filter(is_wrong, (daylight.zone, daylight.camera_offset)))
        local = daylight.wall_time(at)
        return local.date() if known(local) else at.date()

    @figure
    def next_visit(self) -> NextVisit | None:
        """The planned visit that comes next; None after the last.

        While card, battery or clock isn't known, somebody may be needed before the camera is fetched: then only a
        visit that something known calls for is told.
        """
        visits = self.shoot.visits
        plan, today, *_ = need(visits.plan, self.site_date, *filter(is_wrong, [visits.site_light]))
        coming = next((visit for visit in plan.visits if visit.date >= today), None)
        if coming is None:
            return None
        fetches = coming not in plan.services
        if fetches:
            need(*(one.lacks for one in judge(self.shoot, CALLING).judged if one.lacks is not None), None)
        return NextVisit(coming.date, (coming.date - today).days, fetches)

    @figure
    def visited(self) -> bool:
        """Whether visits were planned before that moment."""
        plan, today = need(self.shoot.visits.plan, self.site_date)
        return any(visit.date < today for visit in plan.services)


@dataclass(frozen=True)
class NowResults(Results):
    """The shoot at one moment."""

    at: datetime = field(metadata=meaning("the moment, camera clock"))
    phase: str = field(metadata=meaning("before, recording, between or over"))
    recording: bool = field(metadata=meaning("whether a window is open"))
    files: int = field(metadata=meaning("frames and bursts taken"))
    frames: int = field(metadata=meaning("stills taken"))
    motion_frames: int = field(metadata=meaning("motion-triggered frames taken"))
    bursts: int = field(metadata=meaning("bursts taken"))
    card_used_bytes: Estimate[int] | None = ranged("on the card, bytes")
    battery_left_share: Estimate[float] | None = ranged("left of the usable energy, 0 to 1")
    done_share: float | None = key("of all recorded time, 0 to 1")
    clip_s: Fraction | None = key("clip that the frames until then give, seconds")
    next_window_at: datetime | None = key("when the next window begins, camera clock")
    next_visit_on: date | None = key("date of the next visit, as far as it is known")
    days_to_next_visit: int | None = key("days until then")


def now_results(now: ShootNow) -> NowResults | None:
    """Return the moment as data; None while it can't be told."""
    here, dated = or_none(now.here), now.shoot.daylight.dated
    if here is None:
        return None
    coming, counts = or_none(now.next_visit), here.counts
    return NowResults.of(
        here,
        counts,
        now,
        at=dated(here.at),
        phase=here.phase.value,
        recording=here.window_ends_at is not None,
        files=counts.frames + counts.bursts,
        frames=counts.stills,
        next_window_at=dated(here.next_window_at),
        next_visit_on=coming.date if coming else None,
        days_to_next_visit=coming.days if coming else None,
    )


# -- as a whole -------------------------------------------------------------------------------------------


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
