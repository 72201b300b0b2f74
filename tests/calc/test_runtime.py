"""Runtime by the calendar, against a simulation that goes minute by minute and shares no code with it."""

from __future__ import annotations

import math
from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.cells import AGM, CELLS, LI_ION
from webcalc.calc.power.energy import Pack
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import (
    Harvest,
    Supply,
    batteries_needed,
    energy_left_at,
    energy_left_by_noon,
    lasts_at_worst,
    reserve_at_worst,
    runtime,
    self_discharge_w,
    supply_of,
)
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule

MINUTE = timedelta(minutes=1)
TEN_HOURS = DailyWindow(time(8), time(18))
WORK_WEEK = Schedule(date(2026, 3, 2), date(2026, 6, 26), TEN_HOURS, frozenset({1, 2, 3, 4, 5}))
EACH_MINUTE = Recording(Fraction(60))


def exact(usable_wh: float, **more: object) -> Supply:
    return Supply(Estimate.exact(usable_wh), **more)


# By hand


def test_constant_load_by_hand() -> None:
    # 0.1 W from 20 Wh less 20 % reserve: 160 h.
    found = runtime(WORK_WEEK, Recording(None), Load(standby_w=0.1), exact(20.0))
    assert found.days.expected == pytest.approx(160 / 24)
    assert found.reserve_at == Estimate.exact(datetime(2026, 3, 2, 8) + timedelta(hours=160))
    assert not found.lasts


def test_frames_and_weekend_by_hand() -> None:
    # Frames alone: 600 a day of 6 J are 1 Wh. 5.5 Wh without reserve: five days, the weekend, and 300 frames of Monday;
    # the 300th (from 1) falls at 299 min after eight.
    found = runtime(WORK_WEEK, EACH_MINUTE, Load(frame_j=6), exact(5.5), reserve_share=0)
    assert found.reserve_at.expected == datetime(2026, 3, 9, 12, 59)


def test_weekend_draws_standby_only() -> None:
    load = Load(standby_w=0.5, recording_w=1.0)
    # Monday 08:00 to Saturday 00:00 is 112 h of standby (56 Wh) and 5 × 10 Wh; then 12 Wh a day.
    found = runtime(WORK_WEEK, Recording(None), load, exact(118.0), reserve_share=0)
    assert found.reserve_at.expected == datetime(2026, 3, 8)


def test_burst_is_spread_over_its_seconds() -> None:
    recording = Recording(Fraction(600), stills=False, burst_s=Fraction(300))
    # 12 W for 300 s is 1 Wh; 2.5 Wh end in the middle of the third burst.
    found = runtime(WORK_WEEK, recording, Load(burst_w=12), exact(2.5), reserve_share=0)
    assert found.reserve_at.expected == datetime(2026, 3, 2, 8, 22, 30)


def test_self_discharge_is_a_constant_drain() -> None:
    supply = exact(80.0, rated_wh=Estimate.exact(100.0), self_discharge_per_month=Estimate.exact(0.03))
    found = runtime(WORK_WEEK, Recording(None), Load(), supply, reserve_share=0.2)
    # 64 Wh at 3 Wh a month.
    assert found.days.expected == pytest.approx(64 / 3 * 365.2425 / 12)
    assert self_discharge_w(100, 0.03) * 24 * 365.2425 / 12 == pytest.approx(3)


def test_range_puts_the_bad_ends_together() -> None:
    load = Estimate(Load(standby_w=0.1), Load(standby_w=0.2), Load(standby_w=0.4))
    days = runtime(WORK_WEEK, Recording(None), load, Supply(Estimate(40.0, 50.0, 60.0)), reserve_share=0).days
    assert (days.low, days.expected, days.high) == pytest.approx((100 / 24, 250 / 24, 600 / 24))


def test_no_load_has_no_end() -> None:
    found = runtime(WORK_WEEK, EACH_MINUTE, Load(), exact(10.0))
    assert found.days == Estimate.exact(None)
    assert found.lasts
    assert batteries_needed(WORK_WEEK, EACH_MINUTE, Load(), exact(10.0)) == Estimate.exact(1)


def test_nothing_usable_ends_at_once() -> None:
    found = runtime(WORK_WEEK, EACH_MINUTE, Load(standby_w=0.1), exact(0.0))
    assert found.days == Estimate.exact(0.0)
    assert batteries_needed(WORK_WEEK, EACH_MINUTE, Load(standby_w=0.1), exact(0.0)) == Estimate.exact(None)
    assert energy_left_at(WORK_WEEK, EACH_MINUTE, Load(), exact(0.0), WORK_WEEK.ends_at) == Estimate.exact(0.0)


