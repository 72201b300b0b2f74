"""When must someone go there?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from flask import Blueprint, Response

from webcalc.calc.formula import work
from webcalc.calc.visits import rhythms
from webcalc.calc.visits.rules import Reason, Visit
from webcalc.web.handover.visits_calendar import calendar_view
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link import needed_right
from webcalc.web.questions.visits.case import VisitsCase
from webcalc.web.questions.visits.proposals import Proposal, proposals
from webcalc.web.questions.visits.words import (
    RHYTHM_WORDS,
    bring_words,
    impossible_words,
    reason_words,
    rhythm_words,
    visit_fact,
    when_words,
)
from webcalc.web.words import cautions
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Row, Table, Text
from webcalc.web.words.panel import solar_text
from webcalc.web.words.solved import solved_notes

#: Visits on the page itself; the rest stands on ``/visits/all``, so that the first load stays small.
SHOWN = 5
#: Names whose wrong value would make the dates wrong.
_NEEDED_RIGHT = frozenset(
    (
        *needed_right.SCHEDULE,
        *needed_right.CARD,
        *needed_right.BATTERY,
        *needed_right.RECORDED,
        *("visit_days", "visit_skip", "margin", "clean", "drift", "drift_max", "renew", "clock"),
        *("lat", "lon", "geo", "place", "tz", "light"),
    )
)


def answer(asked: Asked) -> Answer:
    """List the visits, what to bring and what is found; and compare rhythms."""
    return _answer(asked, SHOWN)


def full_answer(asked: Asked) -> Answer:
    """List every visit."""
    return _answer(asked, None)


def _answer(asked: Asked, shown: int | None) -> Answer:
    reply = Answer(_no_results())
    if not _NEEDED_RIGHT.isdisjoint(asked.inputs.errors):
        return reply
    case = VisitsCase(asked)
    reply.needs = case.needs
    if reply.needs:
        return reply
    reply.notes.extend(solved_notes(asked.shoot, asked.say))
    if case.visits.nothing_to_plan_by:
        reply.needs = ["card_gb", "battery_wh", "clean"]
        reply.sentence = (
            "Nothing is known yet that calls for a visit. One of these is enough to begin with: the card (with the "
            "frame size), the battery (with what the camera draws), or the days between visits."
        )
        reply.add(solar_text(asked))
        return reply
    _fill_results(case, reply.results)
    if case.plan.holds:
        _list(case, reply, shown)
    else:
        _say_what_is_impossible(case, reply)
    _unknown_parts(case, reply)
    reply.add(solar_text(asked))
    _rhythms(case, reply)
    _windows(case, reply, every_stretch=shown is None)
    reply.add(cautions.on_site(asked.say))
    _workings(case, reply)
    return reply


# -- data -----------------------------------------------------------------------------------------------------


def _no_results() -> dict[str, Any]:
    return {
        "visits": [],
        "totals": {"visits": None, "cards": None, "batteries": None, "km": None},
        "rhythms": [],
        "stretches": [],
        "fixed_window": None,
        "light_gained_share": None,
        "impossible": None,
        "changes": [],
    }


def _fill_results(case: VisitsCase, results: dict[str, Any]) -> None:
    plan = case.plan
    results["visits"] = [_visit_data(case, visit) for visit in plan.visits]
    if plan.holds:
        results["totals"] = {
            "visits": len(plan.visits),
            "cards": case.cards,
            "batteries": case.batteries,
            "km": case.km,
        }
    results["rhythms"] = [vars(row) for row in case.rhythm_rows]
    results["stretches"] = [
        {
            "first": stretch.first,
            "last": stretch.last,
            "recorded_days": stretch.days,
            "window": _window_data(stretch.window),
        }
        for stretch in case.window_stretches
    ]
    if case.window_stretches:
        results["fixed_window"] = _window_data(case.fixed_window)
        results["light_gained_share"] = case.gained_share


def _window_data(window: Any) -> dict[str, Any] | None:
    return None if window is None else {"from": window.start, "until": window.end, "length_s": window.length_s}


def _visit_data(case: VisitsCase, visit: Visit) -> dict[str, Any]:
    slot = case.slot(visit)
    low, high = visit.clock_error_s
    return {
        "date": visit.date,
        "slot": {"from": slot[0], "until": slot[1]} if slot else None,
        "arrival": case.told(visit.at),
        "before": case.told(visit.by),
        "reasons": list(visit.reasons),
        "bring": vars(case.bring(visit)),
        "frames": visit.counts.frames,
        "bursts": visit.counts.bursts,
        "card_used_bytes": ends(visit.card_used_bytes),
        "battery_left_share": ends(visit.battery_left_share),
        "clock_error_s": {"low": low, "high": high},
    }


# -- the page -------------------------------------------------------------------------------------------------


def _list(case: VisitsCase, reply: Answer, shown: int | None) -> None:
    say, services, last = case.say, case.plan.services, case.plan.visits[-1]
    fetch = f"fetch the camera: {when_words(case, last)}"
    reply.tone = HOLDS
    if services:
        first = services[0]
        reply.figure = say.count(len(services), "visit")
        begin = f"{when_words(case, first)} ({reason_words(first)})"
        reply.sentence = f"before the last day. The first: {begin}. Then {fetch}."
    else:
        reply.figure = "no visit"
        reply.sentence = f"is needed before the last day. Then {fetch}."
    visits = case.plan.visits
    cut = visits if shown is None or len(visits) <= shown + 2 else visits[:shown]
    if services:
        reply.add(Facts([visit_fact(case, visit) for visit in cut]))
    if len(cut) < len(visits):
        words = f"All {say.number(len(visits))} visits and light windows"
        reply.add(Text("", href=case.asked.url("visits/all"), link_words=words))
    reply.add(Text("", href=case.asked.url("visits.ics"), link_words="Put them into a calendar"))
    _totals(case, reply)


def _totals(case: VisitsCase, reply: Answer) -> None:
    say, rows, plan = case.say, [], case.plan
    if plan.services:
        words = bring_words(case, case.bring(plan.services[0]))
        if words:
            rows.append(Fact("To each visit bring", words))
    rows.append(Fact("Visits in all", say.number(len(plan.visits)), "with the last"))
    if case.cards is not None:
        more = "or two in turn" if case.cards > 2 else ""
        rows.append(Fact("Cards in all", say.number(case.cards), more))
    if case.batteries is not None:
        more = "or two in turn" if case.batteries > 2 else ""
        rows.append(Fact("Batteries in all", say.number(case.batteries), more))
    if case.km is not None:
        rows.append(Fact("Driving", say.kilometres(case.km)))
    reply.add(Facts(rows, "What it takes"))


def _say_what_is_impossible(case: VisitsCase, reply: Answer) -> None:
    say, plan = case.say, case.plan
    reply.figure, reply.tone = "Impossible", FAILS
    if plan.impossible is not None:
        words = impossible_words(case, plan.impossible)
    else:
        words = f"Impossible: more than {say.number(len(plan.visits))} visits; that is no plan any more."
    reply.results["impossible"] = words
    rest = words.removeprefix("Impossible: ")
    reply.sentence = rest[0].upper() + rest[1:]
    found: list[Proposal] = proposals(case)
    reply.results["changes"] = [
        {"words": each.words, "link": str(case.asked.url("visits", **each.changes))} for each in found
    ]
    if not found:
        reply.add(Text("No single change makes it possible: use a larger card or battery and a longer interval.", LOOK))
    for each in found:
        link = case.asked.url(case.asked.page.name, **each.changes)
        reply.add(Text("", href=link, link_words=f"{each.words}: possible"))


def _unknown_parts(case: VisitsCase, reply: Answer) -> None:
    """Say what isn't counted, so that nobody relies on it."""
    planner, rules = case.planner, case.planner.rules
    missing = []
    if planner.card is None:
        missing.append("the card (its size and the frame size)")
    if planner.battery is None:
        missing.append("the battery (its energy and what the camera draws)")
    if missing:
        reply.add(Text(f"Not counted, because not known: {' and '.join(missing)}.", LOOK))
    if not case.visits.light_known:
        reply.add(Text("Light isn't known without place and time zone: visits are taken at noon.", LOOK))
    end = planner.right_time(planner.start(), planner.schedule.ends_at)
    changes = [shift for shift in case.visits.shifts if planner.schedule.starts_at < shift.at < end]
    if changes and rules.drift_max_s is None:
        day = case.say.day(changes[0].at.date())
        reply.add(
            Text(f"The wall clock changes on {day}; no visit is planned for it unless a clock error is limited.", LOOK)
        )


