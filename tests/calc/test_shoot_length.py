"""The last day of a shoot of a length, and the clip that a month gives."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.schedule.length import ShootLength, clip_s_per_month, last_day
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS


@pytest.mark.parametrize(
    ("first", "length", "last"),
    [
        # counted on a calendar
        (date(2027, 3, 2), ShootLength(days=1), date(2027, 3, 2)),
        (date(2027, 3, 2), ShootLength(days=42), date(2027, 4, 12)),
        (date(2027, 3, 1), ShootLength(months=3), date(2027, 5, 31)),
        (date(2027, 3, 15), ShootLength(months=3), date(2027, 6, 14)),
        (date(2027, 3, 1), ShootLength(months=1, days=14), date(2027, 4, 14)),
        (date(2027, 1, 31), ShootLength(months=1), date(2027, 2, 27)),
        (date(2028, 2, 29), ShootLength(months=12), date(2029, 2, 27)),
        (date(2027, 1, 1), ShootLength(months=120), date(2036, 12, 31)),
    ],
)
def test_last_day(first, length, last):
    assert last_day(first, length) == last


@given(st.dates(date(1990, 1, 1), date(2100, 12, 31)), st.integers(0, 118), st.integers(1, 3660))
def test_months_are_those_of_the_calendar(first, months, days):
    """Computed with python-dateutil's relativedelta."""
    if 31 * months + days > LONGEST_SHOOT_DAYS:
        days = 1
    expected = first + relativedelta(months=months) + timedelta(days - 1)
    assert last_day(first, ShootLength(months, days)) == expected
    assert (expected - first).days < LONGEST_SHOOT_DAYS


@pytest.mark.parametrize("length", [(0, 0), (121, 0), (120, 1), (0, 3661), (118, 3), (-1, 60), (2, -1)])
def test_too_short_or_too_long(length):
    with pytest.raises(ValueError, match="from one day to ten years"):
        ShootLength(*length)


def test_clip_of_a_month():
    """365.2425 / 12 = 30.436875 days: 60 s over 60.87375 days, two such months, are 30 s a month."""
    assert clip_s_per_month(Fraction(120), 487) * 487 == 120 * Fraction("30.436875")
    assert float(clip_s_per_month(Fraction(60), 61)) == pytest.approx(29.937910, abs=1e-6)
