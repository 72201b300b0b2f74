"""The socket that phones connect to, and what it can be reached by."""

from __future__ import annotations

import contextlib
import errno
import socket
from dataclasses import dataclass

from webcalc.serving.network import Address, phone_addresses, read_ip

LAST_PORT = 65_535
#: Ways to say "every address of this computer, IPv4 and IPv6".
EVERY_ADDRESS = ("", "0", "::", "*")
#: How systems say that a port is in use; Windows has numbers of its own (WSAEADDRINUSE, WSAEACCES).
_TAKEN = (errno.EADDRINUSE, 10_048, 10_013)


class PortTaken(Exception):
    """Another program listens on the port."""


class CannotListen(Exception):
    """The address isn't one of this computer's, or the port isn't allowed; the message says which."""


def _families(host: str) -> list[tuple[int, str]]:
    """Return family and address to bind, in the order to try. Raises CannotListen for a name nobody knows."""
    if host in EVERY_ADDRESS:
        # One socket for both families, where the system has IPv6; else IPv4 alone.
        both: list[tuple[int, str]] = [(socket.AF_INET6, "::")] if socket.has_ipv6 else []
        return both if host == "::" else [*both, (socket.AF_INET, "0.0.0.0")]  # noqa: S104 - phones are to reach it
    try:
        found = socket.getaddrinfo(host, None, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError):
        raise CannotListen(f"{host} is not an address of this computer.") from None
    # A name that has both families is reached by more phones over IPv4.
    places = sorted({(int(family), str(place[0])) for family, *_rest, place in found})
    return sorted(places, key=lambda place: place[0] != socket.AF_INET)[:1]


def listen_on(host: str, port: int) -> socket.socket:
    """Return a socket bound to the address. Raises PortTaken or CannotListen."""
    places = _families(host)
    for family, address in places:
        try:
            return _listen(family, address, port)
        except OSError as problem:
            if problem.errno in _TAKEN:
                raise PortTaken from None
            if isinstance(problem, PermissionError):
                raise CannotListen(f"Port {port} is reserved for the system.") from None
    if host == "::":
        raise CannotListen("This computer has no IPv6.")
    raise CannotListen(f"{host} is not an address of this computer." if host else "This computer has no network.")


def _listen(family: int, address: str, port: int) -> socket.socket:
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            # On Windows SO_REUSEADDR would let two programs have the same port.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            listening.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 0 if address == "::" else 1)
        place = socket.getaddrinfo(address, port, family, socket.SOCK_STREAM)[0][4]
        listening.bind(place)
        # Two sockets can be bound to one port as long as neither listens: only this makes it ours.
        listening.listen(1)
    except OSError:
        listening.close()
        raise
    return listening


def next_free_port(host: str, port: int) -> int | None:
    """Return the first free port after one that is taken, among the next hundred."""
    for candidate in range(port + 1, min(port + 100, LAST_PORT) + 1):
        with contextlib.suppress(PortTaken, CannotListen):
            listen_on(host, candidate).close()
            return candidate
    return None


@dataclass(frozen=True)
class Reach:
    """Where a listening socket can be reached."""

    host: str
    port: int

    @classmethod
    def of(cls, listening: socket.socket) -> Reach:
        """Return the reach of a bound socket."""
        host, port = listening.getsockname()[:2]
        return cls(host, port)

    @property
    def everywhere(self) -> bool:
        """Whether it listens on every address."""
        return self.host in ("::", "0.0.0.0")  # noqa: S104 - compared only

    @property
    def own_only(self) -> bool:
        """Whether only this computer can reach it."""
        ip = read_ip(self.host)
        return bool(ip and ip.is_loopback)

    def phones(self) -> list[Address]:
        """Return the addresses for phones as they are now, the likeliest first."""
        if self.everywhere:
            return phone_addresses(ipv6=self.host == "::")
        ip = read_ip(self.host)
        return [] if self.own_only or ip is None else [Address(ip)]

    def url(self, address: Address) -> str:
        """Return what to type on the phone."""
        return f"http://{address.in_url}:{self.port}"

    @property
    def own_url(self) -> str:
        """Return what to type on this computer itself."""
        ip = read_ip(self.host)
        if self.everywhere or ip is None or str(ip) == "127.0.0.1":
            return f"http://localhost:{self.port}"
        return self.url(Address(ip))
