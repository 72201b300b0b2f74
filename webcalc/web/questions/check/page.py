"""Is what I found right?"""

from __future__ import annotations

from typing import Any

from webcalc.calc.onsite.fit import GOES_AS_PLANNED
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.results import LookResults, look_results
from webcalc.calc.onsite.seen import Ask, Doubt, Value
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.unknown import known, need
from webcalc.web.http.page import USUAL_THINGS, Asked, Group, Page
from webcalc.web.link.inputs import can_be_typed
from webcalc.web.link.quantities import TODAY
from webcalc.web.questions.check.expected import (
    FROM_FOUND,
    answers,
    clock_how,
    counted_from,
    drift_working,
    files_how,
    frame_working,
    left_how,
    missed_working,
    questions,
    renewed_how,
    rest_working,
    should_show,
    used_how,
)
from webcalc.web.questions.check.words import (
    clock_words,
    log_line,
    runs_out_fact,
    shortfall_words,
    since_change,
    story_words,
    ticks,
    told,
    verdict_words,
)
from webcalc.web.questions.visits.noting import measured_before, noting
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Line, Text, spread, unknown_names
from webcalc.web.words.battery import by_kind
from webcalc.web.words.cautions import on_site
from webcalc.web.words.values import solved_notes
from webcalc.web.words.working import FILLING, STEPS

NOT_READ = "not read"
_VERDICT_RESTS_ON = frozenset({Value.COUNT, Value.CARD, Value.BATTERY})


def answer(asked: Asked) -> Answer:
    """Put what was found beside what was expected, and say what to do."""
    look = ShootLook(asked.shoot, asked.now)
    reply = Answer(look_results(look))
    if asked.records_nothing:
        return reply
    if not known(look.outlook):
        reply.needs = unknown_names(asked.shoot.schedule, asked.shoot.recording, look.outlook)
        return reply
    reply.results = look_results(look, log_line=log_line(asked, look))
    _begin(asked, look, reply)
    doubts = need(look.comparison).doubts
    if look.has_found:
        reply.lead_with(ticks(asked, look))
        reply.add(*questions(asked, look), told(asked, look))
        reply.lead_with_first(_compared(asked, look), 3)
        reply.add(counted_from(asked, look))
    else:
        if Doubt.AT_BEFORE_SINCE not in doubts:
            reply.lead_with(should_show(asked, look), answers(asked, look))
        reply.lead_with(counted_from(asked, look))
        reply.add(*questions(asked, look))
    reply.add(_from_now_on(asked, look), _carry(asked, look))
    if need(look.outlook).draw.expected is None:
        reply.add(by_kind(asked))
    reply.add(noting(asked), *measured_before(asked))
    reply.add(Text("With the card at hand:", href=asked.url("recorded"), link_words="What is really on it"))
    reply.add(Line("For the notebook or a message", reply.results.log_line), on_site(asked.say))
    reply.notes += [*solved_notes(asked.shoot, asked.say), _when_words(asked, look)]
    if asked.shoot.card.as_video is True and known(asked.shoot.fps):
        rate = asked.inputs.canonical["fps"]
        reply.notes.append(f"Frames in a video file: its length in seconds × {rate}, over all files together.")
    reply.working += missed_working(look) + frame_working(look)
    reply.working += rest_working(asked, look) + drift_working(look)
    return reply


def _begin(asked: Asked, look: ShootLook, reply: Answer) -> None:
    """Fill in figure, sentence and tone."""
    say, found, ahead = asked.say, need(look.comparison), need(look.outlook)
    if Doubt.AT_BEFORE_SINCE in found.doubts:
        reply.figure, reply.tone = "?", LOOK
        return
    verdict, why = verdict_words(asked, look)
    shortfall = shortfall_words(asked, look)
    open_questions = any(doubt.concerns & _VERDICT_RESTS_ON for doubt in found.doubts)
    figures = {Verdict.CHANGE: "Change now", Verdict.OVER: "Over"}
    reply.figure = say.day(ahead.return_by, weekday=False) if ahead.return_by else figures.get(ahead.verdict, verdict)
    holds = ahead.verdict is Verdict.LEAVE and verdict == "Leave it" and not open_questions
    reply.tone = FAILS if shortfall or ahead.verdict is Verdict.CHANGE else HOLDS if holds else LOOK
    sentences = ["Settle what is asked below first. By the rest:"] if open_questions else []
    sentences.append(f"{verdict}: {why}.")
    if shortfall:
        sentences.append(f"{shortfall}: look for the cause first.")
    elif found.agrees:
        sentences.append("The frames are as planned.")
    first = next(iter(need(look.stories)), None)
    if first is not None and first.code is Code.CLOCK_SUMMER_TIME and Ask.CLOCK_BY not in found.asks:
        sentences.append(f"{story_words(asked, look, first)}.")
    elif first is not None and shortfall and first.code not in GOES_AS_PLANNED:
        told = story_words(asked, look, first)
        sentences.append(f"Likeliest: {told[:1].lower()}{told[1:]}.")
    if not look.has_found:
        reply.tone = ""
        sentences.append("That is by the plan.")
    reply.sentence = " ".join(sentences)


