"""When must someone go there?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from flask import Blueprint

from webcalc.calc.formula import work
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import State
from webcalc.calc.visits import rhythms
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.proposals import proposals
from webcalc.calc.visits.results import VisitsResults, visits_results
from webcalc.calc.visits.rules import Reason, VisitPlan
from webcalc.web.handover.calendar_file import calendar_view
from webcalc.web.http.page import USUAL_THINGS, Asked, Group, Page
from webcalc.web.questions.visits.noting import done_facts, measured_before, note, noting, undo
from webcalc.web.questions.visits.words import (
    RHYTHM_WORDS,
    bring_how,
    brought,
    impossible_words,
    in_all_how,
    proposal_words,
    reason_words,
    rhythm_words,
    visit_fact,
    visit_how,
    when_words,
)
from webcalc.web.words import cautions
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Row, Table, Text, unknown_names
from webcalc.web.words.battery import by_kind, solar_text
from webcalc.web.words.pictures import whole_shoot
from webcalc.web.words.values import solved_notes
from webcalc.web.words.verdict import labels, may_come_sooner

#: Visits on the page itself; the rest stands on ``/visits/all``, so that the first load stays small.
SHOWN = 5
#: Visits that stand in the answer itself, in short.
LEADING = 3


def answer(asked: Asked, shown: int | None = SHOWN) -> Answer:
    """List the visits, what to bring and what is found; and compare rhythms. ``shown``: how many, None for all."""
    room = asked.shoot.visits
    reply = Answer(VisitsResults(), notes=solved_notes(asked.shoot, asked.say))
    planner, plan = room.planner, room.plan
    if asked.records_nothing:
        return reply
    if not known(planner) or not known(plan):
        reply.needs = unknown_names(asked.shoot.schedule, asked.shoot.recording, planner)
        return reply
    if need(room.nothing_to_plan_by):
        begun_by = (
            (asked.shoot.card.kept, "card_gb", "the card (with the frame size)"),
            (asked.shoot.battery.needed, "battery_wh", "the battery (with what the camera draws)"),
            (True, "clean", "the days between visits"),
        )
        reply.needs = [name for there, name, _words in begun_by if there]
        ways = [words for there, _name, words in begun_by if there]
        reply.sentence = (
            "Nothing is known yet that calls for a visit. One of these is enough to begin with: "
            f"{', '.join(ways[:-1])}, or {ways[-1]}."
        )
        reply.add(solar_text(asked))
        return reply
    reply.results = visits_results(asked.shoot, whole=asked.as_data or shown is None)
    # What was begun and isn't known yet is asked for.
    if given(asked.shoot.card_gb) and asked.shoot.card.kept:
        reply.needs = unknown_names(room.card)
    if plan.holds:
        _list(asked, plan, reply, shown)
    else:
        _say_what_is_impossible(asked, planner, plan, reply)
    reply.picture = whole_shoot(asked)
    reply.add(undo(asked), noting(asked), *measured_before(asked))
    _not_counted(asked, planner, reply)
    reply.add(by_kind(asked), solar_text(asked))
    _rhythms(asked, reply)
    _windows(asked, reply)
    reply.add(cautions.on_site(asked.say))
    if planner.battery is not None and plan.visits:
        stretch = room.first_stretch(planner, plan, Reason.BATTERY)
        recording = need(asked.shoot.recording)
        values = rhythms.stretch_values(planner.battery.loads[-1], recording, planner.schedule, stretch)
        reply.working.append(work(rhythms.stretch_wh, **values))
    return reply


def _list(asked: Asked, plan: VisitPlan, reply: Answer, shown: int | None) -> None:
    shoot, say, services, visits = asked.shoot, asked.say, plan.services, plan.visits
    unknown = may_come_sooner(asked.verdict)
    fetch = f"fetch the camera: {when_words(shoot, say, visits[-1])}"
    reply.tone = LOOK if unknown or asked.verdict.state is State.UNKNOWN else HOLDS
    if services:
        reply.figure = say.count(len(services), "visit") + (", or more" if unknown else "")
        begin = f"{when_words(shoot, say, services[0])} ({reason_words(services[0])})"
        reply.sentence = f"before the last day. The first: {begin}, at the latest. Then {fetch}."
    elif unknown:
        reply.figure, reply.sentence = "Not known yet", f"whether a visit is needed. At the end {fetch}."
    else:
        reply.figure = "no visit"
        reply.sentence = f"is needed before the last day. Then {fetch}."
    if unknown:
        reply.sentence = f"{reply.sentence} {unknown}"
    cut = visits if shown is None or len(visits) <= shown + 2 else visits[:shown]
    done = done_facts(asked, shown)
    if services or done:
        brief = [Fact(say.day(v.date), reason_words(v), how=visit_how(shoot, say, v)[:1]) for v in cut[:LEADING]]
        reply.lead_with(Facts(brief))
        reply.add(Facts([*done, *(visit_fact(shoot, say, visit) for visit in cut)], "Visit by visit"))
    if len(cut) < len(visits):
        reply.add(asked.step(f"All {say.number(len(visits))} visits and light windows", "visits/all"))
    reply.add(asked.step("Put them into a calendar", "visits.ics"))
    _totals(asked, plan, reply)


def _totals(asked: Asked, plan: VisitPlan, reply: Answer) -> None:
    say, rows, found = asked.say, [], reply.results.totals
    if plan.services:
        words = brought(asked.shoot, say, plan.services[0])
        if words:
            rows.append(Fact("To each visit bring", words, how=bring_how(plan.services[0])))
    before = f"{say.number(len(plan.services))} before the last day, and the one that fetches the camera."
    rows.append(Fact("Visits in all", say.number(found.visits), "with the last", (before,)))
    cells = or_none(asked.shoot.battery.cells_in_set)
    batteries = f"Sets of {say.number(cells)} in all" if cells else "Batteries in all"
    for label, number in (("Cards in all", found.cards), (batteries, found.batteries)):
        if number is not None:
            how = in_all_how(say, number - 1)
            rows.append(Fact(label, say.number(number), "or two in turn" if number > 2 else "", how))
    if found.km is not None:
        each = say.kilometres(need(asked.shoot.visit_km))
        how = f"{say.count(len(plan.visits), 'visit')} × {each} there and back."
        rows.append(Fact("Driving", say.kilometres(found.km), how=(how,)))
    reply.add(Facts(rows, "What it takes"))


def _say_what_is_impossible(asked: Asked, planner: VisitPlanner, plan: VisitPlan, reply: Answer) -> None:
    say = asked.say
    reply.figure, reply.tone = "Impossible", FAILS
    if plan.impossible is not None:
        words = impossible_words(asked.shoot, say, plan.impossible)
    else:
        words = f"Impossible: more than {say.number(len(plan.visits))} visits; that is no plan any more."
    rest = words.removeprefix("Impossible: ")
    reply.sentence = " ".join(filter(None, (rest[0].upper() + rest[1:], may_come_sooner(asked.verdict))))
    found = [(proposal_words(say, each), each.sets) for each in proposals(asked.shoot, plan, planner)]
    changes = tuple({"words": told, "link": str(asked.url("visits", **sets))} for told, sets in found)
    reply.results = replace(reply.results, impossible=words, changes=changes)
    if not found:
        reply.add(Text("No single change makes it possible: use a larger card or battery and a longer interval.", LOOK))
    for told, sets in found:
        reply.add(asked.step(f"{told}: possible", asked.page.name, **sets))


def _not_counted(asked: Asked, planner: VisitPlanner, reply: Answer) -> None:
    """Say what isn't counted, so that nobody relies on it."""
    room = asked.shoot.visits
    if not known(room.site_light):
        needs = labels(room.site_light.names)
        reply.add(Text(f"Light isn't known (needs {needs}): visits are taken at noon.", LOOK))
    if room.changes and planner.rules.drift_max_s is None:
        day = asked.say.day(room.changes[0].at.date())
        reply.add(
            Text(f"The wall clock changes on {day}; no visit is planned for it unless a clock error is limited.", LOOK)
        )


