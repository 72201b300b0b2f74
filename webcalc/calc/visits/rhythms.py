"""Visits in a fixed rhythm, at the intervals around the plan's: what the longest stretch between two of them takes."""

from __future__ import annotations

import calendar
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from webcalc.calc.card.space import EXFAT, FAT32, FileSizes, smallest_card_gb
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import budget_wh, self_discharge_w
from webcalc.calc.power.shoot_energy import given_share, rated_energy_needed_wh
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.count import Counts, counts_between, recorded_time_between, windows_touched
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse, Reason

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

_DAY = timedelta(1)
#: Clusters that the cards sold come with.
CLUSTERS = (FAT32.cluster_bytes, EXFAT.cluster_bytes)


class Rhythm(StrEnum):
    """How often somebody comes by."""

    WEEKLY = "weekly"
    FORTNIGHTLY = "fortnightly"
    MONTHLY = "monthly"
    TWO_MONTHLY = "two-monthly"
    NONE = "none"


_DAYS = {Rhythm.WEEKLY: 7, Rhythm.FORTNIGHTLY: 14}
_MONTHS = {Rhythm.MONTHLY: 1, Rhythm.TWO_MONTHLY: 2}


@dataclass(frozen=True)
class Stretch:
    """One stretch without a visit, on the camera clock: a card or battery put in at ``since`` carries to ``until``.

    ``until`` is where the stretch would end if the visit came as late as the margin allows, or the shoot's end.
    """

    since: datetime
    until: datetime

    @property
    def span_h(self) -> float:
        """Hours from one end to the other."""
        return (self.until - self.since).total_seconds() / 3600


@lru_cache(4_096)
def _counts(schedule: Schedule, recording: Recording, stretch: Stretch) -> Counts:
    """Return what is taken in a stretch; card and battery are asked about the same ones, several times."""
    return counts_between(schedule, recording, stretch.since, stretch.until)


def add_months(day: date, months: int) -> date:
    """Return the same day of a later month, or that month's last day."""
    year, month = divmod(day.month - 1 + months, 12)
    year, month = day.year + year, month + 1
    return date(year, month, min(day.day, calendar.monthrange(year, month)[1]))


def rhythm_dates(rhythm: Rhythm, planner: VisitPlanner) -> tuple[date, ...]:
    """Return the visiting days of a rhythm that begins with the shoot's first day, those before its last day.

    Each is snapped back to an allowed day; where there is none since the one before, the visit falls out.
    """
    schedule, rules = planner.schedule, planner.rules
    found: list[date] = []
    if rhythm is Rhythm.NONE:
        return ()
    before, n = schedule.first, 0
    while True:
        n += 1
        due = _due(rhythm, schedule.first, n)
        if due >= schedule.last:
            return tuple(found)
        day = rules.latest_allowed(before + _DAY, due)
        if day is not None:
            found.append(day)
            before = day


def _due(rhythm: Rhythm, first: date, nth: int) -> date:
    if rhythm in _DAYS:
        return first + nth * _DAYS[rhythm] * _DAY
    return add_months(first, nth * _MONTHS[rhythm])


def stretches(planner: VisitPlanner, dates: Iterable[date], renewed: Reason) -> tuple[Stretch, ...]:
    """Return the stretches that one card, or one battery, has to carry between these visits."""
    now, found, late = planner.start(), [], planner.rules.margin_days * _DAY
    end, renews = planner.schedule.ends_at, renewed in planner.rules.renews
    for day in dates:
        since = now.card_since if renewed is Reason.CARD else now.battery_since
        if renews:
            found.append(Stretch(since, min(planner.camera_reads(now, planner.arrival(day + late)), end)))
        now = planner.after_visit(now, day)
    found.append(Stretch(now.card_since if renewed is Reason.CARD else now.battery_since, end))
    return tuple(found)


@formula(
    "stretch_wh",
    "(constant_w * span_h * 3600 + recording_w * recorded_s + frame_j * stills + motion_j * motion_frames"
    " + burst_w * burst_s * bursts) / 3600",
    ARITHMETIC,
)
def stretch_wh(
    constant_w: float,
    span_h: float,
    recording_w: float,
    recorded_s: float,
    frame_j: float,
    stills: int,
    motion_j: float,
    motion_frames: int,
    burst_w: float,
    burst_s: float,
    bursts: int,
) -> float:
    """Return the energy that the camera takes over a stretch, in Wh."""
    drawn_j = constant_w * span_h * 3600 + recording_w * recorded_s
    taken_j = frame_j * stills + motion_j * motion_frames + burst_w * burst_s * bursts
    return (drawn_j + taken_j) / 3600


