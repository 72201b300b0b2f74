"""What every response carries: nothing from elsewhere, nothing stored, nothing told to others."""

from __future__ import annotations

import pytest
from examples import PAGES, full_query
from flask import Flask
from house import HOST, plain_paths
from markup import Markup

from webcalc.paths import asset_dir

STATIC = sorted(path.name for path in asset_dir("static").iterdir())
EVERY_PATH = [
    *plain_paths(),
    *(f"/{page.name}?{full_query(page)}" for page in PAGES),
    *(f"/{page.name}.json?{full_query(page)}" for page in PAGES),
    *(f"/static/0/{name}" for name in STATIC),
    "/nowhere",
    "/nowhere.json",
]


def policy(app: Flask, path: str) -> dict[str, list[str]]:
    """Return the content security policy by directive."""
    text = app.test_client().get(path).headers["Content-Security-Policy"]
    return {words[0]: words[1:] for words in (part.split() for part in text.split(";"))}


@pytest.mark.parametrize("path", EVERY_PATH, ids=lambda path: path.partition("?")[0])
def test_every_response(app: Flask, path: str) -> None:
    headers = app.test_client().get(path).headers
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "no-referrer"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Cache-Control"] == "no-store"
    assert "Set-Cookie" not in headers
    # On plain http it would be ignored, and behind a proxy it would be the proxy's to say.
    assert "Strict-Transport-Security" not in headers


@pytest.mark.parametrize("path", EVERY_PATH, ids=lambda path: path.partition("?")[0])
def test_policy_allows_this_server_only(app: Flask, path: str) -> None:
    found = policy(app, path)
    assert found.pop("default-src") == ["'none'"]
    assert found.pop("base-uri") == ["'none'"]
    assert found.pop("frame-ancestors") == ["'none'"]
    assert set(found) == {"style-src", "script-src", "img-src", "connect-src", "form-action"}
    assert all(sources == ["'self'"] for sources in found.values())


def test_a_foreign_host_gets_the_headers_too(app: Flask) -> None:
    reply = app.test_client().get("/", headers={"Host": "evil.example"})
    assert reply.status_code == 400
    assert reply.headers["Content-Security-Policy"]
    assert Markup(reply.get_data(as_text=True)).faults == []


@pytest.mark.parametrize("host", [HOST, f"{HOST}:8080", "localhost", "127.0.0.1:1"])
def test_trusted_hosts(app: Flask, host: str) -> None:
    assert app.test_client().get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["", "evil.example", f"{HOST}.evil.example", f"x{HOST}", f"{HOST}:99999", "a b", "[::1]", "<b>", "localhost:x"],
)
def test_other_hosts(app: Flask, host: str) -> None:
    reply = app.test_client().get("/", headers={"Host": host})
    assert reply.status_code == 400
    assert "<b>" not in reply.get_data(as_text=True)


@pytest.mark.parametrize("path", [*plain_paths(), *(f"/{page.name}?{full_query(page)}" for page in PAGES)])
def test_everything_comes_from_this_server(app: Flask, path: str) -> None:
    for target in Markup(app.test_client().get(path).get_data(as_text=True)).targets():
        # Schemes that hand something to the phone itself lead to no server.
        here = target.startswith(("/", "#", "?")) and not target.startswith("//")
        assert here or target.startswith(("geo:", "sms:", "mailto:", f"http://{HOST}", "http://localhost")), target


@pytest.mark.parametrize("name", STATIC)
def test_a_static_file_is_kept_for_good_under_its_hash(app: Flask, name: str) -> None:
    client = app.test_client()
    with app.test_request_context():
        address = app.jinja_env.globals["asset"](name)
    reply = client.get(address)
    assert reply.status_code == 200
    assert reply.headers["Cache-Control"] == "public, max-age=31536000"
    assert reply.data
    old = client.get(f"/static/00000000/{name}")
    assert old.data == reply.data
    assert old.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize(
    ("name", "kind"), [("app.css", "text/css"), ("app.js", "text/javascript"), ("icon.svg", "image/svg+xml")]
)
def test_static_files_say_what_they_are(app: Flask, name: str, kind: str) -> None:
    assert app.test_client().get(f"/static/0/{name}").content_type.partition(";")[0] == kind
