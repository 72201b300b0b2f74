"""``webcalc.wsgi:app`` for any WSGI server; names and proxies that it trusts come from the environment."""

from __future__ import annotations

from webcalc.serving.network import machine_names
from webcalc.web.http.app import create_app
from webcalc.web.http.hosts import Hosts, TrustedProxy, trusted_names, trusted_proxies

app = create_app({"TRUSTED_HOSTS": Hosts(["localhost", *machine_names(), *trusted_names()])})
app.wsgi_app = TrustedProxy(app.wsgi_app, trusted_proxies())  # type: ignore[method-assign]