def test_pattern_goes_on_past_the_last_day() -> None:
    one_week = Schedule(date(2026, 3, 2), date(2026, 3, 6), TEN_HOURS, frozenset({1, 2, 3, 4, 5}))
    going_on = runtime(one_week, EACH_MINUTE, Load(frame_j=6), exact(7.5), reserve_share=0)
    assert going_on.days.expected == pytest.approx(9 + 299 / 1440)  # Wednesday of the week after, 299 min after eight
    assert going_on.reserve_at.expected is None
    assert going_on.lasts
    stopping = runtime(one_week, EACH_MINUTE, Load(frame_j=6), exact(7.5), reserve_share=0, past_last=False)
    assert stopping.days.expected is None


def test_battery_fitted_before_the_first_day_and_after_a_visit() -> None:
    load = Load(standby_w=0.1, frame_j=6)
    early = runtime(WORK_WEEK, EACH_MINUTE, load, exact(10.0), since=datetime(2026, 2, 27, 12))
    assert early.since == datetime(2026, 2, 27, 12)
    assert early.reserve_at.expected < runtime(WORK_WEEK, EACH_MINUTE, load, exact(10.0)).reserve_at.expected
    within = runtime(WORK_WEEK, EACH_MINUTE, Load(frame_j=6), exact(0.5), since=datetime(2026, 3, 4, 9, 0, 30))
    assert (
        runtime(
            WORK_WEEK, EACH_MINUTE, Load(frame_j=6), exact(0.5), since=datetime(2026, 3, 4, 9, 1), reserve_share=0.2
        ).reserve_at
        == within.reserve_at
    )


@pytest.mark.parametrize(
    ("since", "when", "frames"),
    [
        (None, datetime(2026, 3, 2, 8, 0, 1), 1),
        (None, datetime(2026, 3, 2, 8, 1), 1),  # the frame of 08:01 isn't taken yet
        (None, datetime(2026, 3, 2, 8, 30, 30), 31),
        (None, datetime(2026, 3, 2, 18), 600),
        (None, datetime(2026, 3, 9, 9), 3_060),  # a week with its weekend, and an hour
        (datetime(2026, 3, 4, 9, 0, 30), datetime(2026, 3, 4, 9, 5), 4),  # 09:01 to 09:04
        (datetime(2026, 3, 4, 9), datetime(2026, 3, 4, 9, 5), 5),
        (datetime(2026, 3, 6, 17), datetime(2026, 3, 9, 8, 30), 90),
        (datetime(2026, 3, 6, 17), datetime(2026, 3, 6, 16), 0),  # before it was fitted
    ],
)
def test_energy_left_counts_the_frames_of_cut_windows(since: datetime | None, when: datetime, frames: int) -> None:
    left = energy_left_at(WORK_WEEK, EACH_MINUTE, Load(frame_j=3.6), exact(10.0), when, since=since)
    assert left.expected == pytest.approx(1 - frames * 0.001 / 10, abs=1e-12)


def test_energy_left_in_the_middle_of_a_burst() -> None:
    recording = Recording(Fraction(600), stills=False, burst_s=Fraction(300))
    left = energy_left_at(WORK_WEEK, recording, Load(burst_w=12), exact(10.0), datetime(2026, 3, 2, 8, 22, 30))
    assert left.expected == pytest.approx(0.75)


def test_supply_of_a_pack() -> None:
    supply = supply_of(Pack(AGM, wh=144.0), 0)
    assert supply.rated_wh == Estimate.exact(144.0)
    assert supply.self_discharge_per_month == AGM.self_discharge_per_month
    assert supply_of(Pack(LI_ION, cells=4), 0) is None


def test_batteries_by_hand() -> None:
    # 85 recorded days of 1 Wh; 8 Wh from each pack.
    assert WORK_WEEK.recorded_days == 85
    needed = batteries_needed(WORK_WEEK, EACH_MINUTE, Load(frame_j=6), Supply(Estimate(8.0, 10.0, 100.0)))
    assert needed == Estimate(low=2, expected=11, high=14)  # 80, 8 and 6.4 Wh each


# Harvest


