"""Results as JSON: exact numbers, instants with their offset, no infinities."""

from __future__ import annotations

import json
import math
from datetime import UTC, date, datetime, time, timedelta, timezone
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

import pytest

from webcalc.calc.estimate import Estimate
from webcalc.web.http.data import ends, plain_data


class Colour(Enum):
    RED = "red"


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (None, None),
        (True, True),
        (3, 3),
        ("x", "x"),
        (Fraction(4, 2), 2),
        (Fraction(1, 4), 0.25),
        (Decimal("2.50"), 2.5),
        (Decimal("3.0"), 3),
        (1.5, 1.5),
        (math.inf, None),
        (-math.inf, None),
        (math.nan, None),
        (date(2027, 3, 1), "2027-03-01"),
        (time(8, 30), "08:30"),
        (datetime(2027, 3, 1, 8, 30, 15, 999_999), "2027-03-01T08:30:15"),
        (datetime(2027, 3, 1, 8, 30, tzinfo=UTC), "2027-03-01T08:30:00+00:00"),
        (datetime(2027, 7, 1, 8, 30, tzinfo=timezone(timedelta(hours=2))), "2027-07-01T08:30:00+02:00"),
        (timedelta(minutes=90), 5400.0),
        (Colour.RED, "red"),
        (Estimate(1, 2, 3), {"low": 1, "expected": 2, "high": 3}),
        (Estimate.exact(Fraction(1, 2)), {"low": 0.5, "expected": 0.5, "high": 0.5}),
        ({"a": (Fraction(1, 2), [date(2027, 3, 1)])}, {"a": [0.5, ["2027-03-01"]]}),
        (frozenset({1}), [1]),
    ],
)
def test_plain(value: Any, plain: Any) -> None:
    found = plain_data(value)
    assert found == plain
    assert type(found) is type(plain)
    json.dumps(found, allow_nan=False)


def test_ends_are_told_one_by_one() -> None:
    assert ends(Estimate(1, None, 3)) == {"low": 1, "expected": None, "high": 3}
    assert ends(None) == {"low": None, "expected": None, "high": None}
