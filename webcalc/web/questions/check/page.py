"""Is what I found right?"""

from __future__ import annotations

import math
from typing import Any

from webcalc.calc.formula import work
from webcalc.calc.onsite.compare import bytes_per_file, measured_drift, missed_frames, missed_time_s
from webcalc.calc.onsite.drain import left_of_usable, scaled
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.seen import Doubt, Value
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.schedule.schedule import DAY_S
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.check.case import CheckCase, any_wrong
from webcalc.web.questions.check.words import (
    FAR_OFF,
    cause_words,
    clock_words,
    doubt_words,
    interval_words,
    log_line,
    odd_words,
    runs_out_fact,
    shortfall_words,
    spread,
    verdict_words,
)
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Line, Points, Text
from webcalc.web.words.cautions import on_site
from webcalc.web.words.solved import solved_notes

_TONES = {Verdict.LEAVE: HOLDS, Verdict.RETURN_BY: LOOK, Verdict.CHANGE: FAILS}
_VERDICT_RESTS_ON = frozenset({Value.COUNT, Value.CARD, Value.BATTERY})
#: Draws that a measured drain is carried into, with the load's own name and what makes its unit of watts or joules.
_DRAWS = (
    ("standby_mw", "standby_w", 1000),
    ("record_mw", "recording_w", 1000),
    ("frame_j", "frame_j", 1),
    ("burst_mw", "burst_w", 1000),
    ("motion_j", "motion_frame_j", 1),
    ("other_mw", "other_w", 1000),
)


def answer(asked: Asked) -> Answer:
    """Put what was found beside what was expected, and say what to do."""
    reply = Answer(_no_results())
    if any_wrong(asked.inputs):
        return reply
    case = CheckCase(asked)
    reply.needs = case.needs
    if case.needs:
        return reply
    reply.results |= _results(case)
    _begin(case, reply)
    questions = [*(doubt_words(case, doubt) for doubt in case.comparison.doubts), *odd_words(case)]
    reply.add(*[Text(question, LOOK) for question in questions])
    reply.add(_compared(case))
    if case.causes:
        reply.add(Points("Usual reasons, in this order", [cause_words(case, cause) for cause in case.causes]))
    reply.add(_from_now_on(case), _carry(case), Line("For the notebook or a message", log_line(case)))
    reply.add(on_site(asked.say))
    reply.notes += [*solved_notes(asked.shoot, asked.say), _when_words(case)]
    _workings(case, reply)
    return reply


def _begin(case: CheckCase, reply: Answer) -> None:
    """Fill in figure, sentence and tone."""
    say, found = case.asked.say, case.comparison
    if Doubt.AT_BEFORE_SINCE in found.doubts:
        reply.figure, reply.tone = "?", LOOK
        return
    verdict, why = verdict_words(case)
    ahead, shortfall = case.outlook, shortfall_words(case)
    open_questions = any(doubt.concerns & _VERDICT_RESTS_ON for doubt in found.doubts)
    figures = {Verdict.LEAVE: "Leave it", Verdict.CHANGE: "Change now", Verdict.OVER: "Over"}
    reply.figure = say.day(ahead.return_by, weekday=False) if ahead.return_by else figures.get(ahead.verdict, "?")
    reply.tone = FAILS if shortfall else _TONES.get(ahead.verdict, LOOK)
    if shortfall and ahead.verdict is Verdict.LEAVE:
        # Nothing runs out, but what is recorded isn't what was planned: that can't be left alone.
        reply.figure = "Find the cause"
    if open_questions and reply.tone == HOLDS:
        reply.tone = LOOK
    sentences = ["Settle what is asked below first. By the rest:"] if open_questions else []
    sentences.append(f"{verdict}: {why}.")
    if shortfall:
        sentences.append(f"{shortfall}: look for the cause first.")
    elif found.agrees:
        sentences.append("The frames are as planned.")
    elif not case.has_found:
        reply.tone = ""
        due = say.count(found.expected.files.expected, "frame")
        sentences.append(f"That is by the plan: {due} should be there now. Type what you find.")
    reply.sentence = " ".join(sentences)


