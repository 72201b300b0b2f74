"""What the person at the terminal is told: where phones find this computer, again when that changes, and codes."""

from __future__ import annotations

import contextlib
import os
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence

import segno

from webcalc.calc.schedule.zone import zone_rules_version
from webcalc.serving.listening import Reach
from webcalc.serving.network import Address

#: How often the network is looked at.
LOOK_AGAIN_S = 5.0
_CAN_DRAW = "▀▄█"


def say(*lines: str) -> None:
    """Print lines; a terminal that was closed, or never was there, ends nothing."""
    try:
        for line in lines:
            print(line)
        if sys.stdout is not None:
            sys.stdout.flush()
    except (OSError, ValueError):
        # Else Python itself would complain as it ends.
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 - stays open to the end


def say_code(url: str) -> None:
    """Draw an address as a code to scan, where the terminal has the characters for it."""
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        _CAN_DRAW.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return
    with contextlib.suppress(OSError, ValueError):
        # A micro code would be smaller, but phones' cameras don't read it.
        segno.make(url, micro=False).terminal(sys.stdout, compact=True)


def introduce(reach: Reach, phones: Sequence[Address], *, asks: bool = False) -> None:
    """Print what to open, as text and the likeliest as a code; ``asks`` where codes of others can be asked for."""
    urls = [reach.url(address) for address in phones]
    if urls:
        say("webcalc is running. Put the phone on the same network or hotspot as this computer, then open")
        say(*_listed(urls, phones))
        say_code(urls[0])
        if asks and len(urls) > 1:
            say("Type the number of another address and Enter for its code.")
    elif reach.own_only:
        say("webcalc is running for this computer alone, as it was told. Here, open", f"  {reach.own_url}")
    else:
        say(
            "webcalc is running, but no phone can reach this computer yet. Join a network or switch on a hotspot:",
            "the address is told here as soon as there is one. On this computer, open",
            f"  {reach.own_url}",
        )


def _listed(urls: Sequence[str], phones: Sequence[Address]) -> Iterator[str]:
    for number, (url, address) in enumerate(zip(urls, phones, strict=True), start=1):
        count = f"{number}  " if len(urls) > 1 else ""
        yield f"  {count}{url}" + (f"  ({address.interface})" if address.interface else "")


def say_rules() -> None:
    """Print which time-zone rules are used, and how to end."""
    rules = zone_rules_version()
    origin = "this system" if rules.origin == "system" else "package tzdata"
    say(f"Time-zone rules: {rules.version}, from {origin}.", "Ctrl-C ends it.")


class Watch:
    """Looks at the network now and then, and says the addresses again when they change."""

    def __init__(self, reach: Reach, *, asks: bool = False) -> None:
        self.reach, self.asks = reach, asks
        self.phones = reach.phones()

    def introduce(self) -> None:
        """Say the addresses as they are."""
        introduce(self.reach, self.phones, asks=self.asks)

    def look(self) -> bool:
        """Look once; return whether there was something new to say."""
        now = self.reach.phones()
        if set(now) == set(self.phones):
            return False
        self.phones = now
        say("", "The network has changed.")
        self.introduce()
        return True

    def answer(self, typed: str) -> None:
        """Draw the code of the address whose number was typed."""
        number = typed.strip()
        if not (number.isascii() and number.isdigit() and 1 <= int(number[:4]) <= len(self.phones)):
            if number:
                say(f"Type a number from 1 to {len(self.phones)}." if self.phones else "There is no address yet.")
            return
        url = self.reach.url(self.phones[int(number) - 1])
        say(url)
        say_code(url)

    def start(self) -> None:
        """Watch beside the server; whatever happens here, it goes on serving."""
        _beside(self._look_on)
        if self.asks:
            _beside(self._listen)

    def _look_on(self) -> None:
        while True:
            time.sleep(LOOK_AGAIN_S)
            with contextlib.suppress(OSError):
                self.look()

    def _listen(self) -> None:
        # Not through sys.stdin: its lock would be held while Python ends.
        while typed := os.read(0, 100):
            self.answer(typed.decode(errors="replace"))


def _beside(work: Callable[[], None]) -> None:
    def quietly() -> None:
        with contextlib.suppress(OSError):
            work()

    threading.Thread(target=quietly, daemon=True).start()


def is_terminal() -> bool:
    """Whether a person can answer here."""
    try:
        return bool(sys.stdin and sys.stdout and sys.stdin.isatty() and sys.stdout.isatty())
    except ValueError:  # closed
        return False
