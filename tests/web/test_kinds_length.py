"""How the length of a shoot may be typed."""

import pytest

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import Say
from webcalc.web.words.values import value_words

LENGTH = QUANTITIES["shoot_days"]


@pytest.mark.parametrize(
    ("text", "value", "written", "said"),
    [
        ("42", ShootLength(days=42), "42", "6 weeks"),
        ("42 days", ShootLength(days=42), "42", "6 weeks"),
        ("6 weeks", ShootLength(days=42), "42", "6 weeks"),
        ("6w", ShootLength(days=42), "42", "6 weeks"),
        ("1 day", ShootLength(days=1), "1", "1 day"),
        ("10d", ShootLength(days=10), "10", "10 days"),
        ("3 months", ShootLength(months=3), "3mo", "3 months"),
        ("3MO", ShootLength(months=3), "3mo", "3 months"),
        ("1 year", ShootLength(months=12), "12mo", "12 months"),
        ("1 year 6 months", ShootLength(months=18), "18mo", "18 months"),
        ("1 month and 2 weeks", ShootLength(months=1, days=14), "1mo14d", "1 month and 2 weeks"),
        ("1 month, 3 days", ShootLength(months=1, days=3), "1mo3d", "1 month and 3 days"),
    ],
)
def test_reads(text, value, written, said):
    assert LENGTH.read(text) == value
    assert LENGTH.write(value) == written
    assert LENGTH.read(written) == value
    assert value_words("shoot_days", value, Say()).replace("\u00a0", " ") == said


@pytest.mark.parametrize("text", ["6m", "2.5 weeks", "1 6 months", "months", "-3", "3 fortnights", "6 weeks 3", "½"])
def test_asks_for_a_length(text):
    with pytest.raises(ValueError, match="Shoot length must be days, weeks or months, like 42, 6 weeks"):
        LENGTH.read(text)


@pytest.mark.parametrize("text", ["0", "11 years", "121 months", "3661", "99999 weeks"])
def test_refuses_lengths_nobody_plans(text):
    with pytest.raises(ValueError, match="Shoot length must be between one day and ten years"):
        LENGTH.read(text)
