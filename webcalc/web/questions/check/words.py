"""Sentences of the page ``/check``: what to ask about, why a count differs, what to do, the line for the notebook."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.causes import Cause, Explanation
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.seen import Doubt
from webcalc.calc.onsite.shoot import FAR_OFF, ShootLook
from webcalc.calc.unknown import need
from webcalc.calc.verdict import Part
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.verdict import unknown_words

_CHANGES = {
    Reason.CARD: "Change the card now",
    Reason.BATTERY: "Change the battery now",
    Reason.CLOCK: "Set the camera clock now",
    Reason.CLEANING: "Clean it now",
}
_DUE = {
    Reason.CARD: "the card is full after that",
    Reason.BATTERY: "the battery is at its reserve after that",
    Reason.CLOCK: "the camera clock is off by more than you accept after that",
    Reason.CLEANING: "it is due for cleaning then",
}


def doubt_words(asked: Asked, look: ShootLook, doubt: Doubt) -> str:
    """Ask about something that can't be, and say what is left out because of it."""
    say, running, typed = asked.say, need(look.running), asked.inputs
    since, at = say.instant(running.since), say.instant(running.at)
    card = f"{say.number(typed.get('card_gb'))} GB"
    words = {
        Doubt.AT_BEFORE_SINCE: f"The look ({at}) isn't after the start ({since}), camera clock. Which of the two is "
        "wrong? Nothing is compared.",
        Doubt.SINCE_BEFORE_START: f"It runs since {since}, but the plan begins only "
        f"{say.instant(running.planner.schedule.starts_at)}. Which is right? Frames and battery are not compared.",
        Doubt.MORE_THAN_SECONDS: f"More frames than seconds have passed since {since}. Does the count hold older "
        "ones? It is not used.",
        Doubt.MORE_THAN_SHORTEST_INTERVAL: f"More frames than every {say.length(min(running.settable_s))}, day and "
        f"night, since {since}. Does the count hold older ones? It is not used.",
        Doubt.NUMBERS_DISAGREE: "First and last frame number don't give the frames found (9999 is followed by 0001). "
        "Which is right? The count is not used.",
        Doubt.NUMBERS_ROLLED_OVER: "The numbers may have passed 9999 more than once. How many frames are on the card? "
        "Without that there is no count.",
        Doubt.MORE_THAN_CARD: f"More is used than the {card} card holds. Is the reading or the card's size wrong? "
        "The space is not used.",
        Doubt.LESS_THAN_BEFORE: f"Less is used than the {say.size(running.used_before_bytes)} that were on the card "
        "before. Another card? The space is not used.",
        Doubt.SMALLER_THAN_CLUSTERS: "So many frames can't take so little: each takes at least "
        f"{say.size(running.cluster_bytes)}. Which is right? Neither is used.",
        Doubt.USED_TWICE: "Space used in GB and in GiB don't agree. Which is right? Neither is used.",
        Doubt.READINGS_DISAGREE: "Percent and rest voltage don't agree. Which is right? Neither is used.",
        Doubt.NOT_AT_REST: "That voltage is none of a 12 V lead-acid battery at rest: is it charging, or loaded? It is "
        "not used.",
        Doubt.VOLTAGE_TELLS_NOTHING: "For a battery that isn't lead-acid the voltage doesn't tell what is left. It is "
        "not used; type the percentage, or the cell type if it is lead-acid.",
        Doubt.CLOCK_SET_WRONG: "That is no drift: the clock was set wrong, or to another offset. Set it. No drift is "
        "worked out.",
    }
    return words[doubt]


def odd_words(asked: Asked, look: ShootLook) -> list[str]:
    """Ask about what can be and is far from the plan."""
    say, found, running = asked.say, need(look.comparison), need(look.running)
    planned = running.frame
    asked = []
    if found.frame_bytes and planned:
        low, high = planned.low / FAR_OFF, (planned.high + running.cluster_bytes) * FAR_OFF
        if not low <= found.frame_bytes.expected <= high:
            asked.append(
                f"A frame would take {say.size(found.frame_bytes.expected)}, planned {say.size(planned.expected)}: is "
                "anything else on the card, or another picture size set?"
            )
    factor = found.drain_factor.expected
    if factor is not None and factor * FAR_OFF < 1:
        asked.append(
            "The battery has drained far less than planned: was it changed or charged since, or has the camera stopped?"
        )
    return asked


def cause_words(asked: Asked, cause: Explanation) -> str:
    """Say what may have happened, and whether the count fits it."""
    say = asked.say
    if cause.cause is Cause.STOPPED_EARLY:
        return f"It stopped early: if nothing else was missed, {say.instant(cause.stopped_at)} on the camera clock."
    if cause.cause is Cause.WINDOW:
        return f"Other hours are set: {say.length(cause.window_s)} a day fit the count."
    if cause.cause is Cause.WEEKDAYS:
        return f"Other weekdays are set: {say.weekdays(cause.weekdays)} fits the count."
    if cause.cause is Cause.INTERVAL:
        return f"Another interval is set: every {say.length(cause.interval_s)} fits the count."
    if cause.cause is Cause.CARD_FULL:
        return "The card is full." if cause.fits else "The card may have been full."
    return "The power was lost: the battery reads empty." if cause.fits else "The power was lost for a while."


