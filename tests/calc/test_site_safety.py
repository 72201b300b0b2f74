"""Power lines, ladders: against the regulations' numbers."""

from __future__ import annotations

from itertools import pairwise

import pytest
from battery_data import CHECKS, DATA, by_number
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.site_safety import (
    ladder_angle_deg,
    ladder_base_out,
    ladder_length_ft,
    line_clearance_by_kv_ft,
    line_clearance_ft,
    line_clearance_table_ft,
    metres_of,
)

TABLE_A = by_number(DATA["line_clearance_ft_by_kv"]["values"])


@pytest.mark.parametrize(("up_to_kv", "feet"), TABLE_A)
def test_clearance_table(up_to_kv: float, feet: float) -> None:
    assert line_clearance_table_ft(up_to_kv) == feet


@pytest.mark.parametrize(("row", "next_row"), list(pairwise(TABLE_A)))
def test_just_above_a_row_the_next_one_holds(row: tuple[float, float], next_row: tuple[float, float]) -> None:
    assert line_clearance_table_ft(row[0] + 0.1) == next_row[1]


def test_clearance_by_voltage() -> None:
    check = CHECKS["line_230kV_ft"]
    assert line_clearance_by_kv_ft(230) == pytest.approx(check["computed"], abs=check["tolerance"])
    assert line_clearance_by_kv_ft(50) == 10
    assert line_clearance_by_kv_ft(51) == pytest.approx(10 + 4 / 12)


def test_the_larger_rule_is_shown() -> None:
    assert line_clearance_ft(230) == 20
    assert line_clearance_ft(None) == 20
    assert line_clearance_ft(1_100) is None
    assert metres_of(line_clearance_ft(11)) == pytest.approx(3.048)


@given(st.floats(0, 1_000), st.floats(0, 1_000))
def test_higher_voltage_never_nearer(one_kv: float, other_kv: float) -> None:
    lower, higher = sorted((one_kv, other_kv))
    assert 10 <= line_clearance_ft(lower) <= line_clearance_ft(higher)


def test_ladder_angle() -> None:
    check = CHECKS["ladder_angle_deg"]
    angle = ladder_angle_deg(1.0, check["inputs"]["base_over_length"])
    assert angle == pytest.approx(check["published"], abs=check["tolerance"])
    assert angle == pytest.approx(check["computed"], abs=1e-6)


def test_ladder_length() -> None:
    assert ladder_base_out(20) == 5
    length_ft = ladder_length_ft(16)
    # One quarter out, three feet of rail above the landing.
    assert (length_ft**2 - (length_ft / 4) ** 2) ** 0.5 == pytest.approx(19)