def test_harvest_that_covers_the_load_lasts() -> None:
    load = Load(standby_w=0.1)  # 2.4 Wh a day
    assert runtime(WORK_WEEK, Recording(None), load, exact(10.0, harvest_wh=lambda day: 2.5)).days.low is None
    assert runtime(WORK_WEEK, Recording(None), load, exact(10.0, harvest_wh=lambda day: 2.3)).days.low is not None


def test_harvest_never_fills_beyond_full() -> None:
    load, dark_from = Load(standby_w=0.1), date(2026, 3, 20)
    supply = exact(10.0, harvest_wh=lambda day: 1_000.0 if day < dark_from else 0.0)
    # Full at noon of the 19th; 8 Wh at 0.1 W last 80 h from there.
    found = runtime(WORK_WEEK, Recording(None), load, supply)
    assert found.reserve_at.expected == datetime(2026, 3, 19, 12) + timedelta(hours=80)


def test_harvest_by_a_table_of_dates_and_with_a_range() -> None:
    table = {date(2026, 3, 3): 2.0}
    supply = exact(10.0, harvest_wh=Estimate({}, table, {date(2026, 3, 3): 4.0}))
    hours = runtime(WORK_WEEK, Recording(None), Load(standby_w=0.1), supply).days.map(lambda days: days * 24)
    # The third one is cut at full: 28 h had used 2.8 Wh.
    assert (hours.low, hours.expected, hours.high) == pytest.approx((80, 100, 108))


def test_lowest_of_each_day_is_before_its_harvest() -> None:
    """From Monday 08:00, 0.1 W: 0.4 Wh to the first noon, then 2.4 a day; 2 Wh of sun on Tuesday count afterwards."""
    supply = exact(10.0, harvest_wh={date(2026, 3, 3): 2.0})
    rows = dict(energy_left_by_noon(WORK_WEEK, Recording(None), Load(standby_w=0.1), supply))
    found = [rows[date(2026, 3, day)].expected for day in range(2, 8)]
    assert found == pytest.approx([0.96, 0.72, 0.68, 0.44, 0.20, 0.0])
    assert list(rows)[-1] == WORK_WEEK.last
    for day, share in rows.items():
        noon = datetime.combine(day, time(11, 59, 59))
        left = energy_left_at(WORK_WEEK, Recording(None), Load(standby_w=0.1), supply, noon)
        assert share.expected == pytest.approx(left.expected, abs=1e-5)


@pytest.mark.parametrize("usable_wh", [5.0, 40.0, 300.0])
@pytest.mark.parametrize("harvest", [None, lambda day: 1.5 * (day.month == 4)])
def test_quick_searches_agree_with_the_runtime(usable_wh: float, harvest: Harvest | None) -> None:
    supply = Supply(Estimate(usable_wh * 0.8, usable_wh, usable_wh * 1.2), harvest_wh=harvest)
    loads = Estimate(Load(standby_w=0.1), Load(standby_w=0.05, frame_j=6), Load(frame_j=12))
    for since in (None, datetime(2026, 4, 5, 13)):
        found = runtime(WORK_WEEK, EACH_MINUTE, loads, supply, since=since, past_last=False)
        assert reserve_at_worst(WORK_WEEK, EACH_MINUTE, loads, supply, since=since) == found.reserve_at.low
        assert lasts_at_worst(WORK_WEEK, EACH_MINUTE, loads, supply, since=since) == found.lasts
        for until in (datetime(2026, 4, 10), datetime(2026, 6, 1, 12)):
            before = found.reserve_at.low is None or found.reserve_at.low >= until
            assert lasts_at_worst(WORK_WEEK, EACH_MINUTE, loads, supply, since=since, until=until) == before


# Against a simulation


