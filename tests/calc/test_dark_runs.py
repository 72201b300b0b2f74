"""Dark runs: the chance of the reserve against simulated winters (data/dark_runs.csv), and what it rests on."""

from __future__ import annotations

import csv
import math
from datetime import date, time, timedelta
from pathlib import Path
from statistics import fmean, pstdev

import pytest

from webcalc.calc.power.dark_runs import DARKEST, brightest, clearness_of_day, slope_of, spread_of_months
from webcalc.calc.power.irradiation import MONTH_MEAN_DAYS, fao_extraterrestrial_mj_per_m2
from webcalc.calc.power.panel import ChargeRule, Panel, monthly_harvest_wh
from webcalc.calc.power.panel_chance import PROVEN_DAYS, Chance, Draw, chance_of, dark_days_to_reserve
from webcalc.calc.power.sky import SiteSun, Sky
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

LOAD_WH = 4.0
MILD = ChargeRule.constant(15)
WEST_COAST = SiteSun(tuple(n / 100 for n in (20, 27, 33, 39, 40, 42, 43, 44, 38, 32, 25, 18)))


def simulated() -> dict[str, list[dict[str, str]]]:
    path = Path(__file__).parents[1] / "data" / "dark_runs.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        next(lines)  # the source header
        rows = list(csv.DictReader(lines))
    return {site: [row for row in rows if row["site"] == site] for site in dict.fromkeys(row["site"] for row in rows)}


SITES = simulated()


def drawn(first: date, days: int, wh: float = LOAD_WH) -> Draw:
    last = first + timedelta(days - 1)
    return Draw(Schedule(first, last, DailyWindow(time(8), time(18))), first, last, wh, wh)


def winter_chance(room_wh: float, panel_w: float = 8, rule: ChargeRule = MILD, days: int = 181) -> Chance:
    return chance_of(51.5, Panel(panel_w, 60), WEST_COAST, rule, drawn(date(2027, 10, 1), days), room_wh)


@pytest.mark.parametrize("site", SITES)
def test_the_chance_is_that_of_simulated_winters(site: str) -> None:
    """Where it is 1 % or more within a factor of 1.5, and below no more than that."""
    looked_at = 0
    for row in SITES[site]:
        sun = SiteSun(tuple(int(percent) / 100 for percent in row["sunshine"].split()))
        draw = drawn(date(2027, 1, 1) + timedelta(int(row["first_day"]) - 1), int(row["days"]))
        panel, counted = Panel(float(row["panel_w"]), float(row["tilt_deg"])), float(row["chance"])
        found = chance_of(float(row["latitude"]), panel, sun, MILD, draw, float(row["room_wh"]))
        assert not found.at_least
        if counted >= 0.01:
            looked_at += 1
            assert 1 / 1.5 < found.share / counted < 1.5, row
        else:
            assert found.share < 0.015, row
    assert looked_at >= 9


@pytest.mark.parametrize("mean", [0.16, 0.25, 0.4, 0.55, 0.7])
def test_days_have_the_mean_of_their_month(mean: float) -> None:
    """Bendt and others 1981: the slope is solved so; the spread by summing the density itself."""
    days = [clearness_of_day(mean, (n + 0.5) / 2000) for n in range(2000)]
    assert fmean(days) == pytest.approx(mean, abs=0.001)
    assert days == sorted(days)
    assert DARKEST <= days[0] <= days[-1] <= brightest(mean)
    # A mean of 30 days with a correlation of 0.3 from each to the next: 1.3 / 0.7 as much as without one.
    assert spread_of_months(mean) == pytest.approx(pstdev(days) * math.sqrt(1.3 / 0.7 / 30), rel=0.01)


def test_where_all_days_are_equally_likely_the_spread_goes_on_smoothly() -> None:
    low, high = 0.3, 0.6
    # The mean at which the density has no slope, found by halving.
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if middle < (DARKEST + brightest(middle)) / 2 else (low, middle)
    assert abs(slope_of(low)) < 1e-3
    uniform = (brightest(low) - DARKEST) / math.sqrt(12)
    for mean in (low - 0.002, low, low + 0.002):
        assert spread_of_months(mean) == pytest.approx(uniform * math.sqrt(1.3 / 0.7 / 30), rel=0.02)


@pytest.mark.parametrize(("mean", "tenth"), [(0.3, 0.087), (0.4, 0.12), (0.5, 0.20), (0.6, 0.35)])
def test_the_darkest_tenth_of_days(mean: float, tenth: float) -> None:
    """Bendt's distribution with its printed slope, worked out apart (Duffie & Beckman section 2.9, from memory)."""
    assert clearness_of_day(mean, 0.1) == pytest.approx(tenth, abs=0.01)


def test_the_printed_slope() -> None:
    """γ = -1.498 + (1.184 ξ - 27.182 e^(-1.5 ξ)) / (Kmax - Kmin), D&B eq. 2.9.6 (from memory), for a mean of 0.5."""
    span = brightest(0.5) - DARKEST
    xi = span / (brightest(0.5) - 0.5)
    printed = -1.498 + (1.184 * xi - 27.182 * math.exp(-1.5 * xi)) / span
    assert slope_of(0.5) == pytest.approx(printed, abs=0.15)


