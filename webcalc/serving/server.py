"""waitress with deadlines and room: whoever keeps a place without asking gives way to whoever asks."""

from __future__ import annotations

import contextlib
import errno
import logging
import select
import socket
import time
from collections import Counter
from collections.abc import Iterable
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError
from waitress.server import TcpWSGIServer
from waitress.task import ErrorTask, WSGITask

from webcalc.serving import MOST_LISTING_BYTES
from webcalc.serving.network import read_ip
from webcalc.web.http.errors import bare_answer
from webcalc.web.http.hosts import LOCAL_ADDRESS

try:
    import resource
except ImportError:  # Windows
    resource = None  # type: ignore[assignment]

#: From the first byte of a request to the end of its headers, and to the end of its body: a weak radio still sends
#: the longest of 128 kB in that time at 4 kB/s.
HEADERS_S, BODY_S = 10, 40
#: How long a connection may ask nothing, at first and between two requests, and how long it may take to read an answer.
IDLE_S, READING_S = 15, 90
#: How long a connection may read nothing while more of its requests wait: the thread for them is needed elsewhere.
STALLED_S = 5
#: Connections that are kept at once, and of one address: a browser opens six.
MOST_CONNECTIONS, MOST_OF_ONE = 1_500, 64
#: select(), which Windows is left with, takes no more than 512 sockets there.
_MOST_FOR_SELECT = 400
#: Files that are open besides connections.
_OTHER_FILES = 100
#: Connections that are taken in at once, so that answers aren't kept waiting.
_AT_ONCE = 64
#: What is taken off a connection that is closed, at most.
_MOST_LEFT = 1_048_576
#: Settings of waitress. The threads are mostly there to wait in the lane for heavy questions.
#: The longest address is that of a plan with 2,000 characters of notes that aren't Latin, encoded twice.
WAITRESS: dict[str, Any] = {
    "threads": 32,
    "ident": None,
    "max_request_header_size": 65_536,
    "max_request_body_size": MOST_LISTING_BYTES,
    "backlog": 1_024,
    "cleanup_interval": 1,
    # Answers are shorter: the first limit is for many of them in a row, and nothing is put into files.
    "outbuf_high_watermark": 4_194_304,
    "outbuf_overflow": 16_777_216,
    "asyncore_use_poll": hasattr(select, "poll"),
    "log_socket_errors": False,
    # Room is made here instead, and what a proxy says is judged by the app, under any server alike.
    "connection_limit": 1_000_000,
    "clear_untrusted_proxy_headers": False,
}


class _Parser(HTTPRequestParser):
    """Refuses an address that can't be taken apart, and waits for no body that nobody announced."""

    def parse_header(self, header_plus: bytes) -> None:
        try:
            super().parse_header(header_plus)
        except ValueError:
            raise ParsingError("Bad URI") from None
        if not (self.content_length or self.chunked):
            # Who expects "go on" before a body that isn't there would wait for good (RFC 9110, section 10.1.1).
            self.expect_continue = False


class _Task(WSGITask):
    """Tells the app at which of this computer's addresses it was asked."""

    def get_environment(self) -> dict[str, Any]:
        environ: dict[str, Any] = super().get_environment()
        environ[LOCAL_ADDRESS] = self.channel.local_address
        return environ


