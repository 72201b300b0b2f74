"""What every page must do on a phone, with scripts and without them, over plain http."""

from __future__ import annotations

import re
from collections.abc import Callable
from urllib.parse import parse_qs, urlsplit

import pytest
from examples import ALSO, FULL, PAGES, full_query, name_of, states, wrong_text
from playwright.sync_api import BrowserContext, Page, expect
from playwright.sync_api import Error as BrowserError
from playwright.sync_api import Route as Request

from webcalc.web.http.page import Page as CalcPage
from webcalc.web.link.kinds.basics import Number
from webcalc.web.link.quantities import QUANTITIES

every_page = pytest.mark.parametrize("calc", PAGES, ids=name_of)

OPEN_FOLDS = "document.querySelectorAll('details').forEach(fold => fold.open = true)"


def answer_of(page: Page) -> str:
    """Return what the page answers, as it reads."""
    return page.locator("#answer").inner_text()


def link_of(page: Page) -> str:
    """Return the link that the page offers to share."""
    return page.locator("#link").input_value()


def query_of(link: str) -> dict[str, list[str]]:
    return parse_qs(urlsplit(link).query, keep_blank_values=True)


def typed_field(calc: CalcPage) -> tuple[str, str]:
    """Return an open text field of the page and what the example has for it, else another good text."""
    example = {**FULL, **ALSO.get(calc.name, {})}
    for name in calc.all_fields:
        kind, text = QUANTITIES[name].kind, example.get(name, "")
        if kind.input_type == "text" and not kind.options and re.search(r"[0-9]", text):
            # A bare number beside an answer in feet is asked about.
            other = kind.other if isinstance(kind, Number) else None
            return name, f"{text} {kind.units[0]}" if other else text
    pytest.fail(f"no field of {calc.name} to type in; give it one in examples.py")


def fill(page: Page, name: str, text: str) -> None:
    """Type into a field, which may be folded away."""
    page.evaluate("name => document.getElementById(name).closest('details')?.setAttribute('open', '')", name)
    page.locator(f"[id='{name}']").fill(text)


def other_value(text: str) -> str:
    """Return another good text for the field of ``text``."""
    # Of a date another year's end is another good date.
    digit = re.search(r"[0-9](?=-)" if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text) else r"[0-9]", text)
    assert digit, text
    return text[: digit.start()] + str(int(digit[0]) % 9 + 1) + text[digit.start() + 1 :]


def test_the_pages_are_from_an_insecure_context(page: Page) -> None:
    page.goto("/")
    assert page.evaluate("isSecureContext") is False


def test_a_request_to_elsewhere_is_noticed(page: Page, faults: list[str]) -> None:
    with pytest.raises(BrowserError):
        page.goto("http://elsewhere.example/")
    assert faults[0] == "request to http://elsewhere.example/"
    faults.clear()


@every_page
def test_answers_with_scripts_and_without(calc: CalcPage, page: Page, plain_page: Page) -> None:
    page.goto(states(calc)["filled"])
    plain_page.goto(states(calc)["filled"])
    assert answer_of(page) == answer_of(plain_page)
    box = page.locator(".figure").bounding_box()
    assert box and box["y"] + box["height"] <= 740, "the figure must stand above the fold"
    page.emulate_media(media="print")
    expect(page.locator(".figure")).to_be_visible()
    expect(page.get_by_role("button", name="Work it out").last).to_be_hidden()
    expect(page.get_by_role("navigation")).to_be_hidden()


@every_page
def test_the_button_answers_without_scripts(calc: CalcPage, plain_page: Page) -> None:
    plain_page.goto(states(calc)["filled"])
    name, text = typed_field(calc)
    plain_page.evaluate(OPEN_FOLDS)
    plain_page.locator(f"[id='{name}']").fill(other_value(text))
    plain_page.get_by_role("button", name="Work it out").last.click()
    plain_page.wait_for_url(re.compile(rf"/{calc.name}\?.*&{name}="))
    written = QUANTITIES[name].write(QUANTITIES[name].read(other_value(text)))
    assert query_of(link_of(plain_page))[name] == [written]
    others = {key: value for key, value in query_of(link_of(plain_page)).items() if key != name}
    before = query_of("?" + full_query(calc))
    assert {key: others.get(key) for key in before if key != name} == {
        key: [QUANTITIES[key].write(QUANTITIES[key].read(value[0]))] if key in QUANTITIES else value
        for key, value in before.items()
        if key != name
    }


@every_page
def test_typing_refreshes_the_answer_and_the_address(calc: CalcPage, page: Page) -> None:
    page.goto(states(calc)["filled"])
    page.evaluate("window.sameDocument = true")
    name, text = typed_field(calc)
    fill(page, name, other_value(text))
    written = QUANTITIES[name].write(QUANTITIES[name].read(other_value(text)))
    page.wait_for_function(
        "([name, text]) => new URLSearchParams(location.search).get(name) === text", arg=[name, written]
    )
    assert page.evaluate("window.sameDocument") is True
    assert page.locator(f"[id='{name}']").input_value() == other_value(text)
    assert urlsplit(page.url).query == urlsplit(link_of(page)).query
    shown = answer_of(page)
    page.reload()
    assert answer_of(page) == shown


