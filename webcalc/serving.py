"""Serving the app to the phones on the local network: addresses, trusted names, the socket, waitress.

Only the standard library is asked about the network, and nothing is sent anywhere to find out. IPv4 only: every
phone on a hotspot has an IPv4 address, and a link without brackets is easier to type.
"""

from __future__ import annotations

import contextlib
import errno
import ipaddress
import logging
import re
import socket
import struct
from collections.abc import Iterator
from typing import Any

from waitress.server import create_server

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

#: The most that is taken in: the file of a crew sheet with 2,000 emoji of notes has 100 kB.
MOST_BYTES = 131_072
#: Settings of waitress for a hotspot: short waits, so that phones which went away hold no place, and small requests.
#: The longest address is that of a plan with 2,000 characters of notes that aren't Latin, encoded twice.
WAITRESS: dict[str, Any] = {
    "threads": 4,
    "ident": None,
    "max_request_header_size": 65_536,
    "max_request_body_size": MOST_BYTES,
    "connection_limit": 100,
    "channel_timeout": 30,
    "cleanup_interval": 10,
}
EVERY_ADDRESS = "0.0.0.0"  # noqa: S104 - being reached from the phones is what this server is for
LAST_PORT = 65_535

#: How systems say that a port is in use; Windows has numbers of its own (WSAEADDRINUSE, WSAEACCES).
_TAKEN = (errno.EADDRINUSE, 10_048, 10_013)
#: ioctl number of "address of this interface": Linux, then macOS and the BSDs.
_SIOCGIFADDR = (0x8915, 0xC0206921)
#: An address reserved for documentation (RFC 5737): it names the default route, and nobody is there.
_ELSEWHERE = ("198.51.100.1", 9)
_HOST_NAME = re.compile(r"[a-z0-9_]([a-z0-9_-]*[a-z0-9_])?(\.[a-z0-9_]([a-z0-9_-]*[a-z0-9_])?)*")


def _default_route_address() -> Iterator[str]:
    """Yield the address that a packet to the outside would carry; "connecting" a datagram socket sends none."""
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(_ELSEWHERE)
        yield probe.getsockname()[0]


def _interface_addresses() -> Iterator[str]:
    """Yield the address of each network interface; where interfaces can't be asked, those of this computer's name."""
    if fcntl is None:
        with contextlib.suppress(OSError):
            yield from socket.gethostbyname_ex(socket.gethostname())[2]
        return
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        for _number, name in socket.if_nameindex():
            request = struct.pack("256s", name.encode()[:15])
            for question in _SIOCGIFADDR:
                with contextlib.suppress(OSError):
                    yield socket.inet_ntoa(fcntl.ioctl(probe.fileno(), question, request)[20:24])
                    break


def phone_addresses() -> list[str]:
    """Return the IPv4 addresses at which a phone may reach this computer, the likeliest first.

    Private ones come before public ones; loopback and link-local ones are of no use to a phone. Empty without a
    network.
    """
    found = dict.fromkeys([*_default_route_address(), *_interface_addresses()])
    parsed = [ipaddress.IPv4Address(address) for address in found]
    useful = [a for a in parsed if not (a.is_loopback or a.is_link_local or a.is_unspecified or a.is_multicast)]
    return [str(address) for address in sorted(useful, key=lambda address: not address.is_private)]


def is_host_name(name: str) -> bool:
    """Whether this can be a host's name in an address."""
    return len(name) <= 253 and all(len(part) <= 63 for part in name.split(".")) and bool(_HOST_NAME.fullmatch(name))


def machine_names() -> list[str]:
    """Return the names of this computer, as it calls itself and as local name discovery (RFC 6762) does."""
    full = socket.gethostname().lower().rstrip(".")
    short = full.partition(".")[0]
    return [name for name in dict.fromkeys((full, short, f"{short}.local")) if is_host_name(name)]


class TrustedHosts:
    """The hosts this server answers for; any other name may be a page elsewhere that lured a phone here.

    The addresses are looked up at every request, so that a hotspot may be switched on after the server.
    """

    def __init__(self, more: tuple[str, ...] = ()) -> None:
        self.names = ("localhost", *machine_names(), *more)

    def __iter__(self) -> Iterator[str]:
        yield from self.names
        yield "127.0.0.1"
        yield from phone_addresses()


class PortTaken(Exception):
    """Another program listens on the port."""


class CannotListen(Exception):
    """The address isn't one of this computer's, or the port isn't allowed; the message says which."""


def listen_on(host: str, port: int) -> socket.socket:
    """Return a socket bound to the address. Raises PortTaken or CannotListen."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            # On Windows SO_REUSEADDR would let two programs have the same port.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        # Two sockets can be bound to one port as long as neither listens: only this makes it ours.
        listening.listen(1)
    except OSError as problem:
        listening.close()
        if problem.errno in _TAKEN:
            raise PortTaken from None
        if isinstance(problem, PermissionError):
            raise CannotListen(f"Port {port} is reserved for the system.") from None
        raise CannotListen(f"{host} is not an address of this computer.") from None
    return listening


def next_free_port(host: str, port: int) -> int | None:
    """Return the first free port after one that is taken, among the next hundred."""
    for candidate in range(port + 1, min(port + 100, LAST_PORT) + 1):
        with contextlib.suppress(PortTaken, CannotListen):
            listen_on(host, candidate).close()
            return candidate
    return None


def make_server(app: Any, listening: socket.socket) -> Any:
    """Return the waitress server for a bound socket; ``run()`` it."""
    # Two phones at the same moment are no news to the person at the terminal.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    return create_server(app, sockets=[listening], **WAITRESS)
