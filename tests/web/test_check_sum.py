"""A link that is handed out has a check sum: cut or changed, it is never taken for the plan that was sent."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from unicodedata import normalize
from urllib.parse import parse_qsl, quote, unquote, urlencode, urlsplit

import pytest
from examples import FULL, PAGES, full_query
from flask.testing import FlaskClient
from hand_over import query_of, scan
from markup import Markup
from test_sheet import modules_of

from webcalc.web.link.inputs import check_sum, write_query
from webcalc.web.link.quantities import QUANTITIES

WORDS = "This link arrived incomplete or changed"


def link_of(client: FlaskClient, page: str, query: str) -> str:
    """Return the query of a page's link box."""
    return urlsplit(Markup(client.get(f"/{page}?{query}").text).with_id("link")["value"]).query


def figures_of(client: FlaskClient, page: str, query: str) -> tuple[dict, dict]:
    """Return a page's data, and what of its results is a number or a text."""
    data = client.get(f"/{page}.json?{query}").get_json()
    return data, {name: value for name, value in data["results"].items() if isinstance(value, int | float | str)}


@pytest.mark.parametrize("page", ["clip", "interval"])
def test_no_cut_is_silent(client: FlaskClient, page: str) -> None:
    link = link_of(client, page, query_of(FULL))
    whole = figures_of(client, page, link)[1]
    assert whole
    for end in range(len("v=1"), len(link)):
        data, figures = figures_of(client, page, link[:end])
        told = data["errors"].get("sum") == f"{WORDS}." or any("not known to this version" in n for n in data["notes"])
        # Cut before the sum nothing is left of the plan.
        assert told or not data["inputs"], link[:end]
        assert not figures, link[:end]


def test_nothing_is_worked_out_until_somebody_says_so(client: FlaskClient) -> None:
    for page in PAGES[::2]:
        query = full_query(page)
        changed = link_of(client, page.name, query).replace("lat=40.4167", "lat=40")
        data = client.get(f"/{page.name}.json?{changed}")
        assert data.status_code == 422
        assert data.json["errors"] == {"sum": f"{WORDS}."}
        assert data.json["inputs"]["lat"] == "40"
        if data.json["verdict"]:
            assert set(data.json["verdict"]["parts"].values()) == {"unknown"}
        whole = client.get(f"/{page.name}.json?{query}").json
        assert set(data.json["results"]) == set(whole["results"])
        markup = Markup(client.get(f"/{page.name}?{changed}").text)
        assert markup.faults == []
        assert WORDS in markup.texts["answer"]
        # The doubt goes along with every step that leaves out the tap.
        (kept,) = markup.named("sum")
        assert kept["value"] in changed
        (tap,) = (control for control in markup.named("set") if control["value"] == "sum=")
        # A button of the plan's own form, so that what was typed and not sent yet goes along.
        assert tap["formaction"] == f"/{page.name}"
        used = client.get(f"/{page.name}.json", query_string=f"{changed}&set={quote(tap['value'])}")
        assert used.json["errors"] == {}
        assert used.json == client.get(f"/{page.name}.json?{query.replace('lat=40.4167', 'lat=40')}").json
        # Set right by hand, it fits again.
        mended = client.get(f"/{page.name}.json?{changed.replace('lat=40', 'lat=40.4167')}").json
        assert mended["results"] == whole["results"]


def test_a_whole_link_is_the_plan(client: FlaskClient) -> None:
    for page in PAGES[1::2]:
        query = full_query(page)
        link = link_of(client, page.name, query)
        assert link.startswith("v=1&sum=")
        assert client.get(f"/{page.name}.json?{link}").json == client.get(f"/{page.name}.json?{query}").json
        # A form sends what is typed, which has no sum yet.
        assert not Markup(client.get(f"/{page.name}?{link}").text).named("sum")


@pytest.mark.parametrize(
    "again",
    [
        lambda query: urlencode(parse_qsl(query)),
        lambda query: query.replace("%20", "+"),
        lambda query: quote(unquote(query), safe="=&%"),
        lambda query: quote(normalize("NFD", unquote(query)), safe="=&"),
        lambda query: f"{query}&from_mail=1",
        lambda query: query.replace("5min", "300s"),
    ],
    ids=["encoded", "plus", "decoded", "other form of Unicode", "tracked", "rewritten"],
)
def test_what_messengers_do_changes_nothing(client: FlaskClient, again: Callable[[str], str]) -> None:
    link = link_of(client, "plan", query_of({**FULL, "name": "Grúa é 2"}))
    data = client.get(f"/plan.json?{again(link)}").json
    assert data["errors"] == {}
    assert data["inputs"]["interval"] == "5min"


def test_a_later_version_may_know_more(client: FlaskClient) -> None:
    pairs = [("v", "1"), ("interval", "5min"), ("fps", "25"), ("lens_coat", "blue")]
    link = str(write_query([pairs[0], ("sum", check_sum(pairs)), *pairs[1:]]))
    data = client.get(f"/plan.json?{link}").json
    assert data["errors"] == {}
    assert any("lens_coat" in note for note in data["notes"])
    assert "sum" in client.get(f"/plan.json?{link.replace('blue', 'red')}").json["errors"]


def test_the_sum_is_that_of_a_gzip_file() -> None:
    """RFC 1952, section 2.3.1: a gzip file ends with the CRC-32 of what it holds, least significant byte first."""
    pairs = [("v", "1"), ("name", "Gate 3, é"), ("interval", "5min")]
    text = "v=1&name=Gate%203,%20%C3%A9&interval=5min"
    assert check_sum(pairs) == gzip.compress(text.encode())[-8:-4][::-1].hex()
    assert "sum" not in QUANTITIES


def test_all_that_is_handed_out_has_it(client: FlaskClient) -> None:
    query = query_of({**FULL, "mounting": "Rung 2"})
    link = link_of(client, "sheet", query)
    folded = client.get(f"/sheet.ics?{query}").text.replace("\r\n ", "").replace("\\,", ",")
    share = client.get(f"/share?{query}").text
    assert link in folded
    assert link in client.get(f"/sheet.txt?{query}").text
    assert Markup(share).with_id("link")["value"].endswith(link)
    assert scan(modules_of(client.get(f"/sheet.svg?{query}").text), quiet=0).endswith(link)
    file = Markup(client.get(f"/sheet.html?{query}").text)
    assert any(a.get("name") == "webcalc-plan" and a["content"] == link for tag, a in file.elements if tag == "meta")
    assert client.get(f"/run?{query}").text.count("v=1&amp;sum=") == 1


def test_what_is_not_whole_is_not_handed_on(client: FlaskClient) -> None:
    cut = link_of(client, "sheet", query_of(FULL))[:-4]
    for path in ("sheet.txt", "sheet.html", "sheet.ics", "visits.ics"):
        assert client.get(f"/{path}?{cut}").status_code == 422
    share = Markup(client.get(f"/share?{cut}").text)
    assert share.faults == []
    assert WORDS in client.get(f"/share?{cut}").text
    assert "link" not in share.texts
    opened = client.post("/open", data={"link": f"http://a.example/plan?{cut}"}, follow_redirects=True)
    assert WORDS in opened.text
    run = client.get("/run.json", query_string={"plan": f"http://a.example/plan?{cut}"}).json
    assert WORDS in run["errors"]["line 1"]
