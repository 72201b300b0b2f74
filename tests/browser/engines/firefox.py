"""Debian's Firefox by its own remote protocol: frames of ``length:[0, id, name, parameters]`` over TCP."""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import tempfile
import time
from typing import Any

from ports import free_port

from engines.machine import HEIGHT, WIDTH
from engines.webdriver import WebDriver

NAMES = {"Navigate To": "Navigate", "Execute Script": "ExecuteScript"}
_START_S = 30


def _executable() -> str:
    return shutil.which("firefox-esr") or shutil.which("firefox") or ""


def missing() -> str:
    """Return what the machine lacks for a Firefox."""
    return "" if _executable() else "There is no Firefox: install the package firefox-esr."


class Firefox(WebDriver):
    """A headless Firefox with a profile of its own."""

    def __init__(self, scripts: bool = True) -> None:
        self._port, self._count = free_port(), 0
        self._profile = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        preferences = {
            "marionette.port": self._port,
            "javascript.enabled": scripts,
            "network.proxy.type": 0,
            "app.update.disabledForTesting": True,
            "datareporting.policy.dataSubmissionEnabled": False,
            "dom.security.https_first": False,
            "browser.shell.checkDefaultBrowser": False,
        }
        with open(os.path.join(self._profile.name, "user.js"), "w", encoding="utf-8") as file:
            file.writelines(
                f"user_pref({json.dumps(key)}, {json.dumps(value)});\n" for key, value in preferences.items()
            )
        self._process = subprocess.Popen(
            [_executable(), "--headless", "--marionette", "--no-remote", "--profile", self._profile.name],
            env={**os.environ, "MOZ_HEADLESS_WIDTH": str(WIDTH), "MOZ_HEADLESS_HEIGHT": str(HEIGHT + 85)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self._socket = self._connect()
        self._receive()  # It greets first.
        self.send("NewSession", capabilities={})
        if not scripts:
            return
        # The window's bars are part of what it was started with.
        bars = self.evaluate("return [outerWidth - innerWidth, outerHeight - innerHeight]")
        self.send("SetWindowRect", width=WIDTH + bars[0], height=HEIGHT + bars[1])

    def _connect(self) -> socket.socket:
        end = time.monotonic() + _START_S
        while True:
            try:
                return socket.create_connection(("127.0.0.1", self._port), timeout=_START_S)
            except OSError:
                if time.monotonic() > end or self._process.poll() is not None:
                    self.close()
                    raise
                time.sleep(0.1)

    def _receive(self) -> Any:
        length = b""
        while not length.endswith(b":"):
            length += self._socket.recv(1) or b":"
        frame = b""
        while len(frame) < int(length[:-1]):
            frame += self._socket.recv(int(length[:-1]) - len(frame))
        return json.loads(frame)

    def send(self, command: str, element: str = "", **parameters: Any) -> Any:
        self._count += 1
        if element:
            parameters["id"] = element
        if command == "Execute Script":
            parameters["sandbox"] = None  # The page's own objects, not guarded copies.
        name = "WebDriver:" + NAMES.get(command, command.replace(" ", ""))
        frame = json.dumps([0, self._count, name, parameters]).encode()
        self._socket.sendall(f"{len(frame)}:".encode() + frame)
        _kind, _count, error, result = self._receive()
        if error:
            raise RuntimeError(f"{command}: {error['error']}: {error['message']}")
        return result["value"] if isinstance(result, dict) and set(result) == {"value"} else result

    def close(self) -> None:
        self._process.terminate()
        self._process.wait(timeout=10)
        if hasattr(self, "_socket"):
            self._socket.close()
        self._profile.cleanup()
