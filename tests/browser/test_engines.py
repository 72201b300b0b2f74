"""The same behaviour in three engines: what is typed, Back, steps, ticks, folds, dates, without scripts, as a file.

Sizes, contrast and the accessibility rules are held by the other tests here, in Chromium alone.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any
from urllib.parse import quote, urlencode, urlsplit

import pytest
from engines import Engine
from engines.chromium_page import Chromium
from examples import FULL
from playwright.sync_api import Page, Route, expect

PLAN = urlencode(FULL, quote_via=quote)
VALUE = "return document.querySelector(arguments[0]).value"
TEXT = "return document.querySelector(arguments[0])?.textContent ?? ''"
UNFOLD = "document.querySelector('#rest').open = true"
ADDRESS = "return new URLSearchParams(location.search).get(arguments[0])"
WAIT_S = 8


def until(engine: Engine, expected: object, body: str, *arguments: Any) -> None:
    """Wait until the page says what is expected."""
    end, got = time.monotonic() + WAIT_S, None
    while time.monotonic() < end:
        try:
            got = engine.evaluate(body, *arguments)
        except Exception as problem:  # each driver has its own for a page that is just going
            got = problem
        if got == expected:
            return
        time.sleep(0.05)
    assert got == expected


@pytest.fixture(params=["chromium", "firefox", "webkit"])
def engine(request: pytest.FixtureRequest, started: Callable[[str, bool], Engine]) -> Engine:
    if request.param == "chromium":
        return Chromium(request.getfixturevalue("page"))
    return started(request.param, True)


@pytest.fixture(params=["chromium", "firefox", "webkit"])
def plain(request: pytest.FixtureRequest, started: Callable[[str, bool], Engine]) -> Engine:
    """Return an engine that runs no scripts."""
    if request.param == "chromium":
        page: Page = request.getfixturevalue("plain_page")
        return Chromium(page)
    return started(request.param, False)


@pytest.fixture
def at(live_port: int, request: pytest.FixtureRequest) -> Callable[..., str]:
    """Return an address of the app; only Chromium is kept off this computer's own name (see conftest.py)."""
    names = request.node.callspec.params.values()
    host = request.getfixturevalue("base_url") if "chromium" in names else f"http://127.0.0.1:{live_port}"

    def address(path: str, **also: str) -> str:
        pairs = {**FULL, **also}
        return f"{host}{path}?" + urlencode({name: text for name, text in pairs.items() if text}, quote_via=quote)

    return address


def change(engine: Engine, selector: str, text: str) -> None:
    engine.clear(selector)
    engine.type(selector, text)


def test_the_window_is_a_phone(engine: Engine, at: Callable[..., str]) -> None:
    engine.open(at("/plan"))
    width = engine.evaluate("return innerWidth")
    # Firefox's own bars keep its window wider than a phone.
    assert width == 360 or (width < 520 and "Firefox" in engine.evaluate("return navigator.userAgent")), width
    assert engine.evaluate("return document.documentElement.scrollWidth") <= width
    assert engine.screenshot().startswith(b"\x89PNG")


def test_typing_then_a_step_then_back(engine: Engine, at: Callable[..., str]) -> None:
    """The answer, the address and the field agree, also when the step comes before the answer."""
    engine.open(at("/clip"))
    change(engine, "#interval", "7min")
    until(engine, "7min", ADDRESS, "interval")
    until(engine, "", "return document.querySelector('main').className")
    shown = engine.text("#answer")
    engine.click("#menu [formaction='/plan']")
    until(engine, "/plan", "return location.pathname")
    engine.back()
    until(engine, "/clip", "return location.pathname")
    until(engine, "7min", VALUE, "#interval")
    assert engine.text("#answer") == shown
    change(engine, "#interval", "9min")
    engine.click("#menu [formaction='/plan']")
    until(engine, "/plan", "return location.pathname")
    assert engine.evaluate(ADDRESS, "interval") == "9min"
    engine.back()
    until(engine, "/clip", "return location.pathname")
    until(engine, "9min", VALUE, "#interval")
    until(engine, True, "return document.querySelector('#link').value.includes('interval=9min')")


def test_notes_survive_a_look_at_share(engine: Engine, at: Callable[..., str]) -> None:
    engine.open(at("/sheet"))
    engine.evaluate(UNFOLD)
    engine.type("#mounting", "Bracket on rung 2")
    until(engine, True, "return document.querySelector('#sheet').textContent.includes('Bracket on rung 2')")
    engine.evaluate("document.querySelector('#more details:last-of-type').open = true")
    engine.click("[formaction='/share']")
    until(engine, "/share", "return location.pathname")
    assert "Bracket on rung 2" in engine.evaluate(VALUE, "#text")
    engine.back()
    until(engine, "/sheet", "return location.pathname")
    until(engine, "Bracket on rung 2", VALUE, "#mounting")


