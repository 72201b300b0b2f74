"""The addresses and names of this computer, and which of them a phone is likely to reach.

Only the system is asked, and nothing is sent anywhere to find out.
"""

from __future__ import annotations

import contextlib
import ipaddress
import re
import socket
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

try:
    import ctypes
except ImportError:  # a Python that was built without it, as some terminal apps have
    ctypes = None  # type: ignore[assignment]

#: Addresses reserved for documentation (RFC 5737, RFC 3849): they name the default route, and nobody is there.
_ELSEWHERE = ((socket.AF_INET, "198.51.100.1"), (socket.AF_INET6, "2001:db8::1"))
#: Shared address space of carriers (RFC 6598): private in effect, though Python doesn't call it so.
_SHARED = ipaddress.ip_network("100.64.0.0/10")
#: Networks that a hotspot hands out when nobody chose another (common practice, no source; from memory).
_HOTSPOTS = [
    ipaddress.ip_network(text) for text in ("192.168.43.0/24", "192.168.137.0/24", "172.20.10.0/28", "10.42.0.0/16")
]
#: How systems call wireless interfaces and shared ones, and those behind which no phone is (common practice).
_WIRELESS = re.compile(r"wl|ap\d|swlan|softap|bridge100|wi-?fi", re.IGNORECASE)
_VIRTUAL = re.compile(r"docker|br-|veth|virbr|vmnet|vbox|tun|tap|utun|wg|ppp|rmnet|ccmni|cni|flannel", re.IGNORECASE)
_HOST_NAME = re.compile(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?(\.[a-z0-9]([a-z0-9-]*[a-z0-9])?)*")
_UP = 1

IPAddress = ipaddress.IPv4Address | ipaddress.IPv6Address


@dataclass(frozen=True)
class Address:
    """One address of this computer and the name of its interface; empty where the system doesn't tell."""

    ip: IPAddress
    interface: str = ""

    @property
    def in_url(self) -> str:
        """Return it as an address bar wants it."""
        return f"[{self.ip}]" if self.ip.version == 6 else str(self.ip)


def read_ip(text: str) -> IPAddress | None:
    """Return a literal address, an IPv4 one in IPv6 clothes (RFC 4291) as IPv4; None where it is a name."""
    try:
        ip = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return None
    mapped = ip.ipv4_mapped if isinstance(ip, ipaddress.IPv6Address) else None
    return mapped or ip


def is_private(ip: IPAddress) -> bool:
    """Whether an address can only be met near this computer or inside one network."""
    return not ip.is_global or (ip.version == 4 and ip in _SHARED)


# -- asking the system --------------------------------------------------------------------------------------


def _default_route_addresses() -> Iterator[IPAddress]:
    """Yield the addresses that a packet to the outside would carry; "connecting" a datagram socket sends none."""
    for family, elsewhere in _ELSEWHERE:
        with contextlib.suppress(OSError), socket.socket(family, socket.SOCK_DGRAM) as probe:
            probe.connect((elsewhere, 9))
            ip = read_ip(probe.getsockname()[0])
            if ip:
                yield ip


if ctypes:

    class _Entry(ctypes.Structure):
        """The beginning of ``struct ifaddrs``, the same on Linux, Android, macOS and the BSDs."""

    _Entry._fields_ = [
        ("next", ctypes.POINTER(_Entry)),
        ("name", ctypes.c_char_p),
        ("flags", ctypes.c_uint),
        ("address", ctypes.c_void_p),
    ]


def _read_socket_address(pointer: int) -> IPAddress | None:
    """Return the address in a ``struct sockaddr``: on macOS and the BSDs its first byte is its length."""
    head = ctypes.string_at(pointer, 2)
    family = int.from_bytes(head, sys.byteorder) if sys.platform in ("linux", "android") else head[1]
    if family == socket.AF_INET:
        return ipaddress.IPv4Address(ctypes.string_at(pointer + 4, 4))
    if family == socket.AF_INET6:
        return ipaddress.IPv6Address(ctypes.string_at(pointer + 8, 16))
    return None


def _listed_addresses() -> list[Address]:
    """Return every address of every interface that is up. Raises OSError where the system can't or won't tell."""
    if ctypes is None or sys.platform == "win32":
        raise OSError("this system has no list of interfaces that can be read here")
    try:
        library = ctypes.CDLL(None, use_errno=True)
        ask, free = library.getifaddrs, library.freeifaddrs
    except (AttributeError, TypeError) as problem:
        raise OSError(str(problem)) from None
    first = ctypes.POINTER(_Entry)()
    if ask(ctypes.byref(first)) != 0:
        raise OSError(ctypes.get_errno(), "getifaddrs")
    found, entry = [], first
    try:
        while entry:
            item = entry.contents
            ip = _read_socket_address(item.address) if item.address and item.flags & _UP else None
            if ip:
                found.append(Address(ip, item.name.decode(errors="replace")))
            entry = item.next
    finally:
        free(first)
    return found


def _addresses_by_name() -> Iterator[Address]:
    """Yield what this computer's name stands for: all addresses on Windows, often only loopback elsewhere."""
    with contextlib.suppress(OSError, UnicodeError):
        for *_rest, place in socket.getaddrinfo(socket.gethostname(), None, type=socket.SOCK_STREAM):
            ip = read_ip(str(place[0]))
            if ip:
                yield Address(ip)


def own_addresses() -> list[Address]:
    """Return the addresses of this computer; where interfaces can't be listed, those that show otherwise."""
    try:
        listed = _listed_addresses()
    except OSError:
        listed = list(_addresses_by_name())
    known = {address.ip for address in listed}
    return [*listed, *(Address(ip) for ip in _default_route_addresses() if ip not in known)]


# -- what a phone can use -----------------------------------------------------------------------------------


def phone_addresses(*, ipv6: bool = False) -> list[Address]:
    """Return the addresses at which a phone may reach this computer, the likeliest first; empty without a network.

    A hotspot comes first, then wireless, then the way to the outside, private before public. Loopback is of no use to
    a phone; link-local addresses are answered but not told, as they change or need a zone that browsers don't take.
    An IPv6 address is told where it is a private one or its interface has no other.
    """
    own = dict.fromkeys(own_addresses())
    useful = [
        a for a in own if not (a.ip.is_loopback or a.ip.is_link_local or a.ip.is_unspecified or a.ip.is_multicast)
    ]
    with_ipv4 = {a.interface for a in useful if a.ip.version == 4}
    routes = list(_default_route_addresses())
    told = [a for a in useful if a.ip.version == 4 or (ipv6 and (is_private(a.ip) or a.interface not in with_ipv4))]
    return sorted(told, key=lambda a: _rank(a, routes))


def _rank(address: Address, routes: list[IPAddress]) -> tuple[bool, ...]:
    """Return what sorts addresses, the likeliest first."""
    ip, name = address.ip, address.interface
    return (
        not is_private(ip),
        bool(_VIRTUAL.match(name)),
        not any(ip.version == network.version and ip in network for network in _HOTSPOTS),
        not (_WIRELESS.match(name) or _has_radio(name)),
        ip not in routes,
        ip.version == 6,
    )


def _has_radio(interface: str) -> bool:
    """Whether Linux knows the interface as wireless."""
    return bool(interface) and Path("/sys/class/net", interface, "wireless").exists()


def is_host_name(name: str) -> bool:
    """Whether this can be a host's name in an address."""
    return len(name) <= 253 and all(len(part) <= 63 for part in name.split(".")) and bool(_HOST_NAME.fullmatch(name))


def machine_names() -> list[str]:
    """Return the names of this computer, as it calls itself and as local name discovery (RFC 6762) does."""
    full = socket.gethostname().lower().rstrip(".")
    short = full.partition(".")[0]
    return [name for name in dict.fromkeys((full, short, f"{short}.local")) if is_host_name(name)]
