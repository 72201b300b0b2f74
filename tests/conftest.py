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
from xdist.remote import Producer
from xdist.scheduler import LoadScopeScheduling

# A shared machine may stand still for a while; how long a test takes is no finding.
settings.register_profile("webcalc", deadline=None)
settings.load_profile("webcalc")


BROWSER = Path(__file__).parent / "browser"
ALONE = ("tests/browser/", "tests/serving/")
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


class OneByOne(LoadScopeScheduling):
    """What starts browsers and servers, and looks at the clock, goes to one process, the rest wherever there is room.

    xdist's own groups are marks in a test's name, where pytest 9.2 takes no notice of them.
    """

    def _split_scope(self, nodeid: str) -> str:
        return "alone" if nodeid.startswith(ALONE) else nodeid


def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> OneByOne:
    return OneByOne(config, log)


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
