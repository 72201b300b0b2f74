"""The first minute of somebody new: a shoot told in people's words, and all answers on the next page.

The task: a building site in Lyon, six months, Monday to Friday, a clip of two minutes, a card of 64 GB, eight AA cells.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from examples import FULL, PAGES, full_query
from playwright.sync_api import BrowserContext, Page, expect

MOST_TAPS, MOST_FIELDS = 12, 8


class Hand:
    """A hand that only taps and types, and counts."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.fields = page, 0, 0

    def tap(self, selector: str) -> None:
        self.page.locator(selector).tap()
        self.taps += 1

    def type(self, name: str, text: str) -> None:
        """Tap into a field and type."""
        self.tap(f"[id='{name}']")
        self.page.keyboard.type(text)
        self.fields += 1

    def choose(self, name: str, words: str) -> None:
        """Open a list and tap one of its lines."""
        self.page.locator(f"[id='{name}']").select_option(label=words)
        self.taps += 2
        self.fields += 1


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "plain"])
def test_a_building_site_in_one_page(scripts: bool, page: Page, plain_page: Page) -> None:
    at = page if scripts else plain_page
    hand = Hand(at)
    at.goto("/")
    hand.type("shoot_days", "6 months")
    hand.choose("days", "Monday to Friday")
    hand.type("clip", "2 min")
    hand.type("card_gb", "64")
    hand.type("cells", "8")
    hand.choose("cell", "LR6 alkaline AA")
    hand.type("site", "Lyon")
    hand.tap(".tell button")
    at.wait_for_url(re.compile("/plan"))
    assert (hand.taps <= MOST_TAPS, hand.fields <= MOST_FIELDS) == (True, True), (hand.taps, hand.fields)
    answer = at.locator("#answer")
    for part in ("Interval", "Clip", "Card", "Battery", "Light"):
        expect(answer.locator("dt", has_text=part)).to_have_count(1)
    told = dict(zip(answer.locator("dt").all_inner_texts(), answer.locator("dd").all_inner_texts(), strict=True))
    for part, words in told.items():
        assert "not known" not in words, part
    # From cells alone it is answered backwards.
    assert re.search(r"to .* if the camera averages under [0-9.]+ mW", told["Battery"].replace("\u00a0", " "))
    assert "Taken for now" in at.locator("#rests").inner_text()


def test_the_wordmark_keeps_the_plan(plain_page: Page) -> None:
    plain_page.goto(f"/plan?{full_query()}")
    plain_page.locator("header a").first.tap()
    expect(plain_page.locator("#clip")).to_have_value("2min")
    plain_page.locator(".tell button").tap()
    plain_page.wait_for_url(re.compile(r"/plan\?v=1&"))
    assert "frame_j=8" in plain_page.url
    assert "typed=" not in plain_page.url


#: Room that the narrowest time field has beside "08:00 AM" as it is written there.
ROOM_LEFT = """() => Math.min(...[...document.querySelectorAll('[type=time]')].map(field => {
  const said = document.createElement('span'), look = getComputedStyle(field)
  said.style.cssText = `font:${look.font};position:absolute;white-space:pre`
  said.textContent = '08:00 AM'
  document.body.append(said)
  const room = field.clientWidth - parseFloat(look.paddingLeft) - parseFloat(look.paddingRight)
  return room - said.getBoundingClientRect().width
}))"""
#: Pages whose answer ends above the fold with the example's plan.
ABOVE_THE_FOLD = ("plan", "visits", "battery", "storage", "daylight", "check", "call")
FOLD_PX = 740
END = """() => Math.max(...[...document.querySelectorAll('#answer *')]
  .filter(one => one.checkVisibility()).map(one => one.getBoundingClientRect().bottom))"""


@pytest.mark.parametrize("name", ABOVE_THE_FOLD)
@pytest.mark.parametrize("last", ["2027-08-31", "2029-02-28"], ids=["half-a-year", "two-years"])
def test_the_answer_stands_above_the_fold(name: str, last: str, page: Page) -> None:
    calc = next(each for each in PAGES if each.name == name)
    page.goto(f"/{name}?{full_query(calc).replace(FULL['last'], last)}")
    assert page.evaluate(END) <= FOLD_PX
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate(END) <= 2 * FOLD_PX
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_hours_of_the_clock_are_whole(new_context: Callable[..., BrowserContext]) -> None:
    """Where clocks have twelve hours, on the narrowest phones and with large text."""
    page = new_context(locale="en-US").new_page()
    for width, size in ((320, "100%"), (360, "100%"), (360, "200%")):
        page.set_viewport_size({"width": width, "height": 740})
        page.goto("/")
        page.evaluate("size => { document.documentElement.style.fontSize = size }", size)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert page.evaluate(ROOM_LEFT) >= 0, width
