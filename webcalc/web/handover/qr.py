"""A link as a QR code (ISO/IEC 18004) that a phone reads from a screen, from paper and from a file."""

from __future__ import annotations

import io

import segno
from markupsafe import Markup
from segno.encoder import DataOverflowError

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
