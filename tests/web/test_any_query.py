"""Any query gets an answer or a plain error, as a page and as data, and the two agree."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import parse_qs, quote, quote_from_bytes, urlencode

import pytest
from examples import FULL, PAGES, name_of
from flask import Flask
from house import plain_paths
from hypothesis import given, settings
from hypothesis import strategies as st
from markup import Markup
from markupsafe import escape
from strategies import NASTY, nonsense, texts_of

from webcalc.web.http.page import Page
from webcalc.web.link.quantities import QUANTITIES

every_page = pytest.mark.parametrize("calc", PAGES, ids=name_of)
NAMES = [*QUANTITIES, "v"]


@st.composite
def queries(draw: st.DrawFn, start: dict[str, str]) -> list[tuple[str, str]]:
    """Return pairs of a query: the example with values changed, taken out, doubled, and names nobody knows."""
    pairs = [(name, text) for name, text in start.items() if draw(st.integers(0, 5))]
    for name in draw(st.lists(st.sampled_from(NAMES), max_size=6)):
        text = draw(nonsense if name == "v" else texts_of(name) | texts_of(name) | nonsense)
        if draw(st.booleans()):
            pairs = [pair for pair in pairs if pair[0] != name]
        pairs.append((name, text))
    pairs += draw(st.lists(st.tuples(st.text(max_size=8), st.text(max_size=8)), max_size=2))
    return draw(st.permutations(pairs)) if draw(st.booleans()) else pairs


def strict_json(text: str) -> Any:
    """Read JSON that holds no NaN and no infinity."""

    def refuse(constant: str) -> None:
        raise ValueError(f"{constant} is not JSON")

    return json.loads(text, parse_constant=refuse)


def check_query(app: Flask, calc: Page, query: str) -> None:
    """Ask the page and its data, and compare the two."""
    client = app.test_client()
    shown = client.get(f"/{calc.name}", query_string=query)
    assert shown.status_code == 200
    markup = Markup(shown.get_data(as_text=True))
    assert markup.faults == []

    reply = client.get(f"/{calc.name}.json", query_string=query)
    data = strict_json(reply.get_data(as_text=True))
    errors: dict[str, str] = data["errors"]
    assert reply.status_code == (422 if errors else 200)
    assert set(errors) <= set(QUANTITIES)
    assert not set(errors) & set(data["inputs"])
    for name, sentence in errors.items():
        assert len(sentence) > 10, f"{name}: {sentence!r} is no sentence"
        assert "{label}" not in sentence, sentence
        assert sentence in markup.texts["wrong"]
        if name in calc.all_fields:
            assert markup.texts[f"{name}-e"] == sentence
            assert markup.with_id(name)["aria-invalid"] == "true"
    if not errors:
        assert not markup.texts["wrong"]
        again = client.get(data["link"].replace(f"/{calc.name}?", f"/{calc.name}.json?"))
        assert again.status_code == 200
        assert strict_json(again.get_data(as_text=True))["inputs"] == data["inputs"]
        assert strict_json(again.get_data(as_text=True))["results"] == data["results"]


@every_page
@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_changed_examples(app: Flask, calc: Page, data: st.DataObject) -> None:
    check_query(app, calc, urlencode(data.draw(queries(FULL)), quote_via=quote))


@every_page
@given(data=st.data())
@settings(max_examples=15, deadline=None)
def test_queries_from_nothing(app: Flask, calc: Page, data: st.DataObject) -> None:
    check_query(app, calc, urlencode(data.draw(queries({})), quote_via=quote))


@every_page
def test_each_name_with_each_nasty_text(app: Flask, calc: Page) -> None:
    """Each nasty text goes into all names at once: as they are read one by one, that tries each with each."""
    for text in NASTY:
        # A server takes 16 kB of link: the long ones go into a few names only.
        names = list(QUANTITIES) if len(text) < 100 else calc.all_fields[:1]
        check_query(app, calc, urlencode({**FULL, **dict.fromkeys(names, text)}, quote_via=quote))


@every_page
def test_a_wrong_value_alone_leaves_the_page_standing(app: Flask, calc: Page) -> None:
    """One quantity is missing or wrong at a time, the rest of the plan is good."""
    for name in set(FULL) - {"v"}:
        others = {key: text for key, text in FULL.items() if key != name}
        check_query(app, calc, urlencode(others, quote_via=quote))
        check_query(app, calc, urlencode({**others, name: "?!"}, quote_via=quote))


@pytest.mark.parametrize(
    ("page", "query"),
    [
        ("battery", "charge_frames=900&charge_by=?!&temp_c=-5&battery_wh=50&interval=60s"),
        ("framing", "projection=?!&hfov=95&distance_m=300&size=1920x1080"),
        ("motion", "kind=?!&speed=5&hfov=60&distance_m=40&direction=90&fps=25&interval=10s&size=1920x1080"),
        ("sun", "bearing=?!&lat=40.4&lon=-3.7&mark_lat=40.5&mark_lon=-3.7"),
    ],
)
def test_a_wrong_value_beside_another_way_to_tell_it(app: Flask, page: str, query: str) -> None:
    """Which of two ways counts isn't known then, and nothing may ask for it as if it were."""
    (calc,) = (one for one in PAGES if one.name == page)
    check_query(app, calc, f"v=1&{query}")


