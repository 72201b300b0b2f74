"""Which addresses open only near this computer."""

from __future__ import annotations

import ipaddress

#: Shared address space of carriers (RFC 6598): private in effect, though Python doesn't call it so.
_SHARED = ipaddress.ip_network("100.64.0.0/10")
_LOCAL_ENDINGS = (".local", ".localhost", ".lan", ".internal", ".home.arpa")


def is_nearby_only(host: str) -> bool:
    """Whether a host can only be reached near this computer: a private address, ``.local``, a name without a dot."""
    try:
        address = ipaddress.ip_address(host)
    except ValueError:
        name = host.lower().rstrip(".")
        return "." not in name or name.endswith(_LOCAL_ENDINGS)
    return not address.is_global or (address.version == 4 and address in _SHARED)
