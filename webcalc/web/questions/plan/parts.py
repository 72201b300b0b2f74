"""Each part of a plan in one line: how it stands, and why."""

from __future__ import annotations

from dataclasses import replace

from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import Judged, Part, State, Why
from webcalc.web.http.page import Asked
from webcalc.web.words.allowance import allowed_words
from webcalc.web.words.answer import Fact
from webcalc.web.words.dark_days import often
from webcalc.web.words.verdict import NO_STILLS, labels
from webcalc.web.words.workings import (
    DRIFT,
    FILLING,
    IN_THE_LIGHT,
    STEPS,
    How,
    clip_working,
    frame_working,
    interval_working,
    recorded_day_working,
    room_working,
)

_NOT_KNOWN = "not known"
IN_HAND = "What the battery has above its reserve at worst, less what it loses by itself, ÷ the hours of the shoot."
#: Steps of the clip's arithmetic that the plan shows, frames to length; the others stand on the clip's own page.
SHOWN_OF_CLIP = 4
#: Where each part has its own page.
_PAGES = {"Interval": "interval", "Clip": "clip", "Card": "storage", "Battery": "battery", "Light": "daylight"}


def part_facts(asked: Asked) -> list[Fact]:
    """Return a line for every part that the shoot has; the clip's length stands there even if none is wanted."""
    verdict = asked.verdict
    lines = {
        Part.CLIP: _clip,
        Part.CARD: _card,
        Part.BATTERY: _battery,
        Part.LIGHT: _light,
        Part.CLOCK: _clock,
    }
    facts = [_interval(asked)]
    for part, line in lines.items():
        one = verdict.of(part) if verdict else None
        if one is None and part is Part.CLIP:
            one = Judged(part, State.HOLDS)
        if one is not None:
            facts.append(line(asked, one))
    return [_with_page(asked, fact) for fact in facts if fact]


def _with_page(asked: Asked, fact: Fact) -> Fact:
    page = _PAGES.get(fact.label)
    return replace(fact, href=asked.url(page)) if page else fact


def _interval(asked: Asked) -> Fact | None:
    """Tell an interval that was worked out; one that was typed stands in the line of what the answer rests on."""
    shoot, interval_s = asked.shoot, asked.shoot.interval_s
    if not known(interval_s) or not shoot.interval_solved:
        return None
    how = (*interval_working(shoot), "The longest that can be set and gives them.")
    return Fact("Interval", f"every {asked.say.length(interval_s)}", "worked out from the clip", how)


def _lacking(asked: Asked, label: str, one: Judged) -> Fact:
    return Fact(label, _NOT_KNOWN, f"needs {labels(one.lacks.names)}" if one.lacks is not None else "")


def _clip(asked: Asked, one: Judged) -> Fact:
    say, made, wanted_s = asked.say, asked.shoot.clip_made, asked.shoot.clip
    if not known(made):
        return Fact("Clip", _NOT_KNOWN, f"needs {labels(made.names)}")
    frames = say.count(made.frames, "frame")
    wanted = f"{say.clip(wanted_s)} wanted; " if known(wanted_s) and wanted_s is not None else ""
    # Of one that isn't as wanted the headline tells what was.
    more = wanted + frames if one.state is State.HOLDS else ""
    much = {Why.TOO_SHORT: "too short: ", Why.NO_STILLS: "too short: ", Why.FAR_TOO_LONG: "far longer: "}
    return Fact("Clip", much.get(one.why, "") + say.clip(made.clip_s), more, _clip_how(asked, made))


def _clip_how(asked: Asked, made: ClipMade) -> How:
    return tuple(clip_working(asked.shoot, made)[:SHOWN_OF_CLIP]) if made.frames else (NO_STILLS,)


def _card(asked: Asked, one: Judged) -> Fact:
    say, card = asked.say, asked.shoot.card
    if one.state is State.UNKNOWN:
        smallest, needed = card.smallest_gb, card.needed_bytes
        if known(smallest) and known(needed):
            fits = f"{say.number(smallest)} GB lasts" if smallest else "more than one card"
            more = f"up to {say.size(needed.high)} needed; no card typed"
            return Fact("Card", fits, more, tuple(frame_working(asked.shoot)))
        return _lacking(asked, "Card", one)
    words = f"up to {say.size(need(card.needed_bytes).high)} needed"
    how = (FILLING, *frame_working(asked.shoot), *room_working(asked.shoot))
    if one.state is State.HOLDS:
        return Fact("Card", "lasts to the end", words, how)
    how = (f"{say.instant(one.at)}, camera clock, at the earliest.", *how)
    return Fact("Card", f"full {say.day(one.at.date(), weekday=False)}", words, how)


def _battery(asked: Asked, one: Judged) -> Fact:
    say, found = asked.say, asked.shoot.battery.runtime
    if one.why is Why.CONTRADICTION:
        return Fact("Battery", _NOT_KNOWN, "what was typed contradicts itself")
    if one.state is State.UNKNOWN or not known(found):
        lacking, allowed = _lacking(asked, "Battery", one), allowed_words(asked)
        if not allowed:
            return lacking
        # Answered backwards: until when it lasts is known for a draw.
        how = (IN_HAND,)
        return replace(lacking, value="depends on the draw", more=f"{allowed.rstrip('.')}; {lacking.more}.", how=how)
    how = (STEPS, *recorded_day_working(asked.shoot))
    if one.state is State.HOLDS:
        low_ma = asked.shoot.battery.bank_low_load_ma
        sleeps = known(low_ma) and low_ma is not None
        more = "reserve untouched" + ("; but a power bank may switch off at so little" if sleeps else "")
        return Fact("Battery", "lasts to the end", more, how)
    if one.why is Why.DARK_DAYS:
        chance = or_none(asked.shoot.battery.dark_runs.chance)
        more = f"reserve touched in {often(chance, asked.shoot)}" if chance else f"needs {labels(('sunshine',))}"
        return Fact("Battery", "not on dark days" if chance else "on mean days", more, how)
    how = (f"{say.instant(one.at)}, camera clock, at the earliest.", *how)
    return Fact("Battery", f"until {say.day(one.at.date(), weekday=False)}", how=how)


def _light(asked: Asked, one: Judged) -> Fact:
    say, light = asked.say, asked.shoot.daylight.light
    if one.state is State.UNKNOWN or not known(light) or light is None:
        return _lacking(asked, "Light", one)
    if one.state is State.HOLDS:
        return Fact("Light", "all in the light", how=(IN_THE_LIGHT,))
    dark = sum(not day.all_light for day in light.days)
    words = f"{say.percent(light.light_share)} in the light"
    return Fact("Light", words, f"partly dark on {say.count(dark, 'day')}", (IN_THE_LIGHT,))


def _clock(asked: Asked, one: Judged) -> Fact:
    say = asked.say
    if one.state is State.UNKNOWN:
        return _lacking(asked, "Camera clock", one)
    if one.state is State.HOLDS:
        return Fact("Camera clock", "stays within what is accepted", how=(DRIFT,))
    why = "a change of summer time" if one.why is Why.SUMMER_TIME else "by drift, at the earliest"
    return Fact("Camera clock", f"off from {say.day(one.at.date(), weekday=False)}", why, (DRIFT,))
