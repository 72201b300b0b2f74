"""The cell table against the published rows; what cold and drain do to it."""

from __future__ import annotations

import pytest
from battery_data import CHECKS, DATA, by_number, checks_named
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.power.cells import (
    AGM,
    BANK_USABLE_SHARE,
    CELLS,
    FR6,
    HR6,
    LI_ION,
    LOW_SELF_DISCHARGE_HR6,
    LR6,
    STANDARD_HR6,
    cell_capacity_ah,
    celsius_of,
    ieee_485_k,
    ieee_485_k_cubic,
    self_discharge_at,
    temperature_factor,
    with_self_discharge,
)

CELL_NAMES = sorted(CELLS)
PUBLISHED = DATA["cells"]
#: The tables print factors to two places.
TWO_PLACES = 0.0051


def ends_of(published: float | list[float]) -> tuple[float, float]:
    low, high = published if isinstance(published, list) else (published, published)
    return min(low, 1.0), min(high, 1.0)


def test_every_published_cell_is_in_the_table() -> None:
    assert set(CELLS) == set(PUBLISHED)


@pytest.mark.parametrize("check", checks_named("ieee485_K_"), ids=lambda check: check["id"])
def test_ieee_485_table(check: dict) -> None:
    temp_c = celsius_of(check["inputs"]["T_F"])
    assert temp_c == pytest.approx(check["inputs"]["T_C"], abs=0.005)
    assert ieee_485_k(temp_c) == pytest.approx(check["published"], abs=1e-9)
    assert ieee_485_k_cubic(temp_c) == pytest.approx(check["published"], abs=check["tolerance"])
    assert ieee_485_k_cubic(temp_c) == pytest.approx(check["computed"], abs=2e-6)


def test_cubic_goes_on_as_the_off_grid_worksheet_does() -> None:
    check = CHECKS["offgrid_K_20F"]
    assert ieee_485_k(celsius_of(20)) == pytest.approx(check["published"], abs=check["tolerance"])


@pytest.mark.parametrize(("temp_c", "share"), by_number(DATA["lead_acid_capacity_share_by_c"]["values"]))
def test_lead_acid_low_end_is_one_over_k(temp_c: float, share: float) -> None:
    # Between two rows of a table printed to two places the cubic and a straight line differ by up to 0.005.
    assert temperature_factor(AGM, temp_c).factor.low == pytest.approx(min(share, 1.0), abs=TWO_PLACES)


@pytest.mark.parametrize(
    ("name", "temp_c", "published"),
    [(name, float(temp), ends) for name in CELL_NAMES for temp, ends in PUBLISHED[name]["factor_by_c"].items()],
)
def test_factor_rows(name: str, temp_c: float, published: float | list[float]) -> None:
    factor = temperature_factor(CELLS[name], temp_c).factor
    low, high = ends_of(published)
    assert factor.low == pytest.approx(low, abs=TWO_PLACES)
    assert factor.high == pytest.approx(high, abs=TWO_PLACES)


@pytest.mark.parametrize("name", CELL_NAMES)
def test_limits_and_kind(name: str) -> None:
    cell, published = CELLS[name], PUBLISHED[name]
    assert list(cell.discharge_limits_c) == published["discharge_limits_c"]
    assert cell.rechargeable is published["rechargeable"]
    if "charge_limits_c" in published:
        assert list(cell.charge_limits_c) == published["charge_limits_c"]


@pytest.mark.parametrize(
    ("name", "drain_ma", "capacity_ah"),
    [
        (name, float(drain), capacity)
        for name in CELL_NAMES
        for drain, capacity in PUBLISHED[name].get("capacity_ah_by_ma", {}).items()
    ],
)
def test_primary_capacity_rows(name: str, drain_ma: float, capacity_ah: float) -> None:
    capacity = cell_capacity_ah(CELLS[name], drain_ma)
    assert capacity.expected == pytest.approx(capacity_ah)
    assert capacity.low < capacity_ah < capacity.high


def test_alkaline_capacity_keeps_its_twenty_percent() -> None:
    capacity = cell_capacity_ah(LR6, 25)
    assert (capacity.low, capacity.high) == pytest.approx((2.7 * 0.8, 2.7 * 1.2))


def test_capacity_between_and_outside_rows() -> None:
    assert 1.7 < cell_capacity_ah(LR6, 150).expected < 2.2
    assert cell_capacity_ah(LR6, 1).expected == 2.7
    assert cell_capacity_ah(LR6, 5_000).expected == 1.2
    assert cell_capacity_ah(LI_ION) is None
    by_standard = cell_capacity_ah(HR6)
    assert (by_standard.low, by_standard.expected, by_standard.high) == (1.9, 2.2, 2.5)
    lithium = cell_capacity_ah(FR6, 25)
    assert (lithium.low, lithium.high) == pytest.approx((3.3 * 0.9, 3.3 * 1.1))


def test_factor_between_rows_is_on_a_straight_line() -> None:
    factor = temperature_factor(LI_ION, -5).factor
    assert (factor.low, factor.expected, factor.high) == pytest.approx((0.725, 0.825, 0.925))


@pytest.mark.parametrize("name", CELL_NAMES)
def test_colder_than_the_table_is_never_held_at_the_last_row(name: str) -> None:
    last, beyond = temperature_factor(CELLS[name], -20), temperature_factor(CELLS[name], -35)
    assert beyond.outside_table
    assert not last.outside_table
    assert beyond.factor.low < last.factor.low


@pytest.mark.parametrize(
    ("name", "temp_c", "outside"), [("LR6", -18.1, True), ("LR6", -18, False), ("FR6", -40, False), ("agm", 50.1, True)]
)
def test_outside_limits(name: str, temp_c: float, outside: bool) -> None:
    assert temperature_factor(CELLS[name], temp_c).outside_limits is outside