def test_ticks_and_folds_stay(engine: Engine, at: Callable[..., str]) -> None:
    engine.open(at("/sheet"))
    engine.click("#sheet [type=checkbox]")
    engine.open(at("/plan"))
    engine.evaluate("document.querySelector('#more details').open = true")
    engine.evaluate(UNFOLD)
    change(engine, "#interval", "7min")
    until(engine, "7min", ADDRESS, "interval")
    assert engine.evaluate("return document.querySelector('#more details').open") is True
    engine.open(at("/sheet"))
    until(engine, True, "return document.querySelector('#sheet [type=checkbox]').checked")
    # One letter makes it another plan, and the ticks go along.
    engine.evaluate(UNFOLD)
    engine.type("#mounting", "x")
    until(engine, "x", TEXT, "#sheet .notes")
    assert engine.evaluate("return document.querySelector('#sheet [type=checkbox]').checked") is True


def test_a_field_is_checked_when_it_is_left(engine: Engine, at: Callable[..., str]) -> None:
    engine.open(at("/clip"))
    change(engine, "#interval", "often")
    until(engine, True, "return document.title.startsWith('Error')")
    assert engine.evaluate(TEXT, "#interval-e") == engine.evaluate(TEXT, "#wrong") == ""
    engine.evaluate("document.activeElement.blur()")
    until(engine, True, "return !!document.querySelector('#interval-e')")
    assert engine.evaluate(TEXT, "#interval-e") == engine.evaluate(TEXT, "#wrong a[href='#interval']")


def test_a_date_that_cannot_be_is_not_blank(engine: Engine, at: Callable[..., str]) -> None:
    """HTML standard, date state: a text that is no date leaves the value empty and ``badInput`` true."""
    engine.open(at("/plan", last=""))
    engine.evaluate(UNFOLD)
    engine.evaluate(
        "const field = document.querySelector('#last');"
        "Object.defineProperty(field, 'validity', {value: {badInput: true}});"
        "field.focus(); field.blur()"
    )
    until(engine, True, "return !!document.querySelector('#last-e')")
    assert engine.evaluate(TEXT, "#wrong a[href='#last']") == engine.evaluate(TEXT, "#last-e")


def test_the_form_is_sent_without_scripts(plain: Engine, at: Callable[..., str]) -> None:
    plain.open(at("/clip"))
    change(plain, "#interval", "7min")
    plain.click("#fields button")
    end = time.monotonic() + WAIT_S
    while "interval=7min" not in plain.url() and time.monotonic() < end:
        time.sleep(0.05)
    assert urlsplit(plain.url()).path == "/clip" and "interval=7min" in plain.url()
    assert plain.text(".figure")


def test_a_hung_server_is_said_and_the_answer_comes_by_itself(page: Page) -> None:
    page.goto(f"/clip?{PLAN}")
    page.wait_for_load_state("load")
    page.context.route("**/clip?*", lambda _route: None)
    page.locator("#interval").fill("7min")
    expect(page.locator("main")).to_have_class("working")
    expect(page.locator("main")).to_have_class("late")
    page.context.unroute("**/clip?*")
    expect(page.locator("main")).to_have_class("", timeout=12_000)
    assert "interval=7min" in page.url


def test_an_answer_that_was_cut_off_changes_nothing(page: Page) -> None:
    page.goto(f"/clip?{PLAN}")
    page.wait_for_load_state("load")
    before = page.title()

    def half(route: Route) -> None:
        body = route.fetch().text()
        # Without its length, as some proxies hand it on: the browser itself can't tell.
        route.fulfill(body=body[: len(body) // 2], content_type="text/html")

    page.context.route("**/clip?*", half)
    page.locator("#interval").fill("7min")
    expect(page.locator("main")).to_have_class("late")
    assert page.title() == before
    assert "interval=7min" in page.url, "whoever loads the page again has the edits"
    page.context.unroute("**/clip?*")
    expect(page.locator("main")).to_have_class("", timeout=12_000)
    assert page.title() != before


def test_the_motion_moves_at_a_tap(engine: Engine, at: Callable[..., str]) -> None:
    engine.open(at("/motion", size="3840x2160", hfov="60", distance_m="50", speed="1", interval="2s"))
    place = "return document.querySelector('#moves circle').cx.animVal.value"
    assert engine.evaluate(place) == 160
    engine.click("#moves")
    until(engine, True, f"{place} !== 160")