def _rhythms(asked: Asked, reply: Answer) -> None:
    """Add the table of rhythms by intervals."""
    say, rows = asked.say, reply.results.rhythms
    if not rows or all(row.card_gb is row.battery_lasts is None for row in rows):
        return
    columns = len({row.interval_s for row in rows})
    by_rhythm = [rows[n : n + columns] for n in range(0, len(rows), columns)]
    head = ["Visits"]
    for row in by_rhythm[0]:
        clip = f", clip {say.clip(row.clip_s)}" if row.clip_s is not None else ""
        head.append(f"{say.length(row.interval_s)}{clip}")
    cells = [[RHYTHM_WORDS[row[0].rhythm], *(rhythm_words(say, each) for each in row)] for row in by_rhythm]
    note = "Does it hold, margin included; the card that lasts; the battery that would, if this one doesn't."
    reply.add(Table("What if: rhythms and intervals", head, [Row(each) for each in cells], note, folded=True))


def _windows(asked: Asked, reply: Answer) -> None:
    """Tell, on the full list, the longest light window of each stretch and what setting it anew gains."""
    say, found = asked.say, reply.results
    if not found.stretches:
        return
    gain, fixed = "", found.fixed_window
    if found.light_gained_share is not None and fixed is not None:
        hours = f"{say.clock(fixed.from_)}–{say.clock_end(fixed.until)}"
        gain = (
            f"If each visit may set the window anew: {say.percent(found.light_gained_share)} more light than {hours}, "
            "the longest that is light on every day."
        )
    rows = []
    for stretch in found.stretches:
        window, first = stretch.window, say.day(stretch.first, weekday=False)
        words = f"{say.clock(window.from_)}–{say.clock_end(window.until)}" if window else "none"
        rows.append(Row((first, words, say.length(window.length_s) if window else "")))
    reply.add(Table("Longest light window of each stretch", ("From", "Window", "A day"), rows, gain, folded=True))


@dataclass(frozen=True)
class VisitsPage(Page):
    """The page with its calendar, and where a visit is noted."""

    def blueprint(self) -> Blueprint:
        """Return the pages, the calendar, and the address that notes a visit."""
        blueprint = super().blueprint()
        blueprint.add_url_rule("/visits.ics", "calendar", lambda: calendar_view(self.ask()))
        blueprint.add_url_rule("/did", "did", lambda: note(self.ask()))
        return blueprint


_GROUPS = (
    Group("How visits go", ("visit_days", "margin", "clean", "renew", "visit_skip", "drift", "drift_max", "visit_km")),
    Group("Card and battery", ("interval", "card_gb", "battery_wh")),
    Group("The end", ("last",)),
)
ALL_VISITS = Page(
    "visits/all",
    "All visits",
    "When must someone go there? All visits",
    (),
    partial(answer, shown=None),
    _GROUPS,
    alone=USUAL_THINGS,
)
VISITS = VisitsPage(
    "visits",
    "Visits",
    "When must someone go there?",
    (),
    answer,
    _GROUPS,
    moment="before",
    results=VisitsResults,
    alone=USUAL_THINGS,
    seconds=(ALL_VISITS,),
)
