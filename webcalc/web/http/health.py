"""``/health``: whether this process answers, for whoever watches over it. Asked by any name, and worth no entry."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from webcalc.web.http.headers import SECURITY_HEADERS

PATH = "/health"
_BODY = b"ok\n"


class Health:
    """Answers for health in front of the app: a watcher asks by an address that the app may not answer for."""

    def __init__(self, app: Callable[..., Iterable[bytes]]) -> None:
        self.app = app

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """Answer ``ok``, or hand on."""
        if environ.get("PATH_INFO") != PATH or environ.get("REQUEST_METHOD") not in ("GET", "HEAD"):
            return self.app(environ, start_response)
        headers = [("Content-Type", "text/plain; charset=utf-8"), ("Content-Length", str(len(_BODY)))]
        start_response("200 OK", [*headers, *SECURITY_HEADERS.items()])
        return [_BODY if environ["REQUEST_METHOD"] == "GET" else b""]
