"""The crew sheet in a real browser: on paper, as a file without a network, with ticks; and what is typed stays text."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from unicodedata import normalize
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from examples import FULL
from playwright.sync_api import BrowserContext, Page, expect
from pypdf import PdfReader
from test_reading import CONTRAST, RULES, TOO_WIDE, violations

#: 2,000 characters of prose in four paragraphs.
LONG_NOTES = "\n".join(["Bolt the bracket to rung 2, arm to the east, lens to the crane. " * 8] * 4)[:2_000].strip()
#: Every line by itself.
MANY_LINES = "\n".join(["Rung"] * 400)
HOSTILE = (
    "<script>document.title='x'</script><img src=x onerror=alert(1)>\n\u202eright to left\n\u2067open\n& &not </p>"
)
#: With visits; and all that a sheet can show, the camera's aim and a panel too.
VISITED = {**FULL, "clean": "60", "drift_max": "10min", "margin": "3", "visit_days": "12345"}
FULL_SHEET = {
    **VISITED,
    **{"sensor": "1/2.8in", "focal_mm": "4", "bearing": "150", "tilt": "-8", "camera_m": "12", "distance_m": "40"},
    **{"panel_w": "5", "panel_tilt": "50", "sky": "mixed", "clock": "+01:00"},
}


def address(path: str, **also: str) -> str:
    return f"{path}?{urlencode({**FULL_SHEET, **also})}"


def pages(pdf: bytes) -> list[str]:
    """Return the words of each page; letters that are set as one stand by themselves."""
    texts = (normalize("NFKC", page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages)
    return [" ".join(text.split()) for text in texts]


@pytest.fixture
def sheet_file(page: Page, tmp_path: Path) -> Callable[..., str]:
    """Download the sheet's file as a phone does and return where it is."""

    def save(**also: str) -> str:
        page.goto(address("/sheet", **also))
        with page.expect_download() as got:
            page.get_by_role("button", name="A file that opens without a network").click()
        path = tmp_path / got.value.suggested_filename
        got.value.save_as(path)
        return path.as_uri()

    return save


# -- paper ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("notes", ["", LONG_NOTES], ids=["no notes", "2,000 characters"])
def test_one_sheet_of_paper(page: Page, notes: str, paper: str) -> None:
    page.goto(address("/sheet", mounting=notes))
    expect(page.locator("#sheet img")).to_have_js_property("complete", True)
    (words,) = pages(page.pdf(format=paper))
    for part in ("Example site", "Interval", "Camera clock", "after 1 day", "Gate closed", "First visits", "Ladder"):
        assert part in words
    assert "Work it out" not in words
    assert ("Mounting notes" in words) is bool(notes)
    if notes:
        assert words.count("Bolt the bracket") == notes.count("Bolt the bracket")


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_notes_of_very_many_lines_have_paper_of_their_own(page: Page, paper: str) -> None:
    """All else stays on the first sheet, which says so; nothing of the notes is cut."""
    page.goto(address("/sheet", mounting=MANY_LINES))
    first, *others = pages(page.pdf(format=paper))
    assert "Mounting notes: on the next page." in first and "Ladder" in first
    assert sum(words.count("Rung") for words in others) == 400


def test_the_file_prints_on_one_sheet(page: Page, sheet_file: Callable[..., str], faults: list[str]) -> None:
    page.unroute_all()
    page.context.unroute_all()
    page.goto(sheet_file(mounting=LONG_NOTES))
    for paper in ("A4", "Letter"):
        assert len(pages(page.pdf(format=paper))) == 1


