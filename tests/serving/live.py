"""The server as it is in use, in this process or in one of its own, and plain requests to it; loopback only."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

import pytest
from ports import free_port

from webcalc.serving.listening import listen_on
from webcalc.serving.server import Server, make_server

PATIENCE_S = 20


def needs(address: str) -> None:
    """Skip a test, and say why, where this computer hasn't got an address of its own to listen on."""
    try:
        with socket.socket(socket.AF_INET6 if ":" in address else socket.AF_INET) as probe:
            probe.bind((address, 0))
    except OSError:
        pytest.skip(f"this computer has no {address}")


def get(
    port: int,
    path: str = "/interval",
    host: str | None = None,
    *,
    at: str = "127.0.0.1",
    source: str = "",
    headers: Mapping[str, str] | None = None,
) -> tuple[int, str]:
    """Fetch a path, under any Host header, from any address of the loopback network."""
    own = (source, 0) if source else None
    connection = http.client.HTTPConnection(at, port, timeout=PATIENCE_S, source_address=own)
    try:
        connection.request("GET", path, headers={**({"Host": host} if host else {}), **(headers or {})})
        reply = connection.getresponse()
        return reply.status, reply.read().decode()
    finally:
        connection.close()


def say_raw(port: int, data: bytes) -> bytes:
    """Send bytes and return all that comes back until the server closes."""
    with socket.create_connection(("127.0.0.1", port), PATIENCE_S) as connection:
        connection.sendall(data)
        found = b""
        while piece := connection.recv(65_536):
            found += piece
        return found


@contextmanager
def serving(app: Any, host: str = "127.0.0.1", **options: Any) -> Iterator[Server]:
    """Serve an app in a thread of this process."""
    listening = listen_on(host, 0)
    server = make_server(app, listening, **options)
    # It looks at deadlines every second; tests have shorter ones.
    server.adj.asyncore_loop_timeout = server.adj.cleanup_interval = 0.1
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        # In the server's own thread, or it would wait on sockets that are closed under it.
        server.trigger.pull_trigger(lambda: server.asyncore.close_all(server._map))
        thread.join(timeout=5)
        server.task_dispatcher.shutdown()


class Started:
    """The program in a process of its own, once it answers."""

    def __init__(
        self, *arguments: str, at: str = "127.0.0.1", port: int | None = None, env: Mapping[str, str] | None = None
    ) -> None:
        self.port = port or free_port()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "webcalc", "--port", str(self.port), *arguments],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            encoding="utf-8",
            env={**os.environ, "PYTHONIOENCODING": "utf-8", **(env or {})},
        )
        wait_for(self.process, lambda: get(self.port, "/health", at=at))

    def end(self, how: signal.Signals = signal.SIGINT) -> tuple[int, str, str]:
        """End it and return exit code and what it printed."""
        self.process.send_signal(how)
        out, err = self.process.communicate(timeout=PATIENCE_S)
        return self.process.returncode, out, err


def wait_for(process: subprocess.Popen[str], ask: Callable[[], object]) -> None:
    """Wait until a server answers; fail with what it printed if it never does."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and process.poll() is None:
        try:
            ask()
            return
        except OSError:
            time.sleep(0.05)
    process.kill()
    pytest.fail(f"it didn't start: {process.communicate()}")


@contextmanager
def running(*arguments: str, **options: Any) -> Iterator[Started]:
    """Run the program and see that it ends whatever happens."""
    started = Started(*arguments, **options)
    try:
        yield started
    finally:
        if started.process.poll() is None:
            started.process.kill()
            started.process.communicate()
