"""Links that mail programs, messengers and gateways have changed open as the plan that was sent, and that is told."""

from __future__ import annotations

import io
import quopri
import time
from urllib.parse import quote, urlsplit

import pytest
from examples import FULL, PAGES
from flask import Flask
from flask.testing import FlaskClient
from hand_over import HOSTILE, inputs_of, query_of, without_sum
from markup import Markup

PLANS = [FULL, {**FULL, "mounting": "Rung 2, left;\nkey at the gate"}, {**FULL, "mounting": HOSTILE}]
MENDED = "The link was changed on its way and was mended: "
#: RFC 2045, section 6.7: no encoded line is longer than 76 characters; programs wrap plain text there too.
WIDTH = 76


def handed_out(client: FlaskClient, pairs: dict[str, str]) -> str:
    return Markup(client.get(f"/sheet?{query_of(pairs)}").text).with_id("link")["value"]


def wrapped(text: str, width: int = WIDTH, joint: str = "\n") -> str:
    return joint.join(text[at : at + width] for at in range(0, len(text), width))


def opened(app: Flask, text: str) -> tuple[str, dict]:
    """Return the page that a pasted text opens, and its plan's data."""
    reply = app.test_client().post("/open", data={"link": text})
    assert reply.status_code == 303, text
    where = urlsplit(reply.location)
    return where.path, app.test_client().get(f"/framing.json?{where.query}").get_json()


WAYS = {
    "wrapped": lambda link: f"Bring the ladder.\n{wrapped(link)}\nThanks",
    "quoted": lambda link: "> Look here:\n> " + wrapped(link, 74, "\n> ") + "\n> Bye",
    "quoted twice": lambda link: ">> " + wrapped(link, 73, "\r\n>> "),
    "spaces": lambda link: f"Plan: {wrapped(link, 100, ' ')}",
    "encoded twice": lambda link: link.partition("?")[0] + "?" + link.partition("?")[2].replace("%", "%25"),
    "&amp;": lambda link: link.replace("&", "&amp;"),
    "all encoded": lambda link: quote(link, safe=""),
    "query encoded": lambda link: link.partition("?")[0] + "?" + quote(link.partition("?")[2], safe=""),
    "gateway": lambda link: f"https://mail.example/?url={quote(link, safe='')}&data=05%7C01&reserved=0",
    "gateway wrapped": lambda link: wrapped(f"https://mail.example/?url={quote(link, safe='')}&data=05%7C01"),
    "invisible": lambda link: f"{link[:60]}\u200b{link[60:90]}\u00ad{link[90:]}\u2060",
    **{f"{mark} behind": lambda link, mark=mark: link + mark for mark in "…*_”»%’"},
}


@pytest.mark.parametrize("pairs", PLANS, ids=["example", "notes", "hostile"])
@pytest.mark.parametrize("way", WAYS)
def test_what_is_pasted_is_mended_and_told(app: Flask, client: FlaskClient, way: str, pairs: dict[str, str]) -> None:
    page, data = opened(app, WAYS[way](handed_out(client, pairs)))
    assert page == "/sheet"
    assert data["errors"] == {}
    assert data["inputs"] == inputs_of(app, query_of(pairs))
    (note,) = (note for note in data["notes"] if note.startswith(MENDED))
    assert note.endswith("; its check sum fits now.")


@pytest.mark.parametrize("joint", ["\n", "\r\n> "])
def test_one_line_break_anywhere(app: Flask, client: FlaskClient, joint: str) -> None:
    link, whole = handed_out(client, PLANS[1]), inputs_of(app, query_of(PLANS[1]))
    for at in range(1, len(link), 7):
        page, data = opened(app, f"Plan: {link[:at]}{joint}{link[at:]}\nBye")
        assert (page, data["errors"]) == ("/sheet", {}), link[:at]
        assert data["inputs"] == whole, link[:at]


def test_a_link_without_a_sum_is_joined_where_it_surely_goes_on(app: Flask, client: FlaskClient) -> None:
    link, whole = without_sum(handed_out(client, FULL)), inputs_of(app, query_of(FULL))
    for at in range(link.index("?") + 2, len(link), 9):
        _page, data = opened(app, f"Plan: {link[:at]}\n{link[at:]}\nBye")
        assert data["inputs"] == whole, link[:at]
        assert any(note.startswith(MENDED) and "compare the values" in note for note in data["notes"]), link[:at]
    _page, data = opened(app, f"{link}\nBye")
    assert data["notes"] == []


