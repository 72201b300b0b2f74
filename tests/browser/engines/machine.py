"""What the drivers share: the size of the phone, and ports for the browsers' own servers."""

from __future__ import annotations

import socket

#: The phone of these tests, in CSS pixels.
WIDTH, HEIGHT = 360, 740


def free_port() -> int:
    """Return a port on the loopback address that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
