"""What does the crew need to know, and how is it handed on?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from urllib.parse import quote, urlsplit

from flask import Blueprint, Response, abort, render_template

from webcalc.web.handover.sheet import Sheet
from webcalc.web.handover.sheet_files import (
    LONGEST_TEXT,
    SheetLink,
    html_file,
    link_to,
    sheet_calendar,
    sheet_parts,
    sheet_text,
)
from webcalc.web.http.hosts import is_nearby_only
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.inputs import Inputs
from webcalc.web.words.answer import Answer, Text, unknown_names
from webcalc.web.words.values import solved_notes


@dataclass
class SheetAnswer(Answer):
    """An answer with the sheet, which the page's own template shows."""

    sheet: Sheet | None = None

    @cached_property
    def link(self) -> SheetLink | None:
        """Return link and code; made only where they are shown."""
        return link_to(self.sheet) if self.sheet else None


def answer(asked: Asked) -> Answer:
    """Put the sheet together and offer it in every form."""
    sheet = Sheet(asked)
    reply = SheetAnswer(dict(sheet.results), sheet=sheet)
    reply.figure, reply.sentence = sheet.figure, sheet.sentence
    reply.preview = " ".join([f"{sheet.title}, {sheet.dates}.", *sheet.warnings]) if sheet.figure else ""
    reply.needs = unknown_names(asked.shoot.schedule, asked.shoot.interval_s)
    reply.notes = solved_notes(asked.shoot, asked.say)
    if not asked.records_nothing:
        reply.points = [Text(warning) for warning in sheet.warnings]
    reply.add(asked.step("A file that opens without a network", "sheet.html"))
    reply.add(asked.step("Text, message, calendar", "share"))
    return reply


@dataclass(frozen=True)
class SheetPage(Page):
    """The page with its text, file, calendar and code."""

    template: str = "sheet.html"

    def blueprint(self) -> Blueprint:
        """Return the page and all that it hands out."""
        blueprint = super().blueprint()
        blueprint.add_url_rule("/sheet.txt", "text", self.text)
        blueprint.add_url_rule("/sheet.html", "file", self.file)
        blueprint.add_url_rule("/sheet.ics", "calendar", self.calendar)
        blueprint.add_url_rule("/sheet.svg", "code", self.code)
        return blueprint

    def not_whole(self, asked: Asked) -> Answer:
        """Answer a link that didn't arrive whole, with the data of an empty sheet."""
        reply = super().not_whole(asked)
        reply.results = Sheet(replace(asked, inputs=Inputs())).results
        return reply

    def _sheet(self) -> tuple[Asked, Sheet]:
        asked = self.ask()
        return asked, Sheet(asked)

    def text(self) -> Response:
        """Answer as plain text."""
        asked, sheet = self._sheet()
        return _refusal(asked) or _plain(sheet_text(sheet, link_to(sheet).sent_url))

    def file(self) -> Response:
        """Answer as a file to keep."""
        asked, sheet = self._sheet()
        return _refusal(asked) or html_file(sheet, link_to(sheet))

    def calendar(self) -> Response:
        """Answer as a calendar."""
        asked, sheet = self._sheet()
        return sheet_calendar(asked, sheet, link_to(sheet).url)

    def code(self) -> Response:
        """Answer as a code to scan."""
        svg = link_to(self._sheet()[1]).svg
        if svg is None:
            abort(404)
        return Response(svg, mimetype="image/svg+xml")


def _plain(words: str, status: int = 200) -> Response:
    return Response(words + "\n", status, content_type="text/plain; charset=utf-8")


def _refusal(asked: Asked) -> Response | None:
    """Refuse to hand out a sheet with wrong values: nobody sees on paper that they are."""
    return _plain("\n".join(asked.inputs.errors.values()), 422) if asked.inputs.errors else None


SHEET = SheetPage(
    "sheet",
    "Crew sheet",
    "What does the crew need to know?",
    (),
    answer,
    (Group("For the sheet", ("name", "mounting")),),
    moment="before",
)


share = Blueprint("share", __name__)


@share.get("/share")
def hand_on() -> str:
    """Show link, code and text of a plan, and the ways to send them."""
    asked: Asked = SHEET.ask()
    sheet = Sheet(asked)
    link = link_to(sheet)
    parts = sheet_parts(sheet, link.sent_url)
    host = urlsplit(link.url).hostname or ""
    return render_template(
        "share.html",
        sheet=sheet,
        link=link,
        parts=[(part, quote(part), len(part) > LONGEST_TEXT) for part in parts],
        host=host if is_nearby_only(host) else "",
        longest=asked.say.number(LONGEST_TEXT),
        body=quote("\n\n".join(parts)),
        subject=quote(sheet.title),
        errors=list(asked.inputs.errors.values()),
        whole=asked.inputs.wrong_sum is None,
    )
