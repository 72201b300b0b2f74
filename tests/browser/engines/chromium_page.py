"""Chromium behind the same interface, by the page that the other browser tests use."""

from __future__ import annotations

import json
from typing import Any

from playwright.sync_api import Page


class Chromium:
    """A page of Playwright's."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def open(self, url: str) -> None:
        self.page.goto(url)

    def click(self, selector: str) -> None:
        self.page.locator(selector).first.click()

    def type(self, selector: str, text: str) -> None:
        field = self.page.locator(selector).first
        field.focus()
        field.evaluate("field => field.setSelectionRange?.(field.value.length, field.value.length)")
        field.press_sequentially(text)

    def clear(self, selector: str) -> None:
        self.page.locator(selector).first.fill("")

    def back(self) -> None:
        self.page.go_back()

    def evaluate(self, body: str, *arguments: Any) -> Any:
        return self.page.evaluate(f"(function () {{ {body} }}).apply(null, {json.dumps(arguments)})")

    def text(self, selector: str) -> str:
        return self.page.locator(selector).first.inner_text()

    def url(self) -> str:
        return self.page.url

    def screenshot(self) -> bytes:
        return self.page.screenshot()

    def close(self) -> None:
        self.page.close()
