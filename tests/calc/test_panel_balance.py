"""The day-by-day balance of battery and panel: worked by hand, against a second walk, and by its laws."""

from __future__ import annotations

import time
from datetime import date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.load import Load
from webcalc.calc.power.panel import ChargeRule, Facing, Panel, TopUp
from webcalc.calc.power.panel_balance import Balance, Store, balance, balance_range, smallest_panel_w
from webcalc.calc.power.runtime import Supply, runtime
from webcalc.calc.power.sky import Sky
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

FIRST = date(2026, 1, 1)
MILD = ChargeRule.constant(15)

stores = st.builds(Store, st.floats(1, 2_000), st.floats(0, 0.9), st.floats(0, 1))
skies = st.sampled_from(Sky)
shoot_days = st.integers(1, 500)
daily_loads = st.lists(st.floats(0, 100), min_size=7, max_size=7)
panels = st.builds(Panel, rated_w=st.floats(0, 100), tilt_deg=st.floats(0, 90), facing=st.sampled_from(Facing))
rules = st.builds(ChargeRule, st.tuples(*[st.floats(-20, 30)] * 12), st.sampled_from([0.0, None]))
top_ups = st.builds(TopUp, st.floats(-75, 75), panels, skies, rules)


def always(_: date) -> bool:
    return True


def weekly(loads_wh: list[float]):
    return lambda day: loads_wh[day.weekday()]


def walk(store: Store, days: int, load_wh: list[float], top_up: TopUp, sky_end: str = "low") -> Balance:
    return balance(
        FIRST,
        FIRST + timedelta(days - 1),
        store,
        weekly(load_wh),
        lambda day: getattr(top_up.gross_wh(day), sky_end),
        top_up.rule.charges_on,
    )


def test_worked_by_hand() -> None:
    """100 Wh, 30 Wh a day, 10 Wh of sun at noon: midnights at 80, 60, 40, 20, 0; then nothing is left."""
    result = balance(FIRST, FIRST + timedelta(5), Store(100, 0.2), lambda _: 30, lambda _: 10, always)
    assert result.lowest_wh == 0
    assert result.lowest_on == date(2026, 1, 5)
    assert result.reserve_on == date(2026, 1, 4)
    assert result.empty_on == date(2026, 1, 6)
    assert result.end_wh == 0
    assert not result.carries
    assert result.heaviest_wh == 30
    assert result.autonomy_days == pytest.approx(100 / 30)


def test_harvest_beyond_full_is_lost() -> None:
    """100 Wh, 30 a day, 50 of sun: full at noon, 85 at midnight, 70 before the next noon."""
    result = balance(FIRST, FIRST + timedelta(30), Store(100), lambda _: 30, lambda _: 50, always)
    assert (result.lowest_wh, result.lowest_on, result.end_wh) == (70, FIRST + timedelta(1), 85)
    assert result.carries
    assert result.empty_on is None


def test_frozen_days_lose_their_harvest_month_by_month() -> None:
    """January frozen: 31 days × 10 Wh lost; 1,000 − 31 × 20 = 380 Wh, then 380 − 10 n: 100 on 28 February."""
    result = balance(
        FIRST, date(2026, 2, 28), Store(1_000, 0.1), lambda _: 20, lambda _: 10, lambda day: day.month != 1
    )
    january, february = result.months
    assert (january.days, january.load_wh, january.gross_wh) == (31, 620, 310)
    assert (january.frozen_days, january.frozen_wh, january.lowest_wh) == (31, 310, 380)
    assert (february.days, february.frozen_days, february.frozen_wh) == (28, 0, 0)
    assert february.lowest_wh == 380 - 28 * 10
    assert (result.frozen_days, result.frozen_wh) == (31, 310)
    assert result.worst_month == january
    assert (january.net_daily_wh, february.net_daily_wh) == (-20, -10)
    assert result.reserve_on == date(2026, 2, 28)


def test_no_load_has_no_autonomy() -> None:
    result = balance(FIRST, FIRST, Store(100), lambda _: 0, lambda _: 0, always)
    assert result.autonomy_days is None
    assert result.lowest_wh == result.end_wh == 100


