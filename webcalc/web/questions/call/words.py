"""What is promised on the phone, in words: the table that is read from, and the summary that is sent afterwards."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import quote

from webcalc.calc.promise import Option, Promise
from webcalc.calc.unknown import need, or_none
from webcalc.calc.verdict import Part, State
from webcalc.web.http.page import Asked
from webcalc.web.words.packs import packs_words
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.values import value_words

NONE = "–"

#: A text message with any other character takes half as many to a part (3GPP TS 23.038, from memory).
_PLAIN = str.maketrans({NBSP: " ", "–": "-", "−": "-", "≈": "about "})


def rows(asked: Asked, options: tuple[Option | None, ...]) -> list[tuple[str, ...]]:
    """Return the lines of the table: what it is, then its value in each way."""
    say, cells = asked.say, or_none(asked.shoot.battery.cells_in_set)
    lines: tuple[tuple[str, Callable[[Option], str]], ...] = (
        ("Every", lambda way: say.length(way.interval_s)),
        ("Clip", lambda way: say.clip_brief(way.clip_s)),
        ("A month", lambda way: _month(say, way)),
        ("Card", lambda way: f"{say.number(way.card_needed_gb)}{NBSP}GB" if way.card_needed_gb else NONE),
        ("Cards", lambda way: _number(say, way.cards)),
        (f"Sets of {say.number(cells)}" if cells else "Batteries", lambda way: _number(say, way.batteries)),
        ("Visits", lambda way: visits(say, way)),
        ("Frames", lambda way: say.number(way.frames)),
    )
    if any(way and way.larger for way in options):
        lines = (lines[0], ("With", lambda way: larger(say, way) or "as now"), *lines[1:])
    return [(name, *(value(way) if way else NONE for way in options)) for name, value in lines]


def _number(say: Say, value: int | None) -> str:
    return NONE if value is None else say.number(value)


def larger(say: Say, way: Option) -> str:
    """Return which battery or card a way takes instead; empty where it takes none."""
    for name, value in way.larger.items():
        if value is not None:
            return value_words(name, value, say)
    return ""


def visits(say: Say, way: Option) -> str:
    """Return the visits before the last one, which fetches the camera."""
    if way.visits is None:
        return NONE if way.possible else "can’t be"
    return say.number(way.visits - 1)


def sentence(asked: Asked, way: Option) -> str:
    """Return the promise in one sentence, for who only sees the head of the page."""
    say = asked.say
    month = "" if way.clip_s_per_month is None else f" ({_month(say, way)} a month)"
    parts = [f"Clip {say.clip_brief(way.clip_s)}{month}"]
    if way.card_needed_gb:
        parts.append(f"{say.number(way.card_needed_gb)}{NBSP}GB card")
    if way.batteries is not None:
        parts.append(packs_words(asked.shoot, say, way.batteries))
    if way.visits is not None:
        parts.append(f"{say.count(way.visits - 1, 'visit')} and fetching")
    return f"{', '.join(parts)}."


def _month(say: Say, way: Option) -> str:
    return NONE if way.clip_s_per_month is None else say.clip_brief(round(way.clip_s_per_month))


def unknown(asked: Asked, promise: Promise) -> str:
    """Return what isn't known and what would tell it; empty where all is."""
    missing = ["the card (the frame size, and a card that is sold)"] if promise.card_lacking else []
    battery = asked.verdict.of(Part.BATTERY)
    if battery and battery.state is State.UNKNOWN:
        missing.append("the battery (its energy and what the camera draws)")
    return f"Not known without {' and '.join(missing)}: what is left open here." if missing else ""


def _fps(fps: object, say: Say) -> str:
    return say.number(fps, 3)  # type: ignore[arg-type]


def summary(asked: Asked, promise: Promise, way: Option, link: str) -> str:
    """Return the promise as a message, the link last."""
    say, schedule = asked.say, need(asked.shoot.schedule)
    cheaper, smoother = or_none(promise.cheaper), or_none(promise.smoother)
    hours = f"{say.clock(schedule.window.start)}–{say.clock_end(schedule.window.end)}"
    name = f"{asked.inputs.get('name')}: " if asked.inputs.get("name") else ""
    parts = [
        f"{name}{say.day(schedule.first)} to {say.day(schedule.last)}, {say.weekdays(schedule.weekdays)}, {hours}.",
        f"A frame every {say.length(way.interval_s)}: {say.count(way.frames, 'frame')}, clip {_clip(asked, way)}.",
    ]
    if way.card_needed_gb:
        parts.append(f"Card: {say.number(way.card_needed_gb)} GB or larger.")
    if way.visits is not None:
        parts.append(f"Visits: {say.number(way.visits - 1)}, and one to fetch the camera.")
    parts.append(_takes(asked, way))
    if cheaper:
        title = "Fewer visits" if promise.is_fewer(cheaper) else "Longer interval"
        parts.append(_beside(say, title, cheaper))
    if smoother:
        parts.append(_beside(say, "Smoother", smoother))
    parts.append(unknown(asked, promise))
    return " ".join(filter(None, [*parts, link])).translate(_PLAIN)


def _clip(asked: Asked, way: Option) -> str:
    say = asked.say
    month = "" if way.clip_s_per_month is None else f", {_month(say, way)} a month"
    return f"{say.clip_brief(way.clip_s)} at {_fps(asked.inputs.get('fps'), say)} fps{month}"


def _takes(asked: Asked, way: Option) -> str:
    say, parts = asked.say, []
    if way.cards is not None:
        parts.append(say.count(way.cards, "card"))
    if way.batteries is not None:
        parts.append(packs_words(asked.shoot, say, way.batteries))
    return f"In all {' and '.join(parts)}." if parts else ""


def _beside(say: Say, title: str, way: Option) -> str:
    count = "" if way.visits is None else f", visits {say.number(way.visits - 1)} and fetching"
    instead = f" with {larger(say, way)}" if way.larger else ""
    return f"{title}: every {say.length(way.interval_s)}{instead}, clip {say.clip_brief(way.clip_s)}{count}."


def sms_link(text: str) -> str:
    """Return a link that opens a message with this text without a number, so that one is chosen.

    RFC 5724, section 2.2, has no ``&`` here; one kind of phone needs it and the other skips it (from memory).
    """
    return f"sms:?&body={quote(text, safe='')}"


def mail_link(subject: str, text: str) -> str:
    """Return a link that opens a mail with this text (RFC 6068, section 2)."""
    return f"mailto:?subject={quote(subject, safe='')}&body={quote(text, safe='')}"
