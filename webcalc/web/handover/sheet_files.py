"""The crew sheet as link, code, text, file and calendar."""

from __future__ import annotations

import base64
import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import segno
from flask import Response, render_template, request
from markupsafe import Markup
from segno.encoder import DataOverflowError

from webcalc.calc.unknown import known, or_none
from webcalc.paths import asset_dir
from webcalc.web.handover.calendar_file import (
    Entry,
    calendar_file,
    calendar_response,
    camera_key,
    file_name,
    shoot_entries,
)
from webcalc.web.handover.sheet import Sheet
from webcalc.web.http.data import plain_data
from webcalc.web.http.outgoing import content
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP

#: Denser ones can't be told apart at arm's length on paper.
DENSEST_VERSION = 20


def code_of(link: str) -> segno.QRCode | None:
    """Return the code at error level M, or None where the link is too long to be scanned."""
    try:
        # A micro code would be smaller, but phones' cameras don't read it.
        code = segno.make_qr(link, error="m", boost_error=False)
    except DataOverflowError:
        return None
    return code if int(code.version) <= DENSEST_VERSION else None


def code_svg(code: segno.QRCode, title: str) -> Markup:
    """Return the picture, black on white in every colour scheme, with the quiet margin that readers need."""
    out = io.BytesIO()
    code.save(
        out,
        kind="svg",
        xmldecl=False,
        svgclass=None,
        lineclass=None,
        omitsize=True,
        light="#fff",
        title=title,
        nl=False,
    )
    return Markup(out.getvalue().decode())  # noqa: S704 - segno escapes the title, the rest are numbers


_TITLE = "The link to this plan, to scan"


@dataclass(frozen=True)
class SheetLink:
    """The link on the host that was asked.

    url : all of the plan
    sent_url : the plan as messages have it: of its log only the last renewal of each thing
    scanned_query : the plan as the code has it; "" where no code can be read
    says : sentences where code and message aren't all of the plan, or there is no code
    """

    url: str
    sent_url: str
    scanned_query: str
    says: str
    svg: Markup | None


def link_to(sheet: Sheet) -> SheetLink:
    """Return link and code. Notes are left out of the code where they would make it too dense; the paper has them."""
    url, sent_url = (f"{request.host_url}sheet?{query}" for query in (sheet.handed_out, sheet.sent))
    says = "" if url == sent_url else "Of the log, code and message have the last renewal of each thing only. "
    code, query = code_of(sent_url), sheet.sent
    if code is None and sheet.notes:
        query = sheet.sent_without_notes
        code = code_of(f"{request.host_url}sheet?{query}")
        says += "The code leaves the mounting notes out: with them it would be too dense to scan." if code else ""
    if code is None:
        says += "The link is too long for a code that a phone can scan: send the text or the file."
        return SheetLink(url, sent_url, "", says, None)
    return SheetLink(url, sent_url, query, says.strip(), code_svg(code, _TITLE))


#: Longest text of one message, in characters.
LONGEST_TEXT = 1_200
#: What the number of a part takes, and a line's end.
_NUMBERED = len("(12/12) \n")
_SHORT_CAUTION = "Ladder, power lines, lightning: follow local codes; use licensed people where the law asks for them."


def sheet_text(sheet: Sheet, link: str) -> str:
    """Return the whole text, its parts one below the other. Its last line is the link."""
    return "\n\n".join(sheet_parts(sheet, link))


def sheet_parts(sheet: Sheet, link: str) -> list[str]:
    """Return the text as messages: one where it fits."""
    lines = [line for words in _lines(sheet) for line in words.replace(NBSP, " ").split("\n")]
    whole = "\n".join([sheet.title, *lines, link])
    if len(whole) <= LONGEST_TEXT:
        return [whole]
    room = LONGEST_TEXT - len(sheet.title) - _NUMBERED
    parts = [""]
    for piece in [*(piece for line in lines for piece in _pieces(line, room)), link]:
        longer = f"{parts[-1]}\n{piece}" if parts[-1] else piece
        if len(longer) <= room or not parts[-1]:
            parts[-1] = longer
        else:
            parts.append(piece)
    return [f"({n}/{len(parts)}) {sheet.title}\n{part}" for n, part in enumerate(parts, start=1)]