@every_page
def test_a_wrong_value_is_said_beside_its_field_when_it_is_left(calc: CalcPage, page: Page) -> None:
    page.goto(states(calc)["filled"])
    name, _text = typed_field(calc)
    fill(page, name, wrong_text(name))
    beside = page.locator(f"[id='{name}-e']")
    expect(page).to_have_title(re.compile("^Error"))
    expect(beside).to_have_count(0)
    expect(page.locator(f"#wrong a[href='#{name}']")).to_have_count(0)
    page.locator(f"[id='{name}']").blur()
    expect(beside).to_be_visible()
    expect(page.locator(f"#wrong a[href='#{name}']")).to_have_text(beside.inner_text())
    expect(page.locator(f"[id='{name}']")).to_have_attribute("aria-describedby", re.compile(rf"\b{name}-e\b"))
    assert page.locator(f"[id='{name}']").input_value() == wrong_text(name)
    fill(page, name, _text)
    expect(beside).to_have_count(0)
    expect(page.locator(f"[id='{name}']")).not_to_have_attribute("aria-invalid", "true")


@every_page
def test_a_failed_refresh_marks_the_figure(calc: CalcPage, page: Page, faults: list[str]) -> None:
    page.goto(states(calc)["filled"])
    before = answer_of(page)

    def dead(route: Request) -> None:
        route.abort("connectionrefused")

    page.context.route("**/*", dead)
    name, text = typed_field(calc)
    fill(page, name, other_value(text))
    expect(page.locator("#late")).to_contain_text("Not updated")
    expect(page.locator("main")).to_have_class("late")
    assert before.splitlines()[0] in answer_of(page), "the old figure stays, marked"
    page.context.unroute("**/*", dead)
    fill(page, name, text)
    expect(page.locator("#late")).to_have_count(0)
    expect(page.locator(".late")).to_have_count(0)
    # The page tries again by itself until it is answered, so that more than one may have been refused.
    assert {*faults} == {"console: Failed to load resource: net::ERR_CONNECTION_REFUSED"}
    faults.clear()


@every_page
def test_the_shared_link_gives_the_same_answer_elsewhere(
    calc: CalcPage, page: Page, new_context: Callable[..., BrowserContext]
) -> None:
    page.goto(states(calc)["filled"])
    fresh = new_context().new_page()
    fresh.goto(link_of(page))
    assert answer_of(fresh) == answer_of(page)
    assert link_of(fresh) == link_of(page)
    assert new_context().cookies() == fresh.context.cookies() == []


STEPS = "steps => steps.map(step => new URL(step.formAction).pathname)"


def step_to(page: Page, path: str) -> None:
    """Go on to another page by its button in the menu, or on a page that shows a group of it."""
    page.evaluate(OPEN_FOLDS)
    in_menu = page.locator(f"#menu [formaction='{path}']:not([name])")
    (in_menu if in_menu.count() else page.locator(f"main [formaction='{path}']:not([name])")).click()
    page.wait_for_url(re.compile(rf"{path}\?"))


@every_page
def test_values_go_along_to_another_page(calc: CalcPage, plain_page: Page) -> None:
    plain_page.goto(states(calc)["filled"])
    query = urlsplit(link_of(plain_page)).query
    other = next(page for page in PAGES if page is not calc)
    step_to(plain_page, f"/{other.name}")
    assert urlsplit(link_of(plain_page)).query == query


def test_every_page_can_be_reached_with_the_values(plain_page: Page) -> None:
    """Each page is in the menu, or one step further in a group of it."""
    start, pages = states(PAGES[0])["filled"], {f"/{page.name}" for page in PAGES}
    plain_page.goto(start)
    query = urlsplit(link_of(plain_page)).query
    ways = [[path] for path in plain_page.locator("#menu [formaction]:not([name])").evaluate_all(STEPS)]
    for (group,) in [way for way in ways if way[0] not in pages]:
        plain_page.goto(start)
        step_to(plain_page, group)
        ways += [[group, path] for path in plain_page.locator("main [formaction]:not([name])").evaluate_all(STEPS)]
    assert pages <= {way[-1] for way in ways}
    for way in [way for way in ways if way[-1] in pages]:
        plain_page.goto(start)
        for path in way:
            step_to(plain_page, path)
        assert urlsplit(link_of(plain_page)).query == query, way


@every_page
@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "plain"])
def test_an_error_leads_to_its_field(calc: CalcPage, scripts: bool, new_context: Callable[..., BrowserContext]) -> None:
    page = new_context(java_script_enabled=scripts).new_page()
    page.goto(states(calc)["wrong"])
    links = page.locator("#wrong a")
    assert links.evaluate_all("links => links.map(link => link.hash.slice(1))") == [
        name for name in QUANTITIES if name in calc.all_fields
    ]
    summary = links.all_inner_texts()
    beside = links.evaluate_all("links => links.map(a => document.getElementById(a.hash.slice(1) + '-e').innerText)")
    assert beside == summary
    # One open field and one folded away stand for all.
    for name in {calc.all_fields[0], calc.all_fields[-1]}:
        page.locator(f"#wrong a[href='#{name}']").focus()
        page.keyboard.press("Enter")
        expect(page.locator(f"[id='{name}']")).to_be_focused()
        expect(page.locator(f"[id='{name}']")).to_be_in_viewport()
    for name in calc.all_fields:
        if not QUANTITIES[name].kind.several:
            assert page.locator(f"[id='{name}']").input_value() == wrong_text(name), f"{name}: not as typed"


@every_page
def test_needed_fields_are_named_with_links_to_them(calc: CalcPage, page: Page) -> None:
    page.goto(f"/{calc.name}?v=1")
    answered = page.locator("#answer a[href*='#'], .figure").count()
    assert answered, "neither an answer nor what is missing"
    links = page.locator("#answer a[href^='#']")
    for n in range(links.count()):
        name = links.nth(n).get_attribute("href").removeprefix("#")
        links.nth(n).click()
        expect(page.locator(f"[id='{name}']")).to_be_visible()
