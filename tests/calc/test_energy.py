"""Rated and usable energy, lead-acid, air travel, against published values."""

from __future__ import annotations

import pytest
from battery_data import CHECKS, DATA, by_number
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.cells import AGM, CELLS, HR6, LI_ION, LR6
from webcalc.calc.power.energy import (
    BANK_STAYS_ON_ABOVE_MA,
    OUTPUT_V,
    AirClass,
    Pack,
    RatedFrom,
    air_class,
    assembled_air_class,
    charge_share_at_rest,
    mah_of,
    output_mah,
    pack_air_class,
    rated_wh,
    usable_wh,
    wh_of,
)


def assert_published(name: str, result: float) -> None:
    check = CHECKS[name]
    assert result == pytest.approx(check["published"], abs=max(check["tolerance"], 1e-9))


# Peukert


# Power bank


@pytest.mark.parametrize("name", ["pb_20000_Wh", "pb_30000_Wh"])
def test_power_bank_watt_hours(name: str) -> None:
    assert_published(name, wh_of(CHECKS[name]["inputs"]["mAh"], CHECKS[name]["inputs"]["V"]))


@pytest.mark.parametrize("name", ["pb_20000_5V_mAh_85", "pb_10000_5V_mAh_ideal", "pb_10000_5V_mAh_80"])
def test_power_bank_output(name: str) -> None:
    inputs = CHECKS[name]["inputs"]
    assert_published(name, output_mah(inputs["mAh"], inputs["V"], 5, inputs.get("eff", 1)))


def test_hundred_watt_hours_in_mah() -> None:
    assert_published("pb_100Wh_mAh", mah_of(100, 3.7))


def test_power_bank_by_label_spans_both_cell_voltages() -> None:
    bank = Pack(LI_ION, mah=20_000, converter=Estimate(0.80, 0.85, 0.93))
    assert rated_wh(bank) == Estimate(72.0, 73.0, 74.0)
    assert rated_wh(Pack(LI_ION, mah=20_000, volts=3.7)).expected == pytest.approx(74.0)
    usable = usable_wh(bank, 20)
    assert usable.low == pytest.approx(72 * 0.9 * 0.80)
    assert usable.high == pytest.approx(74 * 0.93)


# Packs


def test_printed_watt_hours_go_first() -> None:
    pack = Pack(HR6, cells=8, wh=20.0, mah=2_000)
    assert pack.rated_from is RatedFrom.WH
    assert rated_wh(pack) == Estimate.exact(20.0)


def test_cells_by_the_table() -> None:
    pack = Pack(LR6, cells=8)
    assert pack.rated_from is RatedFrom.CELLS
    rated = rated_wh(pack)
    assert (rated.low, rated.expected, rated.high) == pytest.approx((21.12, 26.4, 31.68))


def test_capacity_of_each_cell_without_a_voltage() -> None:
    assert rated_wh(Pack(HR6, cells=8, mah=2_000)).expected == pytest.approx(8 * 2.0 * 1.2)
    assert rated_wh(Pack(AGM, mah=12_000)).expected == pytest.approx(144)


def test_voltage_makes_the_capacity_that_of_the_whole_pack() -> None:
    assert rated_wh(Pack(LI_ION, cells=6, mah=10_000, volts=11.1)).expected == pytest.approx(111)


def test_unknown_energy_stays_unknown() -> None:
    for pack in (Pack(), Pack(LI_ION, cells=4), Pack(LR6), Pack(None, cells=4)):
        assert rated_wh(pack) is None
        assert usable_wh(pack, 20) is None
        assert pack.rated_from is None


def test_unknown_type_is_taken_as_li_ion_and_says_so() -> None:
    unknown, known = Pack(wh=50.0), Pack(LI_ION, wh=50.0)
    assert unknown.cell_assumed
    assert not known.cell_assumed
    assert usable_wh(unknown, -10) == usable_wh(known, -10)


def test_usable_is_the_product_of_its_shares() -> None:
    usable = usable_wh(Pack(AGM, wh=144.0), 0, 0.2)
    assert usable.low == pytest.approx(144 * 0.5 * 0.8 / 1.405, rel=1e-6)  # IEEE 485 cubic at 0 °C: K = 1.405
    assert usable.high == pytest.approx(144 * 0.8 * 0.84 * 0.8)


