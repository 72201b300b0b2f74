"""Three browser engines behind one small interface, each driven by what a Debian machine has."""

from __future__ import annotations

from typing import Any, Protocol

from engines import firefox, webkit


class Engine(Protocol):
    """A window of a phone's size. Elements are named by CSS selectors; scripts are the body of a function."""

    def open(self, url: str) -> None:
        """Open an address and wait for the page."""

    def click(self, selector: str) -> None:
        """Click an element as a finger would."""

    def type(self, selector: str, text: str) -> None:
        """Type into the field by keys, after what stands in it."""

    def clear(self, selector: str) -> None:
        """Empty a field."""

    def back(self) -> None:
        """Go back in the history."""

    def evaluate(self, body: str, *arguments: Any) -> Any:
        """Return what a function with this body returns; ``arguments`` is what it was called with."""

    def text(self, selector: str) -> str:
        """Return the words of an element, also where no scripts run."""

    def url(self) -> str:
        """Return the address."""

    def screenshot(self) -> bytes:
        """Return a PNG of the window."""

    def close(self) -> None:
        """End the browser."""


def missing(name: str) -> str:
    """Return what a machine lacks for an engine, as a sentence; empty if nothing."""
    return {"firefox": firefox, "webkit": webkit}[name].missing()


def start(name: str, scripts: bool = True) -> Engine:
    """Start an engine's browser."""
    return {"firefox": firefox.Firefox, "webkit": webkit.WebKit}[name](scripts)
