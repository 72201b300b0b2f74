"""A plan made on one webcalc opens on another: by link, text, file and code; and what can't be read is said."""

from __future__ import annotations

import io
import re
import time
from urllib.parse import quote, urlsplit

import pytest
from examples import FULL
from flask import Flask
from flask.testing import FlaskClient
from hand_over import EMOJI, HOSTILE, inputs_of, query_of, scan
from house import NOW, make_app, plain_paths
from markup import Markup
from test_sheet import modules_of

from webcalc.serving.server import WAITRESS
from webcalc.web.http.app import create_app
from webcalc.web.questions.sheet import is_nearby_only

OTHER_HOST = "192.168.43.7:8080"
PLANS = [FULL, {**FULL, "mounting": HOSTILE}, {**FULL, "mounting": EMOJI}, {**FULL, "name": "Gate 3."}]
NAMES = ["example", "hostile", "emoji", "full stop"]


@pytest.fixture(scope="module")
def elsewhere() -> Flask:
    """Another webcalc, which answers under another name and at another moment of the same day."""
    # The second name is the one that a test client has.
    trusted = ["192.168.43.7", "localhost"]
    return create_app({"NOW": lambda: NOW.replace(hour=11), "TRUSTED_HOSTS": trusted, "TESTING": True})


def made_elsewhere(elsewhere: Flask, path: str, pairs: dict[str, str]) -> str:
    reply = elsewhere.test_client().get(f"{path}?{query_of(pairs)}", headers={"Host": OTHER_HOST})
    assert reply.status_code == 200
    return reply.text


def way(elsewhere: Flask, kind: str, pairs: dict[str, str]) -> str:
    """Return what is pasted here after a plan was handed over in one of the ways."""
    if kind == "text":
        return made_elsewhere(elsewhere, "/sheet.txt", pairs)
    if kind == "file":
        return made_elsewhere(elsewhere, "/sheet.html", pairs)
    if kind == "code":
        return scan(modules_of(made_elsewhere(elsewhere, "/sheet.svg", pairs)), quiet=0)
    return Markup(made_elsewhere(elsewhere, "/plan", pairs)).with_id("link")["value"]


@pytest.mark.parametrize("pairs", PLANS, ids=NAMES)
@pytest.mark.parametrize("kind", ["link", "text", "file", "code"])
def test_opens_on_another_instance(app: Flask, elsewhere: Flask, kind: str, pairs: dict[str, str]) -> None:
    pasted = way(elsewhere, kind, pairs)
    assert "192.168.43.7" in pasted
    opened = app.test_client().post("/open", data={"link": pasted}, content_type="multipart/form-data")
    assert opened.status_code == 303
    page = "plan" if kind == "link" else "sheet"
    assert opened.location.startswith(f"/{page}?")
    query = urlsplit(opened.location).query
    # A code that would be too dense leaves the notes out, and says so on the sheet.
    kept = {name: text for name, text in pairs.items() if kind != "code" or name != "mounting"}
    assert inputs_of(app, query) == inputs_of(elsewhere, query_of(kept))
    for page in ("plan", "sheet", "visits"):
        here = app.test_client().get(f"/{page}.json?{query}").get_json()["results"]
        there = elsewhere.test_client().get(f"/{page}.json?{query_of(kept)}").get_json()["results"]
        for results in (here, there):
            # It looks at the present moment, which isn't the same at the two.
            results.pop("today", None)
        assert here == there
        assert here


@pytest.mark.parametrize("pairs", PLANS, ids=NAMES)
def test_the_file_itself_can_be_chosen(app: Flask, pairs: dict[str, str]) -> None:
    file = app.test_client().get(f"/sheet.html?{query_of(pairs)}").data
    data = {"link": "", "file": (io.BytesIO(file), "sheet.html")}
    opened = app.test_client().post("/open", data=data, content_type="multipart/form-data")
    assert opened.status_code == 303
    assert inputs_of(app, urlsplit(opened.location).query) == inputs_of(app, query_of(pairs))
    assert len(file) < WAITRESS["max_request_body_size"]
    assert len(opened.location) < WAITRESS["max_request_header_size"]


