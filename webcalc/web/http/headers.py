"""Security headers for every response, in one place."""

from __future__ import annotations

from flask import Flask, Response

#: Nothing from the network, nothing inline; a page may only send its form back to this server.
CONTENT_SECURITY_POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


def add_headers(response: Response) -> Response:
    """Add the headers that a response doesn't set itself."""
    headers = response.headers
    headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
    headers.setdefault("X-Content-Type-Options", "nosniff")
    # The address holds the site's place, so it never goes to another server.
    headers.setdefault("Referrer-Policy", "no-referrer")
    headers.setdefault("X-Frame-Options", "DENY")
    headers.setdefault("Cache-Control", "no-store")
    return response


def install(app: Flask) -> None:
    """Add the headers after every request."""
    app.after_request(add_headers)