def test_the_chance_falls_with_battery_and_panel_and_rises_with_frost() -> None:
    by_room = [winter_chance(room).share for room in (16, 20, 26, 32, 40)]
    assert by_room == sorted(by_room, reverse=True)
    by_panel = [winter_chance(20, panel).share for panel in (3, 5, 8, 12, 20)]
    assert by_panel == sorted(by_panel, reverse=True)
    frost = ChargeRule.seasonal(51.5, -2, 5, 15, 5)
    assert winter_chance(60, rule=frost).share == pytest.approx(1)
    assert winter_chance(60).share < 0.01


def test_a_small_battery_has_a_bound_only() -> None:
    small, smallest_proven = winter_chance(5), winter_chance(PROVEN_DAYS * LOAD_WH)
    assert small == Chance(smallest_proven.share, at_least=True)
    assert not smallest_proven.at_least


def test_a_longer_shoot_is_told_by_its_years() -> None:
    """Each year has its winter: one, two, or ten make the same share, apart from how full the year begins."""
    one, two, ten = (winter_chance(26, days=365 * years).share for years in (1, 2, 10))
    assert one == pytest.approx(two, rel=0.05)
    assert two == pytest.approx(ten, rel=0.05)
    # A year and a summer: one winter in two years.
    summer = Draw(Schedule(date(2027, 10, 1), date(2030, 9, 30), DailyWindow(time(8), time(18))), date(2027, 4, 1),
                  date(2028, 9, 30), LOAD_WH, LOAD_WH)  # fmt: skip
    assert chance_of(51.5, Panel(8, 60), WEST_COAST, MILD, summer, 26.0).share == pytest.approx(one / 2, rel=0.1)


def test_nothing_drawn_touches_nothing() -> None:
    draw = drawn(date(2027, 10, 1), 30, wh=0.0)
    assert chance_of(51.5, Panel(8, 60), WEST_COAST, MILD, draw, 1.0) == Chance(0.0)
    assert dark_days_to_reserve((0.0,) * 36, MILD, draw, 1.0) is None


def test_dark_days_in_a_row() -> None:
    """20 Wh at 4 Wh a day, of which 1.5 Wh come back in the second half of December."""
    harvests = tuple(1.5 if third >= 34 else 9.0 for third in range(36))
    assert dark_days_to_reserve(harvests, MILD, drawn(date(2027, 12, 1), 31), 20.0) == 8
    assert dark_days_to_reserve(harvests, MILD, drawn(date(2027, 12, 1), 10), 20.0) is None
    assert dark_days_to_reserve(harvests, ChargeRule.constant(-3), drawn(date(2027, 12, 1), 31), 20.0) == 5


def test_measured_sun_and_sunshine_are_the_same_sun() -> None:
    """FAO-56 eq. 35: kWh on the level and n/N are two ways to tell one clearness."""
    kwh = tuple(
        fao_extraterrestrial_mj_per_m2(51.5, day) * WEST_COAST.mean_in(51.5, month) / 3.6
        for month, day in enumerate(MONTH_MEAN_DAYS, 1)
    )
    measured = SiteSun(kwh=kwh)
    panel = Panel(10, 0, loss_share=0.2, shade=(0.5, *[0.0] * 11))
    for month in range(1, 13):
        assert measured.mean_in(51.5, month) == pytest.approx(WEST_COAST.mean_in(51.5, month))
        low, expected, high = vars(WEST_COAST.clearness_in(51.5, month)).values()
        assert low < expected < high
    for month, (each, wh) in enumerate(zip(monthly_harvest_wh(51.5, panel, measured), kwh, strict=True)):
        # Flat, so what comes down on the level: ten watts at a fifth lost, half of January in the snow.
        assert each.expected == pytest.approx(8 * wh * (0.5 if month == 0 else 1), rel=0.02)


def test_no_more_sun_than_a_clear_sky_lets_through() -> None:
    assert SiteSun(kwh=(15.0,) * 12).mean_in(51.5, 12) == 0.75
    assert SiteSun(kwh=(0.0,) * 12).clearness_in(51.5, 6).low == 0
    assert SiteSun(kwh=(0.0,) * 12).mean_in(75, 12) == DARKEST  # no sun there that a share could be of


def test_near_the_poles_the_days_of_a_month_are_summed() -> None:
    """At 68° N Klein's day of December lies in the polar night; at 67° N the mean day of November hardly tells."""
    panel = Panel(10, 60)
    for latitude, month in ((67.3, 11), (68.5, 1), (-68.5, 7)):
        by_day = [fao_extraterrestrial_mj_per_m2(latitude, day) for day in _days(month)]
        on_level = monthly_harvest_wh(latitude, Panel(10, 0, loss_share=0), Sky.MIXED)[month - 1].expected
        assert on_level == pytest.approx(10 * 0.5 * fmean(by_day) / 3.6, rel=0.001)
        assert monthly_harvest_wh(latitude, panel, Sky.MIXED)[month - 1].expected > 0


def _days(month: int) -> range:
    first = date(2027, month, 1)
    after = date(2027 + month // 12, month % 12 + 1, 1)
    return range(first.timetuple().tm_yday, first.timetuple().tm_yday + (after - first).days)