# -- the file, with the network off -----------------------------------------------------------------------------


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_file_opens_with_no_request(
    scheme: str,
    sheet_file: Callable[..., str],
    browser: object,
    axe: Axe,
) -> None:
    at = sheet_file(mounting=HOSTILE)
    context: BrowserContext = browser.new_context(  # type: ignore[attr-defined]
        offline=True, java_script_enabled=True, color_scheme=scheme, viewport={"width": 320, "height": 640}
    )
    page, requests, said = context.new_page(), [], []
    page.on("request", lambda request: requests.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("dialog", lambda dialog: said.append(dialog.message))
    page.goto(at)
    page.wait_for_timeout(200)
    assert requests == [at]
    assert said == []
    paper = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert paper == ("rgb(255, 254, 250)" if scheme == "light" else "rgb(14, 17, 18)")
    assert page.title() == "Example site (invented) – crew sheet"
    assert page.locator(".notes").evaluate("notes => notes.textContent") == HOSTILE
    assert page.evaluate(TOO_WIDE) == []
    # The file lets no script in, so the checks run in a page that has the same content and no policy.
    context.close()
    free: BrowserContext = browser.new_context(  # type: ignore[attr-defined]
        bypass_csp=True, color_scheme=scheme, viewport={"width": 320, "height": 640}
    )
    page = free.new_page()
    page.goto(at)
    assert violations(axe, page, RULES) == []
    assert violations(axe, page, CONTRAST) == []
    free.close()


def test_the_file_is_chosen_and_opens_the_plan(page: Page, sheet_file: Callable[..., str]) -> None:
    at = sheet_file(mounting=LONG_NOTES)
    page.goto("/open")
    page.locator("[type=file]").set_input_files(at.removeprefix("file://"))
    page.get_by_role("button", name="Open").click()
    page.wait_for_url("**/sheet?v=1&**")
    shown, opened = (parse_qs(urlsplit(link).query) for link in (page.locator("#link").input_value(), page.url))
    assert len(shown.pop("sum")) == 1
    assert shown == opened


# -- on the screen ----------------------------------------------------------------------------------------------


def test_ticks_stay_on_this_phone_for_this_plan(page: Page, new_context: Callable[..., BrowserContext]) -> None:
    page.goto(address("/sheet"))
    boxes = page.locator("#sheet [type=checkbox]")
    boxes.nth(1).check()
    boxes.nth(4).check()
    page.reload()
    states = [boxes.nth(n).is_checked() for n in range(boxes.count())]
    assert states == [n in (1, 4) for n in range(9)]
    assert "sheet" in page.url and page.context.cookies() == []
    page.goto(address("/sheet", interval="10min"))
    assert not boxes.nth(1).is_checked()
    page.goto(address("/sheet"))
    assert boxes.nth(1).is_checked()
    fresh = new_context().new_page()
    fresh.goto(address("/sheet"))
    assert not fresh.locator("#sheet [type=checkbox]").nth(1).is_checked()


def test_boxes_can_be_ticked_without_scripts(plain_page: Page) -> None:
    plain_page.goto(address("/sheet"))
    plain_page.get_by_text("Camera level").click()
    expect(plain_page.locator("#sheet :checked")).to_have_count(1)


def test_typed_notes_appear_on_the_sheet_as_typed(page: Page) -> None:
    page.goto(address("/sheet"))
    page.get_by_text("Change the plan").click()
    page.locator("#mounting").fill(HOSTILE)
    expect(page.locator("#sheet .notes")).to_be_visible()
    assert page.locator("#sheet .notes").evaluate("notes => notes.textContent") == HOSTILE
    assert page.title().startswith("Crew sheet")
    page.reload()
    assert page.locator("#mounting").input_value() == HOSTILE


def test_the_share_box_selects_itself(page: Page) -> None:
    page.goto(address("/share"))
    for field in ("#link", "#text"):
        page.locator(field).click()
        chosen = page.locator(field).evaluate("field => field.value.slice(field.selectionStart, field.selectionEnd)")
        assert chosen == page.locator(field).input_value() != ""
    assert page.locator("a[href^='sms:']").count() == page.locator("textarea").count() == 2
    assert page.locator("a[href^='mailto:']").count() == 1


def test_a_long_message_is_pasted_at_the_start(plain_page: Page) -> None:
    """Longer than any address: it goes by POST, and the address that it leads to is taken."""
    plain_page.goto(address("/share", mounting="😀" * 2_000))
    text = "\n".join(part.input_value() for part in plain_page.locator("textarea").all())
    plain_page.goto("/")
    plain_page.locator("#link").fill(text)
    plain_page.get_by_role("button", name="Open").click()
    plain_page.wait_for_url("**/sheet?v=1&**")
    expect(plain_page.locator("#mounting")).to_have_value("😀" * 2_000)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_plan_prints_on_one_sheet_with_what_was_typed(page: Page, paper: str) -> None:
    page.goto(f"/plan?{urlencode(VISITED)}")
    (words,) = pages(page.pdf(format=paper))
    assert "Does the whole shoot work?" in words
    assert all(f" {part} " in words for part in ("Clip", "Card", "Battery", "Light")), "a line without its name"
    # What is folded away stands there with its values.
    for value in ("Mon–Fri", "3840x2160 px, usual JPEG files, 64 GB card", "100 Wh, 50 mW standby", "Europe/Madrid"):
        assert value in words
    assert "Work it out" not in words
