"""The sum of loads, and the ways in which people know it."""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction

import pytest
from battery_data import CHECKS
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.energy import wh_of
from webcalc.calc.power.load import (
    Contradiction,
    KnownLoad,
    Load,
    Way,
    find_load,
    idle_day_wh,
    mean_day_wh,
    power_w,
    recorded_day_wh,
)
from webcalc.calc.power.measured_run import MeasuredRun, run_of_charge, run_of_days
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

TEN_HOURS = DailyWindow(time(8), time(18))
WORK_WEEK = Schedule(date(2026, 3, 2), date(2026, 12, 31), TEN_HOURS, frozenset({1, 2, 3, 4, 5}))
EVERY_DAY = Schedule(date(2026, 3, 2), date(2026, 12, 31), TEN_HOURS)
EACH_MINUTE = Recording(Fraction(60))


@pytest.mark.parametrize(("name", "hours"), [("wsn_mote_life_h", 1), ("wsn_mote_life_d", 24)])
def test_published_field_study(name: str, hours: int) -> None:
    """How long two cells carry a mote's mean draw, from the study's table of energies."""
    check = CHECKS[name]
    given_ = check["inputs"]
    days = wh_of(given_["cap_mAh"], given_["V"]) / idle_day_wh(Load(standby_w=given_["P_uW"] / 1e6))
    assert 24 * days / hours == pytest.approx(check["published"], abs=check["tolerance"])
    assert 24 * days / hours == pytest.approx(check["computed"], rel=1e-6)


def test_day_is_the_sum_of_its_loads() -> None:
    load = Load(standby_w=0.05, recording_w=0.2, frame_j=12, burst_w=3, motion_frame_j=15, other_w=0.1)
    recording = Recording(
        Fraction(60), burst_s=Fraction(5), burst_bits_per_s=Fraction(8_000_000), motion_frames_per_day=40
    )
    # 24 h of standby and modem, 10 h of recording, 600 stills, 600 bursts of 5 s, 40 motion frames.
    expected = 24 * 0.15 + 10 * 0.2 + (600 * 12 + 600 * 5 * 3 + 40 * 15) / 3600
    assert recorded_day_wh(load, recording, 36_000) == pytest.approx(expected)
    assert idle_day_wh(load) == pytest.approx(24 * 0.15)


def test_motion_frame_costs_as_much_as_a_still_unless_told() -> None:
    recording = Recording(None, motion_frames_per_day=360)
    assert recorded_day_wh(Load(frame_j=10), recording, 36_000) == pytest.approx(1.0)
    assert recorded_day_wh(Load(frame_j=10, motion_frame_j=20), recording, 36_000) == pytest.approx(2.0)


def test_milliampere_at_volts() -> None:
    assert power_w(120, 6) == pytest.approx(0.72)


def test_draws_are_used_as_they_are() -> None:
    found = find_load(KnownLoad(standby_ma=5, volts=6, frame_j=20, other_w=0.5), WORK_WEEK, EACH_MINUTE)
    assert found.way is Way.DRAWS
    assert found.load == Estimate.exact(Load(0.03, frame_j=20, other_w=0.5))
    assert found.contradictions == ()


def test_watts_go_before_milliamperes_and_the_difference_is_told() -> None:
    known = KnownLoad(standby_w=0.03, standby_ma=50, volts=6, frame_j=20)
    found = find_load(known, WORK_WEEK, EACH_MINUTE)
    assert found.load.expected.standby_w == 0.03
    assert found.contradictions == (Contradiction("standby_w", 0.03, pytest.approx(0.3), Way.DRAWS),)


@pytest.mark.parametrize(
    ("known", "missing"),
    [
        (KnownLoad(), ("standby_w", "frame_j")),
        (KnownLoad(standby_w=0.1), ("frame_j",)),
        (KnownLoad(frame_j=10), ("standby_w",)),
        (KnownLoad(standby_ma=10, frame_j=10), ("standby_w",)),  # mA without volts is no power
    ],
)
def test_incomplete_draws_give_no_number(known: KnownLoad, missing: tuple[str, ...]) -> None:
    found = find_load(known, WORK_WEEK, EACH_MINUTE)
    assert found.load is None
    assert found.missing == missing


def test_bursts_need_a_draw_of_their_own() -> None:
    bursts = Recording(Fraction(60), stills=False, burst_s=Fraction(5))
    assert find_load(KnownLoad(standby_w=0.1), WORK_WEEK, bursts).missing == ("burst_w",)
    assert find_load(KnownLoad(standby_w=0.1, burst_w=2), WORK_WEEK, bursts).load is not None


def test_frames_per_charge_say_nothing_about_bursts() -> None:
    both = Recording(Fraction(60), burst_s=Fraction(5))
    charge = run_of_charge(30, 3_000, Fraction(60))
    assert find_load(KnownLoad(standby_w=0.1, charge=(charge,)), WORK_WEEK, both).missing == ("frame_j", "burst_w")
    assert find_load(KnownLoad(standby_w=0.1, burst_w=2, charge=(charge,)), WORK_WEEK, both).load.expected.burst_w == 2