def interval_words(asked: Asked, look: ShootLook) -> tuple[str, str]:
    """Say at which interval it really runs, and how sure that is."""
    say, likely, planned_s = asked.say, need(look.likely), need(asked.shoot.recording).interval_s
    other = f"or every {say.length(likely.runner_up_s)}" if likely.runner_up_s else ""
    if likely.late_start:
        more = "as planned; a late start explains the rest"
    elif likely.interval_s == planned_s:
        more = "as planned" if likely.explains else "as planned is nearest, but doesn't explain the count"
    else:
        more = f"{say.length(planned_s)} planned" + ("" if likely.explains else "; nearest, doesn't quite explain it")
    return f"every {say.length(likely.interval_s)}", ", ".join(filter(None, (more, other)))


def spread(write: Callable[[Any], str], found: Estimate[Any] | None) -> str:
    """Write an estimate with its range in brackets where that differs."""
    if found is None:
        return ""
    low, expected, high = (write(end) for end in (found.low, found.expected, found.high))
    return expected if low == high else f"{expected} ({low} to {high})"


def shortfall_words(asked: Asked, look: ShootLook) -> str:
    """Say how many frames are missing or too many, and how much recording that is; empty where it is as planned."""
    found, say = need(look.comparison), asked.say
    if found.missed is None or found.agrees or not found.expected.files.expected:
        return ""
    share = say.percent(abs(found.missed) / found.expected.files.expected)
    count = say.count(abs(found.missed), "frame")
    hours = say.hours(abs(found.missed_s))
    if found.missed > 0:
        return f"{count} missing ({share}), {hours} of recording"
    return f"{count} too many ({share}), {hours} of recording"


def verdict_words(asked: Asked, look: ShootLook) -> tuple[str, str]:
    """Return the verdict in a few words, and what it rests on; nothing reassuring while a part isn't known."""
    say, found = asked.say, need(look.outlook)
    unknown = unknown_words(asked.verdict.only(Part.CARD, Part.BATTERY, Part.CLOCK)).rstrip(".")
    if found.verdict is Verdict.OVER:
        return "The shoot is over", f"since {say.instant(need(asked.shoot.schedule).ends_at)}: fetch the camera"
    if found.verdict is Verdict.CHANGE:
        return _CHANGES[found.reasons[0]], "; ".join(_why_now(asked, look, reason) for reason in found.reasons)
    if found.verdict is Verdict.RETURN_BY:
        due = " and ".join(_DUE[reason] for reason in found.reasons if reason in _DUE)
        return f"Come back by {say.day(found.return_by)}", f"{due}. {unknown}: maybe sooner" if unknown else due
    if unknown or found.verdict is not Verdict.LEAVE:
        return "No date", unknown[:1].lower() + unknown[1:] or "neither card nor battery is known"
    if shortfall_words(asked, look):
        # Nothing runs out, but what is recorded isn't what was planned: that can't be left alone.
        return "Find the cause", "nothing runs out before the last day, but frames aren't as planned"
    return "Leave it", f"nothing runs out before the last day, {say.day(need(asked.shoot.schedule).last)}"


def _why_now(asked: Asked, look: ShootLook, reason: Reason) -> str:
    ahead = need(look.outlook)
    state, at = {
        Reason.CARD: ("it is full", ahead.full_at),
        Reason.BATTERY: ("it is at its reserve", ahead.reserve_at),
    }.get(reason, ("", None))
    if at is None or at.low is None:
        return "it is off by more than you accept" if reason is Reason.CLOCK else "it is due"
    if at.low <= need(look.at):
        return state
    return f"{state} {asked.say.instant(at.low)} at the earliest, before anybody can come again"


def runs_out_fact(say: Say, label: str, at: Estimate[datetime | None] | None) -> Fact | None:
    """Return when something runs out: the date to plan on first."""
    if at is None:
        return None
    if at.low is None:
        return Fact(label, "not before the last day")
    later = "lasts to the end" if at.expected is None else say.instant(at.expected)
    return Fact(label, say.instant(at.low), "" if at.expected == at.low else f"at the earliest; expected: {later}")


def log_line(asked: Asked, look: ShootLook) -> str:
    """Return one line for the notebook or a message: date, camera, found, verdict."""
    say, found, typed = asked.say, need(look.comparison), asked.inputs
    parts = []
    if found.files is not None:
        parts.append(f"{say.number(found.files)} of {say.count(found.expected.files.expected, 'frame')}")
        parts.append(shortfall_words(asked, look) or "as planned")
    if found.used_bytes is not None:
        parts.append(f"{say.size(found.used_bytes.expected)} used")
    if typed.has("found_battery"):
        parts.append(f"battery {say.percent(typed.get('found_battery') / 100)}")
    elif typed.has("found_volts"):
        parts.append(f"battery {say.unit(typed.get('found_volts'), 'V', 4)}")
    if typed.has("found_clock"):
        parts.append(clock_words(say, typed.get("found_clock")))
    head = f"{say.instant(look.site_time(need(look.at)))}, {typed.get('name', 'camera')}"
    seen = "; ".join(parts) or "nothing read"
    return f"{head}: {seen}. {verdict_words(asked, look)[0]}.".replace(NBSP, " ")


def clock_words(say: Say, fast_s: Any) -> str:
    """Say by how much a clock is fast or slow."""
    if not fast_s:
        return "clock right"
    return f"clock {say.length(abs(fast_s))} {'fast' if fast_s > 0 else 'slow'}"
