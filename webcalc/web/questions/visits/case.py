"""The visits of one shoot, worked out: what the page ``/visits``, its data and its calendar show."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card.space import smallest_card_gb
from webcalc.calc.clip import solve
from webcalc.calc.light.window import best_window
from webcalc.calc.power.energy import RatedFrom
from webcalc.calc.schedule.schedule import DailyWindow
from webcalc.calc.visits import rhythms
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rhythms import Rhythm, Stretch
from webcalc.calc.visits.rules import CardInUse, Reason, Visit, VisitPlan
from webcalc.web.http.page import Asked
from webcalc.web.shoot.visits import ShootVisits


@dataclass(frozen=True)
class Bring:
    """What to take along: numbers are 0 where nothing is renewed, None where it isn't known what is in use."""

    cards: int | None
    card_gb: Fraction | None
    batteries: int | None
    battery_wh: float | None
    cells: int | None


@dataclass(frozen=True)
class RhythmRow:
    """One rhythm at one interval; what isn't known is None.

    visits : before the last day
    holds : whether card, battery, cleaning and drift, as far as they are known, allow it
    card_gb : smallest card sold that carries every stretch
    """

    rhythm: Rhythm
    interval_s: Fraction
    visits: int
    holds: bool | None
    card_gb: int | None
    card_lasts: bool | None
    battery_lasts: bool | None
    battery_wh_needed: float | None
    clip_s: Fraction | None


@dataclass(frozen=True)
class WindowStretch:
    """The recorded dates between two visits, and the longest window that is light on all of them."""

    first: date
    last: date
    days: int
    window: DailyWindow | None


