"""Many connections that ask nothing, or a byte now and then, keep nobody else waiting."""

from __future__ import annotations

import socket
import sys
import threading
import time
from collections.abc import Iterator

import pytest
from house import make_app
from live import get, running, say_raw, serving

import webcalc.serving.server as server_module

#: Addresses of the loopback network; only Linux answers for all of it without being told.
CROWD = ("127.0.0.2", "127.0.0.3", "127.0.0.4")
NEWCOMER = "127.0.0.5"
if not sys.platform.startswith("linux"):
    CROWD, NEWCOMER = ("127.0.0.1",) * 3, "127.0.0.1"
OF_EACH = 100


class Crowd:
    """Connections from three addresses, half of them idle, half of them sending a header byte by byte."""

    def __init__(self, port: int, *, of_each: int = OF_EACH) -> None:
        self.idle = [self.connect(port, source) for source in CROWD for _ in range(of_each)]
        self.trickling = [self.connect(port, source) for source in CROWD for _ in range(of_each)]
        self.ended = threading.Event()
        self.thread = threading.Thread(target=self.trickle, daemon=True)
        self.thread.start()

    @staticmethod
    def connect(port: int, source: str) -> socket.socket:
        return socket.create_connection(("127.0.0.1", port), timeout=10, source_address=(source, 0))

    def trickle(self) -> None:
        for byte in b"GET /clip HTTP/1.1\r\nHost: localhost\r\nX-Long: " + b"x" * 1_000:
            for connection in self.trickling:
                try:
                    connection.send(bytes([byte]))
                except OSError:
                    continue
            if self.ended.wait(0.2):
                return

    def leave(self) -> None:
        self.ended.set()
        self.thread.join()
        for connection in (*self.idle, *self.trickling):
            connection.close()


@pytest.fixture(scope="module")
def port() -> Iterator[int]:
    with running("--host", "127.0.0.1") as started:
        yield started.port


def test_six_hundred_connections_keep_nobody_waiting(port: int) -> None:
    crowd = Crowd(port)
    try:
        for _ in range(8):
            begin = time.monotonic()
            assert get(port, "/clip", source=NEWCOMER)[0] == 200
            assert time.monotonic() - begin < 1
            time.sleep(0.1)
        # Whoever shares an address with the crowd is answered too: who waits longest gives way.
        begin = time.monotonic()
        assert get(port, "/clip", source=CROWD[0])[0] == 200
        assert time.monotonic() - begin < 1
    finally:
        crowd.leave()
    assert get(port, "/clip")[0] == 200


def test_one_address_holds_a_few_places_only() -> None:
    with serving(make_app()) as server:
        port = server.effective_port
        held = [socket.create_connection(("127.0.0.1", port)) for _ in range(server_module.MOST_OF_ONE + 30)]
        assert get(port)[0] == 200
        assert len(server.active_channels) <= server_module.MOST_OF_ONE
        for connection in held:
            connection.close()


def test_a_trusted_proxy_holds_as_many_as_it_needs() -> None:
    with serving(make_app(), proxies=["127.0.0.1"]) as server:
        port, many = server.effective_port, server_module.MOST_OF_ONE + 30
        held = [socket.create_connection(("127.0.0.1", port)) for _ in range(many)]
        assert get(port)[0] == 200
        assert len(server.active_channels) >= many
        for connection in held:
            connection.close()


def test_there_is_room_for_a_thousand() -> None:
    with serving(make_app()) as server:
        assert server.room >= 1_000
        if hasattr(server_module.select, "poll"):
            assert server.adj.asyncore_use_poll


def test_when_every_place_is_taken_the_longest_waiting_gives_way(monkeypatch: pytest.MonkeyPatch) -> None:
    with serving(make_app()) as server:
        monkeypatch.setattr(server, "room", 5)
        held = [socket.create_connection(("127.0.0.1", server.effective_port)) for _ in range(5)]
        assert get(server.effective_port)[0] == 200
        held[0].settimeout(5)
        assert held[0].recv(1) == b"", "the first one had waited longest"
        for connection in held:
            connection.close()