def test_midsummer_and_midwinter_are_told_apart() -> None:
    """Common practice, no source: at 52° N December decides, at 52° S June does."""
    for latitude, worst in ((52, 12), (-52, 6)):
        top_up = TopUp(latitude, Panel(20, 60), Sky.MIXED, MILD)
        assert walk(Store(500), 365, [10] * 7, top_up).worst_month.month == worst


@settings(deadline=None)
@given(stores, shoot_days, daily_loads, top_ups)
def test_against_a_second_walk(store: Store, days: int, loads: list[float], top_up: TopUp) -> None:
    """The same rules written again, in half days."""
    state = store.usable_wh * store.start_share
    lowest, reserve_on, empty_on = state, None, None
    for half in range(2 * days):
        day = FIRST + timedelta(half // 2)
        need = loads[day.weekday()] / 2
        if state < need:
            state, empty_on = 0.0, empty_on or day
        else:
            state -= need
        if state <= store.usable_wh * store.reserve_share:
            reserve_on = reserve_on or day
        lowest = min(lowest, state)
        if half % 2 == 0:
            state = min(store.usable_wh, state + top_up.harvest_wh(day).low)
    result = walk(store, days, loads, top_up)
    assert (result.lowest_wh, result.end_wh) == (lowest, state)
    assert (result.reserve_on, result.empty_on) == (reserve_on, empty_on)
    assert sum(month.days for month in result.months) == days
    assert min(month.lowest_wh for month in result.months) == lowest


@settings(max_examples=40, deadline=None)
@given(st.builds(Store, st.floats(20, 300), st.floats(0.01, 0.5)), st.integers(1, 200), st.floats(0.05, 3), top_ups)
def test_against_the_walk_to_the_minute(store: Store, days: int, constant_w: float, top_up: TopUp) -> None:
    """Under a constant draw the battery's own walk must meet the reserve on the same date.

    Bracketed by a reserve a hair above and below, for states that come to rest on it.
    """
    midnight = datetime.min.time()
    schedule = Schedule(FIRST, FIRST + timedelta(days - 1), DailyWindow(midnight, midnight))
    supply = Supply(Estimate.exact(store.usable_wh), harvest_wh=top_up.harvests())
    load = Load(standby_w=constant_w)
    walked = runtime(
        schedule, Recording(None), load, supply, reserve_share=store.reserve_share, past_last=False
    ).reserve_at.low
    earliest, latest = (
        walk(Store(store.usable_wh, store.reserve_share + hair), days, [24 * constant_w] * 7, top_up).reserve_on
        for hair in (1e-6, -1e-6)
    )
    if walked is None:
        assert latest is None
    else:
        assert earliest is not None
        assert earliest <= walked.date()
        assert latest is None or (walked - timedelta(seconds=1)).date() <= latest


@settings(deadline=None)
@given(stores, shoot_days, daily_loads, top_ups, st.floats(0, 200))
def test_more_panel_never_lowers_the_lowest_state(
    store: Store, days: int, loads: list[float], top_up: TopUp, more_w: float
) -> None:
    panel = top_up.panel
    larger = TopUp(
        top_up.latitude_deg, Panel(panel.rated_w + more_w, panel.tilt_deg, panel.facing), top_up.sky, top_up.rule
    )
    before, after = walk(store, days, loads, top_up), walk(store, days, loads, larger)
    # Sums of floats: equal amounts added in another order may differ in the last digits.
    assert after.lowest_wh >= before.lowest_wh - 1e-9 * store.usable_wh


@settings(deadline=None)
@given(stores, shoot_days, daily_loads, top_ups, st.lists(st.floats(0, 50), min_size=7, max_size=7))
def test_more_load_never_raises_the_lowest_state(
    store: Store, days: int, loads: list[float], top_up: TopUp, more_wh: list[float]
) -> None:
    heavier = [load + more for load, more in zip(loads, more_wh, strict=True)]
    before, after = walk(store, days, loads, top_up), walk(store, days, heavier, top_up)
    assert after.lowest_wh <= before.lowest_wh + 1e-9 * store.usable_wh


@settings(max_examples=40, deadline=None)
@given(stores, st.integers(1, 200), daily_loads, top_ups)
def test_the_smallest_panel_carries_and_the_next_smaller_does_not(
    store: Store, days: int, loads: list[float], top_up: TopUp
) -> None:
    last = FIRST + timedelta(days - 1)
    smallest = smallest_panel_w(FIRST, last, store, weekly(loads), top_up)

    def carries(rated_w: float) -> bool:
        panel = Panel(rated_w, top_up.panel.tilt_deg, top_up.panel.facing)
        return walk(store, days, loads, TopUp(top_up.latitude_deg, panel, top_up.sky, top_up.rule)).carries

    if smallest is None:
        assert not carries(1_000)
    else:
        assert carries(smallest)
        assert smallest % 5 == 0
        assert smallest == 0 or not carries(smallest - 5)


def test_no_panel_carries_through_a_frozen_winter() -> None:
    """90 frozen days at 10 Wh need 900 Wh: a battery of 500 Wh is impossible, lead-acid isn't."""
    last = date(2026, 3, 31)
    frozen = TopUp(60, Panel(20, 60), Sky.MIXED, ChargeRule.constant(-5))
    lead_acid = TopUp(60, Panel(20, 60), Sky.MIXED, ChargeRule.constant(-5, None))
    assert smallest_panel_w(FIRST, last, Store(500), lambda _: 10, frozen) is None
    assert smallest_panel_w(FIRST, last, Store(500), lambda _: 10, lead_acid) > 0
    assert smallest_panel_w(FIRST, last, Store(2_000), lambda _: 10, frozen) == 0


def test_the_brighter_end_needs_no_larger_panel() -> None:
    top_up = TopUp(50, Panel(1, 60), Sky.MIXED, MILD)
    sizes = [
        smallest_panel_w(FIRST, date(2027, 12, 31), Store(100), lambda _: 12, top_up, sky_end=end, step_w=1)
        for end in ("low", "expected", "high")
    ]
    assert None not in sizes
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) == 3


