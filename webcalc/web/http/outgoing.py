"""What is done to every answer on its way out: fewer bytes, files under their content's hash, security headers."""

from __future__ import annotations

import gzip
import hashlib
import re
from functools import cache
from pathlib import Path

from flask import Flask, Response, abort, request
from jinja2.ext import Extension

from webcalc.paths import asset_dir

_PACKED = ("application/json", "application/javascript", "image/svg+xml")
#: Shorter answers fit one packet anyway.
_SHORTEST = 500
_LEVEL = 6


def _takes_gzip() -> bool:
    accepted = request.accept_encodings
    return "gzip" in {name.lower() for name, _quality in accepted} and accepted["gzip"] > 0


def compress(response: Response) -> Response:
    """Compress a response that gains by it. The same answer gives the same bytes: no time is written into it."""
    kind = response.mimetype or ""
    if response.direct_passthrough or not (kind.startswith("text/") or kind in _PACKED):
        return response
    # Said of the plain answer too, or something in between might hand the compressed one to everybody.
    response.vary.add("Accept-Encoding")
    body = response.get_data()
    if len(body) >= _SHORTEST and not response.content_encoding and _takes_gzip():
        response.set_data(gzip.compress(body, _LEVEL, mtime=0))
        response.content_encoding = "gzip"
    return response


#: End tags that HTML lets out in the places where these pages have them (WHATWG HTML, "Optional tags").
_END_TAGS = re.compile(r"</(?:li|td|th|tr|dd|dt)>|</?head>|<body>|</body></html>\s*$")
#: Attribute values that need no quotes. Quotes in what a person typed are escaped, so they never match; a slash at the
#: end could be taken for that of a tag that is closed in place.
_QUOTED = re.compile(r'(?<= )([a-z-]+)="([#/]?[A-Za-z0-9_.:,-]+(?:/[A-Za-z0-9_.:,-]+)*)"')
_EMPTY_VALUE = re.compile(r'(<input\b[^<>]*?) value=""')


class TightTemplates(Extension):
    """Drop indentation and line ends from templates as they are compiled: a third of a page's bytes."""

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        """Return the source with each line stripped; a line that ends in plain text keeps a space."""
        kept = [line.strip() for line in source.splitlines()]
        return "".join(line if line.endswith((">", "}")) else line + " " for line in filter(None, kept))


def tight_html(text: str) -> str:
    """Return the same document without what HTML lets out."""
    text = _EMPTY_VALUE.sub(r"\1", text)
    text = _QUOTED.sub(r"\1=\2", text)
    return _END_TAGS.sub("", text)


def tighten(response: Response) -> Response:
    """Leave out of a page what HTML lets out."""
    if response.mimetype == "text/html" and not response.direct_passthrough:
        response.set_data(tight_html(response.get_data(as_text=True)))
    return response


def tight_lines(text: str, joint: str) -> str:
    """Return style or script without indentation and without lines that are comments only.

    ``joint`` stands between lines: nothing in a style sheet whose rules each end their line, a line end in a script.
    """
    lines = (line.strip() for line in text.splitlines())
    return joint.join(line for line in lines if line and not line.startswith(("//", "/*")))


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


#: Nothing from the network, nothing inline; a page may only send its form back to this server.
CONTENT_SECURITY_POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
SECURITY_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    # The address holds the site's place, so it never goes to another server.
    "Referrer-Policy": "no-referrer",
    "X-Frame-Options": "DENY",
    "Cache-Control": "no-store",
}


def add_headers(response: Response) -> Response:
    """Add the headers that a response doesn't set itself."""
    for name, value in SECURITY_HEADERS.items():
        response.headers.setdefault(name, value)
    return response


def install(app: Flask) -> None:
    """Serve ``/static/<hash>/<name>``, give templates ``asset(name)``; what changes every answer runs last to first."""
    app.after_request(compress)
    app.jinja_env.add_extension(TightTemplates)
    app.after_request(tighten)
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
    app.after_request(add_headers)
