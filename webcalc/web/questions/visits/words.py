"""Visits in words: slots, reasons, what to bring, what is expected on arrival, and how that comes about."""

from __future__ import annotations

import math
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import need
from webcalc.calc.visits.proposals import Change, Proposal
from webcalc.calc.visits.rhythms import Rhythm, RhythmResults
from webcalc.calc.visits.rules import RENEWS, Impossible, Reason, Visit
from webcalc.calc.visits.shoot import Bring
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.working import How

_BEFORE_PLAN = "Due before today and not noted: taken for the next day that somebody can go."


def visit_how(shoot: Shoot, say: Say, visit: Visit) -> How:
    """Say why a visit is on its day, and since when what is found there is counted."""
    rules, since = visit.planner.rules, say.instant(visit.before.card_since)
    counted = f"What is found: recorded and used from {since}, camera clock, to the arrival."
    if Reason.LAST_DAY in visit.reasons:
        ends = say.instant(shoot.visits.site_time(visit.planner.schedule.ends_at))
        return (f"The first day to go there with light left after the last frame, {ends}.", counted)
    if visit.late:
        return (_BEFORE_PLAN, counted)
    margin = f", less {say.count(rules.margin_days, 'day')} of margin" if rules.margin_days else ""
    on = f", visits {say.weekdays(rules.weekdays)}" if len(rules.weekdays) < 7 else ""
    if visit.by is None:
        return (f"The first day to go there after the change of summer time{on}.", counted)
    at = say.instant(shoot.visits.site_time(visit.by))
    return (f"What runs out first does so {at} at the earliest: the last day to be there before{margin}{on}.", counted)


def bring_how(visit: Visit) -> How:
    """Say what a visit renews."""
    renewed = [word for word, reason in RENEWS.items() if reason in visit.planner.rules.renews]
    return (f"Each visit renews: {', '.join(renewed) or 'nothing'}. What is brought is like what is in use.",)


def in_all_how(say: Say, renewals: int) -> How:
    """Say how many are renewed."""
    return (f"1 at the start and {say.number(renewals)} at visits, none used twice.",)


REASON_WORDS = {
    Reason.CARD: "card",
    Reason.BATTERY: "battery",
    Reason.CLOCK: "set the clock",
    Reason.CLEANING: "clean and look",
    Reason.LAST_DAY: "fetch the camera",
}
_LIMIT_WORDS = {
    Reason.CARD: "the card is full",
    Reason.BATTERY: "the battery is at its reserve",
    Reason.CLOCK: "the camera clock is off by more than is accepted",
    Reason.CLEANING: "the longest time between visits is over",
}
_NAMES = {Reason.CARD: "card", Reason.BATTERY: "battery", Reason.CLOCK: "clock"}
RHYTHM_WORDS = {
    Rhythm.WEEKLY: "weekly",
    Rhythm.FORTNIGHTLY: "fortnightly",
    Rhythm.MONTHLY: "monthly",
    Rhythm.TWO_MONTHLY: "two-monthly",
    Rhythm.NONE: "none",
}


def slot_words(shoot: Shoot, say: Say, visit: Visit) -> str:
    """Return the slot of a visit, or nothing where the light isn't known."""
    slot = shoot.visits.slot(visit)
    if slot is None:
        return "no light" if shoot.visits.light_known else ""
    return f"{say.clock(slot[0])}–{say.clock(slot[1])}"


def when_words(shoot: Shoot, say: Say, visit: Visit) -> str:
    """Return date and slot."""
    slot = slot_words(shoot, say, visit)
    day = say.day(visit.date)
    return f"{day}, {slot}" if slot else day


def reason_words(visit: Visit) -> str:
    """Return what a visit is for."""
    return ", ".join(REASON_WORDS[reason] for reason in visit.reasons)


def bring_words(say: Say, bring: Bring) -> str:
    """Return what to take along."""
    parts = []
    if bring.cards:
        parts.append(f"{say.count(bring.cards, 'card')} of {say.number(bring.card_gb, 1)}{NBSP}GB")
    if bring.batteries:
        parts.append(_battery_words(say, bring))
    return " and ".join(parts)


def _battery_words(say: Say, bring: Bring) -> str:
    """Return which battery, as it was typed."""
    if bring.cells:
        return f"{say.count(bring.cells, 'fresh cell')}"
    full = say.count(bring.batteries, "full battery", "full batteries")
    return f"{full} of {say.unit(bring.battery_wh, 'Wh')}" if bring.battery_wh else full


