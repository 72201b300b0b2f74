"""What can I promise a client, while we are on the phone?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

from flask import Blueprint, request

from webcalc.calc.clip.interval import frames_wanted, interval_exact_s
from webcalc.calc.formula import work
from webcalc.calc.schedule.length import clip_s_per_month
from webcalc.web.http.nearby import is_nearby_only
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link import needed_right
from webcalc.web.questions.call.case import CallCase, Option
from webcalc.web.questions.call.words import mail_link, rows, sentence, sms_link, summary, unknown
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Line, Row, Table, Text
from webcalc.web.words.solved import length_not_used, solved_notes

_OPTIONS = ("this", "fewer_visits", "smoother")
_FIELDS = (
    *("interval_s", "larger", "frames", "clip_s", "clip_s_per_month"),
    *("card_needed_gb", "cards", "batteries", "visits", "link"),
)


def answer(asked: Asked) -> Answer:
    """Put three ways to record the shoot side by side."""
    case, say = CallCase(asked), asked.say
    results: dict[str, Any] = {"first": None, "last": None, "calendar_days": None, "recorded_days": None}
    results.update({name: dict.fromkeys(_FIELDS) for name in _OPTIONS}, text=None)
    reply = Answer(results)
    reply.needs = case.needs
    if reply.needs or needed_right.any_wrong(asked.inputs, needed_right.SCHEDULE):
        return reply
    schedule = asked.old.schedule
    assert schedule is not None  # noqa: S101 - nothing is missing and nothing wrong
    results.update(
        first=schedule.first,
        last=schedule.last,
        calendar_days=schedule.calendar_days,
        recorded_days=schedule.recorded_days,
    )
    reply.tone = FAILS
    if not schedule.recorded_days:
        reply.figure = "no recorded day"
        reply.sentence = "No weekday between the first and the last day is left to record on."
        return reply
    if case.this is None:
        reply.figure = f"under {say.length(min(asked.old.settable_s))}"
        reply.sentence = "No interval that short can be set. Promise a shorter clip, or record longer."
        return reply
    reply.figure, reply.tone = say.length(case.this.interval_s), HOLDS
    reply.sentence = sentence(say, case.this)
    _length_or_last(asked, reply)
    _side_by_side(asked, case, reply)
    text = _text(asked, case)
    reply.results["text"] = text
    reply.add(
        Text("", href=sms_link(text), link_words="Send it as a message"),
        Text("", href=asked.url("call/text"), link_words="Send it by mail, or copy it"),
    )
    _workings(asked, case, reply)
    reply.notes.extend(solved_notes(asked.shoot, asked.say, besides="interval"))
    return reply


def _length_or_last(asked: Asked, reply: Answer) -> None:
    """Offer the length where the last day goes before it."""
    if length_not_used(asked.shoot, asked.say):
        words = f"The plan ends {asked.say.day(asked.old.last)}, whatever the length says."
        reply.add(Text(words, LOOK, asked.url("call", last=None), "Use the length instead"))


def _side_by_side(asked: Asked, case: CallCase, reply: Answer) -> None:
    fewer = case.cheaper is not None and case.is_fewer(case.cheaper)
    options = (case.this, case.cheaper, case.smoother)
    titles = ("This", "Fewer visits" if fewer else "Longer", "Smoother")
    links = [asked.url("plan", **way.changes) if way else "" for way in options]
    for name, way, link in zip(_OPTIONS, options, links, strict=True):
        reply.results[name] = _data(way, link)
    note = "Visits: one more fetches the camera. Cards, batteries: one to start, one a visit. Card: would do alone."
    lines = [Row(cells) for cells in rows(asked.say, options)]
    reply.add(Table("Side by side", ("Way", *titles), lines, note, head_links=("", *links)))
    open_words = unknown(case)
    reply.add(Text(open_words, LOOK) if open_words else None)
    if case.this is not None and not case.this.possible:
        step = asked.url("visits", interval=case.this.interval_s)
        reply.add(Text("With this card and battery no plan of visits works.", LOOK, step, "See why"))
    if case.passed_over_s is not None:
        reply.add(Text(f"The plan’s own interval, {asked.say.length(case.passed_over_s)}, isn’t looked at here.", LOOK))


def _data(way: Option | None, link: str) -> dict[str, Any]:
    if way is None:
        return dict.fromkeys(_FIELDS)
    return {**{name: getattr(way, name) for name in _FIELDS if name != "link"}, "link": str(link)}


def text_answer(asked: Asked) -> Answer:
    """Give the summary to be sent or copied."""
    told = answer(asked)
    text = told.results["text"]
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


def _text(asked: Asked, case: CallCase) -> str:
    assert case.this is not None  # noqa: S101 - the caller has looked
    link = request.host_url.rstrip("/") + str(asked.url("plan", interval=case.this.interval_s))
    return summary(asked, case, link)


def _workings(asked: Asked, case: CallCase, reply: Answer) -> None:
    inputs, shoot, way = asked.inputs, asked.old, case.this
    if inputs.has("clip") and shoot.schedule is not None:
        wanted = work(frames_wanted, clip_s=inputs.get("clip"), fps=inputs.get("fps"), kept_share=shoot.kept_share)
        exact = work(interval_exact_s, recorded_s=shoot.schedule.recorded_s, frames_wanted=wanted.result)
        reply.working.extend((wanted, exact))
    if way is not None and way.clip_s_per_month is not None and shoot.schedule is not None:
        reply.working.append(work(clip_s_per_month, clip_s=way.clip_s, calendar_days=shoot.schedule.calendar_days))


@dataclass(frozen=True)
class CallPage(Page):
    """The page, and its summary as text."""

    def blueprint(self) -> Blueprint:
        """Return page, data, and the text with its data."""
        blueprint = super().blueprint()
        blueprint.add_url_rule("/call/text", "text", CALL_TEXT.view)
        blueprint.add_url_rule("/call/text.json", "text_data", CALL_TEXT.data_view)
        return blueprint


_WITHOUT_USUAL = frozenset({"interval"})
_ASKED = ("shoot_days", "clip", "days")
CALL_TEXT = Page("call/text", "Summary", "What was promised, as text", _ASKED, text_answer, (), _WITHOUT_USUAL)
CALL = CallPage(
    "call",
    "Client call",
    "What can I promise a client?",
    _ASKED,
    answer,
    (
        Group(
            "Taken for the rest",
            (
                *("first", "from", "until", "fps", "size", "picture", "card_gb"),
                *("battery_wh", "standby_mw", "frame_j", "clean", "visit_days"),
            ),
        ),
    ),
    _WITHOUT_USUAL,
    moment="before",
)
