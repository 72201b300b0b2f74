"""Settings from the environment, for servers that have no command line of this program's own."""

from __future__ import annotations

import os

from webcalc.serving.network import is_host_name, read_ip
from webcalc.web.http.proxy import UNIX

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
