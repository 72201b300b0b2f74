"""Sentences of the page ``/check``: why a count differs, what may have happened, what to do, the notebook's line."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.fit import GOES_AS_PLANNED, MOST_TOLD, Reading, Story, TellsApart
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.seen import Ask, Doubt, Value
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.unknown import need
from webcalc.calc.verdict import Part
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import Fact, Facts, Points
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.verdict import may_come_sooner, only_on_mean_days, unknown_words
from webcalc.web.words.working import How

_CHANGES = {
    Reason.CARD: "change the card",
    Reason.BATTERY: "change the battery",
    Reason.CLOCK: "set the camera clock",
    Reason.CLEANING: "clean it",
}
_THINGS = {Reason.CARD: "the card", Reason.BATTERY: "the battery", Reason.CLOCK: "the clock", Reason.CLEANING: "it"}
_DUE = {
    Reason.CARD: "the card is full after that",
    Reason.BATTERY: "the battery is at its reserve after that",
    Reason.CLOCK: "the camera clock is off by more than you accept after that",
    Reason.CLEANING: "it is due for cleaning then",
}


def since_change(asked: Asked, look: ShootLook) -> str:
    """Name the change of summer time that put the clock off."""
    running = need(look.running)
    if running.shifted_at is None:
        return "By its offset"
    turned = "ended" if running.clock_shift_s > 0 else "began"
    return f"Since summer time {turned} on {asked.say.day(running.shifted_at.date())}"


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
    sooner = f"{unknown}: maybe sooner" if unknown else may_come_sooner(asked.verdict).rstrip(".")
    if found.verdict is Verdict.OVER:
        return "The shoot is over", f"since {say.instant(need(asked.shoot.schedule).ends_at)}: fetch the camera"
    if found.verdict is Verdict.CHANGE:
        what = [_CHANGES[reason] for reason in found.reasons]
        return f"{listed(what)[:1].upper()}{listed(what)[1:]} now", "; ".join(to_do(asked, look))
    if found.verdict is Verdict.RETURN_BY:
        due = " and ".join(_DUE[reason] for reason in found.reasons if reason in _DUE)
        return f"Come back by {say.day(found.return_by)}", ". ".join(filter(None, (due, sooner)))
    if unknown or found.verdict is not Verdict.LEAVE:
        return "No date", unknown[:1].lower() + unknown[1:] or "neither card nor battery is known"
    doubts, asks = need(look.comparison).doubts, need(look.comparison).asks
    if Ask.CLOCK_BY in asks:
        return "Settle the clock", "nothing runs out before the last day, but the clock may be wrong"
    if any(Value.CLOCK in doubt.concerns for doubt in doubts):
        what = "Set the clock" if Doubt.CLOCK_SET_WRONG in doubts else "Settle the clock"
        return what, "nothing runs out before the last day, but the clock isn’t as it should be"
    if shortfall_words(asked, look):
        # Nothing runs out, but what is recorded isn't what was planned: that can't be left alone.
        return "Find the cause", "nothing runs out before the last day, but frames aren't as planned"
    lasts = f"nothing runs out before the last day, {say.day(need(asked.shoot.schedule).last)}"
    if only_on_mean_days(asked.verdict):
        return "On mean days", f"{lasts}. {sooner}"
    return "Leave it", lasts


def listed(what: Sequence[str]) -> str:
    """Join words as a list is spoken."""
    return " and ".join(filter(None, (", ".join(what[:-1]), what[-1])))


def to_do(asked: Asked, look: ShootLook) -> list[str]:
    """Return why each thing that is due is due now."""
    ahead = need(look.outlook)
    return [_why_now(asked, look, reason) for reason in ahead.reasons] if ahead.verdict is Verdict.CHANGE else []


def ticks(asked: Asked, look: ShootLook) -> Facts | None:
    """Return all that is to be done now as a list to tick off."""
    ahead, why = need(look.outlook), to_do(asked, look)
    doing = zip(ahead.reasons, why, strict=False)
    rows = [Fact(f"☐ {_CHANGES[reason][:1].upper()}{_CHANGES[reason][1:]}", "now", words) for reason, words in doing]
    return Facts(rows, "To do now") if rows else None


def _why_now(asked: Asked, look: ShootLook, reason: Reason) -> str:
    ahead, thing = need(look.outlook), _THINGS[reason]
    state, at = {
        Reason.CARD: ("is full", ahead.full_at),
        Reason.BATTERY: ("is at its reserve", ahead.reserve_at),
    }.get(reason, ("", None))
    if at is None or at.low is None:
        return f"{thing} is {'off by more than you accept' if reason is Reason.CLOCK else 'due'}"
    if at.low <= need(look.at):
        return f"{thing} {state}"
    return f"{thing} {state} {asked.say.instant(at.low)} at the earliest, before anybody can come again"


def runs_out_fact(say: Say, label: str, at: Estimate[datetime | None] | None, how: How) -> Fact | None:
    """Return when something runs out: the date to plan on first."""
    if at is None:
        return None
    if at.low is None:
        return Fact(label, "not before the last day", how=how)
    later = "lasts to the end" if at.expected is None else say.instant(at.expected)
    more = "" if at.expected == at.low else f"at the earliest; expected: {later}"
    return Fact(label, say.instant(at.low), more, how)


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


_NTH = ("", "first", "second", "third", "fourth")


def told(asked: Asked, look: ShootLook) -> Points | None:
    """Return the stories in order of fit, and what would tell the first two apart; None where all is as planned.

    A clock that summer time put off as expected stands in the sentence of the page.
    """
    stories = need(look.stories)
    if not stories or (stories[0].code in GOES_AS_PLANNED and not need(look.comparison).doubts):
        return None
    told = [f"{story_words(asked, look, story)}." for story in stories[:MOST_TOLD]]
    apart = need(look.apart)
    if apart is not None:
        told.append(apart_words(asked.say, apart))
    return Points("What may have happened, the likeliest first", told)


def story_words(asked: Asked, look: ShootLook, story: Story) -> str:
    """Say one story in a sentence without its stop."""
    say, life, code = asked.say, story.life, story.code
    at = say.instant(story.at) if story.at else ""
    words = {
        Code.AS_PLANNED: "All as planned",
        Code.STOPPED_CARD_FULL: f"It stopped {at}: the card was full",
        Code.STOPPED_BATTERY_EMPTY: f"It stopped {at}: the battery was empty",
        Code.STOPPED: f"It stopped {at}; nothing read says why",
        Code.PAUSED: "It was off for a while in between, without power perhaps",
        Code.OTHER_INTERVAL: f"It takes a frame every {say.length(life.recording.interval_s)}",
        Code.OTHER_HOURS: f"It records {say.clock(life.schedule.window.start)} to "
        f"{say.clock_end(life.schedule.window.end)}, {say.length(life.schedule.window.length_s)} a day",
        Code.OTHER_WEEKDAYS: f"It records on other weekdays: {say.weekdays(life.schedule.weekdays)}",
        Code.LATE_START: f"It began late: {at}",
        Code.LARGER_FRAMES: f"Its frames are larger, {say.figures(life.size)} × planned",
        Code.SMALLER_FRAMES: f"Its frames are smaller, {say.figures(life.size)} × planned",
        Code.HEAVIER_DRAW: f"It draws more, {say.figures(life.draw)} × planned",
        Code.LIGHTER_DRAW: f"It draws less, {say.figures(life.draw)} × planned, or the battery was changed or charged",
        Code.ROLLED_OVER: _rolled_over(look),
        Code.BURSTS_COUNTED: "Bursts, or a second file of each frame, are in the count",
        Code.BURSTS_LEFT_OUT: "Bursts are not in the count",
        Code.OLDER_FILES: "Older files are in the count",
        Code.CLOCK_SUMMER_TIME: _summer_time(asked, look, story),
        Code.CLOCK_OFFSET: "Its clock is set to another offset from UTC",
        Code.CLOCK_SET_WRONG: "Its clock was set wrong",
        Code.CLOCK_DRIFT: "Its clock drifts more than planned",
    }
    return words[code]


def _rolled_over(look: ShootLook) -> str:
    if need(look.found).files is None:
        return "The numbers passed 9999 once more: that is counted in"
    return "The numbers passed 9999 once more than the count has it"


def _summer_time(asked: Asked, look: ShootLook, story: Story) -> str:
    running, fast_s = need(look.running), story.life.clock_fast_s
    if not running.clock_shift_s:
        return "Its clock was set with summer time taken for winter time, or the other way round"
    if fast_s == running.clock_shift_s:
        amount, fast = asked.say.length(abs(running.clock_shift_s)), running.clock_shift_s > 0
        return (
            f"{since_change(asked, look)} its clock is {amount} {'fast' if fast else 'slow'}: by the site’s time it "
            f"records {amount} {'earlier' if fast else 'later'}"
        )
    return f"{since_change(asked, look)} somebody set its clock, or it follows by itself"


def apart_words(say: Say, apart: TellsApart) -> str:
    """Say what to look at, and what it is by the first story and by the other."""
    first, other = (_reading(say, apart.reading, each) for each in (apart.first, apart.other))
    look_at = {
        Reading.LAST_AT: "Look at the date of the last file",
        Reading.FIRST_AT: "Look at the date of the first file",
        Reading.FRAMES: "Count the frames",
        Reading.SPACE: "Look at the space used",
        Reading.BATTERY: "Look at the battery",
        Reading.CLOCK: "Look at the clock",
    }[apart.reading]
    return f"{look_at}: {first} by the first, {other} by the {_NTH[apart.nth]}."


def _reading(say: Say, reading: Reading, value: object) -> str:
    if reading in (Reading.LAST_AT, Reading.FIRST_AT):
        return say.instant(value)
    if reading is Reading.FRAMES:
        return say.number(value)
    middle = value.expected if isinstance(value, Estimate) else value
    return say.size(middle) if reading is Reading.SPACE else say.percent(middle)
