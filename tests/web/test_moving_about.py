"""A plan survives every tap, and its address is the one canonical link; a step says what it changed, with undo."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from examples import PAGES, full_query
from flask.testing import FlaskClient
from markup import Markup

QUERY = full_query()


def sent(client: FlaskClient, page: str, *steps: str, **changes: str) -> str:
    """Send a page's form as a browser does: every field of it, the rest in one, steps after that."""
    markup = Markup(client.get(f"/{page}?{QUERY}").text)
    pairs = []
    plan = {name: texts[0] for name, texts in parse_qs(QUERY).items()}
    fields = dict.fromkeys(
        a["name"] for tag, a in markup.elements if tag in ("input", "select", "textarea") and "name" in a
    )
    for name in fields:
        if name == "set":
            carried = next(a for a in markup.named("set") if a.get("type") == "hidden").get("value", "")
            pairs.append(("set", unescape(carried)))
        elif name != "link":
            shown = markup.with_id("site").get("value", "") if name == "site" else plan.get(name, "")
            pairs.append((name, changes.get(name, shown)))
    pairs += [("set", step) for step in steps]
    return client.get(f"/{page}", query_string=pairs, base_url="http://localhost").headers.get("Location", "")


@pytest.mark.parametrize("name", [page.name for page in PAGES])
def test_a_form_without_script_goes_on_to_the_canonical_link(client: FlaskClient, name: str) -> None:
    went_to = sent(client, name)
    # An address is handed out: with the check sum, directly behind the version.
    plan, sums = re.subn(r"(?<=v=1&)sum=[0-9a-f]{8}&", "", went_to)
    assert sums == 1
    assert unquote(plan) == unquote(f"/{name}?{QUERY}")
    assert len(plan) <= len(f"/{name}?{QUERY}")


def test_what_is_wrong_stays_as_typed(client: FlaskClient) -> None:
    assert sent(client, "clip", interval="often") == ""
    shown = client.get("/clip?v=1&set=&interval=often").text
    assert "often" in shown
    assert "<details id=rest>" in shown, "the wrong field is an open one"
    assert "<details id=rest open>" in client.get("/clip?v=1&fps=often").text


def test_the_script_is_answered_at_once(client: FlaskClient) -> None:
    assert client.get(f"/clip?{QUERY}&set=", headers={"X-Refresh": "1"}).status_code == 200


def test_a_step_says_what_it_changed_and_can_be_undone(client: FlaskClient) -> None:
    after = sent(client, "interval", "interval=10min")
    assert parse_qs(urlsplit(after).query)["interval"] == ["10min"]
    page = client.get(after).text.replace("\u00a0", " ")
    assert "Interval: 10 min, was 5 min." in page
    undo = re.search(r'formaction=/interval name=set value="([^"]+)">Undo', page)
    assert undo and undo[1] == "interval=5min"
    assert "was=" not in re.search(r'id=link [^>]*value="([^"]+)"', page)[1]


def test_a_step_that_fills_a_blank_can_be_undone(client: FlaskClient) -> None:
    after = client.get("/storage?v=1&set=&card_gb=&set=card_gb%3D64").headers["Location"]
    page = client.get(after).text.replace("\u00a0", " ")
    assert "Card: 64 GB, was empty." in page
    assert 'value="card_gb="' in page


def test_a_part_of_what_it_rests_on_opens_the_form(client: FlaskClient) -> None:
    page = client.get(f"/plan?{QUERY}").text
    assert "<details id=rest>" in page
    link = re.search(r'href="(/plan\?[^"]+&amp;open=days#days)"', page)
    assert link
    opened = client.get(unescape(link[1]).partition("#")[0]).text
    assert "<details id=rest open>" in opened
    assert "open=" not in re.search(r'id=link [^>]*value="([^"]+)"', opened)[1]


def test_a_step_in_the_answer_comes_after_what_is_carried(client: FlaskClient) -> None:
    """What a form sends stands in the order of the page (HTML standard, constructing the entry list)."""
    for page in PAGES:
        source = client.get(f"/{page.name}?{QUERY}").text
        named = re.findall(r"<[^>]* name=set[ >]", source)
        assert "hidden" in named[0]
        assert not any("hidden" in one for one in named[1:])


def test_capitals_find_the_page(client: FlaskClient) -> None:
    reply = client.get(f"/Plan?{QUERY}")
    assert reply.status_code == 301
    assert reply.headers["Location"] == f"/plan?{QUERY}"
    assert client.get("/Nowhere").status_code == 404
