"""The app as the tests of the web side use it, at a fixed instant, and served to a real browser."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import chromium
import engines
import pytest
from flask import Flask
from flask.testing import FlaskClient
from house import make_app
from hypothesis import settings
from live import serving

# A shared machine may stand still for a while; how long a test takes is no finding.
settings.register_profile("webcalc", deadline=None)
settings.load_profile("webcalc")


BROWSER = Path(__file__).parent / "browser"
ALONE = (BROWSER, Path(__file__).parent / "serving")
ALSO = ("firefox", "webkit")


def _asks_for_browsers(config: pytest.Config) -> bool:
    asked = [Path(config.invocation_params.dir, arg.partition("::")[0]).resolve() for arg in config.args]
    return any(BROWSER in (path, *path.parents) or path in BROWSER.parents for path in asked)


def pytest_configure(config: pytest.Config) -> None:
    """Look for the browser before the first test runs: without one there is no run at all."""
    if not config.option.collectonly and not hasattr(config, "workerinput") and _asks_for_browsers(config):
        try:
            chromium.executable()
        except chromium.NoChromium as problem:
            raise pytest.UsageError(str(problem)) from None
        lacks = [engines.missing(name) for name in ALSO if engines.missing(name)]
        if lacks and os.environ.get("CI") == "true":
            raise pytest.UsageError(" ".join(lacks))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say which engines the tests could run in."""
    for name in ALSO if _asks_for_browsers(terminalreporter.config) else ():
        lacks = engines.missing(name)
        terminalreporter.write_line(f"{name}: " + (f"NOT run. {lacks}" if lacks else "found."))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep what starts browsers and servers, and looks at the clock, in one process, one after the other."""
    for item in items:
        if any(item.path.is_relative_to(place) for place in ALONE):
            item.add_marker(pytest.mark.xdist_group("alone"))


@pytest.fixture(scope="session")
def app() -> Flask:
    return make_app()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture(scope="session")
def live_port() -> Iterator[int]:
    """Serve the app by waitress, with the settings it has in use, and return the port on the loopback address."""
    with serving(make_app()) as server:
        yield int(server.effective_port)