def _rhythms(case: VisitsCase, reply: Answer) -> None:
    """Add the table of rhythms by intervals."""
    say, rows = case.say, case.rhythm_rows
    if not rows or all(row.card_gb is row.battery_lasts is None for row in rows):
        return
    columns = len(case.intervals)
    by_rhythm = [rows[n : n + columns] for n in range(0, len(rows), columns)]
    head = ["Visits"]
    for row in by_rhythm[0]:
        clip = f", clip {say.clip(row.clip_s)}" if row.clip_s is not None else ""
        head.append(f"{say.length(row.interval_s)}{clip}")
    cells = [[RHYTHM_WORDS[row[0].rhythm], *(rhythm_words(case, each) for each in row)] for row in by_rhythm]
    note = "Does it hold, margin included; the card that lasts; the battery that would, if this one doesn't."
    reply.add(Table("What if: rhythms and intervals", head, [Row(each) for each in cells], note, folded=True))


def _windows(case: VisitsCase, reply: Answer, every_stretch: bool) -> None:
    """Tell what changing the window at each visit gains; the windows themselves on the full list."""
    say, stretches, fixed = case.say, case.window_stretches, case.fixed_window
    if not stretches:
        return
    gain = ""
    if case.gained_share is not None and fixed is not None:
        hours = f"{say.clock(fixed.start)}–{say.clock_end(fixed.end)}"
        gain = (
            f"If each visit may set the window anew: {say.percent(case.gained_share)} more light than {hours}, the "
            "longest that is light on every day."
        )
    if not every_stretch:
        reply.add(Text(gain) if gain else None)
        return
    rows = []
    for stretch in stretches:
        window = stretch.window
        words = f"{say.clock(window.start)}–{say.clock_end(window.end)}" if window else "none"
        rows.append(Row((say.day(stretch.first, weekday=False), words, say.length(window.length_s) if window else "")))
    reply.add(Table("Longest light window of each stretch", ("From", "Window", "A day"), rows, gain, folded=True))


