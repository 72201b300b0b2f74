"""Sentences about the blanks of a plan that were worked out, the same on every page."""

from __future__ import annotations

from webcalc.calc.schedule.length import last_day
from webcalc.calc.shoot import LastDay, Shoot
from webcalc.calc.unknown import known
from webcalc.web.words.say import Say

_FROM = {"clip": "the wanted clip", "card_gb": "the card", "shoot_days": "the shoot length"}


def solved_notes(shoot: Shoot, say: Say, besides: str = "") -> list[str]:
    """Return a sentence for each quantity that was left blank and worked out, or couldn't be.

    ``besides`` is what the page is there to find, so that it needs no note.
    """
    notes, interval_s, last = [], shoot.interval_s, shoot.last_found
    if known(last) and last.worked_out_from and besides != "last":
        notes.append(_last_note(shoot, say, last))
    if shoot.interval_solved and known(interval_s) and besides != "interval":
        notes.append(f"The interval was left empty. Worked out from {_FROM['clip']}: {say.length(interval_s)}.")
    return [*notes, *length_not_used(shoot, say)]


def length_not_used(shoot: Shoot, say: Say) -> list[str]:
    """Return a sentence where a length was typed and the last day, which goes before it, says otherwise."""
    first, last, length = shoot.first, shoot.last, shoot.shoot_days
    if not (known(first) and known(last) and known(length)) or last is None or length is None:
        return []
    if last_day(first, length) == last:
        return []
    return [f"Of last day ({say.day(last)}) and shoot length ({say.shoot_length(length)}), the last day counts."]


def _last_note(shoot: Shoot, say: Say, last: LastDay) -> str:
    source = last.worked_out_from[0]
    begin = f"The last day was left empty. Worked out from {_FROM[source]}: "
    if last.date is None:
        never = "not even the first day fits on it whole" if source == "card_gb" else "it takes more than ten years"
        return f"{begin}{never}."
    if source == "card_gb":
        large = "" if known(shoot.card.frame) and shoot.card.frame.is_exact else " with large frames"
        return f"{begin}{say.day(last.date)}, the last day it holds whole{large}."
    if source == "shoot_days" and known(shoot.shoot_days) and shoot.shoot_days is not None:
        return f"{begin}{say.day(last.date)}, {say.shoot_length(shoot.shoot_days)} from the first day."
    return f"{begin}{say.day(last.date)}."