@pytest.mark.parametrize(
    "pasted",
    [
        "http://evil.example/plan?v=1&interval=5min&fps=25",
        "https://elsewhere.example:8080/sheet?v=1&interval=5min&fps=25.",
        "v=1&interval=5min&fps=25",
        "?v=1&interval=5min&fps=25",
        "Look: (http://a.example/clip?v=1&interval=5min&fps=25), and call me.",
        "http://a.example/?first=2001-01-01 is old; new: <http://a.example/plan?v=1&interval=5min&fps=25>",
        "see http://a.example/plan?v=1&interval=5min&fps=25#top or size=big",
        '<a href="http://a.example/plan?v=1&amp;interval=5min&amp;fps=25">plan</a>',
        "\n\n  HTTP://A.EXAMPLE/plan?v=1&interval=5min&fps=25\n",
    ],
)
def test_a_plan_in_many_wrappings(client: FlaskClient, app: Flask, pasted: str) -> None:
    for opened in (client.get("/open", query_string={"link": pasted}), client.post("/open", data={"link": pasted})):
        assert opened.status_code == 303
        # Never followed: the answer leads to this server, whatever the host.
        assert re.match(r"/(plan|clip|sheet)\?v=1&", opened.location)
        assert inputs_of(app, urlsplit(opened.location).query) == {"interval": "5min", "fps": "25"}
        assert "Set-Cookie" not in opened.headers


@pytest.mark.parametrize("pasted", ["hello", "http://a.example/", "a=b&c=d", "v=1", "😀" * 500, "=?&=", "http://[bad"])
def test_no_plan_in_it(client: FlaskClient, pasted: str) -> None:
    shown = client.post("/open", data={"link": pasted})
    if pasted == "v=1":
        # An empty plan is one.
        assert shown.status_code == 303
        return
    assert shown.status_code == 200
    markup = Markup(shown.text)
    assert markup.faults == []
    assert "There is no plan in this text" in shown.text
    assert markup.texts["link"].strip() == pasted


def test_what_cannot_be_read_is_said(client: FlaskClient) -> None:
    pasted = "http://a.example/plan?v=1&interval=quick&fps=25&colour=blue&first=2027-03-01"
    opened = client.post("/open", data={"link": pasted}, follow_redirects=True)
    assert "“colour” in the link is not known to this version and was left out." in opened.text
    errors = client.get("/plan.json?" + urlsplit(client.post("/open", data={"link": pasted}).location).query).get_json()
    assert set(errors["errors"]) == {"interval"}
    assert errors["inputs"] == {"first": "2027-03-01", "fps": "25"}


def test_a_link_of_another_version_is_read_as_far_as_known(client: FlaskClient) -> None:
    pasted = "http://a.example/plan?v=2&interval=5min&lens=wide&last=2027-03-09"
    location = client.post("/open", data={"link": pasted}).location
    body = client.get("/plan.json?" + urlsplit(location).query).get_json()
    # No usual values: a link with a version means what it says.
    assert body["inputs"] == {"interval": "5min", "last": "2027-03-09"}
    assert any("format version “2”" in note for note in body["notes"])
    assert any("“lens”" in note for note in body["notes"])


def test_too_much_is_refused_with_a_sentence(client: FlaskClient) -> None:
    reply = client.post("/open", data={"link": "x" * 200_000})
    assert reply.status_code == 413
    assert "That is more than this page can take." in reply.text


@pytest.mark.parametrize("text", ["a" * 130_000, "?" * 130_000, "=" * 130_000, "a=" * 65_000, "://" * 43_000])
def test_long_nonsense_is_read_quickly(client: FlaskClient, text: str) -> None:
    begun = time.perf_counter()
    assert client.post("/open", data={"link": text}, content_type="multipart/form-data").status_code in (200, 303)
    assert time.perf_counter() - begun < 5


