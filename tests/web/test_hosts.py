"""Which hosts are answered for: names that were given, and literal addresses that can't be a lure."""

from __future__ import annotations

import pytest
from house import HOST, make_app

from webcalc.web.http.app import create_app
from webcalc.web.http.hosts import LOCAL_ADDRESS, Hosts

HOSTS = Hosts(["Laptop.local", "localhost"])


@pytest.mark.parametrize(
    "host",
    [
        "laptop.local",
        "LAPTOP.local",
        "laptop.local.",
        "laptop.local.:8080",
        "localhost:1",
        # Private networks (RFC 1918), a carrier's (RFC 6598), link-local (RFC 3927), unique local (RFC 4193).
        "10.1.2.3",
        "172.16.0.1:8080",
        "192.168.43.7",
        "100.64.0.1",
        "169.254.3.4",
        "127.0.0.2",
        "[fd00::2]:8080",
        "[fe80::1]",
        "[::1]:8080",
        "[::ffff:192.168.1.2]",
    ],
)
def test_answered(host: str) -> None:
    assert HOSTS.answers_for(host)


@pytest.mark.parametrize(
    "host",
    [
        "",
        ".",
        "laptop.local..",
        "evil.example",
        "laptop.local.evil.example",
        "10.1.2.3.evil.example",
        "8.8.8.8",
        "203.0.113.9",
        "[2a00::1]",
        "fd00::2",
        "laptop.local:0",
        "laptop.local:99999",
        "laptop.local:x",
        "laptop.local/..",
        "user@laptop.local",
        "０laptop.local",
        "a b",
        "10.1.2",
        "0x0a010203",
    ],
)
def test_refused(host: str) -> None:
    assert not HOSTS.answers_for(host)


def test_a_public_address_is_answered_where_it_is_this_computers_own() -> None:
    assert HOSTS.answers_for("8.8.8.8:8080", "8.8.8.8")
    assert HOSTS.answers_for("8.8.8.8:8080", "::ffff:8.8.8.8")
    assert HOSTS.answers_for("[2a00::1]:8080", "2a00::1")
    assert not HOSTS.answers_for("8.8.4.4:8080", "8.8.8.8")


def test_the_server_says_which_address_that_is() -> None:
    client = create_app({"TRUSTED_HOSTS": HOSTS}).test_client()
    asked = {"base_url": "http://8.8.8.8:8080"}
    assert client.get("/", **asked).status_code == 400
    assert client.get("/", **asked, environ_overrides={LOCAL_ADDRESS: "8.8.8.8"}).status_code == 200


def test_links_carry_an_ipv6_address_whole() -> None:
    page = create_app({"TRUSTED_HOSTS": HOSTS}).test_client().get("/interval", base_url="http://[fd00::2]:8080")
    assert b"http://[fd00::2]:8080/interval?v=1" in page.data


@pytest.mark.parametrize("method", ["get", "head"])
def test_health_is_told_under_any_name(method: str) -> None:
    reply = getattr(make_app().test_client(), method)("/health", headers={"Host": "evil.example"})
    assert reply.status_code == 200
    assert reply.data == (b"ok\n" if method == "get" else b"")
    assert reply.headers["Content-Security-Policy"]


def test_health_takes_nothing_in() -> None:
    assert make_app().test_client().post("/health", base_url=f"http://{HOST}").status_code == 404
