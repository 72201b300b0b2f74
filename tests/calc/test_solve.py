"""Solving for the quantity left blank, and back again."""

from __future__ import annotations

from datetime import date, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.clip.frames import FRAME_RATES
from webcalc.calc.clip.interval import SETTABLE_INTERVALS_S
from webcalc.calc.clip.solve import (
    clip_from_interval,
    interval_choices,
    interval_from_clip,
    last_date_for_frames,
    last_date_within_frames,
    shoot_frames,
)
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule

MONDAY = date(2026, 3, 2)
TEN_HOURS = DailyWindow(time(7), time(17))
MINUTE = Fraction(60)
THIRTY = Fraction(30)
ONE_DAY = Schedule(MONDAY, MONDAY, TEN_HOURS)
#: Two working weeks without the first Wednesday: 9 windows of 10 h.
TWO_WEEKS = Schedule(
    MONDAY, MONDAY + timedelta(11), TEN_HOURS, frozenset(range(1, 6)), frozenset({MONDAY + timedelta(2)})
)

times = st.integers(0, 1_439).map(lambda minute: time(minute // 60, minute % 60))
rates = st.sampled_from(FRAME_RATES)
shares = st.fractions(min_value=Fraction(1, 100), max_value=1, max_denominator=100)
intervals = st.one_of(
    st.sampled_from(SETTABLE_INTERVALS_S), st.fractions(min_value=1, max_value=200_000, max_denominator=4)
)


@st.composite
def schedules(draw: st.DrawFn) -> Schedule:
    """Shoots of up to half a year with at least one recorded day."""
    first = draw(st.dates(date(2000, 1, 1), date(2100, 1, 1)))
    last = first + timedelta(draw(st.integers(6, 180)))
    weekdays = draw(st.frozensets(st.integers(1, 7), min_size=1))
    skipped = draw(st.frozensets(st.dates(first + timedelta(7), first + timedelta(30)), max_size=5))
    return Schedule(first, last, DailyWindow(draw(times), draw(times)), weekdays, skipped)


def last_date(schedule: Schedule, interval_s: Fraction, frames: int, limit_days: int = 3_660) -> date | None:
    return last_date_for_frames(
        schedule.first, schedule.window, schedule.weekdays, schedule.skipped, interval_s, frames, limit_days
    )


def last_date_held(schedule: Schedule, interval_s: Fraction, frames: int, limit_days: int = 3_660) -> date | None:
    return last_date_within_frames(
        schedule.first, schedule.window, schedule.weekdays, schedule.skipped, interval_s, frames, limit_days
    )


def test_a_ten_hour_day_there_and_back() -> None:
    """Common practice, no source: one a minute for ten hours is 600 frames, 20 s at 30 fps."""
    result = clip_from_interval(ONE_DAY, MINUTE, THIRTY)
    assert (result.frames, result.kept_frames, result.clip_s) == (600, 600, 20)
    answer = interval_from_clip(ONE_DAY, Fraction(20), THIRTY)
    assert (answer.recorded_s, answer.frames_wanted, answer.interval_exact_s) == (36_000, 600, 60)
    assert answer.chosen == result


def test_two_weeks_with_part_of_the_frames_kept() -> None:
    """Arithmetic by hand: 9 windows, 324,000 s; 60 s at 25 fps with 75 % kept take 2,000 frames, one every 162 s.

    Two minutes is the next settable below: 300 a day, 2,700 in all, 2,025 kept, 81 s.
    """
    answer = interval_from_clip(TWO_WEEKS, Fraction(60), Fraction(25), Fraction(3, 4))
    assert (answer.recorded_s, answer.frames_wanted, answer.interval_exact_s) == (324_000, 2_000, 162)
    assert answer.chosen is not None
    assert (answer.chosen.interval_s, answer.chosen.frames, answer.chosen.kept_frames) == (120, 2_700, 2_025)
    assert answer.chosen.clip_s == 81


def test_a_clip_too_long_for_the_shoot_has_no_interval() -> None:
    answer = interval_from_clip(ONE_DAY, Fraction(2_000), THIRTY)
    assert answer.interval_exact_s == Fraction(3, 5)
    assert answer.chosen is None


def test_no_recorded_day_or_no_clip_has_no_interval() -> None:
    sunday_only = Schedule(MONDAY, MONDAY, TEN_HOURS, frozenset({7}))
    assert interval_from_clip(sunday_only, Fraction(20), THIRTY).interval_exact_s is None
    assert interval_from_clip(ONE_DAY, Fraction(0), THIRTY).chosen is None
    assert clip_from_interval(sunday_only, MINUTE, THIRTY).clip_s == 0


def test_an_interval_longer_than_the_window_gives_one_frame_a_day() -> None:
    assert shoot_frames(TWO_WEEKS, Fraction(86_400)) == TWO_WEEKS.recorded_days == 9


def test_choices_around_an_interval() -> None:
    choices = interval_choices(ONE_DAY, Fraction(70), THIRTY, count_each_side=2)
    assert [(c.interval_s, c.frames, c.clip_s) for c in choices] == [
        (30, 1_200, 40),
        (60, 600, 20),
        (120, 300, 10),
        (180, 200, Fraction(20, 3)),
    ]


@given(schedules(), intervals, rates, shares)
def test_interval_to_clip_and_back(schedule: Schedule, interval_s: Fraction, fps: Fraction, share: Fraction) -> None:
    """Going back never asks for more frames than there were; with whole windows and all kept it is exact."""
    result = clip_from_interval(schedule, interval_s, fps, share)
    answer = interval_from_clip(schedule, result.clip_s, fps, share)
    assert answer.frames_wanted <= result.frames
    if share == 1:
        assert answer.frames_wanted == result.frames
        if schedule.window.length_s % interval_s == 0:
            assert answer.interval_exact_s == interval_s


@given(
    st.sampled_from([s for s in SETTABLE_INTERVALS_S if s <= 3_600]),
    st.integers(1, 24),
    st.integers(1, 400),
    rates,
)
def test_a_settable_interval_comes_back_as_it_was(interval_s: Fraction, hours: int, days: int, fps: Fraction) -> None:
    """Every settable interval up to an hour divides a window of whole hours: only past the window do longer ones do."""
    schedule = Schedule(MONDAY, MONDAY + timedelta(days - 1), DailyWindow(time(0), time(hours % 24)))
    result = clip_from_interval(schedule, interval_s, fps)
    chosen = interval_from_clip(schedule, result.clip_s, fps).chosen
    assert chosen.frames == result.frames
    assert chosen.interval_s == interval_s or interval_s >= schedule.window.length_s


@given(schedules(), st.fractions(min_value=0, max_value=3_600, max_denominator=1_001), rates, shares)
def test_the_chosen_interval_never_falls_short(
    schedule: Schedule, clip_s: Fraction, fps: Fraction, share: Fraction
) -> None:
    answer = interval_from_clip(schedule, clip_s, fps, share)
    if answer.chosen is not None:
        assert answer.chosen.frames >= answer.frames_wanted
        longer = [s for s in SETTABLE_INTERVALS_S if s > answer.chosen.interval_s]
        assert all(shoot_frames(schedule, s) < answer.frames_wanted for s in longer)
        assert answer.chosen.clip_s >= clip_s
    else:
        assert answer.interval_exact_s is None or answer.interval_exact_s < SETTABLE_INTERVALS_S[0]


@pytest.mark.parametrize(
    ("days", "hours", "fps", "share", "clip_s", "settable", "interval_s"),
    [
        # 520 weekdays of 4 h 7 min take 13 frames every 20 min: 6,760; 3 min at 23.976, 66.6 % kept, need 6,480.
        (
            (date(2027, 10, 25), date(2029, 10, 23), frozenset(range(1, 6))),
            (4, 7),
            Fraction(24_000, 1_001),
            "0.666",
            180,
            None,
            1_200,
        ),
        # A frame a day for a year: 365 of 360 wanted.
        (
            (date(2027, 1, 1), date(2027, 12, 31), frozenset(range(1, 8))),
            (10, 0),
            Fraction(30),
            "1",
            12,
            86_400,
            86_400,
        ),
    ],
)
def test_the_interval_is_the_longest_that_gives_the_clip(days, hours, fps, share, clip_s, settable, interval_s) -> None:
    """By hand: each window rounds up, so an interval above recorded time over frames can still do."""
    schedule = Schedule(days[0], days[1], DailyWindow(time(0), time(*hours)), days[2])
    list_of_settable = SETTABLE_INTERVALS_S if settable is None else (Fraction(settable),)
    answer = interval_from_clip(schedule, Fraction(clip_s), fps, Fraction(share), list_of_settable)
    assert answer.chosen.interval_s == interval_s


@given(schedules(), intervals)
def test_last_date_of_a_shoots_frames_is_its_last_recorded_date(schedule: Schedule, interval_s: Fraction) -> None:
    frames = shoot_frames(schedule, interval_s)
    expected = schedule.recorded_dates[-1]
    assert last_date(schedule, interval_s, frames) == expected
    assert last_date_held(schedule, interval_s, frames) == expected


@given(schedules(), intervals, st.integers(1, 50_000))
def test_the_last_date_is_the_first_that_suffices(schedule: Schedule, interval_s: Fraction, frames: int) -> None:
    last = last_date(schedule, interval_s, frames, 400)
    longest = Schedule(
        schedule.first, schedule.first + timedelta(399), schedule.window, schedule.weekdays, schedule.skipped
    )
    if last is None:
        assert shoot_frames(longest, interval_s) < frames
        return
    solved = Schedule(schedule.first, last, schedule.window, schedule.weekdays, schedule.skipped)
    assert solved.records_on(last)
    assert shoot_frames(solved, interval_s) >= frames
    if solved.recorded_days > 1:
        shorter = Schedule(schedule.first, last - timedelta(1), schedule.window, schedule.weekdays, schedule.skipped)
        assert shoot_frames(shorter, interval_s) < frames


@given(schedules(), intervals, st.integers(0, 50_000))
def test_a_card_holds_every_frame_up_to_its_last_date(schedule: Schedule, interval_s: Fraction, held: int) -> None:
    last = last_date_held(schedule, interval_s, held, 400)
    per_day = shoot_frames(schedule, interval_s) // schedule.recorded_days
    if last is None:
        assert per_day > held
        return
    solved = Schedule(schedule.first, last, schedule.window, schedule.weekdays, schedule.skipped)
    frames = shoot_frames(solved, interval_s)
    assert frames <= held
    following = last_date(schedule, interval_s, frames + 1, 400)
    assert following is None or following > last
    assert following is None or frames + frames // solved.recorded_days > held


def test_last_dates_by_hand() -> None:
    """600 frames a day on weekdays from Monday, Wednesday left out; arithmetic by hand."""
    assert last_date(TWO_WEEKS, MINUTE, 1_000) == date(2026, 3, 3)
    assert last_date(TWO_WEEKS, MINUTE, 1_201) == date(2026, 3, 5)
    assert last_date(TWO_WEEKS, MINUTE, 2_401) == date(2026, 3, 9)
    assert last_date_held(TWO_WEEKS, MINUTE, 1_000) == date(2026, 3, 2)
    assert last_date_held(TWO_WEEKS, MINUTE, 1_200) == date(2026, 3, 3)
    assert last_date_held(TWO_WEEKS, MINUTE, 599) is None


def test_last_dates_stop_at_the_limit() -> None:
    assert last_date(ONE_DAY, MINUTE, 10 * 600, limit_days=10) == MONDAY + timedelta(9)
    assert last_date(ONE_DAY, MINUTE, 10 * 600 + 1, limit_days=10) is None
    assert last_date_held(ONE_DAY, MINUTE, 10**9, limit_days=10) == MONDAY + timedelta(9)
    assert last_date_for_frames(date.max, TEN_HOURS, ALL_WEEKDAYS, frozenset(), MINUTE, 601) is None
    with pytest.raises(ValueError, match="frames_needed is 1 or more"):
        last_date(ONE_DAY, MINUTE, 0)


@given(schedules(), intervals, intervals, rates)
def test_a_longer_interval_never_gives_a_longer_clip(
    schedule: Schedule, one: Fraction, other: Fraction, fps: Fraction
) -> None:
    shorter, longer = sorted((one, other))
    assert clip_from_interval(schedule, longer, fps).clip_s <= clip_from_interval(schedule, shorter, fps).clip_s
