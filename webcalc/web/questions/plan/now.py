"""The moment asked for: what should be true of the camera that nobody can ask."""

from __future__ import annotations

from webcalc.calc.now import ShootNow
from webcalc.calc.schedule.moment import Moment, Phase
from webcalc.calc.unknown import known, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import Fact, Facts, Text, span
from webcalc.web.words.verdict import labels
from webcalc.web.words.workings import STEPS, frame_working

_CLOCK = ("The moment of asking, by the clock that the camera keeps: set on site, never put forward or back.",)
_COUNTED = ("Every window up to now, each begun with a frame.",)
_FRAMES_SO_FAR = "Frames so far × what each takes on the card."
_VISITS = ("The latest day before something runs out at the earliest, less the margin.",)


def now_blocks(asked: Asked, now: ShootNow) -> list[Facts | Text]:
    """Return what the page shows of the moment; nothing while it can't be told."""
    say, here = asked.say, or_none(now.here)
    if here is None:
        return []
    title = "At that moment" if asked.inputs.has("on") else "Now"
    clock = f"camera clock {say.instant(here.at)}"
    if here.phase is Phase.BEFORE:
        return [Facts([Fact("Not begun", f"starts {say.instant(here.next_window_at)}", clock, _CLOCK)], title)]
    facts = [
        Fact("Recording", _phase_words(asked, here), clock, _CLOCK),
        Fact("Frames so far", say.number(here.counts.frames), f"{say.percent(here.done_share)} of the shoot", _COUNTED),
    ]
    used, left, clip_s = or_none(now.card_used_bytes), or_none(now.battery_left_share), or_none(now.clip_s)
    if used:
        facts.append(Fact("On the card", *span(say.size, used), (_FRAMES_SO_FAR, *frame_working(asked.shoot))))
    if left:
        facts.append(Fact("Battery left", *span(say.percent, left), (STEPS,)))
    if clip_s is not None:
        facts.append(Fact("Clip so far", say.clip(clip_s), how=("Frames so far × share kept ÷ frames a second.",)))
    visit = _visit_fact(asked, now)
    blocks: list[Facts | Text] = [Facts([*facts, visit] if visit else facts, title)]
    if not asked.shoot.done.any and now.visited is True and (used or left):
        blocks.append(Text("Counted from the start, as if no visit had changed card or battery."))
    return blocks


def _visit_fact(asked: Asked, now: ShootNow) -> Fact | None:
    coming = now.next_visit
    if not known(coming):
        return Fact("Next visit", "not known", f"needs {labels(coming.names)}") if known(now.here) else None
    if coming is None:
        return None
    when = f"in {asked.say.count(coming.days, 'day')}" if coming.days else "that day"
    more = f"{when}, to fetch the camera" if coming.fetches else when
    return Fact("Next visit", asked.say.day(coming.date), more, _VISITS, asked.url("visits"))


def _phase_words(asked: Asked, here: Moment) -> str:
    say = asked.say
    if here.phase is Phase.RECORDING:
        return f"yes, until {say.clock(here.window_ends_at)}"
    if here.next_window_at is not None:
        return f"no; next {say.instant(here.next_window_at)}"
    return "no; the shoot is over"
