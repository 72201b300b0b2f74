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
    scanned_query : the plan as the code has it; "" where no code can be read
    says : a sentence where the code isn't all of the plan, or there is none
    """

    url: str
    scanned_query: str
    says: str
    svg: Markup | None


def link_to(sheet: Sheet) -> SheetLink:
    """Return link and code. Notes are left out of the code where they would make it too dense; the paper has them."""
    url = f"{request.host_url}sheet?{sheet.handed_out}"
    code = code_of(url)
    if code is not None:
        return SheetLink(url, sheet.handed_out, "", code_svg(code, _TITLE))
    code = code_of(f"{request.host_url}sheet?{sheet.handed_out_without_notes}") if sheet.notes else None
    if code is not None:
        words = "The code leaves the mounting notes out: with them it would be too dense to scan."
        return SheetLink(url, sheet.handed_out_without_notes, words, code_svg(code, _TITLE))
    return SheetLink(url, "", "The link is too long for a code that a phone can scan: send the text or the file.", None)
