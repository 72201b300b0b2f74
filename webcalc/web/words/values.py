"""Typed values in words: one, several in a line, and what was worked out for those left blank."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any

from webcalc.calc.schedule.length import ShootLength, last_day
from webcalc.calc.shoot import LastDay, Shoot
from webcalc.calc.unknown import known, or_none
from webcalc.web.link.inputs import Inputs
from webcalc.web.link.kinds.basics import FAHRENHEIT, FEET, MILES, Choices, Number
from webcalc.web.link.kinds.places import OLD_NAMES
from webcalc.web.link.kinds.several import Months
from webcalc.web.link.kinds.times import Duration, Weekdays
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import NBSP, Say

#: Quantities with two units are written as the reader is used to.
_IN_WORDS = {FAHRENHEIT: Say.temperature, FEET: Say.metres, MILES: Say.kilometres}


def value_words(name: str, value: Any, say: Say) -> str:
    """Return a value as it reads in a sentence, with its unit."""
    quantity = QUANTITIES[name]
    if isinstance(quantity.kind, Weekdays):
        return say.weekdays(value)
    if isinstance(quantity.kind, Duration):
        return say.length(value) if isinstance(value, Fraction) else str(value)
    if isinstance(value, datetime):
        return say.instant(value)
    if isinstance(value, date):
        return say.day(value, weekday=False)
    if isinstance(value, time):
        return say.clock_end(value) if name == "until" else say.clock(value)
    if isinstance(value, timedelta):
        return say.offset(value)
    if isinstance(value, ShootLength):
        return say.shoot_length(value)
    if name == "did":
        return f"{say.number(len(value))}, the last {say.instant(value[-1].at)}"
    if name == "skip":
        return say.count(len(value), "day") + " left out"
    if isinstance(quantity.kind, Number) and quantity.kind.other in _IN_WORDS:
        return _IN_WORDS[quantity.kind.other](say, value)
    if isinstance(quantity.kind, Months):
        ends = " to ".join(dict.fromkeys(say.figures(float(end)) for end in (min(value), max(value))))
        return f"{ends}{NBSP}{quantity.unit}"
    if isinstance(quantity.kind, Choices) and value:
        *others, last = (words for option, words in quantity.kind.options if option in value)
        return f"{', '.join(others)} and {last}" if others else last
    text = quantity.write(value)
    if quantity.kind.lines:
        return say.count(len(text), "character")
    words = dict(quantity.kind.options).get(text, text)
    return f"{words}{NBSP}{quantity.unit}" if quantity.unit else words


def packs_words(shoot: Shoot, say: Say, count: int) -> str:
    """Return so many batteries as a plan counts them: "7 sets of 8 LR6 alkaline AA", "3 batteries"."""
    cells, spares = or_none(shoot.battery.cells_in_set), or_none(shoot.spares)
    more = f" and {say.count(spares, 'spare')}" if spares else ""
    if not cells:
        return say.count(count, "battery", "batteries") + more
    kind = value_words("cell", shoot.cell, say) if or_none(shoot.cell) else "cells"
    return f"{say.count(count, 'set')} of {say.number(cells)} {kind}{more}"


#: Names that are said together, and what stands between their values. The first is where the link leads.
_TOGETHER = {
    ("first", "last"): " to ",
    ("from", "until"): "–",
    ("lat", "lon"): ", ",
    ("cells", "cell"): " × ",
}
#: How a value reads without its label; where there is none, the label stands before it.
_PHRASES = {
    "interval": "every {}",
    "clip": "clip {}",
    "kept": "{} kept",
    "card_gb": "{} card",
    "used_gb": "{} used",
    "card_reserve": "{} of the card free",
    "battery_reserve": "{} reserve",
    "standby_mw": "{} standby",
    "frame_j": "{} a frame",
    "series": "{} in series",
    "spares": "{} spare",
    "light": "light: {}",
    **dict.fromkeys(
        ("first", "last", "shoot_days", "from", "until", "days", "skip", "fps", "size", "picture", "cell", "cells"),
        "{}",
    ),
    **dict.fromkeys(("battery_wh", "battery_mah", "temp_c", "lat", "lon", "place", "site", "geo", "tz", "power"), "{}"),
}
#: Fields that show what has none of its own: an older link's place, the length of a shoot.
_SHOWN_IN = {**dict.fromkeys(OLD_NAMES, "site"), "shoot_days": "last"}
#: Said elsewhere on the page, or nothing that an answer rests on.
_LEFT_OUT = frozenset({"name", "mounting", "units", "write"})


def rests_on(
    names: Iterable[str], inputs: Inputs, say: Say, changed: Mapping[str, Any], fields: Collection[str]
) -> list[tuple[str, str]]:
    """Return where each part leads and how it reads, of these quantities those that have a value.

    changed : what is another by the log
    fields : those of the page
    """
    values = {**inputs.values, **changed}
    left = [name for name in names if (inputs.has(name) or name in changed) and name not in _LEFT_OUT]
    found = []
    while left:
        name = left.pop(0)
        together = next((pair for pair in _TOGETHER if name in pair), ())
        other = next((one for one in together if one in left), None)
        if other is None:
            found.append((name, _words(name, values[name], say)))
            continue
        left.remove(other)
        ends = (value_words(one, values[one], say) for one in together)
        found.append((together[0], _TOGETHER[together].join(ends)))
    return [(name if name in fields else _SHOWN_IN.get(name, name), words) for name, words in found]


def _words(name: str, value: Any, say: Say) -> str:
    words, label = value_words(name, value, say), QUANTITIES[name].label
    if name == "first":
        return f"from {words}"
    if name == "last":
        return f"to {words}"
    if name in _PHRASES:
        return _PHRASES[name].format(words)
    return f"{label[0].lower()}{label[1:]} {words}"


def by_the_log(changed: Mapping[str, Any], say: Say) -> list[str]:
    """Say what is another by now than in the plan; nothing where nothing is."""
    words = ", ".join(_words(name, value, say) for name, value in changed.items())
    return (
        [f"By the log of visits: {words}. Everything here is worked out with that, the whole shoot."] if words else []
    )


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
