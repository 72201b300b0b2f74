"""Sentences about the blanks of a plan that were worked out, the same on every page."""

from __future__ import annotations

from webcalc.calc.schedule.length import last_day
from webcalc.web.http.page import Asked

_FROM = {"clip": "the wanted clip", "card_gb": "the card", "shoot_days": "the shoot length"}


def solved_notes(asked: Asked, besides: str = "") -> list[str]:
    """Return a sentence for each quantity that was left blank and worked out, or couldn't be.

    ``besides`` is what the page is there to find, so that it needs no note.
    """
    notes = [_note(asked, name, sources[0]) for name, sources in asked.old.solved.items() if name != besides]
    return [*notes, *length_not_used(asked)]


def length_not_used(asked: Asked) -> list[str]:
    """Return a sentence where a length was typed and the last day, which goes before it, says otherwise."""
    inputs, say = asked.inputs, asked.say
    if not inputs.has("first", "last", "shoot_days"):
        return []
    if last_day(inputs.get("first"), inputs.get("shoot_days")) == inputs.get("last"):
        return []
    length = say.shoot_length(inputs.get("shoot_days"))
    return [f"Of last day ({say.day(inputs.get('last'))}) and shoot length ({length}), the last day counts."]


def _note(asked: Asked, name: str, source: str) -> str:
    shoot, say = asked.old, asked.say
    if name == "interval":
        return f"The interval was left empty. Worked out from {_FROM[source]}: {say.length(shoot.interval_s)}."
    begin = f"The last day was left empty. Worked out from {_FROM[source]}: "
    if source == "card_gb":
        if shoot.last is None:
            return begin + "not even the first day fits on it whole."
        large = "" if shoot.frame and shoot.frame.is_exact else " with large frames"
        return f"{begin}{say.day(shoot.last)}, the last day it holds whole{large}."
    if source == "shoot_days":
        return f"{begin}{say.day(shoot.last)}, {say.shoot_length(asked.inputs.get(source))} from the first day."
    if shoot.last is None:
        return begin + "it takes more than ten years."
    return f"{begin}{say.day(shoot.last)}."
