"""Each part of a plan in one line: does it hold (True, False, or None while it isn't known), and why."""

from __future__ import annotations

from webcalc.calc.plan import Part
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import Fact

PART_WORDS = {Part.CARD: "card is full", Part.BATTERY: "battery reaches its reserve"}
Verdict = tuple[Fact, bool | None]


def clip_fact(asked: Asked) -> Verdict:
    """Say how long the clip is, and whether that is what is wanted."""
    shoot, say = asked.old, asked.say
    if shoot.clip is None:
        return Fact("Clip", "not known", "needs the frame rate"), None
    made, wanted = shoot.clip.clip_s, asked.inputs.get("clip")
    frames = say.count(shoot.clip.frames, "frame")
    if wanted is None:
        return Fact("Clip", say.clip(made), frames), True
    if made < wanted:
        return Fact("Clip", f"too short: {say.clip(made)}", f"{say.clip(wanted)} wanted; {frames}"), False
    return Fact("Clip", f"{say.clip(made)}", f"{say.clip(wanted)} wanted; {frames}"), True


def card_fact(asked: Asked) -> Verdict:
    """Say whether the card lasts to the last day."""
    shoot, say = asked.old, asked.say
    needs = shoot.card_needs
    if needs is None:
        missing = "the bit rate of bursts" if shoot.burst_size_missing else "the frame size"
        return Fact("Card", "not known", f"needs {missing}"), None
    needed = f"up to {say.size(needs.needed_bytes.high)} needed"
    if shoot.card_forecast is None:
        fits = f"{say.number(needs.card_needed_gb)} GB lasts" if needs.card_needed_gb else "more than one card"
        return Fact("Card", fits, f"{needed}; no card typed"), None
    if needs.lasts:
        return Fact("Card", "lasts to the end", needed), True
    return Fact("Card", f"full {say.instant(needs.full_at.low)}", f"at the earliest; {needed}"), False


def battery_fact(asked: Asked) -> Verdict:
    """Say whether the battery lasts to the last day."""
    shoot, say = asked.old, asked.say
    found = shoot.runtime
    if found is None:
        return Fact("Battery", "not known", "needs its energy and what the camera draws"), None
    if found.lasts:
        return Fact("Battery", "lasts to the end", "reserve untouched"), True
    days = f"{say.unit(found.days.low, 'days', 2)}" if found.days.low is not None else ""
    return Fact("Battery", f"at reserve {say.instant(found.reserve_at.low)}", f"at the earliest; {days}"), False


def light_fact(asked: Asked) -> Verdict:
    """Say how much of what is recorded is in the light."""
    shoot, say = asked.old, asked.say
    light = shoot.light
    if light is None:
        return Fact("Light", "not known", "needs place and time zone"), None
    dark = len(set(light.begin_dark) | set(light.end_dark))
    share = f"{say.percent(light.light_share)} of it in the light"
    if not dark:
        return Fact("Light", "light on every day", share), True
    begin = "begins or ends" if dark == 1 else "begin or end"
    return Fact("Light", share, f"{say.count(dark, 'day')} {begin} in the dark"), True
