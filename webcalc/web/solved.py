"""Sentences about the blanks of a plan that were worked out, the same on every page."""

from __future__ import annotations

from webcalc.web.page import Asked

_FROM = {"clip": "the wanted clip", "card_gb": "the card"}


def solved_notes(asked: Asked) -> list[str]:
    """Return a sentence for each quantity that was left blank and worked out, or couldn't be."""
    return [_note(asked, name, sources[0]) for name, sources in asked.shoot.solved.items()]


def _note(asked: Asked, name: str, source: str) -> str:
    shoot, say = asked.shoot, asked.say
    if name == "interval":
        return f"The interval was left empty. Worked out from {_FROM[source]}: {say.length(shoot.interval_s)}."
    begin = f"The last day was left empty. Worked out from {_FROM[source]}: "
    if source == "card_gb":
        if shoot.last is None:
            return begin + "not even the first day fits on it whole."
        large = "" if shoot.frame and shoot.frame.is_exact else " with large frames"
        return f"{begin}{say.day(shoot.last)}, the last day it holds whole{large}."
    if shoot.last is None:
        return begin + "it takes more than ten years."
    return f"{begin}{say.day(shoot.last)}."