def _compared(case: CheckCase) -> Facts:
    """Return each thing found beside what was expected."""
    say, found, expected = case.asked.say, case.comparison, case.comparison.expected
    rows = []

    def row(label: str, value: str | None, should: str, about: Value, more: str = "") -> None:
        words = f"{should} expected" if should else ""
        missing = "in doubt" if found.is_doubted(about) else "not read"
        rows.append(Fact(label, value or missing, "; ".join(filter(None, (words, more)))))

    files = found.files
    row("Frames", None if files is None else say.number(files), spread(say.number, expected.files), Value.COUNT)
    shortfall = shortfall_words(case)
    if shortfall:
        count, _comma, hours = shortfall.partition(", ")
        rows.append(Fact("Difference", count, hours))
    if case.likely:
        rows.append(Fact("Interval by the count", *interval_words(case)))
    used = found.used_bytes
    before = case.running.used_before_bytes
    more = f"{say.size(before)} of it from before" if before else ""
    should = spread(say.size, expected.card_used_bytes)
    row("Space used", say.size(used.expected) if used else None, should, Value.CARD, more)
    if found.frame_bytes:
        size = f"file {say.size(found.file_bytes.low)} to {say.size(found.file_bytes.high)}"
        planned = f"; {spread(say.size, case.running.frame)} planned" if case.running.frame else ""
        rows.append(Fact("A frame takes", say.size(found.frame_bytes.expected), f"in whole clusters; {size}{planned}"))
    left = found.battery_left_share
    should = spread(say.percent, expected.battery_left_share)
    row("Battery left", spread(say.percent, left) or None, should, Value.BATTERY)
    factor = found.drain_factor.expected
    if factor is not None:
        low, high = sorted((found.drain_factor.low or factor, found.drain_factor.high or factor))
        room = f" ({say.figures(low)} to {say.figures(high)})" if say.figures(low) != say.figures(high) else ""
        rows.append(Fact("True draw", f"{say.figures(factor)} × planned{room}"))
    elif left is not None and case.shoot.battery.panel.typed:
        rows.append(Fact("True draw", "not known", "load and sun can't be told apart"))
    _clock_row(case, row)
    return Facts(rows, "Found, and expected")


def _clock_row(case: CheckCase, row: Any) -> None:
    say, found, error_s = case.asked.say, case.comparison, case.comparison.expected.clock_error_s
    fast_s = found.found.clock_fast_s
    drift_s = error_s.high - error_s.expected
    should = f"{clock_words(say, error_s.expected)}, ±{say.length(round(drift_s))}".removeprefix("clock ")
    more = ""
    if found.drift_s_per_day is not None:
        more = f"drift {say.number(found.drift_s_per_day, 1)} s a day"
    value = None if fast_s is None else clock_words(say, fast_s).removeprefix("clock ")
    row("Camera clock", value, should, Value.CLOCK, more)


def _from_now_on(case: CheckCase) -> Facts | None:
    say, found = case.asked.say, case.outlook
    rows = [
        runs_out_fact(say, "Card full", found.full_at),
        runs_out_fact(say, "Battery at reserve", found.reserve_at),
    ]
    if found.verdict in (Verdict.CHANGE, Verdict.RETURN_BY):
        fresh = say.day(found.renewed_return_by) if found.renewed_return_by else "the last day"
        rows.append(Fact("All new now: come back by", fresh, "fresh card and battery, clock set"))
    rows = [row for row in rows if row]
    if not rows:
        return None
    title = "From now on, by what was found" if case.has_found else "From now on, by the plan"
    return Facts(rows, f"{title} (camera clock)")


def _carry(case: CheckCase) -> Text | None:
    """Offer the measured values for the plan."""
    changes = _measured_values(case)
    if not changes:
        return None
    names = ["frame size"] if "frame_mb" in changes else []
    names += ["draw"] if len(changes) > len(names) else []
    words = f"Use the measured {' and '.join(names)} from now on"
    return Text("", href=case.asked.url("plan", **changes), link_words=words)


def _measured_values(case: CheckCase) -> dict[str, Any]:
    found, changes = case.comparison, {}
    if found.frame_bytes:
        # Rounded up to the next kilobyte, on the card's clusters: never a later date than was measured.
        changes["frame_mb"] = math.ceil(found.frame_bytes.expected / 1000) / 1000
    factor, battery = found.drain_factor.expected, case.planner.battery
    # A draw with frames missing, or far below the plan, isn't that of a camera that records as planned.
    if factor is not None and battery is not None and found.agrees is not False and factor * FAR_OFF >= 1:
        load = scaled(battery.load.expected, factor)
        for name, part, unit in _DRAWS:
            value = getattr(load, part)
            # Without these two the load isn't known; 0 is a value.
            if value or name in ("standby_mw", "frame_j"):
                changes[name] = value * unit
        others = ("draw_ma", "draw_v", "charge_frames", "lasted_days", "lasted_interval")
        changes |= {name: None for name in others if case.inputs.has(name)}
    fits = all(
        value is None or QUANTITIES[name].kind.low <= value <= QUANTITIES[name].kind.high
        for name, value in changes.items()
    )
    return changes if fits else {}


def _when_words(case: CheckCase) -> str:
    say, typed = case.asked.say, case.inputs
    since = "" if typed.has("since") else " (the shoot's start)"
    at = "" if typed.has("at") else " (now)"
    return f"Counted from {say.instant(case.since)}{since} to {say.instant(case.at)}{at}, camera clock."