def simulated(
    schedule: Schedule,
    recording: Recording,
    load: Load,
    usable_wh: float,
    reserve_share: float,
    minutes: int,
    harvest_wh: float = 0.0,
) -> list[float]:
    """Return the energy above the reserve at the end of each minute from the first date's window start, in Wh.

    Knows nothing of the walk: every minute asks the calendar whether it lies in a window and counts the frames
    that fall into it.
    """
    window_s = schedule.window.length_s
    now, left, rows = datetime.combine(schedule.first, schedule.window.start), usable_wh, []
    motion_j = load.frame_j if load.motion_frame_j is None else load.motion_frame_j
    for _ in range(minutes):
        used_j = 60 * (load.standby_w + load.other_w)
        for day in (now.date() - timedelta(days=1), now.date()):
            start = datetime.combine(day, schedule.window.start)
            begun_s = int((now - start).total_seconds())
            recorded = day >= schedule.first and day.isoweekday() in schedule.weekdays and day not in schedule.skipped
            if not recorded or not 0 <= begun_s < window_s:
                continue
            used_j += 60 * load.recording_w + motion_j * recording.motion_frames_per_day * 60 / window_s
            if recording.interval_s is not None:
                interval_s = recording.interval_s
                taken = math.ceil((begun_s + 60) / interval_s) - math.ceil(begun_s / interval_s)
                used_j += taken * ((load.frame_j if recording.stills else 0) + load.burst_w * float(recording.burst_s))
        left -= used_j / 3600
        now += MINUTE
        if now.hour == 12 and now.minute == 0:
            left = min(usable_wh, left + harvest_wh)
        rows.append(left - usable_wh * reserve_share)
    return rows


@st.composite
def shoots(draw: st.DrawFn) -> tuple[Schedule, Recording, Load]:
    window = DailyWindow(
        time(draw(st.integers(0, 23)), draw(st.integers(0, 59))),
        time(draw(st.integers(0, 23)), draw(st.integers(0, 59))),
    )
    first = date(2026, 1, 1) + timedelta(days=draw(st.integers(0, 365)))
    schedule = Schedule(
        first,
        first + timedelta(days=draw(st.integers(0, 60))),
        window,
        draw(st.frozensets(st.integers(1, 7), min_size=1)),
        draw(st.frozensets(st.integers(0, 12).map(lambda n: first + timedelta(days=n)), max_size=3)),
    )
    recording = Recording(
        draw(
            st.sampled_from([None, 1, 7, 20, 45, 60, 90, 300, 3_600, 14_400, Fraction(1, 2)]).map(
                lambda i: i and Fraction(i)
            )
        ),
        stills=draw(st.booleans()),
        # Shorter than a minute and than the interval, so that the simulation's minute holds it.
        burst_s=draw(st.sampled_from([Fraction(0), Fraction(1, 2)])),
        motion_frames_per_day=draw(st.integers(0, 300)),
    )
    load = Load(
        standby_w=draw(st.sampled_from([0.0, 0.001, 0.02, 0.3])),
        recording_w=draw(st.sampled_from([0.0, 0.1, 1.5])),
        frame_j=draw(st.sampled_from([0.0, 2.0, 15.0])),
        burst_w=draw(st.sampled_from([0.0, 4.0])),
        motion_frame_j=draw(st.sampled_from([None, 10.0])),
        other_w=draw(st.sampled_from([0.0, 0.05])),
    )
    return schedule, recording, load


SIMULATED_MINUTES = 9 * 1440


@settings(deadline=None, max_examples=60, derandomize=True)
@given(shoots(), st.floats(0.05, 60), st.sampled_from([0.0, 0.2, 0.5]), st.sampled_from([0.0, 3.0]))
def test_reserve_is_reached_in_the_simulations_minute(
    shoot: tuple[Schedule, Recording, Load], usable_wh: float, reserve_share: float, harvest_wh: float
) -> None:
    schedule, recording, load = shoot
    rows = simulated(schedule, recording, load, usable_wh, reserve_share, SIMULATED_MINUTES, harvest_wh)
    harvest = (lambda day: harvest_wh) if harvest_wh else None
    days = runtime(schedule, recording, load, exact(usable_wh, harvest_wh=harvest), reserve_share=reserve_share).days
    reached = next((minute for minute, left in enumerate(rows) if left <= 1e-9), None)
    if reached is None:
        assert days.expected is None or days.expected * 1440 >= SIMULATED_MINUTES - 1e-3
        return
    # Within the minute, and half a minute for a burst and sums of floats at its edges.
    assert reached - 0.5 <= days.expected * 1440 <= reached + 1.5


@settings(deadline=None, max_examples=40, derandomize=True)
@given(shoots(), st.floats(1, 60), st.integers(1, SIMULATED_MINUTES))
def test_energy_left_is_the_simulations(
    shoot: tuple[Schedule, Recording, Load], usable_wh: float, minutes: int
) -> None:
    schedule, recording, load = shoot
    row = simulated(schedule, recording, load, usable_wh, 0.0, minutes)[-1]
    when = schedule.starts_at + timedelta(minutes=minutes)
    left = energy_left_at(schedule, recording, load, exact(usable_wh), when).expected
    assert left == pytest.approx(max(0.0, row / usable_wh), abs=1e-6 + load.burst_w / 3600 / usable_wh)


