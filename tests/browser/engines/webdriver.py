"""The commands of W3C WebDriver (w3.org/TR/webdriver2) that the tests use, over any way of sending them."""

from __future__ import annotations

import base64
import time
from abc import ABC, abstractmethod
from typing import Any

#: The key of an element's id, from the standard's section "Elements".
ELEMENT = "element-6066-11e4-a52e-4f735466cecf"
#: Errors of the standard that a moment's patience cures.
_PASSING = ("element not interactable", "stale element reference", "no such element")
_PATIENCE_S = 5


class WebDriver(ABC):
    """One browser window; a subclass sends the commands."""

    @abstractmethod
    def send(self, command: str, element: str = "", **parameters: Any) -> Any:
        """Send a command by the standard's name and return its value."""

    @abstractmethod
    def close(self) -> None:
        """End the browser."""

    def open(self, url: str) -> None:
        self.send("Navigate To", url=url)

    def _find(self, selector: str) -> str:
        found = self.send("Find Element", using="css selector", value=selector)
        return str(found.get("value", found)[ELEMENT])

    def click(self, selector: str) -> None:
        """Press it; as a person would, wait for what is unfolding or being replaced, and bring it into the middle.

        WebKit's driver takes the screen's height for the window's and leaves alone what stands just below it.
        """
        end = time.monotonic() + _PATIENCE_S
        while True:
            try:
                self.send("Element Click", self._find(selector))
                return
            except RuntimeError as problem:
                passing = any(word in str(problem) for word in _PASSING)
                if not passing or time.monotonic() > end:
                    raise
                time.sleep(0.1)
                self.evaluate("document.querySelector(arguments[0])?.scrollIntoView({block: 'center'})", selector)

    def type(self, selector: str, text: str) -> None:
        self.send("Element Send Keys", self._find(selector), text=text)

    def clear(self, selector: str) -> None:
        self.send("Element Clear", self._find(selector))

    def back(self) -> None:
        self.send("Back")

    def evaluate(self, body: str, *arguments: Any) -> Any:
        return self.send("Execute Script", script=body, args=list(arguments))

    def text(self, selector: str) -> str:
        return str(self.send("Get Element Text", self._find(selector)))

    def url(self) -> str:
        return str(self.send("Get Current URL"))

    def screenshot(self) -> bytes:
        return base64.b64decode(self.send("Take Screenshot"))
