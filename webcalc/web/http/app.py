"""The app factory, and whether the process answers."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from flask import Flask, request

from webcalc.paths import asset_dir
from webcalc.serving import MOST_BYTES, MOST_LISTING_BYTES
from webcalc.web.http import errors, hosts, outgoing, rationing
from webcalc.web.http.outgoing import SECURITY_HEADERS
from webcalc.web.http.page import utc_now

_HEALTH = "/health"
_BODY = b"ok\n"


class Health:
    """Answers for health in front of the app: a watcher asks by an address that the app may not answer for."""

    def __init__(self, app: Callable[..., Iterable[bytes]]) -> None:
        self.app = app

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """Answer ``ok``, or hand on."""
        if environ.get("PATH_INFO") != _HEALTH or environ.get("REQUEST_METHOD") not in ("GET", "HEAD"):
            return self.app(environ, start_response)
        headers = [("Content-Type", "text/plain; charset=utf-8"), ("Content-Length", str(len(_BODY)))]
        start_response("200 OK", [*headers, *SECURITY_HEADERS.items()])
        return [_BODY if environ["REQUEST_METHOD"] == "GET" else b""]


def create_app(config: Mapping[str, Any] | None = None) -> Flask:
    """Return the app.

    ``config`` may set ``NOW`` (a function that returns the current instant, aware) and ``TRUSTED_HOSTS`` (names, or
    a ``Hosts``).
    """
    from webcalc.web.http.start import start
    from webcalc.web.questions.pages import MOMENTS, PAGES
    from webcalc.web.questions.recorded import recorded
    from webcalc.web.questions.run.page import run
    from webcalc.web.questions.sheet import share

    app = Flask("webcalc", static_folder=None, template_folder=str(asset_dir("templates")))
    app.config.from_mapping(NOW=utc_now, MAX_CONTENT_LENGTH=MOST_LISTING_BYTES)
    app.config.update(config or {})
    app.json.sort_keys = False  # type: ignore[attr-defined]  # a page's data keeps the order of its table
    hosts.install(app)
    outgoing.install(app)
    errors.install(app)

    @app.before_request
    def bound_body() -> None:
        most = MOST_LISTING_BYTES if request.path.startswith("/recorded") else MOST_BYTES
        request.max_content_length = request.max_form_memory_size = most

    app.register_blueprint(start)
    for page in PAGES:
        app.register_blueprint(page.blueprint())
    app.register_blueprint(run)
    app.register_blueprint(recorded)
    app.register_blueprint(share)
    rationing.install(app)
    app.wsgi_app = Health(app.wsgi_app)  # type: ignore[method-assign]
    app.jinja_env.globals.update(pages=PAGES, moments=MOMENTS)
    return app
