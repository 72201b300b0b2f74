"""The link to a crew sheet, and the code that a phone scans instead of typing it."""

from __future__ import annotations

from dataclasses import dataclass

from flask import request
from markupsafe import Markup

from webcalc.web.handover.qr import code_of, code_svg
from webcalc.web.handover.sheet import Sheet

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