def brought(shoot: Shoot, say: Say, visit: Visit) -> str:
    """Return what to take along to a visit."""
    return bring_words(say, shoot.visits.bring(need(shoot.visits.planner), visit))


def expected_words(say: Say, visit: Visit) -> str:
    """Return what is expected on arrival: frames, card use, battery."""
    parts = [say.count(visit.counts.frames, "frame")]
    if visit.counts.bursts:
        parts.append(say.count(visit.counts.bursts, "burst"))
    if visit.card_used_bytes is not None:
        parts.append("card " + range_words(visit.card_used_bytes.map(lambda size: say.size(size, 2))))
    if visit.battery_left_share is not None:
        parts.append("battery " + range_words(visit.battery_left_share.map(say.percent)))
    return "; ".join(parts)


def range_words(words: Estimate[str]) -> str:
    """Return the expected value with its ends; a unit that all share stands once."""
    if words.is_exact:
        return words.expected
    ends = [words.low, words.high]
    unit = NBSP + words.expected.rpartition(NBSP)[2]
    if all(end.endswith(unit) for end in ends):
        ends = [end.removesuffix(unit) for end in ends]
    return f"{words.expected} ({ends[0]}–{ends[1]})"


def visit_fact(shoot: Shoot, say: Say, visit: Visit) -> Fact:
    """Return one visit as a line: when, what for, what is found."""
    late = f"too late: {say.instant(shoot.visits.site_time(visit.by))} at the earliest; " if visit.late else ""
    found = late + expected_words(say, visit)
    return Fact(when_words(shoot, say, visit), reason_words(visit), found, visit_how(shoot, say, visit))


def impossible_words(shoot: Shoot, say: Say, stuck: Impossible) -> str:
    """Say why there is no schedule."""
    planner = need(shoot.visits.planner)
    margin, at = planner.rules.margin_days, shoot.visits.site_time(stuck.at)
    when = say.day(at.date()) if stuck.reason is Reason.CLEANING else say.instant(at)
    earliest = " at the earliest" if stuck.reason in (Reason.CARD, Reason.BATTERY) else ""
    what = f"{_LIMIT_WORDS[stuck.reason]} on {when}{earliest}"
    if not stuck.renewed:
        return f"Impossible: {what}, and a visit doesn't renew the {_NAMES[stuck.reason]}."
    since = "after the first day" if stuck.after == planner.schedule.first else f"after {say.day(stuck.after)}"
    early = f"with a margin of {say.count(margin, 'day')} " if margin else ""
    later = f": the next visiting day {since} is {say.day(stuck.next_day)}" if stuck.next_day else ""
    return f"Impossible: {what}, and {early}nobody can be there in time{later}."


def proposal_words(say: Say, proposal: Proposal) -> str:
    """Return a change that makes visits possible."""
    value: Any = proposal.value
    words = {
        Change.RENEW: lambda: f"Let each visit renew {' and '.join(word for word in RENEWS if word in value)}",
        Change.CARD: lambda: f"A card of {say.number(value)} GB",
        Change.INTERVAL: lambda: f"A frame every {say.length(value)}",
        Change.BATTERY: lambda: f"A battery of {say.unit(value, 'Wh')}",
        Change.CELLS: lambda: say.count(value, "cell"),
        Change.MARGIN: lambda: f"A margin of {say.count(value, 'day')}" if value else "No margin",
        Change.WEEKDAYS: lambda: f"Visits on {say.weekdays(value)}".replace("on every", "every"),
        Change.CLEANING: lambda: f"Up to {say.count(value, 'day')} between visits",
    }
    return words[proposal.change]()


def rhythm_words(say: Say, row: RhythmResults) -> str:
    """Return whether a rhythm holds, with which card at least, and with which battery if this one doesn't last."""
    parts = [{True: "yes", False: "no", None: "not known"}[row.holds]]
    if row.card_lasts is not None or row.card_gb is not None:
        parts.append(f"{say.number(row.card_gb)}{NBSP}GB" if row.card_gb else "no card")
    if row.battery_lasts is False:
        wh = row.battery_wh_needed
        parts.append("no battery" if wh is None else f"{say.number(math.ceil(wh))}{NBSP}Wh")
    return ", ".join(filter(None, parts))
