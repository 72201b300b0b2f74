"""Energy of a whole shoot: by hand, and against the walk through the calendar."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time
from fractions import Fraction

import pytest

from webcalc.calc.power.cells import AGM, HR6, LI_ION
from webcalc.calc.power.energy import Pack
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import runtime, supply_of
from webcalc.calc.power.shoot_energy import energy_needed_wh, rated_needed_wh, shoot_span_h
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

#: Mon 1 to Fri 12 Mar 2027, weekdays only: 10 windows of 10 h, 11 d 10 h from start to end.
SCHEDULE = Schedule(date(2027, 3, 1), date(2027, 3, 12), DailyWindow(time(8), time(18)), frozenset(range(1, 6)))
EVERY_MINUTE = Recording(Fraction(60))
LOAD = Load(standby_w=0.05, recording_w=0.2, frame_j=6.0)
BURSTS = Recording(Fraction(600), burst_s=Fraction(10), burst_bits_per_s=Fraction(1), motion_frames_per_day=40)


def test_by_hand() -> None:
    # 274 h x 0.05 W = 13.7 Wh; each window 0.2 W x 10 h + 600 x 6 J = 2 + 1 Wh, ten of them.
    assert shoot_span_h(SCHEDULE) == 274
    assert energy_needed_wh(LOAD, EVERY_MINUTE, SCHEDULE) == pytest.approx(13.7 + 30)


def test_bursts_motion_and_other_draws_by_hand() -> None:
    load = Load(standby_w=0.05, frame_j=6.0, burst_w=3.0, motion_frame_j=9.0, other_w=0.1)
    # 274 h x 0.15 W; per window 60 stills x 6 J, 60 bursts x 10 s x 3 W, 40 motion frames x 9 J = 2520 J = 0.7 Wh.
    assert energy_needed_wh(load, BURSTS, SCHEDULE) == pytest.approx(41.1 + 7)


@pytest.mark.parametrize("cell", [LI_ION, AGM, HR6], ids=lambda cell: cell.name)
@pytest.mark.parametrize("recording", [EVERY_MINUTE, BURSTS], ids=["stills", "bursts"])
def test_a_battery_of_that_energy_just_lasts_in_the_walk(cell, recording) -> None:
    """Two ways to one answer: the closed form here, and the walk window by window."""
    load = replace(LOAD, burst_w=2.0)
    pack, temp_c, ageing, reserve = Pack(cell, wh=1.0), -5.0, 0.1, 0.2
    needed = energy_needed_wh(load, recording, SCHEDULE)
    rated = rated_needed_wh(needed, pack, temp_c, ageing, reserve, shoot_span_h(SCHEDULE))
    assert rated.low <= rated.expected <= rated.high
    for end, wh in (("high", rated.low), ("expected", rated.expected), ("low", rated.high)):
        for share, lasts in ((1.0001, True), (0.9999, False)):
            supply = supply_of(replace(pack, wh=wh * share), temp_c, ageing)
            found = runtime(SCHEDULE, recording, load, supply, reserve_share=reserve)
            assert (getattr(found.reserve_at, end) is None) is lasts, (end, share)


def test_no_battery_of_a_kind_that_loses_all_by_itself() -> None:
    # Standard NiMH loses up to 30 % a month; over four months that is more than all that can be used.
    rated = rated_needed_wh(1.0, Pack(HR6, wh=1.0), 20.0, 0.0, 0.0, 4 * 730.485)
    assert rated.high is None
    # Expected: 85 % usable less four times 4 %.
    assert rated.expected == pytest.approx(1 / (0.85 - 0.16))


def test_unknown_energy_stays_unknown() -> None:
    assert rated_needed_wh(1.0, Pack(LI_ION), 20.0, 0.0, 0.2, 24.0) is None
