"""What an answer rests on, in one short line: each part leads to its field."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from webcalc.web.link.inputs import Inputs
from webcalc.web.link.old_place import OLD_NAMES
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import Say
from webcalc.web.words.values import value_words

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


@dataclass(frozen=True)
class Part:
    """One part of the line: where it leads and how it reads."""

    name: str
    words: str


def rests_on(
    names: Iterable[str], inputs: Inputs, say: Say, changed: Mapping[str, Any], fields: Collection[str]
) -> list[Part]:
    """Return the parts for these quantities, as far as they have a value.

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
            found.append(Part(name, _words(name, values[name], say)))
            continue
        left.remove(other)
        ends = (value_words(one, values[one], say) for one in together)
        found.append(Part(together[0], _TOGETHER[together].join(ends)))
    return [part if part.name in fields else replace(part, name=_SHOWN_IN.get(part.name, part.name)) for part in found]


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
