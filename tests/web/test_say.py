"""Values in words: rounding, units, dates that can't be misread."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import LanguageAccept

from webcalc.web.link.inputs import Inputs
from webcalc.web.words.say import NBSP, UNKNOWN, Say, say_for

say = Say()


def plain(text: str) -> str:
    """Return the text with ordinary spaces."""
    return text.replace(NBSP, " ")


@pytest.mark.parametrize(
    ("how", "arguments", "words"),
    [
        ("number", (0,), "0"),
        ("number", (1234,), "1234"),
        ("number", (12345,), "12 345"),
        ("number", (-1234567,), "−1 234 567"),
        ("number", (2.5,), "3"),
        ("number", (0.5,), "1"),
        ("number", (-0.4,), "0"),
        ("number", (2.345, 2), "2.35"),
        ("number", (Decimal("2.30"), 2), "2.3"),
        ("number", (Fraction(1, 3), 3), "0.333"),
        ("figures", (0.0123456,), "0.0123"),
        ("figures", (1234.5,), "1235"),
        ("figures", (99.95,), "100"),
        ("figures", (0,), "0"),
        ("unit", (12.34, "Wh"), "12.3 Wh"),
        ("unit", (98765.4, "Wh"), "98 765 Wh"),
        ("count", (1, "day"), "1 day"),
        ("count", (0, "day"), "0 days"),
        ("count", (2, "battery", "batteries"), "2 batteries"),
        ("percent", (0.5,), "50 %"),
        ("percent", (1,), "100 %"),
        ("percent", (0,), "0 %"),
        ("percent", (0.9999,), "99.9 %"),
        ("percent", (0.004,), "0.4 %"),
        ("size", (999,), "999 B"),
        ("size", (1000,), "1 kB"),
        ("size", (1_500_000,), "1.5 MB"),
        ("size", (64_000_000_000,), "64 GB"),
        ("size", (2.5e12,), "2.5 TB"),
        ("length", (0,), "0 s"),
        ("length", (Fraction(1, 2),), "0.5 s"),
        ("length", (45,), "45 s"),
        ("length", (60,), "1 min"),
        ("length", (90,), "1 min 30 s"),
        ("length", (3600,), "1 h"),
        ("length", (5400,), "1 h 30 min"),
        ("length", (5401,), "≈1 h 30 min"),
        ("length", (86_400,), "1 d"),
        ("length", (97_200,), "1 d 3 h"),
        ("length", (-90,), "−1 min 30 s"),
        ("clip", (20,), "20 s"),
        ("clip", (Fraction(41, 2),), "20.5 s"),
        ("clip", (90,), "1 min 30 s"),
        ("clip", (3725,), "1 h 2 min 5 s"),
        ("clip", (Fraction(181, 2),), "≈1 min 30 s"),
        ("clip_brief", (90,), "1:30"),
        ("clip_brief", (3725,), "1:02:05"),
        ("day", (date(2027, 3, 3),), "Wed 3 Mar 2027"),
        ("day", (date(2027, 3, 3), False), "3 Mar 2027"),
        ("clock", (time(8, 5),), "08:05"),
        ("clock_end", (time(0),), "24:00"),
        ("clock_end", (time(18),), "18:00"),
        ("offset", (timedelta(hours=5, minutes=30),), "UTC+05:30"),
        ("offset", (-timedelta(hours=3, minutes=30),), "UTC−03:30"),
        ("weekdays", (frozenset(range(1, 8)),), "every day"),
        ("weekdays", (frozenset({1, 2, 3, 4, 5}),), "Mon–Fri"),
        ("weekdays", (frozenset({6, 7}),), "Sat, Sun"),
        ("weekdays", (frozenset({1, 3, 5}),), "Mon, Wed, Fri"),
        ("temperature", (-5.25,), "−5.3 °C"),
        ("metres", (12.345,), "12.3 m"),
    ],
)
def test_words(how: str, arguments: tuple[Any, ...], words: str) -> None:
    assert plain(getattr(say, how)(*arguments)) == words


def test_an_instant_has_its_date_and_time() -> None:
    assert plain(say.instant(datetime(2027, 3, 3, 14, 30))) == "Wed 3 Mar 2027, 14:30"


@pytest.mark.parametrize("how", ["number", "figures", "percent", "size", "length", "clip", "day", "clock", "instant"])
def test_unknown_is_said(how: str) -> None:
    assert getattr(say, how)(None) == UNKNOWN
    assert say.count(None, "day") == say.unit(None, "V") == UNKNOWN


@given(st.fractions(0, 10**8))
def test_an_exact_length_says_what_it_is(seconds: Fraction) -> None:
    """A length without "≈" is exact to its smallest unit from a minute on; with it, within half of that unit."""
    words = plain(say.length(seconds))
    rounded = words.startswith("≈")
    parts = words.removeprefix("≈").split()
    size = {"d": 86_400, "h": 3600, "min": 60, "s": 1}
    said = sum(Fraction(amount) * size[unit] for amount, unit in zip(parts[::2], parts[1::2], strict=True))
    if seconds < 60:
        assert abs(said - seconds) <= Fraction(1, 20)
    elif rounded:
        assert said != seconds
        # The second largest unit is the one that is rounded to.
        assert abs(said - seconds) <= Fraction({"d": 3600, "h": 60, "min": 1}[parts[1]], 2)
    else:
        assert said == seconds


@given(st.floats(0, 1, allow_nan=False))
def test_a_share_is_rounded_to_all_or_none_only_where_it_is(share: float) -> None:
    words = plain(say.percent(share))
    assert (words == "100 %") == (share == 1)
    if share >= 0.001:
        assert words != "0 %"


@pytest.mark.parametrize(
    ("language", "comma"),
    [("es", True), ("es-AR", True), ("es-MX", False), ("es-419", False), ("es-US", False), ("en", False)],
)
def test_decimals_are_written_as_the_readers_region_does(language: str, comma: bool) -> None:
    """The decimal signs of the Unicode CLDR, from memory; 419 is Latin America by UN M49."""
    assert say_for(Inputs(), LanguageAccept([(language, 1)])).comma is comma