def test_known_kind_of_nimh_cell() -> None:
    assert with_self_discharge(HR6, LOW_SELF_DISCHARGE_HR6).self_discharge_per_month.high == 0.04
    assert HR6.self_discharge_per_month.high == 0.30
    assert FR6.self_discharge_per_month.high == 0.005


@given(st.sampled_from(CELL_NAMES), st.floats(-80, 80))
def test_factor_is_an_ordered_share(name: str, temp_c: float) -> None:
    factor = temperature_factor(CELLS[name], temp_c).factor
    assert 0 <= factor.low <= factor.expected <= factor.high <= 1


@given(st.sampled_from(CELL_NAMES), st.floats(-80, 20), st.floats(-80, 20))
def test_colder_never_gives_more(name: str, one_c: float, other_c: float) -> None:
    colder, warmer = sorted((one_c, other_c))
    less, more = temperature_factor(CELLS[name], colder).factor, temperature_factor(CELLS[name], warmer).factor
    assert less.low <= more.low + 1e-12
    assert less.high <= more.high + 1e-12


@given(st.sampled_from(CELL_NAMES), st.floats(25, 80))
def test_no_credit_above_the_base_temperature(name: str, temp_c: float) -> None:
    cell = CELLS[name]
    assert temperature_factor(cell, temp_c).factor.high <= temperature_factor(cell, 25).factor.high


@pytest.mark.parametrize(
    ("name", "low", "expected", "high"),
    [
        # From memory: alkaline by the device's cut-off; Linden for the rest; IEEE 1013 for lead-acid. Plans count on
        # the low end of what a routine takes out of lithium and lead.
        *((name, 0.5, 0.7, 0.9) for name in ("LR6", "LR14", "LR20")),
        ("FR6", 0.85, 0.9, 0.95),
        ("HR6", 0.8, 0.85, 0.9),
        ("li-ion", 0.8, 0.8, 0.95),
        ("lifepo4", 0.8, 0.85, 0.9),
        ("agm", 0.5, 0.5, 0.8),
    ],
)
def test_usable_share(name: str, low: float, expected: float, high: float) -> None:
    share = CELLS[name].usable_share
    assert (share.low, share.expected, share.high) == (low, expected, high)


def test_a_power_bank_gives_what_is_printed_of_its_cells() -> None:
    """From memory: 0.9 where its port gives up sooner."""
    assert (BANK_USABLE_SHARE.low, BANK_USABLE_SHARE.expected, BANK_USABLE_SHARE.high) == (0.9, 1, 1)


@pytest.mark.parametrize(
    ("name", "low", "expected", "high"),
    [
        # Percent a month. Alkaline: 0.5 and 80 % left after five years seen. Lithium AA "below 0.1 %", lead-acid
        # 2 % at 25 °C, Li-ion: seen.
        *((name, 0.2, 0.33, 0.5) for name in ("LR6", "LR14", "LR20")),
        ("FR6", 0.05, 0.1, 0.5),
        ("HR6", 2, 4, 30),
        ("li-ion", 2, 2.5, 3),
        ("lifepo4", 2, 2.5, 3),
        ("agm", 1.5, 2, 3),
    ],
)
def test_self_discharge(name: str, low: float, expected: float, high: float) -> None:
    share = CELLS[name].self_discharge_per_month
    assert (100 * share.low, 100 * share.expected, 100 * share.high) == pytest.approx((low, expected, high))


def test_both_kinds_of_nimh_cell() -> None:
    """Seen: 2 to 3 % and 4 % a month of one kind, 30 % of the other, whose 15 % is from memory."""
    kinds = ((each.low, each.expected, each.high) for each in (LOW_SELF_DISCHARGE_HR6, STANDARD_HR6))
    assert list(kinds) == [(0.02, 0.03, 0.04), (0.15, 0.2, 0.3)]


@pytest.mark.parametrize("name", CELL_NAMES)
def test_voltage_and_what_rules_for_lithium_ask(name: str) -> None:
    cell, volts = CELLS[name], PUBLISHED[name]["nominal_v"]
    low, high = volts if isinstance(volts, list) else (volts, volts)
    assert (cell.nominal_v.low, cell.nominal_v.high) == (low, high)
    assert cell.lithium == {"FR6": "metal", "li-ion": "ion", "lifepo4": "ion"}.get(name)


def test_pulses_in_the_cold_take_more_of_an_alkaline_cell() -> None:
    """From memory: at −20 °C a quarter of the 20 % that is left, if at all; lithium AA take no notice."""
    left = temperature_factor(LR6, -20).left
    assert (left.low, left.high) == pytest.approx((0.2 * 0.25, 0.5))
    pulses = [temperature_factor(LR6, temp_c).pulses for temp_c in (-10, 0, 10, 20)]
    assert [each.low for each in pulses] == pytest.approx([0.6, 0.85, 0.925, 1])
    assert [each.expected for each in pulses] == pytest.approx([0.8, 0.925, 0.9625, 1])
    assert temperature_factor(LR6, 20).left == temperature_factor(LR6, 20).factor
    assert temperature_factor(FR6, -20).left == temperature_factor(FR6, -20).factor


def test_heat_doubles_self_discharge() -> None:
    assert self_discharge_at(LI_ION, -10) == self_discharge_at(LI_ION, 25) == LI_ION.self_discharge_per_month
    assert self_discharge_at(LI_ION, 35).high == pytest.approx(0.06)


def test_five_years_of_an_alkaline_cell() -> None:
    """Seen: 80 % is left after five years."""
    assert 1 - 60 * LR6.self_discharge_per_month.expected == pytest.approx(0.8, abs=0.005)
