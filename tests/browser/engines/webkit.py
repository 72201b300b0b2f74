"""WebKit by its WebDriver server, on a screen that is only in memory."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

from ports import free_port

from engines.webdriver import WebDriver

WINDOW = Path(__file__).with_name("webkit_window.py")
#: The system's Python has the bindings for the window; the tests' own has not.
PYTHON = "/usr/bin/python3"
ROUTES = {
    "Navigate To": "url",
    "Find Element": "element",
    "Element Click": "element/{}/click",
    "Element Send Keys": "element/{}/value",
    "Element Clear": "element/{}/clear",
    "Back": "back",
    "Execute Script": "execute/sync",
}
#: Commands that only ask.
READ = {"Take Screenshot": "screenshot", "Get Element Text": "element/{}/text", "Get Current URL": "url"}
_START_S = 30


def missing() -> str:
    """Return what the machine lacks for WebKit's driver and its window."""
    lacks = "There is no WebKit: install the packages webkit2gtk-driver, xvfb, gir1.2-webkit2-4.1 and python3-gi."
    if not shutil.which("WebKitWebDriver") or not shutil.which("Xvfb"):
        return lacks
    try:
        subprocess.run([PYTHON, str(WINDOW), "--there"], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        return lacks
    return ""


class WebKit(WebDriver):
    """A window with one view of WebKit."""

    def __init__(self, scripts: bool = True) -> None:
        self._home = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        read, write = os.pipe()
        self._screen = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write), "-screen", "0", "800x900x24", "-nolisten", "tcp"],
            pass_fds=[write],
            stderr=subprocess.DEVNULL,
        )
        os.close(write)
        with os.fdopen(read) as named:
            display = named.readline().strip()
        port = free_port()
        self._server = subprocess.Popen(
            ["WebKitWebDriver", f"--port={port}"],
            env={
                **os.environ,
                "DISPLAY": f":{display}",
                "HOME": self._home.name,
                "GDK_BACKEND": "x11",
                # As root, which is how CI runs, its sandbox can't be set up.
                "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",
                "NO_AT_BRIDGE": "1",
            },
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self._url = f"http://127.0.0.1:{port}/session"
        self._wait()
        options = {"binary": PYTHON, "args": [str(WINDOW), *([] if scripts else ["--plain"])]}
        session = self._ask("POST", "", {"capabilities": {"alwaysMatch": {"webkitgtk:browserOptions": options}}})
        self._url += "/" + session["sessionId"]

    def _wait(self) -> None:
        end = time.monotonic() + _START_S
        while True:
            try:
                urllib.request.urlopen(self._url.replace("/session", "/status"), timeout=5).close()  # noqa: S310
                return
            except OSError:
                if time.monotonic() > end:
                    self.close()
                    raise
                time.sleep(0.1)

    def _ask(self, method: str, route: str, body: Any = None) -> Any:
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self._url + route, data, method=method)  # noqa: S310
        try:
            with urllib.request.urlopen(request, timeout=_START_S) as answer:  # noqa: S310
                return json.load(answer)["value"]
        except urllib.error.HTTPError as problem:
            with problem:
                raise RuntimeError(f"{route}: {problem.read().decode()}") from None

    def send(self, command: str, element: str = "", **parameters: Any) -> Any:
        if command in READ:
            return self._ask("GET", "/" + READ[command].format(element))
        return self._ask("POST", "/" + ROUTES[command].format(element), parameters)

    def close(self) -> None:
        for process in (self._server, self._screen):
            process.terminate()
            process.wait(timeout=10)
        self._home.cleanup()
