"""A link survives being written into a page: HTML reads ``&copy`` as © even without a semicolon (WHATWG HTML, 13.5)."""

from __future__ import annotations

from html import unescape
from html.entities import html5
from urllib.parse import parse_qsl

from flask.testing import FlaskClient
from hand_over import without_sum
from markup import Markup

from webcalc.web.link.inputs import write_query
from webcalc.web.link.quantities import QUANTITIES

#: Named references that count without their semicolon.
_LEGACY = tuple(name for name in html5 if not name.endswith(";"))


def test_no_name_reads_as_a_character() -> None:
    """In an attribute a reference counts unless a letter, a digit or ``=`` follows it."""
    for name in QUANTITIES:
        # Programs are less exact than the standard: they read a reference wherever one begins.
        assert unescape(f"&{name}=3") == f"&{name}=3"
        text = write_query([("v", "1"), (name, "3")])
        assert parse_qsl(text) == [("v", "1"), (name, "3")]
        found = text.partition("&")[2]
        for reference in _LEGACY:
            if found.startswith(reference):
                follows = found[len(reference)]
                assert follows.isalnum() or follows == "=", name


def test_the_link_in_a_page_is_the_link(client: FlaskClient) -> None:
    query = {"v": "1", "copies": "3", "upload_mbps": "8", "sensor": "1/2.8in"}
    markup = Markup(client.get("/framing", query_string=query).get_data(as_text=True))
    link = without_sum(markup.with_id("link")["value"])
    assert dict(parse_qsl(link.partition("?")[2])) == query
    assert link.endswith(client.get("/framing.json", query_string=query).json["link"])
