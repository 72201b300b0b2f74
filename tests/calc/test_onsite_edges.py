"""Where the answers about a camera on site turn, to the file, the second and the percent; all worked out by hand.

Ten whole days of 600 frames are done: 6,000 files, of which one a window and one at the ends may be missing or too
many without meaning anything: 11.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any

import pytest

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import compare
from webcalc.calc.onsite.fit import Story, look_at
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.outlook import Outlook, Verdict, clock_is_off, outlook, partly_used
from webcalc.calc.onsite.seen import Found, Running
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse, CardInUse, Reason, VisitRules

#: 1 March 2027 is a Monday.
SCHEDULE = Schedule(date(2027, 3, 1), date(2027, 8, 31), DailyWindow(time(8), time(18)))
AT = datetime(2027, 3, 11, 8)
GB = 10**9
CARD = CardInUse(Estimate.exact(1_000_000), 60 * GB, 1)
BATTERY = BatteryInUse(Estimate.exact(Load(standby_w=0.1)), Supply(Estimate.exact(100.0)), 0.2)


def running(schedule: Schedule = SCHEDULE, rules: VisitRules | None = None, **more: Any) -> Running:
    card, battery = more.pop("card", None), more.pop("battery", None)
    if card is not None:
        more = {"frame": card.frame, "cluster_bytes": card.cluster_bytes, "card_bytes": 64 * GB, **more}
    planner = VisitPlanner(schedule, Recording(Fraction(60)), rules or VisitRules(), card, battery)
    return Running(planner, schedule.starts_at, more.pop("at", AT), **more)


def stories(case: Running, found: Found) -> dict[Code, Story]:
    return {story.code: story for story in look_at(case, found)[1].stories}


def answer(case: Running, found: Found) -> Outlook:
    comparison, judgement = look_at(case, found)
    return outlook(comparison, judgement.stories, clock_since=case.since, looked_at=case.at)


# -- the count ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("files", "agrees"), [(5_989, True), (5_988, False), (6_011, True), (6_012, False)])
def test_eleven_files_mean_nothing(files: int, agrees: bool) -> None:
    comparison = compare(running(), Found(files=files))
    assert comparison.agrees is agrees
    assert (next(iter(stories(running(), Found(files=files)))) is Code.AS_PLANNED) is (abs(files - 6_000) <= 12)


def test_nothing_read_or_nothing_expected_tells_no_story() -> None:
    assert stories(running(), Found()) == {}
    assert stories(running(at=datetime(2027, 3, 1, 8)), Found(files=5)) == {}


def test_a_longer_window_explains_too_many() -> None:
    """Eleven hours instead of ten."""
    found = stories(running(), Found(files=6_600))
    assert found[Code.OTHER_HOURS].life.schedule.window.length_s == 11 * 3_600
    assert not {Code.STOPPED, Code.PAUSED, Code.LATE_START} & set(found)


def test_a_window_over_midnight() -> None:
    """22:00 to 08:00 by plan; an hour less each night is 540 files."""
    night = replace(SCHEDULE, window=DailyWindow(time(22), time(8)))
    found = stories(running(night, at=datetime(2027, 3, 11, 8)), Found(files=5_400))
    assert found[Code.OTHER_HOURS].life.schedule.window.length_s == 9 * 3_600


def test_all_week_instead_of_workdays() -> None:
    """1 to 10 March 2027 are eight workdays and two days of a weekend; only those two are 1,200 files."""
    workdays = running(replace(SCHEDULE, weekdays=frozenset(range(1, 6))))
    weekend = stories(workdays, Found(files=1_200))[Code.OTHER_WEEKDAYS]
    assert weekend.life.schedule.weekdays == frozenset({6, 7})
    every = stories(workdays, Found(files=6_000))[Code.OTHER_WEEKDAYS]
    assert every.life.schedule.weekdays == ALL_WEEKDAYS


# -- why it stopped -----------------------------------------------------------------------------------------


def test_a_full_card_dates_the_stop() -> None:
    """4,000 files that fill the card: 16 MB each instead of one. They were taken by 14:40 of the seventh day."""
    found = stories(running(card=CARD), Found(files=4_000, used_bytes=Estimate.exact(63 * GB)))
    assert next(iter(found)) is Code.STOPPED_CARD_FULL
    assert found[Code.STOPPED_CARD_FULL].at == datetime(2027, 3, 7, 14, 40)
    assert Code.STOPPED_CARD_FULL not in stories(
        running(card=CARD), Found(files=4_000, used_bytes=Estimate.exact(4 * GB))
    )


def test_a_card_that_should_be_full_is_the_story_where_nobody_looked_at_it() -> None:
    """60 GB hold 4,000 files of 15 MB."""
    card = CardInUse(Estimate.exact(15_000_000), 60 * GB, 1)
    found = stories(running(card=card), Found(files=4_000))
    assert next(iter(found)) is Code.STOPPED_CARD_FULL


def test_an_empty_battery_dates_the_stop() -> None:
    """100 Wh at 0.1 W last 41 days; empty after 4,000 files, on the seventh day, it gave far more."""
    found = Found(files=4_000, battery_left_share=Estimate(0.0, 0.0, 0.005))
    told = stories(running(battery=BATTERY), found)
    assert next(iter(told)) is Code.STOPPED_BATTERY_EMPTY
    assert told[Code.STOPPED_BATTERY_EMPTY].at == datetime(2027, 3, 7, 14, 40)
    ahead = answer(running(battery=BATTERY), found)
    # 6 d 6 h 40 min at 0.1 W were 15.07 Wh; it was all 100.
    assert ahead.draw.expected == pytest.approx(100 / (0.1 * (6 * 24 + 6 + 2 / 3)), rel=1e-3)


def test_an_empty_battery_without_a_date_tells_no_draw() -> None:
    ahead = answer(running(battery=BATTERY), Found(battery_left_share=Estimate(0.0, 0.0, 0.005)))
    assert (ahead.draw.expected, ahead.renewed_known, ahead.renewed_return_by) == (None, False, None)


def test_a_full_battery_is_planned_as_before() -> None:
    """It says no more than that it draws no more than planned, or that somebody charged it: 80 Wh at 2.4 Wh a day."""
    ahead = answer(running(battery=BATTERY), Found(files=6_000, battery_left_share=Estimate(0.995, 1.0, 1.0)))
    assert ahead.draw.expected is None and ahead.reserve_at is not None and ahead.reserve_at.high is not None
    assert abs(ahead.reserve_at.high - (AT + timedelta(days=80 / 2.4))) < timedelta(seconds=60)


# -- the clock ----------------------------------------------------------------------------------------------

HALF_A_MINUTE = VisitRules(drift_max_s=Fraction(30))


@pytest.mark.parametrize(
    ("fast_s", "shift_s", "wanted", "off"),
    [
        # As it was read.
        (30, 0, False, False),
        (31, 0, False, True),
        (-31, 0, False, True),
        # Not read: an hour off by summer time, unless the clock keeps its offset on purpose.
        (None, 0, False, False),
        (None, -3_600, False, True),
        (None, -3_600, True, False),
        # Read right, though it should be an hour off; an hour off as it should be.
        (0, -3_600, False, False),
        (-3_600, -3_600, True, False),
        (-3_631, -3_600, True, True),
    ],
)
def test_clock_is_off_by_more_than_accepted(fast_s: int | None, shift_s: int, wanted: bool, off: bool) -> None:
    case = running(rules=HALF_A_MINUTE, card=CARD, clock_shift_s=shift_s, shift_wanted=wanted)
    comparison = compare(case, Found(files=6_000, clock_fast_s=None if fast_s is None else Fraction(fast_s)))
    assert clock_is_off(comparison) is off


def test_no_limit_is_never_passed() -> None:
    case = running(rules=VisitRules(drift_max_s=None), card=CARD)
    assert not clock_is_off(compare(case, Found(clock_fast_s=Fraction(250))))


def test_a_clock_that_summer_time_put_off_is_set_now() -> None:
    case = running(rules=HALF_A_MINUTE, card=CardInUse(Estimate.exact(1_000), 60 * GB, 1), clock_shift_s=-3_600)
    found = answer(case, Found(files=6_000))
    assert (found.verdict, found.reasons, found.return_by) == (Verdict.CHANGE, (Reason.CLOCK,), None)


# -- what is left -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("left", "usable_wh", "reserve"), [(0.5, 50, 0.4), (0.8, 80, 0.25), (0.1, 10, 1.0)])
def test_the_reserve_is_the_same_energy_in_a_partly_used_battery(left: float, usable_wh: float, reserve: float) -> None:
    """20 Wh of 100 Wh, or all that is left where that is less."""
    found = partly_used(BATTERY, left)
    assert found.supply.usable_wh.expected == pytest.approx(usable_wh)
    assert found.reserve_share == pytest.approx(reserve)


def test_a_battery_nobody_looked_at_is_planned_from_the_start() -> None:
    """80 Wh at 2.4 Wh a day last 33.3 days from the first of March; 76 Wh left are what was planned."""
    planned = answer(running(battery=BATTERY), Found(files=6_000))
    assert planned.reserve_at is not None and planned.reserve_at.low is not None
    begun = SCHEDULE.starts_at
    assert abs(planned.reserve_at.low - (begun + timedelta(days=80 / 2.4))) < timedelta(seconds=5)
    read = answer(running(battery=BATTERY), Found(files=6_000, battery_left_share=Estimate.exact(0.76)))
    assert read.reserve_at is not None and read.reserve_at.low is not None
    assert abs(read.reserve_at.low - planned.reserve_at.low) < timedelta(seconds=5)


def test_a_range_of_readings_keeps_its_order() -> None:
    """40 to 60 Wh left are 20 to 40 Wh to the reserve: the low end by the greater draw."""
    reading = Estimate(0.4, 0.5, 0.6)
    found = answer(running(battery=BATTERY), Found(files=6_000, battery_left_share=reading))
    assert found.reserve_at is not None
    low, expected, high = found.reserve_at.low, found.reserve_at.expected, found.reserve_at.high
    assert low is not None and expected is not None and high is not None
    # 60, 50 and 40 Wh are gone in ten days: 6, 5 and 4 Wh a day.
    for at, days in ((low, 20 / 6), (expected, 30 / 5), (high, 40 / 4)):
        assert abs(at - (AT + timedelta(days=days))) < timedelta(seconds=60)


# -- more than planned --------------------------------------------------------------------------------------


def test_more_files_than_any_interval_explains_go_into_each_frame() -> None:
    """7,000 files of 1 MB; no settable interval but 60 s is near. 53 GB hold 45,428 of 7/6 MB: 75 days and 428."""
    found = answer(running(card=CARD), Found(files=7_000, used_bytes=Estimate.exact(7 * GB)))
    assert found.full_at is not None
    assert found.full_at.low == AT + timedelta(days=75, minutes=428)


def test_twice_the_frames_are_not_twice_the_draw_of_each() -> None:
    """A frame takes 36 J by plan, 0.01 Wh; 12,000 at half the interval took 120 Wh of 400 Wh, just as they should."""
    battery = BatteryInUse(Estimate.exact(Load(standby_w=0.0, frame_j=36.0)), Supply(Estimate.exact(400.0)), 0.2)
    seen = Found(files=12_000, battery_left_share=Estimate.exact(0.7))
    found = answer(running(battery=battery), seen)
    assert found.reserve_at is not None and found.reserve_at.low is not None
    # 200 Wh to the reserve at 12 Wh a day: 16 days, and 8 Wh of the 17th: 800 frames of 1,200.
    assert abs(found.reserve_at.low - (AT + timedelta(days=16, seconds=800 * 30))) <= timedelta(seconds=60)


def test_more_files_and_no_reading_draw_as_much_more() -> None:
    """A sixth more files than planned, and 0.1 W: 2.4 Wh a day are taken for 2.8, from the start."""
    found = answer(running(battery=BATTERY), Found(files=7_000))
    assert found.reserve_at is not None and found.reserve_at.low is not None
    assert abs(found.reserve_at.low - (SCHEDULE.starts_at + timedelta(days=80 / 2.8))) < timedelta(seconds=60)


def test_drift_is_measured_over_a_day_at_least() -> None:
    """12 s in 23 hours tell no drift; in 24 hours, 12 s a day."""
    fast = Found(clock_fast_s=Fraction(12))
    assert compare(running(at=datetime(2027, 3, 2, 7)), fast).drift_s_per_day is None
    assert compare(running(at=datetime(2027, 3, 2, 8)), fast).drift_s_per_day == 12


def test_size_of_a_file_within_its_clusters() -> None:
    """1,310,720 B on the card are ten clusters of 131,072 B: more than nine; half a cluster less by guess."""
    card = CardInUse(Estimate.exact(1_200_000), 60 * GB, 131_072)
    found = compare(running(card=card), Found(files=6_000, used_bytes=Estimate.exact(6_000 * 1_310_720)))
    assert found.file_bytes == Estimate(Fraction(1_179_648), Fraction(1_245_184), Fraction(1_310_720))


def test_a_card_that_more_frames_filled_is_changed_though_none_is_lost_yet() -> None:
    """Every 30 s 63,000 frames of 1 MB are there on 22 April at 13:00; the next one is due the day after at 8:00."""
    looked_at = datetime(2027, 4, 22, 19)
    card = CardInUse(Estimate.exact(1_000_000), 63 * GB, 1)
    found = answer(running(card=card, at=looked_at), Found(files=63_000))
    assert (found.verdict, found.reasons) == (Verdict.CHANGE, (Reason.CARD,))
    assert found.full_at is not None and found.full_at.low == looked_at


def test_hours_that_a_count_doesnt_date_fill_the_card_from_the_look_on() -> None:
    """Twelve hours a day made 7,920 files of 11 days; of 60,000 another 72 days and 4 hours are left, begun at once."""
    looked_at = datetime(2027, 3, 11, 20)
    found = answer(running(card=CARD, at=looked_at), Found(files=7_920))
    assert found.full_at is not None and found.full_at.low == datetime(2027, 5, 23)