def test_the_range_pairs_the_bad_ends() -> None:
    """Low: the smaller battery, the heavier load, the darker sky."""
    top_up = TopUp(50, Panel(10, 60), Sky.MIXED, MILD)
    sizes = Estimate(Store(80), Store(100), Store(120))
    result = balance_range(FIRST, date(2026, 12, 31), sizes, lambda _: Estimate(5.0, 8.0, 12.0), top_up)
    assert [end.heaviest_wh for end in (result.low, result.expected, result.high)] == [12, 8, 5]
    assert result.low.months[0].gross_wh < result.expected.months[0].gross_wh < result.high.months[0].gross_wh
    assert result.low.lowest_wh < result.expected.lowest_wh < result.high.lowest_wh


def test_ten_years_are_quick() -> None:
    """The project's own limits: 0.2 s for a balance of ten years, best of three; a second for the smallest panel."""
    last = FIRST + timedelta(3_659)
    top_up = TopUp(50, Panel(20, 60), Sky.MIXED, ChargeRule.seasonal(50, -2, 8, 18, 9))

    def best_of_three(task) -> float:
        spent = []
        for _ in range(3):
            started = time.perf_counter()
            task()
            spent.append(time.perf_counter() - started)
        return min(spent)

    assert best_of_three(lambda: walk(Store(1_500), 3_660, [10] * 5 + [2] * 2, top_up)) < 0.2
    assert best_of_three(lambda: smallest_panel_w(FIRST, last, Store(1_500), lambda _: 10, top_up)) < 1


@pytest.mark.parametrize("bad", [(0, 0.2, 1), (float("nan"), 0.2, 1), (100, 1, 1), (100, 0.2, 1.1), (100, -0.1, 1)])
def test_bad_stores_are_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match=r"usable energy is more than 0|shares are 0 to 1"):
        Store(*bad)


def test_bad_walks_are_refused() -> None:
    with pytest.raises(ValueError, match="last is before first"):
        balance(FIRST, FIRST - timedelta(1), Store(100), lambda _: 1, lambda _: 1, always)
    with pytest.raises(ValueError, match="not negative"):
        balance(FIRST, FIRST, Store(100), lambda _: -1, lambda _: 1, always)
