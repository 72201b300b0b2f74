"""The written formula with the numbers in it, for every formula that a page can show."""

from __future__ import annotations

import re
from datetime import timedelta
from fractions import Fraction
from types import MappingProxyType
from typing import Any

import pytest
from examples import PAGES, full_query, name_of
from flask import Flask

from webcalc.calc.clip.interval import frames_wanted, interval_exact_s
from webcalc.calc.formula import ARITHMETIC, Formula, Working, work
from webcalc.web.http.page import Page
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.working import show, split_unit

#: Facts that need no working, by page: what the user typed or chose, which the sheet for the crew repeats.
TYPED = {
    "sheet": {
        "Card",
        "Always",
        "Interval",
        "Frame rate of the clip",
        "Picture",
        "Records",
        "On",
        "From",
        "To",
        "Not on",
    }
}
_FACT = re.compile("<dt>(.*?)(?:</dt>)?<dd>(<details><summary>)?")


def shown(working: Working) -> tuple[str, str, str, str]:
    text = show(working, Say())
    return tuple(part.replace(NBSP, " ") for part in (text.what, text.symbols, text.numbers, text.result))  # type: ignore[return-value]


def test_a_formula_with_its_numbers() -> None:
    what, symbols, numbers, result = shown(work(interval_exact_s, recorded_s=Fraction(36_000), frames_wanted=600))
    assert (what, symbols) == ("interval exact", "recorded ÷ frames wanted")
    assert (numbers, result) == ("36 000 s ÷ 600", "60 s")


def test_rounding_up_is_said() -> None:
    found = shown(work(frames_wanted, clip_s=Fraction(20), fps=Fraction(30_000, 1001), kept_share=Fraction(1)))
    assert found[1].startswith("round up")
    assert "30000/1001" in found[2]


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("a_s", Fraction(1, 3), "≈0.33333 s"),
        ("a_s", Fraction(1, 4), "0.25 s"),
        ("a_deg", 12, "12°"),
        ("a_c", -5, "−5 °C"),
        ("a_wh", 12345, "12 345 Wh"),
        ("frames", 600, "600"),
        ("kept_share", Fraction(4, 5), "80 %"),
        ("whole", True, "yes"),
        ("whole", None, "none"),
        ("length", timedelta(minutes=90), "1 h 30 min"),
    ],
)
def test_a_number_has_the_unit_of_its_name(name: str, value: Any, words: str) -> None:
    formula = Formula("test", name, name, ARITHMETIC)
    assert shown(Working(formula, MappingProxyType({name: value}), value))[3] == words


@pytest.mark.parametrize(
    ("name", "words", "unit"),
    [
        ("frame_bytes", "frame", "B"),
        ("battery_mah", "battery", "mAh"),
        ("burst_bits_per_s", "burst", "bit/s"),
        ("kept_share", "kept share", "%"),
        ("frames_wanted", "frames wanted", ""),
    ],
)
def test_units_of_names(name: str, words: str, unit: str) -> None:
    assert split_unit(name) == (words, unit)


def test_signs() -> None:
    formula = Formula("test", "y", "one * two / ten - six ** 2", ARITHMETIC)
    found = shown(Working(formula, MappingProxyType(dict.fromkeys(("one", "two", "ten", "six"), 2)), 2 * 2 / 2 - 2**2))
    assert found[1] == "one × two ÷ ten − six^2"
    assert found[2] == "2 × 2 ÷ 2 − 2^2"
    assert found[3] == "−2"


@pytest.mark.parametrize("calc", PAGES, ids=name_of)
def test_the_example_shows_its_working(app: Flask, calc: Page) -> None:
    """Nothing of the code is left in the text: no operator of the language, no joined name."""
    for found in app.test_client().get(f"/{calc.name}.json?{full_query(calc)}").json["working"]:
        assert found["source"]
        for part in ("what", "symbols", "numbers", "result"):
            assert found[part]
            assert not re.search(r"[a-z]_[a-z]|\*|None|Fraction|Decimal", found[part]), found


@pytest.mark.parametrize("calc", PAGES, ids=name_of)
def test_every_fact_shows_its_working(app: Flask, calc: Page) -> None:
    """A value opens how it comes about; of a formula the numbers are those of the plan."""
    page = app.test_client().get(f"/{calc.name}?{full_query(calc)}").get_data(as_text=True)
    facts = _FACT.findall(page)
    assert len(facts) == page.count("<dd>") and (facts or calc.name == "call")
    assert {label for label, how in facts if not how} == TYPED.get(calc.name, set())
