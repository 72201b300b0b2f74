"""Panel harvest and sizing against published worked examples (data/irradiation_checks.json, ``pv``)."""

from __future__ import annotations

import json
import math
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.irradiation import fao_extraterrestrial_mj_per_m2
from webcalc.calc.power.panel import (
    DEFAULT_LOSS_SHARE,
    ChargeRule,
    Facing,
    Panel,
    TopUp,
    daily_harvest_wh,
    days_of_autonomy,
    monthly_harvest_wh,
    panel_wh,
)
from webcalc.calc.power.sky import Sky

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "irradiation_checks.json").read_text(encoding="utf-8"))["pv"]
MILD = ChargeRule.constant(15)

panels = st.builds(
    Panel,
    rated_w=st.floats(0, 500),
    tilt_deg=st.floats(0, 90),
    facing=st.sampled_from(Facing),
    loss_share=st.floats(0, 0.9),
    ground_reflectance=st.floats(0, 1),
)


def check(name: str) -> tuple[Any, float, float]:
    """Return inputs, published result (computed, where none was printed) and tolerance."""
    row = CHECKS[name]
    return row["inputs"], row.get("published", row["computed"]), row["tolerance"]


def test_harvest_of_full_sun_hours() -> None:
    """Tutorial: 1 kW, four full-sun hours, 80 %: 3.2 kWh."""
    given_, published, tolerance = check("pv2_daily_kWh")
    harvest_wh = panel_wh(given_["array_W"], 3.6 * given_["sun_h"], 1 - given_["eff"])
    assert harvest_wh / 1_000 == pytest.approx(published, abs=tolerance)


def test_a_flat_panel_harvests_what_fao56_gives_the_ground() -> None:
    """FAO-56 eq. 35 × W × 0.75, worked by hand for 40° N in June (day 162): a quarter, half, three quarters of Ra."""
    above_air = fao_extraterrestrial_mj_per_m2(40, 162)
    flat = Panel(rated_w=20, tilt_deg=0)
    june = [monthly_harvest_wh(40, flat, sky)[5].expected for sky in Sky]
    assert june == pytest.approx([20 * clearness * above_air / 3.6 * 0.75 for clearness in (0.25, 0.5, 0.75)])
    assert 41 < above_air < 42.5  # table 2.6: 41.9


@settings(deadline=None)
@given(st.floats(-90, 90), panels, st.sampled_from(Sky))
def test_the_range_holds_the_expected_harvest(latitude: float, panel: Panel, sky: Sky) -> None:
    for month in monthly_harvest_wh(latitude, panel, sky):
        assert 0 <= month.low <= month.expected <= month.high


def test_the_range_is_that_of_the_neighbouring_skies() -> None:
    panel = Panel(rated_w=20, tilt_deg=45)
    overcast, mixed, clear = (monthly_harvest_wh(45, panel, sky)[6] for sky in Sky)
    assert mixed == Estimate(overcast.expected, mixed.expected, clear.expected)
    assert clear.low == mixed.expected
    assert clear.high == clear.expected
    assert overcast.low == pytest.approx(overcast.expected * 0.15 / 0.25)  # all diffuse; 0.15 from memory
    assert overcast.high == mixed.expected


def test_beyond_55_degrees_in_winter_the_low_end_is_the_darkest_sky() -> None:
    """FAO-56 warns of its formula there, and the low sun makes a steep panel look better than it is."""
    panel = Panel(rated_w=20, tilt_deg=60)
    for latitude, winter, summer in ((60, 11, 5), (-60, 5, 11)):
        clear = monthly_harvest_wh(latitude, panel, Sky.CLEAR)
        assert clear[winter].low == monthly_harvest_wh(latitude, panel, Sky.OVERCAST)[winter].expected
        assert clear[summer].low == monthly_harvest_wh(latitude, panel, Sky.MIXED)[summer].expected


@pytest.mark.parametrize(("latitude", "winter", "summer"), [(50, 11, 5), (-50, 5, 11)])
def test_bearing_and_season(latitude: float, winter: int, summer: int) -> None:
    """Common practice, no source: towards the equator beats east or west beats away, and winter is the lean season."""
    by_facing = [monthly_harvest_wh(latitude, Panel(20, 60, facing), Sky.CLEAR) for facing in Facing]
    for month in (winter, 2, 8):
        harvests = [months[month].expected for months in by_facing]
        assert harvests == sorted(harvests, reverse=True)
        assert len(set(harvests)) == 3
    assert all(months[winter].expected < months[summer].expected for months in by_facing)


