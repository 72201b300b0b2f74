"""Exact and settable intervals; facts of the trade are marked common practice, no source."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.clip.frames import FRAME_RATES, kept_frames
from webcalc.calc.clip.interval import (
    SETTABLE_INTERVALS_S,
    frames_wanted,
    interval_exact_s,
    neighbours,
    settable_at_or_below,
)

intervals = st.fractions(min_value=Fraction(1, 10), max_value=200_000, max_denominator=1_001)
lengths = st.fractions(min_value=0, max_value=7_200, max_denominator=1_001)
shares = st.fractions(min_value=Fraction(1, 100), max_value=1, max_denominator=100)
rates = st.sampled_from(FRAME_RATES)


def test_settable_intervals_are_those_people_can_set() -> None:
    """Common practice, no source: 1 s to 30 s, 1 min to 30 min, 1 h to 24 h."""
    assert [int(s) for s in SETTABLE_INTERVALS_S if s < 60] == [1, 2, 3, 5, 10, 15, 20, 30]
    assert [int(s / 60) for s in SETTABLE_INTERVALS_S if 60 <= s < 3_600] == [1, 2, 3, 5, 10, 15, 20, 30]
    assert [int(s / 3_600) for s in SETTABLE_INTERVALS_S if s >= 3_600] == [1, 2, 3, 4, 6, 12, 24]
    assert list(SETTABLE_INTERVALS_S) == sorted(SETTABLE_INTERVALS_S)


@pytest.mark.parametrize(
    ("clip_s", "fps", "kept_share", "expected"),
    [
        (Fraction(20), Fraction(30), Fraction(1), 600),
        (Fraction(60), Fraction(25), Fraction(3, 4), 2_000),
        (Fraction(20), Fraction(30_000, 1_001), Fraction(1), 600),  # 599.4 frames: the last one is needed
        (Fraction(20), Fraction(30_000, 1_001), Fraction(7, 10), 858),  # 857 would leave 599
        (Fraction(0), Fraction(30), Fraction(1), 0),
    ],
)
def test_frames_wanted(clip_s: Fraction, fps: Fraction, kept_share: Fraction, expected: int) -> None:
    """Arithmetic, worked by hand."""
    assert frames_wanted(clip_s, fps, kept_share) == expected


@given(lengths, rates, shares)
def test_frames_wanted_are_enough_and_one_fewer_is_not(clip_s: Fraction, fps: Fraction, share: Fraction) -> None:
    wanted = frames_wanted(clip_s, fps, share)
    assert kept_frames(wanted, share) / fps >= clip_s
    assert wanted == 0 or kept_frames(wanted - 1, share) / fps < clip_s


@pytest.mark.parametrize("share", [Fraction(0), Fraction(-1, 2), Fraction(101, 100)])
def test_a_share_out_of_range_is_refused(share: Fraction) -> None:
    with pytest.raises(ValueError, match="kept_share is above 0 and at most 1"):
        frames_wanted(Fraction(20), Fraction(30), share)


def test_ten_hours_for_twenty_seconds_is_one_a_minute() -> None:
    """Common practice, no source: a ten-hour day at one a minute gives 600 frames, 20 s at 30 fps."""
    assert interval_exact_s(36_000, 600) == 60
    with pytest.raises(ValueError, match="frames_wanted is 1 or more"):
        interval_exact_s(36_000, 0)


@given(days=st.integers(1, 400), window_s=st.integers(1, 1_440).map(lambda m: 60 * m), wanted=st.integers(1, 1_000_000))
def test_no_interval_up_to_the_exact_one_gives_too_few(days: int, window_s: int, wanted: int) -> None:
    exact = interval_exact_s(days * window_s, wanted)
    assert days * math.ceil(window_s / exact) >= wanted
    below = settable_at_or_below(exact)
    assert below is None or days * math.ceil(window_s / below) >= wanted


@given(st.integers(1, 10**8), st.integers(1, 10**6), st.integers(1, 10**6))
def test_more_frames_never_give_a_longer_interval(recorded_s: int, fewer: int, more: int) -> None:
    fewer, more = sorted((fewer, more))
    exact_more, exact_fewer = interval_exact_s(recorded_s, more), interval_exact_s(recorded_s, fewer)
    assert exact_more <= exact_fewer
    assert (settable_at_or_below(exact_more) or 0) <= (settable_at_or_below(exact_fewer) or 0)


@given(st.sampled_from(SETTABLE_INTERVALS_S))
def test_a_settable_interval_stays_as_it_is(interval_s: Fraction) -> None:
    assert settable_at_or_below(interval_s) == interval_s


def test_beyond_the_ends_there_is_nothing() -> None:
    assert settable_at_or_below(Fraction(99, 100)) is None


def test_an_own_list_replaces_the_usual_one_in_any_order() -> None:
    own = [Fraction(90), Fraction(7), Fraction(45), Fraction(7)]
    assert settable_at_or_below(Fraction(60), own) == 45
    assert neighbours(Fraction(60), 5, own) == (7, 45, 90)


def test_neighbours_on_both_sides() -> None:
    assert neighbours(Fraction(60), 2) == (30, 60, 120, 180)
    assert neighbours(Fraction(61), 1) == (60, 120)
    assert neighbours(Fraction(1, 2), 2) == (1, 2)
    assert neighbours(Fraction(2), 3) == (1, 2, 3, 5, 10)
    assert neighbours(Fraction(100_000), 2) == (43_200, 86_400)
    assert neighbours(Fraction(60), 0) == ()
    with pytest.raises(ValueError, match="count_each_side is 0 or more"):
        neighbours(Fraction(60), -1)
