"""Rhythms of visits at the intervals around the plan's: which hold, with which card and battery at least."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card.space import smallest_card_gb
from webcalc.calc.results import Results
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.visits import rhythms
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rhythms import Rhythm, Stretch
from webcalc.calc.visits.rules import Reason

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class RhythmResults(Results):
    """One rhythm of visits at one interval.

    rhythm : how often
    interval_s : seconds
    visits : before the last day
    holds : whether card, battery, cleaning and clock allow it; null while one of them isn't known
    card_gb : smallest card sold that carries every stretch, GB
    card_lasts : whether the card in use does
    battery_lasts : whether the battery in use does
    battery_wh_needed : printed energy of one that does, Wh
    clip_s : the clip at that interval, seconds
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
        dates = rhythms.rhythm_dates(rhythm, planner)
        by_card, by_battery = (rhythms.stretches(planner, dates, each) for each in (Reason.CARD, Reason.BATTERY))
        by_card = rhythms.heaviest(planner.schedule, by_card)
        if planner.battery is None or planner.battery.supply.harvest_wh is None:
            by_battery = rhythms.heaviest(planner.schedule, by_battery)
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
        needed = {
            cluster: rhythms.card_bytes_needed(planner, recording, by_card, frame.high, cluster)
            for cluster in rhythms.CLUSTERS
        }
        card_gb = smallest_card_gb(needed.__getitem__, need(shoot.card.reserve_share))
        if card is not None:
            # The first one has less room if something stands on it.
            first = rhythms.card_bytes_needed(planner, recording, by_card[:1], card.frame.high, card.cluster_bytes)
            room = card.usable_bytes
            card_lasts = needed[card.cluster_bytes] <= room and first + card.used_bytes <= room
    if battery is not None:
        lasts = rhythms.battery_lasts(planner, recording, by_battery, battery)
        wh = None if lasts else rhythms.rated_wh_needed(planner, recording, by_battery, battery)
        if shoot.battery.contradicted is not False:
            lasts = False if lasts is False else None
    parts = [in_time]
    parts += [card_lasts] if shoot.card.kept else []
    parts += [lasts] if shoot.battery.needed else []
    holds = False if False in parts else None if None in parts else True
    clip_s = made.clip_s if made and recording.stills else None
    return RhythmResults(rhythm, interval_s, visits, holds, card_gb, card_lasts, lasts, wh, clip_s)