class VisitsCase:
    """One question about visits. Instants are in the planner's right time; ``slot`` and ``told`` give the site's."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.say = asked.say
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.visits = ShootVisits(asked.old)

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is a plan of visits."""
        names = list(self.shoot.missing_for_schedule())
        recording = self.shoot.recording
        if recording.interval_s is None and (recording.stills or recording.burst_s):
            names.append("interval")
        if self.shoot.card_bytes is not None and self.shoot.burst_size_missing:
            names.append("burst_mbps")
        return names

    @cached_property
    def planner(self) -> VisitPlanner:
        """Return the planner; ask for it only where nothing is needed."""
        planner = self.visits.planner
        assert planner is not None  # noqa: S101 - needs is empty
        return planner

    @cached_property
    def plan(self) -> VisitPlan:
        """Return the visits."""
        return self.planner.plan()

    # -- one visit ------------------------------------------------------------------------------------------

    def told(self, right: datetime | None) -> datetime | None:
        """Return an instant on the site's wall clock."""
        return self.visits.site_time(right)

    def slot(self, visit: Visit) -> tuple[datetime, datetime] | None:
        """Return the light in which a visit can be made, ending at the latest where it would be too late; site time."""
        light = self.visits.light_on(visit.date)
        if light is None:
            return None
        until = light[1] if visit.by is None else min(light[1], visit.by)
        return self.told(visit.at), self.told(max(until, visit.at))

    def bring(self, visit: Visit) -> Bring:
        """Return what to take along; nothing to fetch the camera."""
        get, pack = self.inputs.get, self.shoot.battery.pack
        goes = 0 if Reason.LAST_DAY in visit.reasons else 1
        cards = goes if Reason.CARD in self.planner.rules.renews else 0
        batteries = goes if Reason.BATTERY in self.planner.rules.renews else 0
        by_cells = pack.batteries if pack.rated_from is RatedFrom.CELLS else None
        return Bring(
            cards=None if self.planner.card is None else cards,
            card_gb=get("card_gb") if cards else None,
            batteries=None if self.planner.battery is None else batteries,
            battery_wh=pack.wh if batteries else None,
            cells=by_cells if batteries else None,
        )

    @property
    def cards(self) -> int | None:
        """Return how many cards the shoot takes if none is used twice, with the first one."""
        if self.planner.card is None or not self.plan.holds:
            return None
        return 1 + self.plan.renewals(Reason.CARD, self.planner.rules)

    @property
    def batteries(self) -> int | None:
        """Return how many batteries the shoot takes if none is charged on the way, with the first one."""
        if self.planner.battery is None or not self.plan.holds:
            return None
        return 1 + self.plan.renewals(Reason.BATTERY, self.planner.rules)

    @property
    def km(self) -> Fraction | None:
        """Return the driving of all visits, the last one too."""
        km = self.inputs.get("visit_km")
        return None if km is None or not self.plan.holds else Fraction(km) * len(self.plan.visits)

    def first_stretch(self, reason: Reason) -> Stretch:
        """Return the stretch up to the first visit, on the camera clock."""
        now, visit = self.planner.start(), self.plan.visits[0]
        since = now.card_since if reason is Reason.CARD else now.battery_since
        return Stretch(since, self.planner.camera_reads(now, visit.at))

    # -- rhythms --------------------------------------------------------------------------------------------

    @property
    def intervals(self) -> list[Fraction]:
        """Return the plan's interval, then the settable ones next to it."""
        here, settable = self.shoot.interval_s, self.shoot.settable_s
        if here is None:
            return []
        shorter = max((s for s in settable if s < here), default=None)
        longer = min((s for s in settable if s > here), default=None)
        return [s for s in (here, shorter, longer) if s is not None and s > self.shoot.recording.burst_s]

    @cached_property
    def rhythm_rows(self) -> list[RhythmRow]:
        """Return every rhythm at the intervals around the plan's."""
        planners = [(s, self.visits.planner_at(s)) for s in self.intervals]
        rows = []
        for rhythm in Rhythm:
            dates = rhythms.rhythm_dates(rhythm, self.planner)
            by_card = rhythms.stretches(self.planner, dates, Reason.CARD)
            by_battery = rhythms.stretches(self.planner, dates, Reason.BATTERY)
            in_time = self._in_time(rhythms.longest_gap_days(self.planner, dates))
            for interval_s, planner in planners:
                if planner is not None:
                    rows.append(self._row(rhythm, interval_s, planner, len(dates), by_card, by_battery, in_time))
        return rows

    def _in_time(self, gap_days: int) -> bool:
        """Whether cleaning and drift, where they are limited, allow such a gap. Summer time isn't looked at."""
        rules = self.planner.rules
        clean = rules.clean_days is None or gap_days <= rules.clean_days
        return clean and (rules.drift_max_s is None or gap_days * rules.drift_s_per_day <= rules.drift_max_s)

    def _row(
        self,
        rhythm: Rhythm,
        interval_s: Fraction,
        planner: VisitPlanner,
        visits: int,
        by_card: tuple[Stretch, ...],
        by_battery: tuple[Stretch, ...],
        in_time: bool,
    ) -> RhythmRow:
        recording, battery = planner.recording, planner.battery
        card_gb = card_lasts = lasts = wh = None
        if self.shoot.frame is not None:
            frame_bytes = self.shoot.frame.high
            needed = {
                cluster: rhythms.card_bytes_needed(planner, recording, by_card, frame_bytes, cluster)
                for cluster in rhythms.CLUSTERS
            }
            card_gb = smallest_card_gb(needed.__getitem__, self.shoot.reserve_share)
            if planner.card is not None:
                card_lasts = self._card_lasts(planner, planner.card, by_card, needed)
        if battery is not None:
            lasts = rhythms.battery_lasts(planner, recording, by_battery, battery)
            wh = None if lasts else rhythms.rated_wh_needed(planner, recording, by_battery, battery)
        known = [part for part in (card_lasts, lasts) if part is not None]
        holds = None if not known and in_time else all(known) and in_time
        clip = None
        if planner.recording.stills and self.inputs.has("fps"):
            clip = solve.clip_from_interval(
                planner.schedule, interval_s, self.inputs.get("fps"), self.shoot.kept_share
            ).clip_s
        return RhythmRow(rhythm, interval_s, visits, holds, card_gb, card_lasts, lasts, wh, clip)

    def _card_lasts(
        self, planner: VisitPlanner, card: CardInUse, spans: tuple[Stretch, ...], needed: dict[int, int]
    ) -> bool:
        """Whether the card in use carries every stretch; the first one has less room if something stands on it."""
        first = rhythms.card_bytes_needed(planner, planner.recording, spans[:1], card.frame.high, card.cluster_bytes)
        return needed[card.cluster_bytes] <= card.usable_bytes and first + card.used_bytes <= card.usable_bytes

    # -- windows --------------------------------------------------------------------------------------------

    @cached_property
    def window_stretches(self) -> list[WindowStretch]:
        """Return the longest all-light window of each stretch between visits; none without place, zone and visits."""
        place, rule = self.shoot.place, self.shoot.place.light_rule
        if place.site is None or place.zone is None or rule is None or not self.plan.holds or not self.plan.services:
            return []
        recorded = self.planner.schedule.recorded_dates
        changes = [visit.date for visit in self.plan.services]
        set_at = [self.planner.schedule.starts_at, *(visit.at for visit in self.plan.services)]
        ends = [*changes, date.max]
        found, begun = [], date.min
        for clock_set, end in zip(set_at, ends, strict=True):
            dates = [day for day in recorded if begun <= day < end]
            begun = end
            if dates:
                window = best_window(dates, place.site, place.zone, rule, self._camera_offset(clock_set))
                found.append(WindowStretch(dates[0], dates[-1], len(dates), window))
        return found

    def _camera_offset(self, clock_set: datetime) -> timedelta | None:
        """Return the camera's offset from UTC after a visit; the first one's where visits don't set the clock."""
        renewed = Reason.CLOCK in self.planner.rules.renews
        return self.visits.offset_at(clock_set if renewed else self.planner.schedule.starts_at)

    @cached_property
    def fixed_window(self) -> DailyWindow | None:
        """Return the longest window that is light on every recorded day and is never changed."""
        return self.shoot.light.always_light if self.shoot.light else None

    @property
    def gained_share(self) -> float | None:
        """Return how much more light the changed windows record than the fixed one; None without one of them."""
        stretches, fixed = self.window_stretches, self.fixed_window
        if not stretches or fixed is None or any(stretch.window is None for stretch in stretches):
            return None
        days = sum(stretch.days for stretch in stretches)
        changed_s = sum(stretch.window.length_s * stretch.days for stretch in stretches if stretch.window)
        return changed_s / (fixed.length_s * days) - 1