def _workings(case: VisitsCase, reply: Answer) -> None:
    planner, shoot = case.planner, case.shoot
    if planner.battery is not None and case.plan.visits:
        stretch = case.first_stretch(Reason.BATTERY)
        values = rhythms.stretch_values(planner.battery.loads[-1], shoot.recording, planner.schedule, stretch)
        reply.working.append(work(rhythms.stretch_wh, **values))


@dataclass(frozen=True)
class VisitsPage(Page):
    """The page with its calendar, and the same with every visit."""

    def blueprint(self) -> Blueprint:
        """Return page, data, calendar, and the full list."""
        blueprint = super().blueprint()
        blueprint.add_url_rule("/visits.ics", "calendar", self.calendar)
        blueprint.add_url_rule("/visits/all", "all", ALL_VISITS.view)
        blueprint.add_url_rule("/visits/all.json", "all_data", ALL_VISITS.data_view)
        return blueprint

    def calendar(self) -> Response:
        """Answer as a calendar."""
        asked = self.ask()
        return calendar_view(asked, ready=_NEEDED_RIGHT.isdisjoint(asked.inputs.errors))


_FIELDS = ("visit_days", "margin", "clean", "last")
_GROUPS = (
    Group("How visits go", ("renew", "visit_skip", "drift", "drift_max", "visit_km")),
    Group("Card and battery", ("interval", "card_gb", "battery_wh")),
)
VISITS = VisitsPage("visits", "Visits", "When must someone go there?", _FIELDS, answer, _GROUPS, moment="before")
ALL_VISITS = Page("visits/all", "All visits", "When must someone go there? All visits", _FIELDS, full_answer, _GROUPS)
