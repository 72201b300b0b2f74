"""Start webcalc for the phones nearby: ``webcalc``, or ``python -m webcalc``."""

from __future__ import annotations

import argparse
import os
import signal
import socket
import sys
from collections.abc import Sequence
from typing import Any

from webcalc.serving import listening
from webcalc.serving.listening import CannotListen, PortTaken, Reach
from webcalc.serving.network import is_host_name, machine_names, read_ip
from webcalc.serving.terminal import Watch, is_terminal, say, say_rules
from webcalc.web.http.hosts import PROXY, TRUST, WrongSetting, trusted_names, trusted_proxies

PORT = 8080
USAGE_ERROR = 2


def read_arguments(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(
        prog="webcalc",
        description="Serve webcalc to the phones on the local network.",
        epilog=f"{TRUST} in the environment names hosts as --trust does, {PROXY} proxies as --proxy does.",
    )
    parser.add_argument(
        "--host", type=_host, default="", help="listen on this address only (default: all, IPv4 and IPv6)"
    )
    parser.add_argument("--port", type=_port, default=PORT, help=f"listen on this port (default: {PORT})")
    parser.add_argument(
        "--trust",
        type=_name,
        action="append",
        default=[],
        metavar="NAME",
        help="answer for this host name too; may be repeated",
    )
    parser.add_argument(
        "--proxy",
        type=_proxy,
        action="append",
        default=[],
        metavar="ADDRESS",
        help="believe what a proxy at this address forwards; may be repeated",
    )
    return parser.parse_args(arguments)


def _host(text: str) -> str:
    # Whoever copies an IPv6 address from a browser has it in brackets.
    return text[1:-1] if text.startswith("[") and text.endswith("]") else text


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and 1 <= int(text) <= listening.LAST_PORT):
        raise argparse.ArgumentTypeError(f"must be a number from 1 to {listening.LAST_PORT}")
    return int(text)


def _name(text: str) -> str:
    name = text.lower().removesuffix(".")
    if not is_host_name(name):
        raise argparse.ArgumentTypeError("must be a host name without scheme and port, like studio.local")
    return name


def _proxy(text: str) -> str:
    ip = read_ip(text)
    if ip is None:
        raise argparse.ArgumentTypeError("must be an address, like 127.0.0.1")
    return str(ip)


def open_port(host: str, port: int) -> socket.socket:
    """Return the listening socket; where the port is taken, offer the next free one. Raises SystemExit."""
    try:
        return listening.listen_on(host, port)
    except CannotListen as problem:
        raise _stop(str(problem)) from None
    except PortTaken:
        free = listening.next_free_port(host, port)
    if free is None:
        raise _stop(f"Port {port} is taken, and so are those after it.")
    if not is_terminal():
        raise _stop(f"Port {port} is taken. Port {free} is free: start with --port {free}")
    try:
        answer = input(f"Port {port} is taken. Use {free} instead? [Y/n] ").strip().lower()
    except (EOFError, KeyboardInterrupt):
        answer = "n"
    if answer not in ("", "y", "yes"):
        raise _stop(f"Not started: port {port} is taken.")
    return open_port(host, free)


def _stop(sentence: str) -> SystemExit:
    print(sentence, file=sys.stderr)
    return SystemExit(USAGE_ERROR)


def _end(*_signal: Any) -> None:
    raise KeyboardInterrupt


def main(arguments: Sequence[str] | None = None) -> int:
    """Serve until Ctrl-C (or the system) ends it; return the exit code."""
    from webcalc.serving.server import make_server
    from webcalc.web.http.app import create_app
    from webcalc.web.http.hosts import Hosts, TrustedProxy

    options = read_arguments(arguments)
    try:
        names = [*options.trust, *trusted_names()]
        proxies = [*options.proxy, *trusted_proxies()]
    except WrongSetting as problem:
        raise _stop(f"{problem}.") from None
    # A shell that starts programs in the background makes them deaf to Ctrl-C; this one always listens.
    signal.signal(signal.SIGINT, _end)
    signal.signal(signal.SIGTERM, _end)
    if hasattr(signal, "SIGTTIN"):
        # Waiting for a number to be typed mustn't stop a program that was sent to the background.
        signal.signal(signal.SIGTTIN, signal.SIG_IGN)
    try:
        bound = open_port(options.host, options.port)
        app = create_app({"TRUSTED_HOSTS": Hosts(["localhost", *machine_names(), *_named(options.host), *names])})
        server = make_server(TrustedProxy(app, proxies), bound, proxies)
        watch = Watch(Reach.of(bound), asks=is_terminal())
        watch.introduce()
        say_rules()
        watch.start()
        server.run()
    except KeyboardInterrupt:
        # Once is enough: a second one must not end in a traceback.
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        signal.signal(signal.SIGTERM, signal.SIG_IGN)
    say("webcalc has ended.")
    return 0


def _named(host: str) -> list[str]:
    """Return the host it listens on where that is a name."""
    return [] if host in listening.EVERY_ADDRESS or read_ip(host) else [host.lower().removesuffix(".")]


def run() -> None:
    """Serve, and end at once: a long question at work is not waited for."""
    code = main()
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            stream.flush()
    os._exit(code)


if __name__ == "__main__":
    run()
