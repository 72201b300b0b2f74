"""Clip length, speed-up and thinning."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webcalc.calc.clip.frames import (
    FRAME_RATES,
    Thinning,
    clip_s,
    clip_s_per_recorded_day,
    frames_in_clip,
    kept_frames,
    speed_up,
    thin,
)

rates = st.sampled_from(FRAME_RATES)
shares = st.fractions(min_value=Fraction(1, 100), max_value=1, max_denominator=100)


def test_frame_rates_are_exact() -> None:
    """Rates of SMPTE ST 12-1 and their short names; from memory."""
    assert [round(float(fps), 3) for fps in FRAME_RATES] == [24, 25, 30, 50, 60, 23.976, 29.97, 59.94]
    assert FRAME_RATES[-1] * 1_001 == 60_000


def test_a_ten_hour_day_at_one_a_minute() -> None:
    """Common practice, no source: 600 frames are 20 s at 30 fps."""
    assert clip_s(600, Fraction(30)) == 20
    assert clip_s_per_recorded_day(600, Fraction(1), Fraction(30)) == 20
    assert clip_s_per_recorded_day(600, Fraction(3, 4), Fraction(30)) == 15


def test_speed_up() -> None:
    """One frame a second played at 30 fps is 30 times faster.

    Wikipedia "Time-lapse photography", seen in a stored copy. At 60 s one minute of clip shows 30 h (arithmetic).
    """
    assert speed_up(Fraction(1), Fraction(30)) == 30
    assert speed_up(Fraction(60), Fraction(30)) * 60 == 30 * 3_600


@given(st.integers(0, 10**8), rates)
def test_frames_to_clip_and_back(frames: int, fps: Fraction) -> None:
    assert frames_in_clip(clip_s(frames, fps), fps) == frames


@given(st.fractions(min_value=0, max_value=10_000, max_denominator=10_000), rates)
def test_frames_in_clip_are_the_fewest_that_last(length_s: Fraction, fps: Fraction) -> None:
    frames = frames_in_clip(length_s, fps)
    assert clip_s(frames, fps) >= length_s
    assert frames == 0 or clip_s(frames - 1, fps) < length_s


@given(st.integers(0, 10**8), shares)
def test_kept_frames_never_exceed_the_share(frames: int, share: Fraction) -> None:
    kept = kept_frames(frames, share)
    assert kept <= frames * share < kept + 1


@given(st.integers(1, 10**6), shares, rates)
def test_the_whole_clip_is_the_sum_of_the_days(frames: int, share: Fraction, fps: Fraction) -> None:
    """Per-day lengths are averages: over some days they are within one frame of the clip itself."""
    days = 12
    difference = days * clip_s_per_recorded_day(frames, share, fps) - clip_s(kept_frames(days * frames, share), fps)
    assert 0 <= difference < 1 / fps


@pytest.mark.parametrize(
    ("frames", "target", "expected"),
    [
        (1_800, 600, Thinning(600, 3, 600, 0, 0)),
        (1_801, 600, Thinning(600, 3, 601, 1, 0)),
        (1_799, 600, Thinning(600, 2, 900, 300, 0)),
        (600, 600, Thinning(600, 1, 600, 0, 0)),
        (500, 600, Thinning(600, 1, 500, 0, 100)),
        (0, 600, Thinning(600, 1, 0, 0, 600)),
        (None, 600, None),
        (600, None, None),
    ],
)
def test_thinning(frames: int | None, target: int | None, expected: Thinning | None) -> None:
    """Arithmetic, worked by hand."""
    assert thin(frames, target) == expected


@given(st.integers(1, 10**6), st.integers(1, 10**6))
def test_thinning_leaves_enough_and_never_twice_too_many(frames: int, target: int) -> None:
    thinning = thin(frames, target)
    assert thinning is not None
    assert thinning.frames_left + thinning.frames_missing - thinning.frames_to_trim == target
    assert thinning.frames_left == len(range(0, frames, thinning.keep_every))
    if target <= frames:
        assert thinning.frames_missing == 0
        assert target <= thinning.frames_left < 2 * target


@pytest.mark.parametrize(("frames", "target"), [(-1, 5), (5, 0)])
def test_thinning_refuses_counts_out_of_range(frames: int, target: int) -> None:
    with pytest.raises(ValueError, match="frames is 0 or more and target 1 or more"):
        thin(frames, target)
