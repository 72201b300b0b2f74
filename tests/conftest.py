"""The app as the tests of the web side use it, at a fixed instant, and served to a real browser."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from house import make_app
from hypothesis import settings
from live import serving

# A shared machine may stand still for a while; how long a test takes is no finding.
settings.register_profile("webcalc", deadline=None)
settings.load_profile("webcalc")


TESTS = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep what starts browsers and servers, and looks at the clock, in one process, one after the other."""
    for item in items:
        if item.path.is_relative_to(TESTS / "browser") or item.path.is_relative_to(TESTS / "serving"):
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
