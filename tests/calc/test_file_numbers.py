"""When file numbers start again, against a list of every file of a shoot."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from storage_rows import rows

from webcalc.calc.card.files import files_of_shoot, numbers_start_again_at
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

FIRST = date(2027, 3, 1)
NIGHT = DailyWindow(time(20), time(6))
DAY = DailyWindow(time(8), time(18))


def every_file(schedule, recording):
    """Return the instants of all files, in order, written out one by one."""
    window_s = schedule.window.length_s
    found = []
    for day in schedule.recorded_dates:
        start = schedule.window_on(day)[0]
        at_s = Fraction(0)
        while recording.interval_s is not None and at_s < window_s:
            each = int(recording.stills) + bool(recording.burst_s)
            found += [start + timedelta(microseconds=int(at_s * 1_000_000))] * each
            at_s += recording.interval_s
        motion = recording.motion_frames_per_day
        for n in range(motion):
            offset_s = Fraction(2 * n + 1, 2 * motion) * window_s
            found.append(start + timedelta(microseconds=int(offset_s * 1_000_000)))
    return sorted(found)


@pytest.mark.parametrize(
    ("window", "recording"),
    [
        (DAY, Recording(Fraction(60))),
        (DAY, Recording(Fraction(45), burst_s=Fraction(3), burst_bits_per_s=Fraction(25_000_000))),
        (NIGHT, Recording(Fraction(37), motion_frames_per_day=333)),
        (NIGHT, Recording(None, motion_frames_per_day=2_500)),
        (DAY, Recording(Fraction(7), stills=False, burst_s=Fraction(1), burst_bits_per_s=Fraction(8_000_000))),
        (
            DAY,
            Recording(Fraction(91, 2), True, Fraction(2), Fraction(12_000_000), motion_frames_per_day=77),
        ),
    ],
)
def test_against_every_file_written_out(window, recording):
    schedule = Schedule(FIRST, date(2027, 3, 31), window, frozenset({1, 2, 3, 4, 6}), frozenset({date(2027, 3, 4)}))
    files = every_file(schedule, recording)
    assert files_of_shoot(schedule, recording) == len(files) > 9_999
    # CIPA DC-009: numbers 0001 to 9999, so that file 10,000 is number 0001 again.
    assert numbers_start_again_at(schedule, recording) == files[9_999]


def test_9999_files_use_each_number_once():
    # 2 h 47 min are 10,020 s: 10,000 frames at 1.002 s, 9,999 at 1.0022 s.
    daily = Schedule(FIRST, FIRST, DailyWindow(time(8), time(10, 47)))
    assert files_of_shoot(daily, Recording(Fraction(1_002, 1_000))) == 10_000
    assert numbers_start_again_at(daily, Recording(Fraction(1_002, 1_000))) > datetime(2027, 3, 1, 10, 46)
    assert files_of_shoot(daily, Recording(Fraction(10_022, 10_000))) == 9_999
    assert numbers_start_again_at(daily, Recording(Fraction(10_022, 10_000))) is None


@pytest.mark.parametrize("row", rows("dcf_roll_"))
def test_numbers_last(row):
    """CIPA DC-009 has 9,999 numbers."""
    interval_s = int(row["id"].removeprefix("dcf_roll_").rstrip("s"))
    always = Schedule(FIRST, FIRST + timedelta(days=3), DailyWindow(time(0), time(0)))
    again_at = numbers_start_again_at(always, Recording(Fraction(interval_s)))
    assert again_at - always.starts_at == timedelta(seconds=row["expected"])