def stretch_values(load: Load, recording: Recording, schedule: Schedule, stretch: Stretch) -> dict[str, Any]:
    """Return the parameters of ``stretch_wh``, so that a page can show its working."""
    counts = _counts(schedule, recording, stretch)
    return {
        "constant_w": load.constant_w,
        "span_h": stretch.span_h,
        "recording_w": load.recording_w,
        "recorded_s": recorded_time_between(schedule, stretch.since, stretch.until).total_seconds(),
        "frame_j": load.frame_j,
        "stills": counts.stills,
        "motion_j": load.motion_j,
        "motion_frames": counts.motion_frames,
        "burst_w": load.burst_w,
        "burst_s": float(recording.burst_s),
        "bursts": counts.bursts,
    }


def heaviest(schedule: Schedule, spans: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return the first stretch, and of the others those of which none takes more of a card or battery for certain.

    One takes no less than another if it is as long and has two windows more, or the same windows or more and no less of
    the first and of the last. Where the sun adds energy, that isn't so.
    """
    kept: list[tuple[Stretch, int, int | Fraction, int | Fraction]] = []
    for span in (spans[0], *sorted(spans[1:], key=lambda span: span.span_h, reverse=True)):
        windows, before_s, in_last_s = windows_touched(schedule, span.since, span.until) or (0, 0, 0)
        if not any(
            other.span_h >= span.span_h
            and (n >= windows + 2 or (n >= windows and before <= before_s and in_last >= in_last_s))
            for other, n, before, in_last in kept
        ):
            kept.append((span, windows, before_s, in_last_s))
    return tuple(span for span, *_ in kept)


def card_bytes_needed(
    planner: VisitPlanner, recording: Recording, spans: Iterable[Stretch], frame_bytes: int, cluster_bytes: int
) -> int:
    """Return the bytes on the fullest card of these stretches."""
    sizes = FileSizes.of(recording, frame_bytes, cluster_bytes)
    return max(sizes.total_bytes(_counts(planner.schedule, recording, span)) for span in spans)


def battery_lasts(planner: VisitPlanner, recording: Recording, spans: Iterable[Stretch], battery: BatteryInUse) -> bool:
    """Whether the battery carries every one of these stretches, at its pessimistic end."""
    if battery.supply.harvest_wh is not None:
        # By walking: what the sun adds comes at its own time.
        return all(battery.lasts(planner.schedule, recording, span.since, span.until) for span in spans)
    supply, schedule = battery.supply, planner.schedule
    lost_w = self_discharge_w(supply.rated_wh.low, supply.self_discharge_per_month.high)
    has_wh = budget_wh(supply.usable_wh.low, battery.reserve_share)
    return all(
        stretch_wh(**stretch_values(load, recording, schedule, span)) + lost_w * span.span_h <= has_wh
        for span in spans
        for load in battery.loads
    )


def rated_wh_needed(
    planner: VisitPlanner, recording: Recording, spans: Iterable[Stretch], battery: BatteryInUse
) -> float | None:
    """Return the rated energy of a battery of this kind that carries every stretch, pessimistic end; None if none can.

    None too where the sun adds energy: then there is no single number.
    """
    supply = battery.supply
    if supply.harvest_wh is not None or supply.rated_wh.low <= 0:
        return None
    usable_share = supply.usable_wh.low / supply.rated_wh.low
    lost = supply.self_discharge_per_month.high
    needed = 0.0
    for span in spans:
        share = given_share(usable_share, battery.reserve_share, lost, span.span_h)
        if share <= 0:
            return None
        taken = max(stretch_wh(**stretch_values(load, recording, planner.schedule, span)) for load in battery.loads)
        needed = max(needed, rated_energy_needed_wh(taken, share))
    return needed


# -- every rhythm at the intervals around the plan's ------------------------------------------------------


@dataclass(frozen=True)
class RhythmResults(Results):
    """One rhythm of visits at one interval."""

    rhythm: Rhythm = field(metadata=meaning("how often"))
    interval_s: Fraction = field(metadata=meaning("seconds"))
    visits: int = field(metadata=meaning("before the last day"))
    holds: bool | None = field(
        metadata=meaning("whether card, battery, cleaning and clock allow it; null while one of them isn't known")
    )
    card_gb: int | None = field(metadata=meaning("smallest card sold that carries every stretch, GB"))
    card_lasts: bool | None = field(metadata=meaning("whether the card in use does"))
    battery_lasts: bool | None = field(metadata=meaning("whether the battery in use does"))
    battery_wh_needed: float | None = field(metadata=meaning("printed energy of one that does, Wh"))
    clip_s: Fraction | None = field(metadata=meaning("the clip at that interval, seconds"))


def intervals_around(shoot: Shoot) -> list[Fraction]:
    """Return the plan's interval, then the settable ones next to it."""
    here, settable, burst_s = or_none(shoot.interval_s), or_none(shoot.settable), or_none(shoot.burst) or 0
    if here is None or settable is None:
        return []
    shorter = max((s for s in settable if s < here), default=None)
    longer = min((s for s in settable if s > here), default=None)
    return [s for s in (here, shorter, longer) if s is not None and s > burst_s]


def rhythm_rows(shoot: Shoot, planner: VisitPlanner) -> list[RhythmResults]:
    """Return every rhythm at the intervals around the plan's."""
    planners = [(s, shoot.visits.planner_at(s)) for s in intervals_around(shoot)]
    rows = []
    for rhythm in Rhythm:
        dates = rhythm_dates(rhythm, planner)
        by_card, by_battery = (stretches(planner, dates, each) for each in (Reason.CARD, Reason.BATTERY))
        by_card = heaviest(planner.schedule, by_card)
        if planner.battery is None or planner.battery.supply.harvest_wh is None:
            by_battery = heaviest(planner.schedule, by_battery)
        in_time = _in_time(shoot, planner, dates)
        for interval_s, changed in planners:
            if known(changed):
                rows.append(_row(shoot, rhythm, interval_s, changed, len(dates), by_card, by_battery, in_time))
    return rows


def _in_time(shoot: Shoot, planner: VisitPlanner, dates: Sequence[date]) -> bool | None:
    """Whether cleaning and the camera clock, changes of summer time too, allow visits on these dates.

    None while the clock's zone isn't known, where its error is limited.
    """
    alone = replace(planner, card=None, battery=None)
    now = alone.start()
    for day in dates:
        if any(day > limit.last_day for limit in alone.limits(now)):
            return False
        now = alone.after_visit(now, day)
    if alone.limits(now):
        return False
    return None if planner.rules.drift_max_s is not None and not known(shoot.visits.shifts) else True


def _row(
    shoot: Shoot,
    rhythm: Rhythm,
    interval_s: Fraction,
    planner: VisitPlanner,
    visits: int,
    by_card: tuple[Stretch, ...],
    by_battery: tuple[Stretch, ...],
    in_time: bool | None,
) -> RhythmResults:
    recording, battery, card = planner.recording, planner.battery, planner.card
    frame, made = or_none(shoot.card.frame_recorded), or_none(shoot.clip_at(interval_s))
    card_gb = card_lasts = lasts = wh = None
    if shoot.card.kept and frame is not None and known(shoot.card.recording):
        needed = {cluster: card_bytes_needed(planner, recording, by_card, frame.high, cluster) for cluster in CLUSTERS}
        card_gb = smallest_card_gb(needed.__getitem__, need(shoot.card.reserve_share))
        if card is not None:
            # The first one has less room if something stands on it.
            first = card_bytes_needed(planner, recording, by_card[:1], card.frame.high, card.cluster_bytes)
            room = card.usable_bytes
            card_lasts = needed[card.cluster_bytes] <= room and first + card.used_bytes <= room
    if battery is not None:
        lasts = battery_lasts(planner, recording, by_battery, battery)
        wh = None if lasts else rated_wh_needed(planner, recording, by_battery, battery)
        if shoot.battery.contradicted is not False:
            lasts = False if lasts is False else None
    parts = [in_time]
    parts += [card_lasts] if shoot.card.kept else []
    parts += [lasts] if shoot.battery.needed else []
    holds = False if False in parts else None if None in parts else True
    clip_s = made.clip_s if made and recording.stills else None
    return RhythmResults(rhythm, interval_s, visits, holds, card_gb, card_lasts, lasts, wh, clip_s)
