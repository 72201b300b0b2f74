"""What can I promise a client, while we are on the phone?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from urllib.parse import quote, urlsplit

from flask import request

from webcalc.calc.formula import work
from webcalc.calc.promise import Option, Promise, PromiseResults, option_results
from webcalc.calc.schedule.length import clip_s_per_month
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import Part, State
from webcalc.web.http.hosts import is_nearby_only
from webcalc.web.http.page import USUAL_ALONE, Asked, Group, Page
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Line, Row, Table, Text, unknown_names
from webcalc.web.words.battery import by_kind
from webcalc.web.words.pictures import motion_itself
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.values import length_not_used, packs_words, solved_notes, value_words
from webcalc.web.words.verdict import NO_STILLS
from webcalc.web.words.working import interval_working

NONE = "–"

#: A text message with any other character takes half as many to a part (3GPP TS 23.038, from memory).
_PLAIN = str.maketrans({NBSP: " ", "–": "-", "−": "-", "≈": "about "})


def answer(asked: Asked) -> Answer:
    """Put three ways to record the shoot side by side."""
    shoot, say, promise = asked.shoot, asked.say, Promise(asked.shoot)
    schedule, this = shoot.schedule, promise.this
    reply = Answer(PromiseResults())
    if not known(schedule) or not known(this):
        reply.needs = _needs(asked, promise)
        return reply
    days = {"calendar_days": schedule.calendar_days, "recorded_days": schedule.recorded_days}
    reply.results = PromiseResults(first=schedule.first, last=schedule.last, **days)
    reply.tone = FAILS
    if asked.records_nothing:
        return reply
    if shoot.takes_stills is False:
        reply.figure, reply.sentence = "No stills", NO_STILLS
        return reply
    if this is None:
        reply.figure = f"under {say.length(min(need(shoot.settable)))}"
        reply.sentence = "No interval that short can be set. Promise a shorter clip, or record longer."
        return reply
    reply.figure, reply.sentence = f"Every {say.length(this.interval_s)}", sentence(asked, this)
    open_words = unknown(asked, promise)
    reply.tone = LOOK if open_words or not this.possible else HOLDS
    if open_words:
        reply.points.append(Text(open_words, LOOK))
    _length_or_last(asked, reply)
    _side_by_side(asked, promise, this, reply)
    reply.add(by_kind(asked))
    link = request.host_url.rstrip("/") + str(asked.url("plan", interval=this.interval_s))
    text = summary(asked, promise, this, link)
    reply.results = replace(reply.results, text=text)
    reply.add(
        Text("", href=sms_link(text), link_words="Send it as a message"),
        asked.step("Send it by mail, or copy it", "call/text"),
    )
    _workings(asked, this, reply)
    reply.notes.extend(solved_notes(shoot, say, besides="interval"))
    return reply


def _needs(asked: Asked, promise: Promise) -> list[str]:
    """Return the names to fill in; the length stands for the last day, and the three asked on the phone come first."""
    names = unknown_names(asked.shoot.schedule, promise.interval_s, asked.shoot.fps, promise.this)
    missing = dict.fromkeys("shoot_days" if name == "last" else name for name in names)
    return sorted(missing, key="shoot_days".__ne__)


def _length_or_last(asked: Asked, reply: Answer) -> None:
    """Offer the length where the last day goes before it."""
    if length_not_used(asked.shoot, asked.say):
        words = f"The plan ends {asked.say.day(need(asked.shoot.last_day))}, whatever the length says."
        reply.add(Text(words, LOOK, asked.url("call", last=None), "Use the length instead"))


def _side_by_side(asked: Asked, promise: Promise, this: Option, reply: Answer) -> None:
    options = (this, or_none(promise.cheaper), or_none(promise.smoother))
    titles = ("This", "Fewer visits" if promise.is_fewer(options[1]) else "Longer", "Smoother")
    links = [asked.url("plan", **way.changes) if way else "" for way in options]
    told = [option_results(way, str(link)) for way, link in zip(options, links, strict=True)]
    reply.results = replace(reply.results, this=told[0], fewer_visits=told[1], smoother=told[2])
    note = "Visits: one more fetches the camera. Cards, batteries: one to start, one a visit. Card: would do alone."
    lines = [Row(cells) for cells in rows(asked, options)]
    reply.lead_with(Table("Side by side", ("Way", *titles), lines, head_links=("", *links), bare=True))
    reply.add(Text(note))
    reply.add(motion_itself(asked, this.interval_s))
    if not this.possible:
        step = asked.url("visits", interval=this.interval_s)
        reply.add(Text("With this card and battery no plan of visits works.", LOOK, step, "See why"))
    if promise.passed_over_s is not None:
        words = f"The plan’s own interval, {asked.say.length(promise.passed_over_s)}, isn’t looked at here."
        reply.add(Text(words, LOOK))


def text_answer(asked: Asked) -> Answer:
    """Give the summary to be sent or copied."""
    told = answer(asked)
    text = told.results.text
    reply = Answer({"text": text}, told.figure, told.sentence, told.tone, told.needs)
    if text is not None:
        reply.add(
            Line("Touch it to select all of it", text),
            Text("", href=sms_link(text), link_words="Send it as a message"),
            Text("", href=mail_link(asked.inputs.get("name", "Time-lapse shoot"), text), link_words="Send it by mail"),
        )
        host = urlsplit(request.host_url).hostname or ""
        if is_nearby_only(host):
            reply.notes.append(
                f"The link in it has {host} in it and opens only near this computer. Elsewhere any webcalc opens the "
                "whole text under “Open a plan”."
            )
    return reply


def _workings(asked: Asked, this: Option, reply: Answer) -> None:
    shoot, schedule = asked.shoot, need(asked.shoot.schedule)
    if given(shoot.clip):
        reply.working.extend(interval_working(shoot))
    if this.clip_s_per_month is not None:
        reply.working.append(work(clip_s_per_month, clip_s=this.clip_s, calendar_days=schedule.calendar_days))


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
    return f"{say.clip_brief(way.clip_s)} at {say.number(asked.inputs.get('fps'), 3)} fps{month}"


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


_WITHOUT_USUAL = frozenset({"interval"})
_ASKED = ("shoot_days", "clip")
_ALONE = USUAL_ALONE | {"clip": "2min"}
CALL_TEXT = Page("call/text", "Summary", "What was promised, as text", _ASKED, text_answer, (), _WITHOUT_USUAL, _ALONE)
CALL = Page(
    "call",
    "Client call",
    "What can I promise a client?",
    _ASKED,
    answer,
    (
        Group(
            "Taken for the rest",
            (
                *("days", "first", "from", "until", "fps", "size", "picture", "card_gb"),
                *("battery_wh", "standby_mw", "frame_j", "clean", "visit_days"),
            ),
        ),
    ),
    _WITHOUT_USUAL,
    _ALONE,
    moment="before",
    results=PromiseResults,
    seconds=(CALL_TEXT,),
)
