"""What can I promise a client, while we are on the phone?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlsplit

from flask import Blueprint, request

from webcalc.calc.formula import work
from webcalc.calc.promise import Option, Promise, PromiseResults, option_results
from webcalc.calc.schedule.length import clip_s_per_month
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.nearby import is_nearby_only
from webcalc.web.http.page import USUAL_ALONE, Asked, Group, Page
from webcalc.web.questions.call.words import mail_link, rows, sentence, sms_link, summary, unknown
from webcalc.web.words.allowance import by_kind
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Line, Row, Table, Text, unknown_names
from webcalc.web.words.moving import motion_itself
from webcalc.web.words.solved import length_not_used, solved_notes
from webcalc.web.words.verdict import NO_STILLS
from webcalc.web.words.workings import interval_working


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
        Text("", href=asked.url("call/text"), link_words="Send it by mail, or copy it"),
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
_ASKED = ("shoot_days", "clip")
_ALONE = USUAL_ALONE | {"clip": "2min"}
CALL_TEXT = Page("call/text", "Summary", "What was promised, as text", _ASKED, text_answer, (), _WITHOUT_USUAL, _ALONE)
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
                *("days", "first", "from", "until", "fps", "size", "picture", "card_gb"),
                *("battery_wh", "standby_mw", "frame_j", "clean", "visit_days"),
            ),
        ),
    ),
    _WITHOUT_USUAL,
    _ALONE,
    moment="before",
    results=PromiseResults,
)
