"""Compression for whoever takes it, the same bytes each time."""

from __future__ import annotations

import gzip
import zlib

import pytest
from examples import PAGES, full_query
from flask import Flask
from house import HOST

PAGE = next(page for page in PAGES if page.name == "plan")
PATHS = [
    "/",
    f"/plan?{full_query(PAGE)}",
    f"/plan.json?{full_query(PAGE)}",
    "/static/0/app.css",
    "/static/0/refresh.js",
]


def fetch(app: Flask, path: str, accepted: str | None):
    headers = {} if accepted is None else {"Accept-Encoding": accepted}
    return app.test_client().get(path, base_url=f"http://{HOST}", headers=headers)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.partition("?")[0])
def test_text_is_compressed_and_says_so(app: Flask, path: str) -> None:
    plain, packed = fetch(app, path, None), fetch(app, path, "br, gzip;q=0.8")
    assert packed.headers["Content-Encoding"] == "gzip"
    assert int(packed.headers["Content-Length"]) == len(packed.data)
    assert gzip.decompress(packed.data) == plain.data
    assert len(packed.data) < 0.6 * len(plain.data)
    assert "Content-Encoding" not in plain.headers
    for reply in (plain, packed):
        assert "Accept-Encoding" in reply.headers["Vary"]
    # No time in the header (RFC 1952, section 2.3.1: four bytes from the fifth on), so equal answers are equal bytes.
    assert packed.data[4:8] == bytes(4)
    assert fetch(app, path, "gzip").data == packed.data


@pytest.mark.parametrize("accepted", ["", "identity", "br", "gzip;q=0", "gzip;q=0, *"])
def test_who_does_not_take_it_gets_it_plain(app: Flask, accepted: str) -> None:
    reply = fetch(app, PATHS[1], accepted)
    assert "Content-Encoding" not in reply.headers
    assert b"<h1>" in reply.data


@pytest.mark.parametrize("accepted", ["gzip", "GZIP", "deflate, gzip", "gzip;q=0.1"])
def test_who_takes_it_gets_it(app: Flask, accepted: str) -> None:
    assert zlib.decompress(fetch(app, PATHS[1], accepted).data, 31)


def test_what_fits_a_packet_stays_plain(app: Flask) -> None:
    reply = fetch(app, "/static/0/sheet_file.css", "gzip")
    assert len(reply.data) < 500
    assert "Content-Encoding" not in reply.headers
    assert "Accept-Encoding" in reply.headers["Vary"]


def test_a_head_request_has_the_headers_alone(app: Flask) -> None:
    reply = app.test_client().head("/", base_url=f"http://{HOST}", headers={"Accept-Encoding": "gzip"})
    assert reply.status_code == 200
    assert reply.data == b""