def _lines(sheet: Sheet) -> Iterator[str]:
    """Yield the lines below the title, in the order of the sheet: a message may get lost, so what warns is first."""
    yield from sheet.warnings
    if sheet.place:
        yield f"At {sheet.place}"
    yield f"Bring: {_joined(sheet.bring)}."
    yield _SHORT_CAUTION
    if sheet.settings:
        yield f"Set: {_joined(sheet.settings)}."
    if sheet.aim:
        yield f"Aim: {_joined(sheet.aim)}."
    if sheet.notes:
        yield f"Notes: {sheet.notes}"
    if sheet.expected:
        parts = (f"{one.when} {one.frames}, {one.card}" for one in sheet.expected)
        yield f"Expect {'; '.join(parts)}."
    yield f"Before you leave: {'; '.join(sheet.leaving)}."
    for fact in sheet.light:
        yield f"Sun: {fact.label}, {fact.value}."
    if sheet.visits:
        yield f"Visits: {'; '.join(f'{visit.label} ({visit.value})' for visit in sheet.visits)}."


def _joined(facts: Sequence[Fact]) -> str:
    return "; ".join(f"{fact.label} {fact.value}" for fact in facts)


def _pieces(line: str, room: int) -> Iterator[str]:
    """Yield a line in pieces that fit, broken between words where there are any."""
    while len(line) > room:
        end = line.rfind(" ", room // 2, room + 1)
        yield line[: end if end > 0 else room]
        line = line[end + 1 if end > 0 else room :]
    yield line


def html_file(sheet: Sheet, link: SheetLink) -> Response:
    """Return the sheet as a file that holds all it needs: style, script, picture, code, data and plan.

    Its one script keeps ticks and fields, and writes what was found as an entry of the plan's log.
    """
    style, script = _static("app.css", "sheet.css", "sheet_file.css"), _static("sheet_file.js")
    policy = (
        f"default-src 'none'; style-src '{_hash_of(style)}'; script-src '{_hash_of(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )
    name = file_name(sheet.title, "sheet")
    page = render_template(
        "sheet_file.html",
        sheet=sheet,
        link=link,
        text=sheet_text(sheet, link.sent_url),
        back=f"{request.host_url}visits?",
        file=name,
        style=Markup(style),  # noqa: S704 - this server's own
        script=Markup(script),  # noqa: S704 - this server's own
        policy=policy,
        data=_in_page(plain_data(sheet.results)),
    )
    response = Response(page, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = f"{policy}; frame-ancestors 'none'"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.html"'
    return response


def _static(*names: str) -> str:
    return "\n".join(content(asset_dir("static") / name).decode() for name in names)


def _hash_of(source: str) -> str:
    """Return what a policy names a source inside the page by (CSP Level 3, section 2.3.1)."""
    return f"sha256-{base64.b64encode(hashlib.sha256(source.encode()).digest()).decode()}"


def _in_page(data: object) -> Markup:
    """Return data for a block inside a page: nothing in it can end the block."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    for character in "<>&":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return Markup(text)  # noqa: S704 - escaped just now


def sheet_calendar(asked: Asked, sheet: Sheet, link: str) -> Response:
    """Return first and last day, visits and changes of the clock; the first day carries notes and link.

    Answer with a sentence (422) where the days aren't known.
    """
    shoot, zone = asked.shoot, or_none(asked.shoot.daylight.zone)
    if asked.inputs.errors or not known(shoot.visits.plan):
        words = "There is no shoot to put into a calendar yet; the page /sheet says what is missing."
        return Response(words, 422, content_type="text/plain; charset=utf-8")
    key = camera_key(asked.inputs, shoot)
    entries = [(key, _with_notes(entry, sheet, link)) for entry in shoot_entries(asked, link)]
    made = calendar_file(entries, sheet.title, asked.now, [zone] if zone else [])
    return calendar_response(made, file_name(sheet.title, "sheet"))


def _with_notes(entry: Entry, sheet: Sheet, link: str) -> Entry:
    if entry.kind != "first":
        return entry
    return replace(entry, description="\n".join(filter(None, (sheet.place, sheet.notes, link))))
