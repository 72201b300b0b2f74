"""After the shoot: clip files, copying and sending."""

from datetime import date, time
from fractions import Fraction

import pytest
from storage_rows import expected

from webcalc.calc.clip.delivery import (
    THREE_TWO_ONE,
    busiest_month_bytes,
    clip_file_bytes,
    copy_s,
    kept_bytes,
    recorded_days_by_month,
    upload_s,
)
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

SPRING = Schedule(date(2026, 1, 26), date(2026, 3, 6), DailyWindow(time(8), time(18)), frozenset({1, 2, 3, 4, 5}))


@pytest.mark.parametrize(
    ("row_id", "bits_per_s", "clip_s"),
    [("arith_25_Mbit/s_x_1_h", 25_000_000, 3_600), ("arith_100_Mbit/s_x_60_s", 100_000_000, 60)],
)
def test_clip_files(row_id, bits_per_s, clip_s):
    assert clip_file_bytes(bits_per_s, clip_s) == expected(row_id)


def test_clip_files_of_odd_lengths_round_up():
    assert clip_file_bytes(9, Fraction(1_001, 1_000)) == 2


@pytest.mark.parametrize(
    ("row_id", "total_bytes", "bits_per_s"),
    [
        ("arith_1_GB_at_5_Mbit/s_up", 10**9, 5_000_000),
        ("arith_2.5_MB_frame_at_1_Mbit/s_up", 2_500_000, 1_000_000),
        ("arith_16_GB_at_20_Mbit/s_up", 16 * 10**9, 20_000_000),
    ],
)
def test_upload(row_id, total_bytes, bits_per_s):
    assert upload_s(total_bytes, bits_per_s) == expected(row_id)


def test_copying_a_card():
    assert copy_s(64 * 10**9, 40_000_000) == expected("arith_64_GB_card_at_40_MB/s_reader")


def test_three_copies():
    """3 copies, 2 media, 1 elsewhere: common practice, no source."""
    assert (THREE_TWO_ONE.copies, THREE_TWO_ONE.media, THREE_TWO_ONE.elsewhere) == (3, 2, 1)
    assert kept_bytes(10**9) == 3 * 10**9


def test_bytes_a_month():
    """February 2026 has 20 weekdays."""
    assert recorded_days_by_month(SPRING) == {(2026, 1): 5, (2026, 2): 20, (2026, 3): 5}
    assert busiest_month_bytes(SPRING, 1_000) == 20_000


def test_a_shoot_that_never_records_sends_nothing():
    weekend = Schedule(date(2026, 6, 1), date(2026, 6, 5), SPRING.window, frozenset({6}))
    assert busiest_month_bytes(weekend, 1_000) == 0