def _compared(asked: Asked, look: ShootLook) -> Facts:
    """Return each thing found beside what was expected."""
    say, found, running = asked.say, need(look.comparison), need(look.running)
    expected = found.expected
    rows = []

    hows = {
        Value.COUNT: files_how,
        Value.CARD: used_how,
        Value.BATTERY: left_how,
        Value.CLOCK: clock_how,
    }

    def row(label: str, value: str | None, should: str, about: Value, more: str = "") -> None:
        # Read on a mast: what is as expected needs no second figure.
        same = value is not None and value == should.partition(" (")[0]
        words = "as expected" if same else f"{should} expected" if should else ""
        missing = "in doubt" if found.is_doubted(about) else NOT_READ
        more = "; ".join(filter(None, (words, more)))
        rows.append(Fact(label, value or missing, more, hows[about](asked, look)))

    files = found.files
    row("Frames", None if files is None else say.number(files), spread(say.number, expected.files), Value.COUNT)
    used = found.used_bytes
    before = running.used_before_bytes
    more = f"{say.size(before)} of it from before" if before else ""
    should = spread(say.size, expected.card_used_bytes)
    if used and Ask.GB_SHOWS in found.asks:
        more = "; ".join(filter(None, (f"{say.size(used.expected)} if it counts in GiB", more)))
        row("Space used", say.unit(asked.inputs.get("found_gb"), "GB"), should, Value.CARD, more)
    else:
        row("Space used", say.size(used.expected) if used else None, should, Value.CARD, more)
    left = found.battery_left_share
    should = spread(say.percent, expected.battery_left_share)
    row("Battery left", spread(say.percent, left) or None, should, Value.BATTERY)
    _clock_row(asked, look, row)
    # What was read comes first.
    rows.sort(key=lambda row: row.value == NOT_READ)
    if found.frame_bytes:
        size = f"file {say.size(found.file_bytes.low)} to {say.size(found.file_bytes.high)}"
        planned = f"; {spread(say.size, running.frame)} planned" if running.frame else ""
        more = (
            planned.removeprefix("; ") if asked.shoot.card.as_video is True else f"in whole clusters; {size}{planned}"
        )
        how = tuple(frame_working(look))
        rows.append(Fact("A frame takes", say.size(found.frame_bytes.expected), more, how))
    draw = need(look.outlook).draw
    factor = draw.expected
    if factor is not None:
        ends = [each for each in (draw.low, factor, draw.high) if each is not None]
        low, high = min(ends), max(ends)
        room = f" ({say.figures(low)} to {say.figures(high)})" if say.figures(low) != say.figures(high) else ""
        full = say.instant(running.battery_full_at)
        how = f"Drawn since {full} by what the battery shows ÷ drawn by the plan; by the likeliest story."
        rows.append(Fact("True draw", f"{say.figures(factor)} × planned{room}", how=(how,)))
    elif left is not None and asked.shoot.battery.panel.typed:
        rows.append(Fact("True draw", "not known", "load and sun can't be told apart"))
    return Facts(rows, "Found, and expected")


def _clock_row(asked: Asked, look: ShootLook, row: Any) -> None:
    say, found = asked.say, need(look.comparison)
    error_s = found.expected.clock_error_s
    fast_s = found.found.clock_fast_s
    drift_s = error_s.high - error_s.expected
    value = None if fast_s is None else clock_words(say, fast_s).removeprefix("clock ")
    should = clock_words(say, error_s.expected).removeprefix("clock ")
    more = f"±{say.length(round(drift_s))}"
    if error_s.expected:
        since = since_change(asked, look)
        more = f"{since[:1].lower()}{since[1:]}, {more}"
    if found.drift_s_per_day:
        more = f"{more}; drift {say.number(found.drift_s_per_day, 1)} s a day"
    row("Camera clock", value, should, Value.CLOCK, more)


def _from_now_on(asked: Asked, look: ShootLook) -> Facts | None:
    say, found, begun = asked.say, need(look.outlook), FROM_FOUND if look.has_found else ""
    rows = [
        runs_out_fact(say, "Card full", found.full_at, (FILLING + begun,)),
        runs_out_fact(say, "Battery at reserve", found.reserve_at, (STEPS + begun,)),
    ]
    if found.verdict in (Verdict.CHANGE, Verdict.RETURN_BY):
        fresh = say.day(found.renewed_return_by) if found.renewed_return_by else "the last day"
        if not found.renewed_known:
            fresh = "not known"
        how = renewed_how(asked, look)
        rows.append(Fact("All new now: come back by", fresh, "fresh card and battery, clock set", how))
    rows = [row for row in rows if row]
    if not rows:
        return None
    title = "From now on, by what was found" if look.has_found else "From now on, by the plan"
    return Facts(rows, f"{title} (camera clock)")


def _carry(asked: Asked, look: ShootLook) -> Text | None:
    """Offer the measured values for the plan."""
    changes = need(look.measured)
    if not changes or not can_be_typed(changes):
        return None
    names = ["frame size"] if {"frame_mb", "video_mb_min"} & set(changes) else []
    names += ["draw"] if len(changes) > len(names) else []
    return asked.step(f"Use the measured {' and '.join(names)} from now on", "plan", **changes)


def _when_words(asked: Asked, look: ShootLook) -> str:
    say, typed = asked.say, asked.inputs
    began = "the last visit noted" if look.shoot.done.any else "the shoot's start"
    since = "" if typed.has("since") else f" ({began})"
    at = "" if typed.has("at") else " (now)"
    return f"Counted from {say.instant(need(look.since))}{since} to {say.instant(need(look.at))}{at}, camera clock."


CHECK = Page(
    "check",
    "Check",
    "Is what I found right?",
    (),
    answer,
    (
        Group("What you find", ("found_frames", "found_gb", "found_battery", "found_clock")),
        Group("Since when", ("since", "at")),
        Group(
            "Other readings",
            (
                *("found_gib", "found_volts", "found_first", "found_last", "found_first_at", "found_last_at"),
                *("found_temp_c", "battery_shows", "gb_shows", "clock_by"),
            ),
        ),
        Group("The plan", ("first", "last", "interval")),
    ),
    moment="mast",
    fold="Type what you find",
    results=LookResults,
    alone=USUAL_THINGS | {"at": f"{TODAY}T12:00"},
    scripts=("exif.js",),
)
