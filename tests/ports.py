"""Ports for the servers and browsers that tests start."""

from __future__ import annotations

import random
import socket

#: Below what Linux (32768), macOS and Windows (49152, RFC 6335) hand out to outgoing connections: such a connection
#: of the other test process could take a port between our look and the server's.
OURS = range(20_000, 30_000)


def free_port() -> int:
    """Return a port on the loopback address that nobody listens on, another each time."""
    while True:
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port := random.choice(OURS)))  # noqa: S311
            except OSError:
                continue
            return port