def test_frames_per_charge_at_a_known_standby() -> None:
    # 30 Wh, 3000 frames at one a minute: 50 h. Standby 0.1 W takes 5 Wh, the frames 25 Wh: 30 J each.
    known = KnownLoad(standby_w=0.1, charge=(run_of_charge(30, 3_000, Fraction(60)),))
    found = find_load(known, WORK_WEEK, EACH_MINUTE)
    assert found.way is Way.CHARGE
    assert found.load.is_exact
    assert found.load.expected == Load(0.1, frame_j=pytest.approx(30))
    assert found.contradictions == ()


def test_frames_per_charge_with_known_frame_energy_gives_the_standby() -> None:
    known = KnownLoad(frame_j=30, charge=(run_of_charge(30, 3_000, Fraction(60)),))
    assert find_load(known, WORK_WEEK, EACH_MINUTE).load.expected.standby_w == pytest.approx(0.1)


def test_unknown_standby_share_is_a_range_of_everything() -> None:
    known = KnownLoad(charge=(run_of_charge(30, 3_000, Fraction(60)),))
    load = find_load(known, WORK_WEEK, Recording(Fraction(600))).load
    assert load.high == Load(pytest.approx(0.6))  # all standby: the heaviest with fewer frames
    assert load.low == Load(0.0, frame_j=pytest.approx(36))  # all frames: the lightest
    assert load.expected == Load(pytest.approx(0.3), frame_j=pytest.approx(18))


def test_lasted_days_come_back_at_the_same_interval_whatever_the_share() -> None:
    known = KnownLoad(lasted=(run_of_days(60, 30, EVERY_DAY, EACH_MINUTE),))
    load = find_load(known, EVERY_DAY, EACH_MINUTE).load
    for each in (load.low, load.expected, load.high):
        assert mean_day_wh(each, EACH_MINUTE, EVERY_DAY) == pytest.approx(2.0)


def test_lasted_days_at_another_interval() -> None:
    known = KnownLoad(standby_w=0.05, lasted=(run_of_days(60, 35, WORK_WEEK, EACH_MINUTE, interval_s=Fraction(120)),))
    # 35 days of which 25 with 300 frames; 42 Wh standby leave 18 Wh.
    assert find_load(known, WORK_WEEK, EACH_MINUTE).load.expected.frame_j == pytest.approx(18 * 3600 / 7500)


def test_a_standby_that_a_run_cannot_contain_is_set_aside_and_told() -> None:
    known = KnownLoad(standby_w=5.0, charge=(run_of_charge(30, 3_000, Fraction(60)),))
    found = find_load(known, WORK_WEEK, EACH_MINUTE)
    assert found.contradictions == (Contradiction("standby_w", pytest.approx(0.3), 5.0, Way.DRAWS),)
    assert min(found.load.low.frame_j, found.load.high.frame_j) >= 0


def test_a_run_that_the_draws_do_not_explain_is_told() -> None:
    known = KnownLoad(standby_w=0.01, frame_j=1, lasted=(run_of_days(60, 30, EVERY_DAY, EACH_MINUTE),))
    found = find_load(known, EVERY_DAY, EACH_MINUTE)
    assert found.way is Way.DRAWS
    (contradiction,) = found.contradictions
    assert (contradiction.quantity, contradiction.way) == ("run_energy_wh", Way.LASTED)
    assert contradiction.used == pytest.approx(0.01 * 720 + 18_000 / 3600)
    assert contradiction.other == 60


def test_lasted_goes_before_frames_per_charge() -> None:
    runs = {
        "lasted": (run_of_days(60, 30, EVERY_DAY, EACH_MINUTE),),
        "charge": (run_of_charge(60, 40_000, Fraction(60)),),
    }
    found = find_load(KnownLoad(**runs), EVERY_DAY, EACH_MINUTE)
    assert found.way is Way.LASTED
    assert [each.way for each in found.contradictions] == [Way.CHARGE]


@given(st.floats(0.001, 2), st.floats(0.1, 200), st.floats(1, 500), st.integers(100, 50_000))
def test_a_run_gives_back_the_draws_that_made_it(standby_w: float, frame_j: float, hours: float, frames: int) -> None:
    energy_wh = standby_w * hours + frame_j * frames / 3600
    run = MeasuredRun(energy_wh * (1 + 1e-12), hours, hours, frames)
    by_standby = find_load(KnownLoad(standby_w=standby_w, charge=(run,)), WORK_WEEK, EACH_MINUTE).load.expected
    by_frame = find_load(KnownLoad(frame_j=frame_j, charge=(run,)), WORK_WEEK, EACH_MINUTE).load.expected
    assert by_standby.frame_j == pytest.approx(frame_j, rel=1e-4, abs=1e-4)
    assert by_frame.standby_w == pytest.approx(standby_w, rel=1e-4, abs=1e-4)


@given(st.floats(0, 1), st.integers(1, 3_600), st.integers(1, 3_600))
def test_the_range_of_an_unknown_share_holds_every_share(share: float, then_s: int, now_s: int) -> None:
    run = run_of_charge(30, 3_000, Fraction(then_s))
    now = Recording(Fraction(now_s))
    wide = find_load(KnownLoad(charge=(run,)), WORK_WEEK, now).load
    told = find_load(KnownLoad(charge=(run,), standby_share=Estimate.exact(share)), WORK_WEEK, now).load.expected
    lightest, day, heaviest = (mean_day_wh(load, now, WORK_WEEK) for load in (wide.low, told, wide.high))
    assert lightest <= day * (1 + 1e-9)
    assert day <= heaviest * (1 + 1e-9)
