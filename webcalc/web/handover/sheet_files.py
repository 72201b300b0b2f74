"""The crew sheet as files: one HTML file that needs no server, and a calendar."""

from __future__ import annotations

import base64
import hashlib
import json
from dataclasses import replace

from flask import Response, render_template, request
from markupsafe import Markup

from webcalc.calc.unknown import known, or_none
from webcalc.paths import asset_dir
from webcalc.web.handover.calendar_file import Entry, calendar_file, calendar_response
from webcalc.web.handover.sheet import Sheet
from webcalc.web.handover.sheet_link import SheetLink
from webcalc.web.handover.sheet_text import sheet_text
from webcalc.web.handover.visits_calendar import camera_key, file_name, shoot_entries
from webcalc.web.http.assets import content
from webcalc.web.http.data import plain_data
from webcalc.web.http.page import Asked


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
