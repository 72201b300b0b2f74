"""The sheet's file without a server, in three engines: ticks and fields stay, and what was found is sent back."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from urllib.parse import parse_qs, parse_qsl, urlencode, urlsplit
from urllib.request import urlopen

import pytest
from engines import Engine
from engines.chromium_page import Chromium
from examples import FULL

from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.quantities import QUANTITIES

BOX = "#sheet [type=checkbox]"
#: Catches the file that is saved, instead of the browser's own dialog.
CATCH = (
    "URL.createObjectURL = file => { file.text().then(text => window.caught = text); return 'data:,' };"
    "HTMLAnchorElement.prototype.click = () => {}"
)
WAIT_S = 8
VALUE = "return document.querySelector(arguments[0]).value"
CHECKED = "return [...document.querySelectorAll('#sheet [type=checkbox]')].map(box => box.checked)"


@pytest.fixture(scope="module")
def sheet_file(live_port: int, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the file as it is handed out."""
    path = tmp_path_factory.mktemp("file") / "sheet.html"
    query = urlencode({**FULL, "mounting": "Bracket on rung 2"})
    with urlopen(f"http://127.0.0.1:{live_port}/sheet.html?{query}") as reply:
        path.write_bytes(reply.read())
    return path


@pytest.fixture(params=["chromium", "firefox", "webkit"])
def engine(request: pytest.FixtureRequest, started: Callable[..., Engine]) -> Engine:
    if request.param == "chromium":
        page = request.getfixturevalue("page")
        page.context.unroute_all()
        return Chromium(page)
    return started(request.param)


def sent_to_open(port: int, text: str) -> dict[str, list[str]]:
    """Return the plan that a text leads to when it is pasted."""
    body = urlencode({"link": text}).encode()
    with urlopen(f"http://127.0.0.1:{port}/open", body) as reply:
        return parse_qs(urlsplit(reply.url).query)


def wait_for(engine: Engine, body: str) -> object:
    """Return what a script says as soon as it says anything."""
    end = time.monotonic() + WAIT_S
    while not (found := engine.evaluate(body)):
        assert time.monotonic() < end, body
        time.sleep(0.05)
    return found


def test_ticks_and_fields_stay_and_go_along_in_a_copy(engine: Engine, sheet_file: Path, tmp_path: Path) -> None:
    engine.open(sheet_file.as_uri())
    engine.evaluate("localStorage.clear()")
    engine.open(sheet_file.as_uri())
    assert engine.evaluate("return document.querySelector('#still').hidden") is True
    engine.click(BOX)
    engine.type("#frames", "5667")
    engine.type("#gb", "12,1")
    engine.type("#serial", "SN 7")
    engine.click("[name=card]")
    engine.open("about:blank")
    engine.open(sheet_file.as_uri())
    assert engine.evaluate(CHECKED) == [True, *[False] * 8]
    assert [engine.evaluate(VALUE, name) for name in ("#frames", "#gb", "#serial")] == ["5667", "12,1", "SN 7"]
    # The copy has them in it: it opens like that where nothing is stored.
    engine.evaluate(CATCH)
    engine.click("#save")
    copy = tmp_path / "copy.html"
    copy.write_text(str(wait_for(engine, "return window.caught || ''")), encoding="utf-8")
    engine.evaluate("localStorage.clear()")
    engine.open(copy.as_uri())
    assert engine.evaluate(CHECKED) == [True, *[False] * 8]
    assert [engine.evaluate(VALUE, name) for name in ("#frames", "#gb", "#serial")] == ["5667", "12,1", "SN 7"]
    assert engine.evaluate("return document.querySelector('[name=card]').checked") is True


def test_what_was_found_is_sent_back_as_an_entry(engine: Engine, sheet_file: Path, live_port: int) -> None:
    engine.open(sheet_file.as_uri())
    engine.evaluate("localStorage.clear()")
    engine.open(sheet_file.as_uri())
    engine.evaluate(
        "for (const [name, value] of Object.entries({at: '2027-05-20T10:00', frames: '5667', gb: '12,1',"
        " battery: '58', clock: '40', serial: 'SN 7'})) {"
        " const field = document.querySelector('#' + name); field.value = value;"
        " field.dispatchEvent(new Event('input', {bubbles: true})) }"
    )
    for thing in ("card", "battery"):
        engine.click(f"[name={thing}]")
    words, link = str(engine.evaluate(VALUE, "#back")).splitlines()
    assert "serial number SN 7" in words and "Renewed: card, battery." in words and "Not ticked: Lens clean" in words
    query = urlsplit(link).query
    assert read_inputs(parse_qsl(query), date.min).wrong_sum is None and "&sum=" in query
    assert read_inputs(parse_qsl(query[:-1]), date.min).wrong_sum, "40 s would be 4 s"
    opened = sent_to_open(live_port, f"Hello,\n{words}\n{link}")
    if "did" in QUANTITIES:
        entry = "2027-05-20T10:00,card,battery,frames:5667,gb:12.1,battery:58,clock:40"
        assert opened["did"] == [entry] and opened["mounting"] == ["Bracket on rung 2"]
    else:
        assert opened["mounting"] == [f"Bracket on rung 2\n{words}".rstrip(".")]
    assert {name: opened[name][0] for name in ("card_gb", "interval")} == {"card_gb": "64", "interval": "5min"}
    for target in ("message", "mail"):
        assert "12.1" in engine.evaluate(f"return document.querySelector('#{target}').href").replace("%2C", ".")
    # What can't be read is told in words only, and the field says so.
    engine.evaluate(
        "const field = document.querySelector('#battery'); field.value = '1o0';"
        "field.dispatchEvent(new Event('input', {bubbles: true}))"
    )
    words, link = str(engine.evaluate(VALUE, "#back")).splitlines()
    assert "battery % 1o0" in words and "battery:" not in link
    assert engine.evaluate("return document.querySelector('#battery').ariaInvalid") == "true"


@pytest.mark.parametrize("name", ["chromium", "firefox", "webkit"])
def test_a_view_without_scripts_says_so(
    name: str, started: Callable[..., Engine], sheet_file: Path, request: pytest.FixtureRequest
) -> None:
    if name == "chromium":
        page = request.getfixturevalue("plain_page")
        page.context.unroute_all()
        engine: Engine = Chromium(page)
    else:
        engine = started(name, False)
    engine.open(sheet_file.as_uri())
    assert "No script runs in this view" in engine.text("body")