@settings(deadline=None, max_examples=40, derandomize=True)
@given(shoots(), st.floats(0.5, 40))
def test_batteries_are_as_many_as_swaps_one_by_one(shoot: tuple[Schedule, Recording, Load], usable_wh: float) -> None:
    schedule, recording, load = shoot
    needed = batteries_needed(schedule, recording, load, exact(usable_wh)).expected
    # Enough, and one fewer isn't: by energy, as the drain doesn't depend on the pack.
    one_large = usable_wh * 0.8 * needed * (1 + 1e-9)
    assert runtime(schedule, recording, load, exact(one_large), reserve_share=0).reserve_at.expected is None
    if needed > 1:
        short = usable_wh * 0.8 * (needed - 1) * (1 - 1e-9)
        assert runtime(schedule, recording, load, exact(short), reserve_share=0).reserve_at.expected is not None


# Laws


def longest(days: float | None) -> float:
    return math.inf if days is None else days


@settings(deadline=None)
@given(shoots(), st.sampled_from(sorted(CELLS)), st.floats(-40, 20), st.floats(-40, 20))
def test_colder_never_lasts_longer(
    shoot: tuple[Schedule, Recording, Load], name: str, one_c: float, other_c: float
) -> None:
    colder, warmer = (
        runtime(*shoot, supply_of(Pack(CELLS[name], wh=30.0), temp_c)).days for temp_c in sorted((one_c, other_c))
    )
    for shorter, longer in zip(
        (colder.low, colder.expected, colder.high), (warmer.low, warmer.expected, warmer.high), strict=True
    ):
        assert longest(shorter) <= longest(longer) + 1e-6
    assert longest(colder.low) <= longest(colder.expected) + 1e-6
    assert longest(colder.expected) <= longest(colder.high) + 1e-6


@settings(deadline=None)
@given(shoots(), st.integers(1, 3_600), st.integers(1, 3_600), st.floats(1, 50))
def test_more_frames_never_last_longer(
    shoot: tuple[Schedule, Recording, Load], one_s: int, times: int, usable_wh: float
) -> None:
    schedule, _, load = shoot
    often, seldom = Recording(Fraction(one_s)), Recording(Fraction(one_s * times))
    shorter = runtime(schedule, often, load, exact(usable_wh)).days.expected
    assert longest(shorter) <= longest(runtime(schedule, seldom, load, exact(usable_wh)).days.expected) + 1e-6


@settings(deadline=None)
@given(shoots(), st.floats(0, 1), st.floats(0, 1), st.floats(1, 50))
def test_bigger_reserve_never_lasts_longer(
    shoot: tuple[Schedule, Recording, Load], one: float, other: float, usable_wh: float
) -> None:
    small, big = sorted((one, other))
    shorter = runtime(*shoot, exact(usable_wh), reserve_share=big).days.expected
    assert longest(shorter) <= longest(runtime(*shoot, exact(usable_wh), reserve_share=small).days.expected) + 1e-6


@settings(deadline=None)
@given(shoots(), st.floats(1, 50), st.integers(0, 100_000), st.integers(0, 100_000))
def test_energy_left_only_falls(
    shoot: tuple[Schedule, Recording, Load], usable_wh: float, one_min: int, other_min: int
) -> None:
    schedule = shoot[0]
    sooner, later = (
        energy_left_at(*shoot, exact(usable_wh), schedule.starts_at + timedelta(minutes=each)).expected
        for each in sorted((one_min, other_min))
    )
    assert 0 <= later <= sooner + 1e-9 <= 1 + 1e-9


def test_ten_years_every_day() -> None:
    ten_years = Schedule(date(2026, 1, 1), date(2035, 12, 31), DailyWindow(time(0), time(0)), ALL_WEEKDAYS)
    supply = exact(10.0, harvest_wh=lambda day: 2.0)
    left = energy_left_at(ten_years, EACH_MINUTE, Load(standby_w=0.05), supply, ten_years.ends_at)
    # 1.2 Wh a day from a sun that gives 2 at noon: full at noon, twelve hours of 0.05 W later at the end.
    assert left.expected == pytest.approx(1 - 0.6 / 10)
