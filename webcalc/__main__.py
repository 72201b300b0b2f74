"""Start webcalc for the phones nearby: ``webcalc``, or ``python -m webcalc``."""

from __future__ import annotations

import argparse
import signal
import socket
import sys
from collections.abc import Sequence
from typing import Any

import segno

from webcalc import serving
from webcalc.calc.schedule.zone import zone_rules_version

PORT = 8080
USAGE_ERROR = 2


def read_arguments(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(prog="webcalc", description="Serve webcalc to the phones on the local network.")
    parser.add_argument("--host", default=serving.EVERY_ADDRESS, help="listen on this address only (default: all)")
    parser.add_argument("--port", type=_port, default=PORT, help=f"listen on this port (default: {PORT})")
    parser.add_argument(
        "--trust",
        type=_name,
        action="append",
        default=[],
        metavar="NAME",
        help="answer for this host name too; may be repeated",
    )
    return parser.parse_args(arguments)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 6 and 1 <= int(text) <= serving.LAST_PORT):
        raise argparse.ArgumentTypeError(f"must be a number from 1 to {serving.LAST_PORT}")
    return int(text)


def _name(text: str) -> str:
    name = text.lower()
    if not serving.is_host_name(name):
        raise argparse.ArgumentTypeError("must be a host name without scheme and port, like studio.local")
    return name


def open_port(host: str, port: int) -> socket.socket:
    """Return the listening socket; where the port is taken, offer the next free one. Raises SystemExit."""
    try:
        return serving.listen_on(host, port)
    except serving.CannotListen as problem:
        raise _stop(str(problem)) from None
    except serving.PortTaken:
        free = serving.next_free_port(host, port)
    if free is None:
        raise _stop(f"Port {port} is taken, and so are those after it.")
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
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


def reachable_urls(host: str, port: int) -> list[str]:
    """Return the addresses a phone can open, with scheme; empty where none can."""
    if host == serving.EVERY_ADDRESS:
        hosts = serving.phone_addresses()
    else:
        own = host == "localhost" or host.startswith("127.")
        hosts = [] if own else [host]
    return [f"http://{name}:{port}" for name in hosts]


def introduce(urls: Sequence[str], port: int) -> None:
    """Print what to open on the phone, as text and as a code to scan."""
    rules = zone_rules_version()
    origin = "this system" if rules.origin == "system" else "package tzdata"
    if urls:
        print("webcalc is running. Put the phone on the same network or hotspot as this computer, then open")
        for url in urls:
            print(f"  {url}")
        _print_code(urls[0])
    else:
        print("webcalc is running, but no phone can reach this computer yet. Join a network or switch on a hotspot")
        print("and start webcalc again to see the address. On this computer, open")
        print(f"  http://localhost:{port}")
    print(f"Time-zone rules: {rules.version}, from {origin}.")
    print("Ctrl-C ends it.", flush=True)


def _print_code(url: str) -> None:
    # A micro code would be smaller, but phones' cameras don't read it.
    code = segno.make(url, micro=False)
    try:
        "▀▄█".encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return
    code.terminal(sys.stdout, compact=True)


def _end(*_signal: Any) -> None:
    raise KeyboardInterrupt


def main(arguments: Sequence[str] | None = None) -> int:
    """Serve until Ctrl-C (or the system) ends it; return the exit code."""
    from webcalc.web.http.app import create_app

    options = read_arguments(arguments)
    # A shell that starts programs in the background makes them deaf to Ctrl-C; this one always listens.
    signal.signal(signal.SIGINT, _end)
    signal.signal(signal.SIGTERM, _end)
    try:
        listening = open_port(options.host, options.port)
        app = create_app({"TRUSTED_HOSTS": serving.TrustedHosts((*options.trust, *_named(options.host)))})
        server = serving.make_server(app, listening)
        port = listening.getsockname()[1]
        introduce(reachable_urls(options.host, port), port)
        server.run()
        server.close()
    except KeyboardInterrupt:
        pass
    print("webcalc has ended.")
    return 0


def _named(host: str) -> tuple[str, ...]:
    """Return the host it listens on as a trusted name, unless that is every address."""
    return () if host == serving.EVERY_ADDRESS else (host.lower(),)


if __name__ == "__main__":
    sys.exit(main())
