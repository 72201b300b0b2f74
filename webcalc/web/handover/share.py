"""Ways to hand a plan on where browsers offer none: over plain http there is neither clipboard nor share sheet."""

from __future__ import annotations

from urllib.parse import quote, urlsplit

from flask import Blueprint, render_template

from webcalc.web.handover.sheet import make_sheet
from webcalc.web.handover.sheet_link import link_to
from webcalc.web.handover.sheet_text import LONGEST_TEXT, sheet_parts
from webcalc.web.http.hosts import is_nearby_only
from webcalc.web.http.page import Asked
from webcalc.web.questions.sheet import SHEET

share = Blueprint("share", __name__)


@share.get("/share")
def hand_on() -> str:
    """Show link, code and text of a plan, and the ways to send them."""
    asked: Asked = SHEET.ask()
    sheet = make_sheet(asked)
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
