"""Whom this app answers: its hosts, which of them open only nearby, the proxies it believes, and their settings.

A name that isn't answered for may be a page elsewhere that lured a phone here (DNS rebinding). A literal private
address can't be such a lure: whoever asks for it was already in the network it names. So it is answered without asking
which addresses this computer has, which some phones don't tell.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable
from typing import Any

from flask import Flask, abort, request
from werkzeug.middleware.proxy_fix import ProxyFix

from webcalc.serving.network import is_host_name, is_private, read_ip

#: Where a server tells at which of its own addresses a request came in.
LOCAL_ADDRESS = "webcalc.local_address"
_HOST = re.compile(r"(?:\[([0-9a-f:.]+)\]|([0-9a-z.-]+))(?::([1-9][0-9]{0,4}))?", re.IGNORECASE | re.ASCII)
_LAST_PORT = 65_535


class Hosts:
    """Names that are answered for, and whether literal addresses of this computer are."""

    def __init__(self, names: Iterable[str], *, addresses: bool = True) -> None:
        self.names = frozenset(name.lower() for name in names)
        self.addresses = addresses

    def answers_for(self, host: str, local_address: str = "") -> bool:
        """Whether a ``Host`` header names this server; ``local_address`` is where the request came in."""
        found = _HOST.fullmatch(host)
        if not found or int(found[3] or 0) > _LAST_PORT:
            return False
        # A name with a dot at the end is the same name, said to be whole (RFC 1034, section 3.1).
        name = (found[1] or found[2]).lower().removesuffix(".")
        if name in self.names:
            return True
        ip = read_ip(name) if self.addresses else None
        if ip is None:
            return False
        return (is_private(ip) and not _is_documentation(name)) or ip == read_ip(local_address)


def _is_documentation(name: str) -> bool:
    """Whether Python counts an address as private only because it is reserved for examples (RFC 5737)."""
    return name.startswith(("192.0.2.", "198.51.100.", "203.0.113.", "2001:db8:"))


def install(app: Flask) -> None:
    """Refuse requests for other hosts; ``TRUSTED_HOSTS`` in the configuration is a ``Hosts`` or a list of names."""
    trusted = app.config["TRUSTED_HOSTS"]
    if trusted is None:
        return
    hosts = trusted if isinstance(trusted, Hosts) else Hosts(trusted, addresses=False)
    # Flask's own check knows neither IPv6 addresses nor the dot at the end of a name.
    app.config["TRUSTED_HOSTS"] = None

    @app.before_request
    def check_host() -> None:
        environ = request.environ
        if not hosts.answers_for(environ.get("HTTP_HOST", ""), environ.get(LOCAL_ADDRESS, "")):
            abort(400)


_LOCAL_ENDINGS = (".local", ".localhost", ".lan", ".internal", ".home.arpa")


def is_nearby_only(host: str) -> bool:
    """Whether a host can only be reached near this computer: a private address, ``.local``, a name without a dot."""
    ip = read_ip(host)
    if ip is not None:
        return is_private(ip)
    name = host.lower().rstrip(".")
    return "." not in name or name.endswith(_LOCAL_ENDINGS)


#: How a proxy on a Unix socket is named: it has no address.
UNIX = "unix"


class TrustedProxy:
    """Believes ``X-Forwarded-For``, ``-Proto`` and ``-Host`` from the given addresses, and from nobody else."""

    def __init__(self, app: Any, addresses: Iterable[str]) -> None:
        self.addresses = frozenset(addresses)
        self.direct: Callable[..., Iterable[bytes]] = app
        self.behind = ProxyFix(app, x_for=1, x_proto=1, x_host=1)

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """Hand on, with what the proxy said where it is trusted."""
        app = self.behind if (environ.get("REMOTE_ADDR") or UNIX) in self.addresses else self.direct
        return app(environ, start_response)


TRUST, PROXY = "WEBCALC_TRUST", "WEBCALC_PROXY"


class WrongSetting(ValueError):
    """A setting that can't be read; the message says which and what it should be."""


def _words(name: str) -> list[str]:
    return os.environ.get(name, "").replace(",", " ").lower().split()


def trusted_names() -> list[str]:
    """Return the host names of ``WEBCALC_TRUST``, parted by commas or spaces. Raises WrongSetting."""
    names = [name.removesuffix(".") for name in _words(TRUST)]
    for name in names:
        if not is_host_name(name):
            raise WrongSetting(f"{TRUST}: “{name}” must be a host name without scheme and port, like plans.example")
    return names


def trusted_proxies() -> list[str]:
    """Return the addresses of ``WEBCALC_PROXY``. Raises WrongSetting."""
    found = []
    for word in _words(PROXY):
        ip = read_ip(word)
        if ip is None and word != UNIX:
            raise WrongSetting(f"{PROXY}: “{word}” must be an address like 127.0.0.1, or “{UNIX}”")
        found.append(str(ip or word))
    return found