@pytest.mark.parametrize("path", plain_paths())
@given(raw=st.binary(max_size=60).map(quote_from_bytes) | st.text("%&=;+?#/\\abv01F", max_size=40))
@settings(max_examples=15, deadline=None)
def test_bytes_that_are_no_text(app: Flask, path: str, raw: str) -> None:
    client = app.test_client()
    assert client.get(path, query_string=raw.replace("#", "%23")).status_code in (200, 303, 400)


@every_page
def test_typed_text_is_kept(app: Flask, calc: Page) -> None:
    text = "12 <b>\"'&amp; ½😀"
    shown = app.test_client().get(f"/{calc.name}", query_string={"v": "1", **dict.fromkeys(QUANTITIES, text)})
    source = shown.get_data(as_text=True)
    markup = Markup(source)
    assert '<b>"' not in source
    (along,) = (control for control in markup.named("set") if control.get("type") == "hidden")
    assert set(parse_qs(along["value"])) == set(QUANTITIES) - set(calc.all_fields)
    assert all(texts == [text] for texts in parse_qs(along["value"]).values())
    for name in calc.all_fields:
        kind = QUANTITIES[name].kind
        if kind.several:
            assert markup.texts[f"{name}-e"]
        elif kind.lines:
            assert markup.texts[name].strip() == text
        elif kind.options:
            assert f"<option selected>{escape(text)}" in source
        else:
            assert [control["value"] for control in markup.named(name)] == [text], name


@pytest.mark.parametrize("path", [path for page in PAGES for path in (f"/{page.name}", f"/{page.name}.json")])
def test_pages_can_only_be_opened(app: Flask, path: str) -> None:
    client = app.test_client()
    for method in ("POST", "PUT", "DELETE", "PATCH"):
        assert client.open(path, method=method, data={"first": "2027-03-01"}).status_code == 405
    assert client.head(path).status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "/nowhere",
        "/nowhere.json",
        "/static/x/../app.py",
        "/static/0/app.py",
        "/static/0/..%2Fapp.css",
        "/%00",
        "/static",
    ],
)
def test_a_wrong_address_is_a_plain_page(app: Flask, path: str) -> None:
    reply = app.test_client().get(path)
    assert reply.status_code == 404
    if path.endswith(".json"):
        assert strict_json(reply.get_data(as_text=True))["errors"] == {"": "There is no such page here."}
    else:
        assert Markup(reply.get_data(as_text=True)).faults == []
        assert "There is no such page here." in reply.get_data(as_text=True)


def test_a_crash_is_a_plain_page() -> None:
    from house import make_app

    app = make_app()
    app.config.update(TESTING=False, PROPAGATE_EXCEPTIONS=False)
    app.logger.disabled = True
    app.add_url_rule("/crash", view_func=lambda: 1 / 0)
    app.add_url_rule("/crash.json", "crash_data", lambda: 1 / 0)
    reply = app.test_client().get("/crash")
    assert reply.status_code == 500
    assert "Something went wrong here." in reply.get_data(as_text=True)
    data = app.test_client().get("/crash.json")
    assert data.status_code == 500
    assert "Something went wrong here." in strict_json(data.get_data(as_text=True))["errors"][""]


@pytest.mark.parametrize("path", plain_paths())
def test_every_page_is_well_formed(app: Flask, path: str) -> None:
    markup = Markup(app.test_client().get(path).get_data(as_text=True))
    assert markup.faults == []
    assert [tag for tag, _attributes in markup.elements].count("h1") == 1


@pytest.mark.parametrize(
    ("source", "fault"),
    [
        ("<p>a", "<p> isn't closed"),
        ("<b><i></b></i>", "</b> closes i"),
        ("<p style=x></p>", "<p style> is inline"),
        ("<p id=a></p><p id=a></p>", "id 'a' is there 2 times"),
        ("<label for=a></label>", "<label> refers to 'a', which isn't there"),
        ("<a href=#b></a>", "<a> refers to 'b', which isn't there"),
        ("<script>1</script>", "inline <script>"),
    ],
)
def test_the_reader_finds_what_it_looks_for(source: str, fault: str) -> None:
    assert fault in Markup(source).faults
