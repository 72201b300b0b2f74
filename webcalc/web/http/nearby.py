"""Which addresses open only near this computer."""

from __future__ import annotations

from webcalc.serving.network import is_private, read_ip

_LOCAL_ENDINGS = (".local", ".localhost", ".lan", ".internal", ".home.arpa")


def is_nearby_only(host: str) -> bool:
    """Whether a host can only be reached near this computer: a private address, ``.local``, a name without a dot."""
    ip = read_ip(host)
    if ip is not None:
        return is_private(ip)
    name = host.lower().rstrip(".")
    return "." not in name or name.endswith(_LOCAL_ENDINGS)
