"""A Chromium for the browser tests: Playwright's own, else one on the PATH, else one that gets installed."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator, Sequence
from functools import cache

from playwright.sync_api import Error, sync_playwright

ON_PATH = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
#: The sandbox refuses root, and everything else on this list would ask the network for something.
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
NONE_FOUND = (
    "The browser tests need Chromium. There is none, and neither 'playwright install chromium' nor "
    "'apt-get install chromium' could install one; install it and run the tests again."
)
_INSTALL_S = 600


class NoChromium(Exception):
    """No Chromium, and none could be installed."""


@cache
def executable() -> str | None:
    """Return the path of a Chromium that starts; None for Playwright's own. Raises NoChromium."""
    for candidate in _candidates():
        if _starts(candidate):
            return candidate
    raise NoChromium(NONE_FOUND)


def _candidates() -> Iterator[str | None]:
    yield None
    yield from filter(None, map(shutil.which, ON_PATH))
    if _run([sys.executable, "-m", "playwright", "install", "chromium"]):
        yield None
    if _apt(["update"]) and _apt(["install", "-y", "--no-install-recommends", "chromium"]):
        yield shutil.which("chromium")


def _starts(path: str | None) -> bool:
    with sync_playwright() as playwright:
        try:
            playwright.chromium.launch(executable_path=path, args=[*ARGUMENTS]).close()
        except Error:
            return False
    return True


def _apt(arguments: Sequence[str]) -> bool:
    if not shutil.which("apt-get"):
        return False
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return _run([*([] if root else ["sudo", "-n"]), "apt-get", "-q", *arguments])


def _run(command: Sequence[str]) -> bool:
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "PLAYWRIGHT_DOWNLOAD_CONNECTION_TIMEOUT": "10000"}
    print("Installing a browser for the tests:", " ".join(command), file=sys.stderr, flush=True)
    try:
        done = subprocess.run(
            command, env=quiet, stdin=subprocess.DEVNULL, capture_output=True, timeout=_INSTALL_S, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0
