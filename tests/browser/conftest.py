"""A phone's browser for the tests in this folder, cut off from everything but the app.

The app is reached under a name that isn't this computer's, over plain http: what browsers keep for secure pages is
missing in every test here, as it is on a hotspot.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import chromium
import engines
import pytest
from axe_playwright_python.sync_playwright import Axe
from house import HOST
from playwright.sync_api import BrowserContext, Page, Playwright, Route

PHONE = {"width": 360, "height": 740}


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    path = chromium.executable()
    found = {"executable_path": path} if path else {}
    return {
        **browser_type_launch_args,
        **found,
        "args": [*chromium.ARGUMENTS, f"--host-resolver-rules=MAP {HOST} 127.0.0.1"],
    }


@pytest.fixture(scope="session")
def base_url(live_port: int) -> str:
    return f"http://{HOST}:{live_port}"


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any], playwright: Playwright, base_url: str) -> dict[str, Any]:
    return {
        **playwright.devices["Pixel 7"],
        **browser_context_args,
        "base_url": base_url,
        "viewport": PHONE,
        "screen": PHONE,
    }


class Faults(list[str]):
    """What went wrong in the browser without the page showing it: requests elsewhere, scripts, blocked styles."""

    def listen(self, context: BrowserContext, base_url: str) -> None:
        """Record the faults of a context; a request that would leave the server is stopped."""

        def gate(route: Route) -> None:
            if route.request.url.startswith(base_url + "/"):
                route.fallback()
            else:
                self.append(f"request to {route.request.url}")
                route.abort()

        context.route("**/*", gate)
        context.on("weberror", lambda error: self.append(f"script: {error.error}"))
        context.on("console", lambda said: self.append(f"console: {said.text}") if said.type == "error" else None)


@pytest.fixture
def faults() -> Iterator[Faults]:
    """Fail the test when the browser met a fault; a test that makes one on purpose clears the list."""
    met = Faults()
    yield met
    assert met == []


@pytest.fixture
def new_context(
    new_context: Callable[..., BrowserContext], faults: Faults, base_url: str
) -> Callable[..., BrowserContext]:
    """Make contexts that can reach the app only."""

    def make(**arguments: Any) -> BrowserContext:
        context = new_context(**arguments)
        context.set_default_timeout(10_000)
        faults.listen(context, base_url)
        return context

    return make


@pytest.fixture
def plain_page(new_context: Callable[..., BrowserContext]) -> Page:
    """Return a page in a browser that runs no scripts."""
    return new_context(java_script_enabled=False).new_page()


@pytest.fixture(scope="session")
def axe() -> Axe:
    return Axe()


@pytest.fixture(scope="module")
def started() -> Iterator[Callable[..., engines.Engine]]:
    """Start each browser once a file: by its name, with scripts or without."""
    running: dict[tuple[str, bool], engines.Engine] = {}

    def get(name: str, scripts: bool = True) -> engines.Engine:
        if lacks := engines.missing(name):
            pytest.skip(lacks)
        if (name, scripts) not in running:
            running[name, scripts] = engines.start(name, scripts)
        return running[name, scripts]

    yield get
    for engine in running.values():
        engine.close()