def test_ageing_outside_its_range_is_refused() -> None:
    with pytest.raises(ValueError, match="ageing_share is 0 to 1"):
        usable_wh(Pack(LI_ION, wh=50.0), 20, 1.5)


@given(st.sampled_from(sorted(CELLS)), st.floats(-60, 20), st.floats(-60, 20), st.floats(0, 1))
def test_colder_never_more_usable(name: str, one_c: float, other_c: float, ageing: float) -> None:
    pack = Pack(CELLS[name], wh=100.0)
    less, more = (usable_wh(pack, temp_c, ageing) for temp_c in sorted((one_c, other_c)))
    assert 0 <= less.low <= less.expected <= less.high <= 100
    assert less.low <= more.low + 1e-9
    assert less.high <= more.high + 1e-9


# Lead-acid rest voltage


@pytest.mark.parametrize(("percent", "volts"), by_number(DATA["lead_acid_12v_rest_voltage_by_percent"]["values"]))
def test_rest_voltage_table(percent: float, volts: float) -> None:
    assert charge_share_at_rest(volts) == pytest.approx(percent / 100)


def test_rest_voltage_between_rows_and_outside() -> None:
    assert charge_share_at_rest(12.13) == pytest.approx(0.55)
    assert charge_share_at_rest(10.0) == 0.0
    assert charge_share_at_rest(12.9) == 1.0
    assert charge_share_at_rest(14.4) is None  # being charged
    assert charge_share_at_rest(6.2) is None  # another battery


# Air travel

#: The published words, and the class that stands for them.
AIR_WORDS = {
    "carry-on, no approval": AirClass.CARRY_ON,
    "approval, max 2 spares": AirClass.AIRLINE_APPROVAL_TWO_SPARES,
    "forbidden as baggage": AirClass.NOT_IN_BAGGAGE,
}


@pytest.mark.parametrize("name", ["air_74Wh", "air_100Wh", "air_100.1Wh", "air_160Wh", "air_160.1Wh"])
def test_air_class(name: str) -> None:
    assert air_class(CHECKS[name]["inputs"]["Wh"]) is AIR_WORDS[CHECKS[name]["published"]]


def test_joined_into_one_battery() -> None:
    """49 CFR 175.10(a)(18): 2 g of lithium metal, seen; that a lithium AA has up to 1 g is from memory."""
    metal = [assembled_air_class(Pack(CELLS["FR6"], cells=cells)) for cells in (1, 2, 3)]
    assert metal == [None, AirClass.CARRY_ON, AirClass.NOT_IN_BAGGAGE]
    # Ten cells of 3.4 Ah at up to 3.7 V are 125.8 Wh.
    assert assembled_air_class(Pack(LI_ION, cells=10, mah=3_400)) is AirClass.AIRLINE_APPROVAL_TWO_SPARES
    assert assembled_air_class(Pack(LR6, cells=8)) is None


def test_what_a_power_bank_puts_out() -> None:
    """USB: 5 V. From memory: what draws less than 50 to 100 mA may be taken for gone."""
    assert (OUTPUT_V, BANK_STAYS_ON_ABOVE_MA) == (5, 100)


def test_only_a_power_bank_of_lithium_cells_ends_at_its_own_protection() -> None:
    behind = Estimate.exact(0.9)
    assert Pack(LI_ION, converter=behind).usable_share.expected == 1
    assert Pack(LI_ION).usable_share == LI_ION.usable_share
    assert Pack(AGM, converter=behind).usable_share == AGM.usable_share


def test_air_class_is_per_battery() -> None:
    assert pack_air_class(Pack(LI_ION, cells=10, mah=3_400)) is AirClass.CARRY_ON
    assert pack_air_class(Pack(LI_ION, mah=34_000, volts=3.7)) is AirClass.AIRLINE_APPROVAL_TWO_SPARES
    assert pack_air_class(Pack(CELLS["lifepo4"], mah=20_000)) is AirClass.NOT_IN_BAGGAGE
    assert pack_air_class(Pack(CELLS["FR6"], cells=24)) is AirClass.CARRY_ON
    assert pack_air_class(Pack(LR6, cells=8)) is None
    assert pack_air_class(Pack(LI_ION, cells=8)) is None