@settings(deadline=None)
@given(st.floats(-90, 90), panels, st.sampled_from(Sky), st.integers(1, 12))
def test_harvest_is_in_proportion_to_rated_power(latitude: float, panel: Panel, sky: Sky, month: int) -> None:
    one = Panel(1, panel.tilt_deg, panel.facing, panel.loss_share, panel.ground_reflectance)
    whole = monthly_harvest_wh(latitude, panel, sky)[month - 1].expected
    assert whole == pytest.approx(panel.rated_w * monthly_harvest_wh(latitude, one, sky)[month - 1].expected)


@pytest.mark.parametrize(
    ("day_c", "coldest_c", "charges"),
    [(0.0, 0.0, False), (0.1, 0.0, True), (-5.0, 0.0, False), (-5.0, None, True), (3.0, 5.0, False)],
)
def test_no_charging_at_or_below_freezing(day_c: float, coldest_c: float | None, charges: bool) -> None:
    """Lithium-ion and LFP data sheets: charging from 0 °C up only; lead-acid has no such limit."""
    rule = ChargeRule.constant(day_c, coldest_c)
    day = date(2026, 6, 1)
    panel = Panel(20, 30)
    expected = monthly_harvest_wh(48, panel, Sky.MIXED)[5] if charges else Estimate.exact(0.0)
    assert rule.charges_on(day) is charges
    assert daily_harvest_wh(48, panel, Sky.MIXED, day, rule) == expected


@pytest.mark.parametrize(("latitude", "frozen_months"), [(48, {12, 1, 2}), (-48, {6, 7, 8})])
def test_seasons_turn_round_south_of_the_equator(latitude: float, frozen_months: set[int]) -> None:
    """Definition: meteorological winter is December to February in the north, June to August in the south."""
    rule = ChargeRule.seasonal(latitude, winter_c=-3, spring_c=8, summer_c=20, autumn_c=9)
    assert {month for month in range(1, 13) if not rule.charges_on(date(2026, month, 10))} == frozen_months
    spring = 4 if latitude > 0 else 10
    assert rule.day_c_by_month[spring - 1] == 8
    assert rule.day_c_by_month[(spring + 6 - 1) % 12] == 9


@pytest.mark.parametrize(
    "bad",
    [
        {"rated_w": -1},
        {"rated_w": math.inf},
        {"rated_w": math.nan},
        {"tilt_deg": 91},
        {"tilt_deg": math.nan},
        {"loss_share": 1},
        {"ground_reflectance": 1.1},
    ],
)
def test_bad_panels_are_refused(bad: dict[str, float]) -> None:
    with pytest.raises(ValueError, match=r"a panel's rated power|shares are 0 to 1"):
        Panel(**{"rated_w": 20, "tilt_deg": 30, **bad})


def test_a_rule_needs_twelve_months() -> None:
    with pytest.raises(ValueError, match="twelve months"):
        ChargeRule((1.0,) * 11)


def test_no_charging_above_the_hottest() -> None:
    """Li-ion is charged up to 45 °C (the cells' own limit): a summer at 50 °C loses its harvest, 45 °C doesn't."""
    hot = ChargeRule.seasonal(40, 5, 15, 50, 20, 0.0, 45.0)
    assert [month for month in range(1, 13) if not hot.charges_in(month)] == [6, 7, 8]
    assert ChargeRule.constant(45).charges_in(7)
    top_up = TopUp(40, Panel(10, 30), Sky.CLEAR, hot)
    assert top_up.harvests().low(date(2027, 7, 1)) == top_up.harvest_wh(date(2027, 7, 1)).low == 0
    assert top_up.harvests().high(date(2027, 5, 31)) == top_up.harvest_wh(date(2027, 5, 31)).high > 0


def test_days_without_sun() -> None:
    """A solar worksheet: the battery of its 2,400 Wh a day carries its days without sun."""
    loads, published, tolerance = check("pv3_load_Wh")
    daily_wh = sum(power * hours for power, hours in loads)
    assert daily_wh == pytest.approx(published, abs=tolerance)
    given_, battery_ah, _ = check("pv3_batt_Ah")
    usable_wh = battery_ah * given_["V"] * given_["eff"] * given_["DOD"]
    assert days_of_autonomy(usable_wh, daily_wh) == pytest.approx(given_["days"], rel=0.001)


def test_the_default_loss_leaves_room_for_the_published_ones() -> None:
    """NREL/TP-6A20-62641: ten default losses make 14.08 %. Heat, controller and charging come on top: 25 % here."""
    given_, published, tolerance = check("nrel_losses_pct")
    kept = math.prod(1 - percent / 100 for percent in given_.values())
    assert 100 * (1 - kept) == pytest.approx(published, abs=tolerance)
    assert published / 100 < DEFAULT_LOSS_SHARE == 0.25
