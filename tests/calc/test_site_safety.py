"""Power lines, ladders: against the regulations' numbers."""

from __future__ import annotations

import math

import pytest
from battery_data import CHECKS, DATA, by_number

from webcalc.calc.site_safety import (
    LADDER_ABOVE_LANDING_FT,
    LIGHTNING_WAIT_MIN,
    LINE_CLEARANCE_FT,
    LINE_CLEARANCE_UNKNOWN_FT,
    ladder_base_out,
    metres_of,
)


def test_clearance_table() -> None:
    assert by_number(DATA["line_clearance_ft_by_kv"]["values"]) == list(LINE_CLEARANCE_FT)


def test_an_unknown_line_is_taken_for_one_of_350_kv() -> None:
    """29 CFR 1926.1408(a)(2)(ii), from memory."""
    assert dict(LINE_CLEARANCE_FT)[350] == LINE_CLEARANCE_UNKNOWN_FT


def test_metres() -> None:
    """The international foot is 0.3048 m by definition."""
    assert metres_of(10) == pytest.approx(3.048)


def test_a_ladder_stands_one_in_four() -> None:
    """29 CFR 1926.1053(b)(5)(i) and (b)(1): a quarter of the working length, rails 3 ft above the landing."""
    assert ladder_base_out(20) == 20 * CHECKS["ladder_angle_deg"]["inputs"]["base_over_length"] == 5
    assert LADDER_ABOVE_LANDING_FT == 3
    check = CHECKS["ladder_angle_deg"]
    angle_deg = math.degrees(math.acos(ladder_base_out(1)))
    assert angle_deg == pytest.approx(check["published"], abs=check["tolerance"])
    assert angle_deg == pytest.approx(check["computed"], abs=1e-6)


def test_wait_after_thunder() -> None:
    """NOAA and OSHA: 30 minutes after the last thunder; from memory."""
    assert LIGHTNING_WAIT_MIN == 30
