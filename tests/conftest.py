"""The app as the tests of the web side use it, at a fixed instant, and served to a real browser."""

from __future__ import annotations

import threading
from collections.abc import Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient
from house import make_app
from hypothesis import settings

from webcalc.serving import listen_on, make_server

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
    listening = listen_on("127.0.0.1", 0)
    server = make_server(make_app(), listening)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    yield listening.getsockname()[1]
    # In the server's own thread, or it would wait on sockets that are closed under it.
    server.trigger.pull_trigger(server.close)
    thread.join(timeout=5)
    server.task_dispatcher.shutdown()
