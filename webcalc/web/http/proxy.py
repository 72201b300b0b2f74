"""What a trusted proxy in front says of a request: the client's address, the scheme and the host it was asked by."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from werkzeug.middleware.proxy_fix import ProxyFix

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
