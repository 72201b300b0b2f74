"""Plans as a crew gets them: random ones, a hostile one, and a reader of codes that isn't this app's."""

from __future__ import annotations

import re
from datetime import date
from urllib.parse import quote, urlencode

import zxingcpp
from examples import FULL
from flask import Flask
from hypothesis import strategies as st
from strategies import texts_of

from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.quantities import QUANTITIES

#: Markup, marks for writing from right to left (one never ended), a script's end, a link to another plan.
HOSTILE = (
    "<script>alert(1)</script></script><!-- \"'`&amp; &not &lt;/p>\n"
    "\u202eright to left\u200f \u05e9\u05dc\u05d5\u05dd \u2067never ended\n"
    "http://evil.example/plan?v=1&first=2001-01-01&interval=7s {{ 7*7 }} %s\n"
    "BEGIN:VEVENT\nSUMMARY:x,y;z\\n"
)
EMOJI = "😀" * 2_000


def query_of(pairs: dict[str, str]) -> str:
    """Return pairs as a query, in the table's order."""
    ordered = ["v", *(name for name in QUANTITIES if name in pairs)]
    return urlencode([(name, pairs[name]) for name in ordered], quote_via=quote)


@st.composite
def plans(draw: st.DrawFn) -> dict[str, str]:
    """Return a plan without mistakes: the example with values taken out and others put in."""
    pairs = {name: text for name, text in FULL.items() if name == "v" or draw(st.integers(0, 7))}
    for name in draw(st.lists(st.sampled_from(list(QUANTITIES)), max_size=12)):
        pairs[name] = draw(texts_of(name))
    # What is good alone may not be good together.
    while wrong := set(read_inputs(pairs.items(), date(2027, 3, 2)).errors):
        pairs = {name: text for name, text in pairs.items() if name not in wrong}
    return pairs


def without_sum(link: str) -> str:
    """Return a link that was handed out in its canonical form."""
    return re.sub(r"&sum=[0-9a-f]{8}", "", link, count=1)


def inputs_of(app: Flask, query: str) -> dict[str, str]:
    """Return the plan as the app reads it."""
    return app.test_client().get("/framing.json", query_string=query).get_json()["inputs"]


def scan(matrix: tuple[bytearray, ...], scale: int = 3, quiet: int = 4) -> str:
    """Read a code's modules (1 is dark) as a picture, by a decoder of its own (ZXing-C++)."""
    side = (len(matrix) + 2 * quiet) * scale
    rows = []
    for y in range(side):
        row = y // scale - quiet
        inside = 0 <= row < len(matrix)
        for x in range(side):
            column = x // scale - quiet
            dark = inside and 0 <= column < len(matrix) and matrix[row][column]
            rows.append(0 if dark else 255)
    picture = memoryview(bytes(rows)).cast("B", shape=[side, side])
    (found,) = zxingcpp.read_barcodes(picture)
    return found.text