def _workings(case: CheckCase, reply: Answer) -> None:
    found, running = case.comparison, case.running
    due = found.expected.files.expected
    if found.missed is not None:
        reply.working.append(work(missed_frames, expected_frames=due, found_frames=found.files))
        if due:
            values = {"recorded_s": running.recorded_s, "missed_frames": found.missed, "expected_frames": due}
            reply.working.append(work(missed_time_s, **values))
    if found.frame_bytes:
        used = {"used_bytes": found.used_bytes.expected, "used_before_bytes": running.used_before_bytes}
        reply.working.append(work(bytes_per_file, **used, files=found.files))
    if found.battery_left_share is not None and not case.inputs.has("found_battery"):
        share, usable = charge_share_at_rest(case.block_v), case.shoot.battery.pack.type_used.usable_share
        reply.working.append(work(left_of_usable, charge_share=share, usable_share=usable.expected))
    if found.drift_s_per_day is not None:
        shift, days = running.clock_shift_s, running.elapsed_s / DAY_S
        reply.working.append(
            work(measured_drift, clock_fast_s=found.found.clock_fast_s, clock_shift_s=shift, days=days)
        )


def _no_results() -> dict[str, Any]:
    """Return every key of the data, with nothing known."""
    keys = ("since", "at", "missed_frames", "missed_s", "agrees", "interval_likely_s", "interval_runner_up_s")
    return {
        "expected": {
            "frames": None,
            **dict.fromkeys(("frames_range", "card_used_bytes", "battery_left_share", "clock_error_s"), ends(None)),
        },
        "found": {
            **dict.fromkeys(("frames", "clock_error_s", "first_number", "last_number")),
            **dict.fromkeys(("card_used_bytes", "battery_left_share"), ends(None)),
        },
        **dict.fromkeys(keys),
        "causes": [],
        "frame_bytes": None,
        "frame_bytes_range": ends(None),
        "file_bytes": ends(None),
        "drain_factor": None,
        "drift_s_per_day": None,
        "full_at": ends(None, "earliest", "latest"),
        "reserve_at": ends(None, "earliest", "latest"),
        "verdict": None,
        "verdict_reasons": [],
        "return_by": None,
        "return_by_if_all_new": None,
        "doubts": [],
        "log_line": None,
    }


def _results(case: CheckCase) -> dict[str, Any]:
    found, expected, ahead, likely = case.comparison, case.comparison.expected, case.outlook, case.likely
    given = found.found
    return {
        "since": case.dated(case.since),
        "at": case.dated(case.at),
        "expected": {
            "frames": expected.files.expected,
            "frames_range": ends(expected.files),
            "card_used_bytes": ends(expected.card_used_bytes),
            "battery_left_share": ends(expected.battery_left_share),
            "clock_error_s": ends(expected.clock_error_s),
        },
        "found": {
            "frames": found.files,
            "card_used_bytes": ends(found.used_bytes),
            "battery_left_share": ends(found.battery_left_share),
            "clock_error_s": given.clock_fast_s,
            "first_number": given.first_number,
            "last_number": given.last_number,
        },
        "missed_frames": found.missed,
        "missed_s": found.missed_s,
        "agrees": found.agrees,
        "interval_likely_s": likely.interval_s if likely else None,
        "interval_runner_up_s": likely.runner_up_s if likely else None,
        "causes": [cause.cause for cause in case.causes],
        "frame_bytes": found.frame_bytes.expected if found.frame_bytes else None,
        "frame_bytes_range": ends(found.frame_bytes),
        "file_bytes": ends(found.file_bytes),
        "drain_factor": found.drain_factor.expected,
        "drift_s_per_day": found.drift_s_per_day,
        "full_at": ends(ahead.full_at.map(case.dated) if ahead.full_at else None, "earliest", "latest"),
        "reserve_at": ends(ahead.reserve_at.map(case.dated) if ahead.reserve_at else None, "earliest", "latest"),
        "verdict": None if ahead.verdict is Verdict.OVER else ahead.verdict,
        "verdict_reasons": list(ahead.reasons),
        "return_by": ahead.return_by,
        "return_by_if_all_new": ahead.renewed_return_by,
        "doubts": list(found.doubts),
        "log_line": log_line(case),
    }


CHECK = Page(
    "check",
    "Check",
    "Is what I found right?",
    ("found_frames", "found_gb", "found_battery", "found_clock"),
    answer,
    (
        Group("Since when", ("since", "at")),
        Group("Other readings", ("found_gib", "found_volts", "found_first", "found_last")),
        Group("The plan", ("first", "last", "interval")),
    ),
    moment="mast",
)
