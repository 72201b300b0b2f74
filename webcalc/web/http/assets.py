"""Static files under names that carry their content's hash, so that phones may keep them for good."""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

from flask import Flask, Response, abort

from webcalc.paths import asset_dir
from webcalc.web.http.tight import tight_lines

_TYPES = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml", ".png": "image/png"}
#: What stands between the lines of a file that is shortened.
_JOINTS = {".css": "", ".js": "\n"}
_LONG = "public, max-age=31536000"


@cache
def _hash(path: Path) -> str:
    return hashlib.sha256(content(path)).hexdigest()[:8]


@cache
def content(path: Path) -> bytes:
    """Return a file's bytes; style and script without indentation and lines that are comments only."""
    if path.suffix not in _JOINTS:
        return path.read_bytes()
    return tight_lines(path.read_text(encoding="utf-8"), _JOINTS[path.suffix]).encode()


def install(app: Flask) -> None:
    """Serve ``/static/<hash>/<name>`` and give templates ``asset(name)``."""
    folder = asset_dir("static")

    def asset(name: str) -> str:
        # Not by url_for: a request from an untrusted host has no routes, and its error page wants its style too.
        return f"/static/{_hash(folder / name)}/{name}"

    @app.get("/static/<tag>/<name>", endpoint="asset")
    def send(tag: str, name: str) -> Response:
        path = folder / name
        if path.parent != folder or path.suffix not in _TYPES or not path.is_file():
            abort(404)
        response = Response(content(path), mimetype=_TYPES[path.suffix])
        # An old tag still gets the file, but isn't kept: the page that asked for it is older than this server.
        response.headers["Cache-Control"] = _LONG if tag == _hash(path) else "no-store"
        return response

    app.jinja_env.globals["asset"] = asset