@pytest.mark.parametrize("pairs", PLANS[1:], ids=["notes", "hostile"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "utf-16-be"])
def test_files_in_any_encoding(app: Flask, client: FlaskClient, encoding: str, pairs: dict[str, str]) -> None:
    query = query_of(pairs)
    mail = "Plan:\n" + quopri.encodestring(handed_out(client, pairs).encode()).decode()
    for text in (client.get(f"/sheet.ics?{query}").text, client.get(f"/sheet.txt?{query}").text, mail):
        file = (io.BytesIO(text.encode(encoding)), "plan.txt")
        reply = client.post("/open", data={"link": "", "file": file}, content_type="multipart/form-data")
        assert reply.status_code == 303
        assert reply.location.startswith("/sheet?")
        assert inputs_of(app, urlsplit(reply.location).query) == inputs_of(app, query)


@pytest.mark.parametrize("way", ["encoded twice", "&amp;", "query encoded", *(way for way in WAYS if "behind" in way)])
def test_an_address_is_mended_and_told(app: Flask, client: FlaskClient, way: str) -> None:
    query = WAYS[way](handed_out(client, FULL)).partition("?")[2]
    # A browser encodes what no address holds (WHATWG URL).
    shown = client.get("/plan", query_string=quote(query, safe="%&=+,/:;@*_~."))
    assert MENDED in shown.text
    assert inputs_of(app, query_of(FULL)) == inputs_of(app, quote(query, safe="%&=+,/:;@*_~."))


def test_what_could_be_read_is_never_changed_without_proof(client: FlaskClient) -> None:
    data = client.get("/plan.json?v=1&name=Gate%2525&kept=80%25&fps=25*").json
    assert data["inputs"] == {"name": "Gate%25", "fps": "25", "kept": "80"}
    assert "“25*”" not in str(data["errors"])
    assert any(note.startswith(MENDED) for note in data["notes"])
    assert client.get("/plan.json?v=1&fps=25&name=Gate*").json["inputs"]["name"] == "Gate*"


@pytest.mark.parametrize("page", [*(page.name for page in PAGES), "share", "before"])
def test_the_page_that_the_link_names_opens(app: Flask, page: str) -> None:
    location = app.test_client().post("/open", data={"link": f"http://a.example:8080/{page}?v=1&fps=25"}).location
    assert location.startswith(f"/{page}?v=1&fps=25")


def test_several_cameras_stay_several(client: FlaskClient) -> None:
    plans = "&".join(f"plan={quote(f'http://a.example/plan?v=1&first=2027-03-0{n}', safe='')}" for n in (1, 2))
    assert client.post("/open", data={"link": f"see http://a.example/run?{plans}"}).location == f"/run?{plans}"


@pytest.mark.parametrize(
    "text",
    [
        '<html><head><meta name="viewport" content="width=device-width"></head><p>Hello</p></html>',
        "https://shop.example/item?name=Bob",
        "https://shop.example/item?v=1&name=Bob&size=10x10",
        "https://videos.example/watch?v=12&kind=people",
        "name=Bob",
        "set size=big or name=Bob",
        "wait v=1 second",
    ],
)
def test_what_is_no_plan_is_not_taken_for_one(client: FlaskClient, text: str) -> None:
    shown = client.post("/open", data={"link": text})
    assert shown.status_code == 200
    assert "There is no plan in this text" in shown.text


@pytest.mark.parametrize("piece", ["v=1&sum=1 ", "?v=1&sum=1&", "v%3D1 ", "v=1\n&a=\n", "=3D", "\\,", "%25", "name=*&"])
def test_long_damage_is_read_quickly(client: FlaskClient, piece: str) -> None:
    begun = time.perf_counter()
    text = f"v=1&sum=00000000&{piece * 43_000}"[:130_000]
    assert client.post("/open", data={"link": text}, content_type="multipart/form-data").status_code in (200, 303)
    assert time.perf_counter() - begun < 5