@pytest.mark.parametrize(
    ("host", "nearby"),
    [
        ("192.168.1.2", True),
        ("10.0.0.1", True),
        ("172.20.10.2", True),
        ("100.64.1.1", True),
        ("127.0.0.1", True),
        ("169.254.1.1", True),
        ("fd00::1", True),
        ("laptop", True),
        ("laptop.local", True),
        ("LAPTOP.LOCAL.", True),
        ("8.8.8.8", False),
        ("shoot.example.com", False),
    ],
)
def test_hosts_that_only_this_hotspot_reaches(host: str, nearby: bool) -> None:
    """RFC 1918, RFC 6598, RFC 3927, RFC 4193, RFC 6762; a name without a dot is one of a local network."""
    assert is_nearby_only(host) is nearby


@pytest.mark.parametrize("pairs", [FULL, {**FULL, "mounting": HOSTILE}], ids=["example", "hostile"])
def test_share_has_everything(client: FlaskClient, pairs: dict[str, str]) -> None:
    shown = client.get(f"/share?{query_of(pairs)}")
    markup = Markup(shown.text)
    assert markup.faults == []
    text = client.get(f"/sheet.txt?{query_of(pairs)}").text.removesuffix("\n")
    parts = [markup.texts[key].strip() for key in ("text", "text2", "text3") if key in markup.texts]
    assert "\n\n".join(parts) == text
    assert markup.with_id("link")["value"] == text.splitlines()[-1]
    body = quote(text)
    # RFC 6068, section 2, and RFC 5724: a body is percent-encoded.
    assert {f"sms:?&body={quote(part)}" for part in parts} <= set(markup.targets())
    assert any(
        target.startswith("mailto:?subject=") and target.endswith(f"&body={body}") for target in markup.targets()
    )
    assert "opens only near this computer" in shown.text


def test_share_of_a_public_host_says_nothing_of_hotspots() -> None:
    app = create_app({"NOW": lambda: NOW, "TRUSTED_HOSTS": ["shoot.example.com"], "TESTING": True})
    shown = app.test_client().get(f"/share?{query_of(FULL)}", headers={"Host": "shoot.example.com"})
    assert "opens only near" not in shown.text


def previewed(client: FlaskClient, path: str) -> dict[str, str]:
    """Return what programs show of a link: the Open Graph protocol, og:title, og:description (from memory)."""
    markup = Markup(client.get(path).text)
    metas = [a for tag, a in markup.elements if tag == "meta" and "content" in a]
    found = {a["property"]: a["content"] for a in metas if "property" in a}
    # What searches show is the same.
    assert ("description", found["og:description"]) in {(a.get("name"), a["content"]) for a in metas}
    assert set(found) == {"og:title", "og:description"} and all(found.values()), path
    return {name: words.replace("\u00a0", " ") for name, words in found.items()}


def test_previews_carry_the_main_figures(client: FlaskClient) -> None:
    for page, words in (("plan", "Clip "), ("sheet", "1 Mar 2027 to 31 Aug 2027"), ("share", "is the interval")):
        assert words in previewed(client, f"/{page}?{query_of(FULL)}")["og:description"]
    assert previewed(client, f"/share?{query_of(FULL)}")["og:title"] == "Example site (invented): 5 min"
    # What isn't known is told there too.
    known = {name: text for name, text in FULL.items() if name != "standby_mw"}
    assert "Not known: battery" in previewed(client, f"/visits?{query_of(known)}")["og:description"]


@pytest.mark.parametrize("path", plain_paths())
def test_every_page_has_a_preview(client: FlaskClient, path: str) -> None:
    for query in ("", f"?{query_of(FULL)}"):
        assert previewed(client, path + query)


def test_the_header_limit_takes_the_longest_plan() -> None:
    """Notes that aren't Latin, carried along in another field, are encoded twice."""
    longest = "/sheet?v=1&set=" + quote(f"mounting={quote(EMOJI)}")
    assert len(longest) < WAITRESS["max_request_header_size"] - 4_096
    assert make_app().test_client().get(longest, follow_redirects=True).status_code == 200