class _ErrorTask(ErrorTask):
    """Answers what waitress refuses by itself as the app would: one sentence, and the security headers."""

    def execute(self) -> None:
        self.status, headers, body = bare_answer(self.request.error.code)
        self.response_headers.extend(headers)
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Channel(HTTPChannel):
    """One connection, with the moments that its deadlines count from."""

    parser_class = _Parser
    task_class = _Task
    error_task_class = _ErrorTask

    def __init__(self, server: Any, sock: socket.socket, addr: Any, adj: Any, map: Any = None) -> None:
        #: Since when it has been its turn: since it came, or since its last answer was ready.
        self.waiting_since = self.begun_at = time.monotonic()
        #: Since when there is something to read on the other side, and when a piece of it was last taken.
        self.unread_since = self.sent_at = self.waiting_since
        self.client = client_of(addr[0])
        self.local_address = ""
        with contextlib.suppress(OSError):
            self.local_address = sock.getsockname()[0]
        super().__init__(server, sock, addr, adj, map=map)

    def received(self, data: bytes) -> bool:
        if self.request is None:
            self.begun_at = time.monotonic()
        return bool(super().received(data))

    def write_soon(self, data: Any) -> int:
        # Not by waitress's own clock of activity: after a long question, that stands at the moment it was asked.
        if not self.total_outbufs_len:
            self.unread_since = time.monotonic()
        return int(super().write_soon(data))

    def _flush_some(self, do_close: bool = True) -> bool:
        sent = bool(super()._flush_some(do_close))
        if sent:
            self.sent_at = time.monotonic()
        return sent

    def service(self) -> None:
        try:
            super().service()
        finally:
            self.waiting_since = time.monotonic()

    def handle_close(self) -> None:
        """Close; what was sent and never read is taken off first, or the reset for it would overtake the answer."""
        if self.socket is None:
            # It has been closed already, by another event of the same moment.
            return
        with contextlib.suppress(OSError):
            self.socket.shutdown(socket.SHUT_WR)
            for _ in range(_MOST_LEFT // self.adj.recv_bytes):
                if not self.socket.recv(self.adj.recv_bytes):
                    break
        super().handle_close()

    def drop(self) -> None:
        """Have it closed by the loop as soon as it gets there.

        Not at once: its number could go to a newcomer while events for it are still being handled. The loop gets there
        even where the other side reads nothing, as nothing can be written any more.
        """
        self.will_close = True
        with contextlib.suppress(OSError):
            self.socket.shutdown(socket.SHUT_RDWR)

    @property
    def at_work(self) -> bool:
        """Whether a whole request is being answered."""
        return bool(self.requests) or self.total_outbufs_len > 0

    def is_overdue(self, now: float) -> bool:
        """Whether it has had its time."""
        if self.total_outbufs_len:
            stalled = bool(self.requests) and now - max(self.unread_since, self.sent_at) > STALLED_S
            return stalled or now - self.unread_since > READING_S
        if self.requests:
            return False
        request = self.request
        if request is None:
            return now - self.waiting_since > IDLE_S
        return now - self.begun_at > (BODY_S if request.headers_finished else HEADERS_S)


class Server(TcpWSGIServer):
    """The server for one bound socket."""

    channel_class = _Channel

    def __init__(self, app: Any, listening: socket.socket, proxies: Iterable[str] = ()) -> None:
        self.proxies = frozenset(map(client_of, proxies))
        self.room = _make_room_for_files()
        place = (listening.family, listening.type, listening.proto, listening.getsockname())
        super().__init__(app, _sock=listening, adj=Adjustments(**WAITRESS), bind_socket=False, sockinfo=place)

    def maintenance(self, now: float) -> None:
        """Close connections that have had their time."""
        moment = time.monotonic()
        for channel in list(self.active_channels.values()):
            if channel.is_overdue(moment):
                channel.drop()

    def fix_addr(self, addr: Any) -> Any:
        """Return address and port of a client; IPv4 ones as such on a socket for both families."""
        ip = read_ip(addr[0])
        return (str(ip) if ip else addr[0], addr[1])

    def handle_accept(self) -> None:
        """Take in who is waiting at the door, a few at once."""
        for _ in range(_AT_ONCE):
            try:
                connection, address = self.socket.accept()
            except OSError as problem:
                if problem.errno in (errno.EMFILE, errno.ENFILE):
                    self._give_way(list(self.active_channels.values()))
                return
            address = self.fix_addr(address)
            if not self._has_room(client_of(address[0])):
                connection.close()
                continue
            with contextlib.suppress(OSError):
                self.set_socket_options(connection)
            self.channel_class(self, connection, address, self.adj, map=self._map)

    def _has_room(self, client: str) -> bool:
        """Make room for one more connection; False where all are at work."""
        every = [channel for channel in self.active_channels.values() if not channel.will_close]
        if client not in self.proxies:
            same = [channel for channel in every if channel.client == client]
            if len(same) >= MOST_OF_ONE:
                # One place is given for another, so the whole is no fuller than before.
                return self._give_way(same)
        if len(every) < self.room:
            return True
        # Whoever holds most places loses one first.
        for greedy, _count in Counter(channel.client for channel in every).most_common():
            if self._give_way([channel for channel in every if channel.client == greedy]):
                return True
        return False

    @staticmethod
    def _give_way(channels: list[_Channel]) -> bool:
        """Close the connection that has waited longest without having asked; False where each is at work."""
        waiting = [channel for channel in channels if not channel.at_work]
        if not waiting:
            return False
        min(waiting, key=lambda channel: channel.waiting_since).drop()
        return True

    def run(self) -> None:
        """Serve until the process is told to end; KeyboardInterrupt goes to the caller at once."""
        self.asyncore.loop(timeout=self.adj.asyncore_loop_timeout, map=self._map, use_poll=self.adj.asyncore_use_poll)


def client_of(address: str) -> str:
    """Return whom an address counts for: with IPv6 one household or phone has a whole /64 (RFC 6177)."""
    ip = read_ip(address)
    if ip is None or ip.version == 4:
        return str(ip or address)
    return ip.exploded[:19]


def _make_room_for_files() -> int:
    """Raise the limit of open files as far as needed and allowed; return how many connections fit."""
    if not WAITRESS["asyncore_use_poll"]:
        return _MOST_FOR_SELECT
    if resource is None:
        return MOST_CONNECTIONS
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_CONNECTIONS + _OTHER_FILES
    if soft != resource.RLIM_INFINITY and soft < wanted:
        most = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
        with contextlib.suppress(OSError, ValueError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
        soft = resource.getrlimit(resource.RLIMIT_NOFILE)[0]
    if soft == resource.RLIM_INFINITY:
        return MOST_CONNECTIONS
    return max(32, min(MOST_CONNECTIONS, soft - _OTHER_FILES))


def make_server(app: Any, listening: socket.socket, proxies: Iterable[str] = ()) -> Server:
    """Return the server for a bound socket; ``run()`` it. ``proxies`` may hold any number of connections."""
    # Two phones at the same moment are no news to the person at the terminal.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    return Server(app, listening, proxies)