@pytest.fixture
def hurried(monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """A server whose deadlines are over in a moment."""
    for name in ("HEADERS_S", "BODY_S", "IDLE_S", "READING_S"):
        monkeypatch.setattr(server_module, name, 0.5)
    with serving(make_app()) as server:
        yield server.effective_port


@pytest.mark.parametrize(
    "begin",
    [
        b"",
        b"\r\n",
        b"GET /clip HTTP/1.1\r\nHost: loc",
        b"POST /open HTTP/1.1\r\nHost: localhost\r\nContent-Length: 50\r\n\r\nlink=",
        b"GET /clip HTTP/1.1\r\nHost: localhost\r\n\r\n",
    ],
    ids=["silent", "blank lines", "half a header", "half a body", "kept alive"],
)
def test_what_never_ends_is_closed(hurried: int, begin: bytes) -> None:
    start = time.monotonic()
    answer = say_raw(hurried, begin)
    assert time.monotonic() - start < 5
    assert answer.startswith(b"HTTP/1.1 200") == begin.endswith(b"\r\n\r\n")


def test_blank_lines_are_no_request(hurried: int) -> None:
    """They may come before one (RFC 9112, section 2.2), but keep no place."""
    with socket.create_connection(("127.0.0.1", hurried), 5) as connection:
        start = time.monotonic()
        with pytest.raises(OSError):
            while time.monotonic() - start < 5:
                connection.sendall(b"\r\n\r\n")
                time.sleep(0.1)
    assert time.monotonic() - start < 5


@pytest.mark.parametrize(("deadline", "requests"), [("READING_S", 1), ("STALLED_S", 20)])
def test_answers_that_nobody_reads_are_dropped(monkeypatch: pytest.MonkeyPatch, deadline: str, requests: int) -> None:
    """Of many in a row, a thread holds the next answer until there is room, and must not wait for good."""
    monkeypatch.setattr(server_module, deadline, 0.5)
    with serving(make_app()) as server, socket.socket() as connection:
        port = int(server.effective_port)
        # Little is on the way, so that it piles up at the server.
        server.adj.socket_options = [(socket.SOL_SOCKET, socket.SO_SNDBUF, 4_096)]
        server.adj.outbuf_high_watermark = 10_000
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2_048)
        connection.connect(("127.0.0.1", port))
        connection.sendall(b"GET /link HTTP/1.1\r\nHost: localhost\r\n\r\n" * requests)
        until = time.monotonic() + 10
        held = []
        while not held and time.monotonic() < until:
            held = [channel for channel in list(server.active_channels.values()) if channel.total_outbufs_len]
        assert held, "something must be left unread"
        while held[0].connected and time.monotonic() < until:
            time.sleep(0.05)
        assert not held[0].connected
        while server.task_dispatcher.active_count and time.monotonic() < until:
            time.sleep(0.05)
        assert not server.task_dispatcher.active_count, "no thread is held"
        assert get(port)[0] == 200


def test_the_time_to_read_begins_with_the_answer() -> None:
    """Not with the question: one that took long to answer was dropped as its answer came."""
    with serving(make_app()) as server, socket.create_server(("127.0.0.1", 0)) as door:
        there = socket.create_connection(door.getsockname())
        here, _address = door.accept()
        channel = server_module._Channel(server, here, ("127.0.0.9", 1), server.adj, map={})
        # Only this test looks at it.
        server.active_channels.clear()
        long_ago = 10 * server_module.READING_S
        channel.last_activity -= long_ago
        channel.waiting_since = channel.begun_at = channel.unread_since = channel.sent_at = time.monotonic() - long_ago
        channel.requests = [object()]
        # More than the system takes at once, so that something is left.
        channel.write_soon(b"x" * 12_000_000)
        now = time.monotonic()
        assert channel.total_outbufs_len
        assert not channel.is_overdue(now)
        assert channel.is_overdue(now + server_module.STALLED_S + 1)
        channel.requests = []
        assert not channel.is_overdue(now + server_module.STALLED_S + 1)
        assert channel.is_overdue(now + server_module.READING_S + 1)
        channel.handle_close()
        there.close()


@pytest.mark.parametrize(
    ("data", "status"),
    [
        (b"nonsense\r\n\r\n", b"400"),
        (b"GET http://[::1/clip HTTP/1.1\r\nHost: localhost\r\n\r\n", b"400"),
        (b"GET /clip HTTP/1.1\r\nHost: localhost\r\nX: " + b"x" * 70_000 + b"\r\n\r\n", b"431"),
        (b"POST /open HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99999999\r\n\r\n", b"413"),
        (b"POST /open HTTP/1.1\r\nHost: localhost\r\nTransfer-Encoding: odd\r\n\r\n", b"501"),
    ],
    ids=["nonsense", "half an address", "long header", "long body", "odd encoding"],
)
def test_what_the_server_refuses_itself_carries_the_headers(port: int, data: bytes, status: bytes) -> None:
    head, _, body = say_raw(port, data).partition(b"\r\n\r\n")
    assert head.split()[1] == status
    for name in (b"Content-Security-Policy:", b"X-Content-Type-Options: nosniff", b"Referrer-Policy:"):
        assert name in head
    assert b"<h1>" in body
    assert b"waitress" not in (head + body).lower()


def test_a_body_that_is_not_there_is_not_waited_for(port: int) -> None:
    start = time.monotonic()
    answer = say_raw(
        port, b"GET /clip HTTP/1.1\r\nHost: localhost\r\nExpect: 100-continue\r\nConnection: close\r\n\r\n"
    )
    assert answer.startswith(b"HTTP/1.1 200")
    assert time.monotonic() - start < 5
