"""The app as the tests of the web side use it, at a fixed instant, and served to a real browser."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient
from house import make_app
from hypothesis import settings
from live import serving

# A shared machine may stand still for a while; how long a test takes is no finding.
settings.register_profile("webcalc", deadline=None)
settings.load_profile("webcalc")


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
