"""What was found at a camera, against a camera simulated here frame by frame, and against cases worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import compare, expect
from webcalc.calc.onsite.fit import look_at
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.outlook import Verdict, next_due, outlook, ways_on
from webcalc.calc.onsite.readings import left_by_charge, left_of_usable
from webcalc.calc.onsite.seen import Doubt, Found, Running, Value
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import Supply, energy_left_at
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import BatteryInUse, CardInUse, Reason, VisitRules

MINUTE = Fraction(60)
WORKDAYS = frozenset({1, 2, 3, 4, 5})
#: 1 March 2027 is a Monday; ten hours at a frame a minute are 600 frames a day.
SCHEDULE = Schedule(date(2027, 3, 1), date(2027, 8, 31), DailyWindow(time(8), time(18)))
GB = 10**9


def exactly(value):
    return Estimate(value, value, value)


def running(schedule=SCHEDULE, at=datetime(2027, 3, 11, 8), interval_s=MINUTE, *, rules=None, **more):
    """Ten whole days are done at ``at``: 6,000 frames."""
    card = more.pop("card", None)
    battery = more.pop("battery", None)
    recording = more.pop("recording", Recording(interval_s))
    planner = VisitPlanner(schedule, recording, rules or VisitRules(), card, battery)
    if card is not None:
        more = {"frame": card.frame, "cluster_bytes": card.cluster_bytes, "card_bytes": 64 * GB, **more}
    return Running(planner, more.pop("since", schedule.starts_at), at, **more)


def verdict(case, found):
    comparison, judgement = look_at(case, found)
    return outlook(comparison, judgement.stories, clock_since=case.since, looked_at=case.at)


def stories(case, found):
    """The stories by their codes, in order of fit."""
    return {story.code: story for story in look_at(case, found)[1].stories}


# -- a simulated camera -------------------------------------------------------------------------------------


def frames_taken(schedule, interval_s, since, at, *, off=()):
    """Fire every interval from each window's start and write down each frame; nothing while the power is off."""
    taken, day = [], schedule.first
    while day <= schedule.last:
        if day.isoweekday() in schedule.weekdays and day not in schedule.skipped:
            start = datetime.combine(day, schedule.window.start)
            tick, end = start, start + timedelta(seconds=schedule.window.length_s)
            while tick < end:
                if since <= tick < at and not any(begin <= tick < stop for begin, stop in off):
                    taken.append(tick)
                tick += timedelta(seconds=float(interval_s))
        day += timedelta(1)
    return taken


@st.composite
def shoots(draw):
    first = date(2027, 1, 1) + timedelta(draw(st.integers(0, 300)))
    start, hours = draw(st.integers(0, 23)), draw(st.integers(2, 24))
    window = DailyWindow(time(start), time((start + hours) % 24))
    weekdays = draw(st.sampled_from([ALL_WEEKDAYS, WORKDAYS, frozenset({1, 3, 5})]))
    schedule = Schedule(first, first + timedelta(draw(st.integers(10, 40))), window, weekdays)
    assume(schedule.recorded_days >= 6)
    interval_s = Fraction(draw(st.sampled_from([300, 600, 900, 1200, 1800])))
    at = schedule.starts_at + timedelta(minutes=draw(st.integers(7 * 1440, schedule.calendar_days * 1440)))
    return schedule, interval_s, at


@settings(max_examples=150, deadline=None)
@given(shoots())
def test_a_camera_that_does_as_planned_agrees(shoot):
    schedule, interval_s, at = shoot
    taken = frames_taken(schedule, interval_s, schedule.starts_at, at)
    case, found = running(schedule, at, interval_s), Found(files=len(taken))
    comparison = compare(case, found)
    assert comparison.missed == 0
    assert comparison.agrees
    assert list(stories(case, found)) == [Code.AS_PLANNED]


@settings(max_examples=150, deadline=None)
@given(shoots(), st.data())
def test_lost_power_is_missed_recording_time(shoot, data):
    """What is missing in frames is what the power cut took of the windows, to one frame a window."""
    schedule, interval_s, at = shoot
    begin = schedule.starts_at + timedelta(minutes=data.draw(st.integers(0, 7 * 1440)))
    stop = begin + timedelta(minutes=data.draw(st.integers(0, 7 * 1440)))
    taken = frames_taken(schedule, interval_s, schedule.starts_at, at, off=[(begin, stop)])
    whole = frames_taken(schedule, interval_s, schedule.starts_at, at)
    comparison = compare(running(schedule, at, interval_s), Found(files=len(taken)))
    assert comparison.missed == len(whole) - len(taken)
    recorded_off_s = sum(_overlap_s(schedule, begin, min(stop, at)))
    # Every window that the cut touches may shift by one interval; its last frame may stand for less than one.
    room_s = 2 * interval_s * (len(schedule.recorded_dates) + 1)
    assert abs(comparison.missed_s - recorded_off_s) <= room_s


def _overlap_s(schedule, begin, stop):
    for day in schedule.recorded_dates:
        start = datetime.combine(day, schedule.window.start)
        end = start + timedelta(seconds=schedule.window.length_s)
        yield max(0.0, (min(end, stop) - max(start, begin)).total_seconds())


@settings(max_examples=100, deadline=None)
@given(shoots(), st.integers(20, 300), st.floats(0.3, 3))
def test_a_battery_that_drains_at_another_rate_tells_it(shoot, standby_mw, factor):
    """The camera's real draw, added up here from standby hours and frames, comes back as the factor."""
    schedule, interval_s, at = shoot
    taken = len(frames_taken(schedule, interval_s, schedule.starts_at, at))
    hours = (at - schedule.starts_at).total_seconds() / 3600
    planned_wh = standby_mw / 1000 * hours + 9.0 * taken / 3600
    usable_wh = planned_wh * 3.5
    left = 1 - factor * planned_wh / usable_wh
    battery = BatteryInUse(exactly(Load(standby_mw / 1000, frame_j=9.0)), Supply(exactly(usable_wh)), 0.0)
    comparison = compare(running(schedule, at, interval_s, battery=battery), Found(battery_left_share=exactly(left)))
    assert comparison.drain_factor.expected == pytest.approx(factor, rel=1e-6)
    # And the corrected load is at the reading at that instant.
    corrected = ways_on(comparison)[0].battery
    again = energy_left_at(schedule, Recording(interval_s), corrected.load.expected, corrected.supply, at)
    assert again.expected == pytest.approx(left, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(shoots(), st.integers(1_000_000, 3_000_000), st.integers(0, 1))
def test_no_corrected_full_date_is_too_late(shoot, frame_bytes, windows_lost):
    """Whatever was missed before, the card isn't full before that where a camera goes on as planned."""
    schedule, interval_s, at = shoot
    off_until = schedule.starts_at + timedelta(days=windows_lost)
    taken = frames_taken(schedule, interval_s, schedule.starts_at, at, off=[(schedule.starts_at, off_until)])
    rest = frames_taken(schedule, interval_s, at, schedule.ends_at)
    assume(len(taken) > 0 and len(rest) > 3)
    cluster = 131_072
    on_card = -(-frame_bytes // cluster) * cluster
    usable = on_card * (len(taken) + len(rest) // 2)
    card = CardInUse(Estimate(500_000, 600_000, 700_000), usable, cluster)
    case = running(schedule, at, interval_s, card=card, card_bytes=10 * usable)
    found = verdict(case, Found(files=len(taken), used_bytes=exactly(on_card * len(taken))))
    assert found.full_at.low <= rest[len(rest) // 2] <= found.full_at.high


# -- cases by hand ------------------------------------------------------------------------------------------


def test_nineteen_per_cent_missing():
    """Ten days of 600 frames; 19 % missing are 1,140 frames, which at one a minute are 19 hours."""
    comparison = compare(running(), Found(files=4_860))
    assert comparison.expected.files.expected == 6_000
    assert comparison.missed == 1_140
    assert comparison.missed_s == 19 * 3600
    assert not comparison.agrees
    # 4,860 frames are eight days and 60 frames: stopped on the ninth day after one hour.
    told = stories(running(), Found(files=4_860))
    assert told[Code.STOPPED].at == datetime(2027, 3, 9, 8, 59) + timedelta(minutes=1)
    assert Code.AS_PLANNED not in told


@pytest.mark.parametrize(
    ("files", "weekdays", "window_s"),
    [
        # 1 to 10 March 2027 are eight workdays and two days of a weekend.
        (8 * 600, WORKDAYS, 8 * 3600),
        # Nine hours a day; 0.9 of the days fits no set of weekdays but Monday to Saturday.
        (10 * 540, frozenset({1, 2, 3, 4, 5, 6}), 9 * 3600),
        # Eight and a half hours a day.
        (10 * 510, None, 8.5 * 3600),
    ],
)
def test_other_weekdays_or_hours_explain_a_count(files, weekdays, window_s):
    found = stories(running(), Found(files=files))
    told = found[Code.OTHER_WEEKDAYS].life.schedule.weekdays if Code.OTHER_WEEKDAYS in found else None
    assert told == weekdays
    assert found[Code.OTHER_HOURS].life.schedule.window.length_s == window_s


def test_extra_frames_on_the_weekend():
    case = running(replace(SCHEDULE, weekdays=WORKDAYS))
    comparison = compare(case, Found(files=6_000))
    assert comparison.missed == -1_200
    assert comparison.missed_s == -20 * 3600
    found = stories(case, Found(files=6_000))
    assert found[Code.OTHER_WEEKDAYS].life.schedule.weekdays == ALL_WEEKDAYS
    assert Code.STOPPED not in found


def test_half_the_frames_of_two_hours_are_twice_the_interval():
    """A camera that was just mounted and watched has hardly stopped by itself."""
    found = stories(running(at=datetime(2027, 3, 1, 10), interval_s=Fraction(300)), Found(files=12))
    assert next(iter(found)) is Code.OTHER_INTERVAL
    assert found[Code.OTHER_INTERVAL].life.recording.interval_s == 600


def test_half_the_frames_of_ten_days_are_twice_the_interval_unless_the_last_file_is_old():
    """3,000 frames: ten days of one every two minutes, or five of one a minute."""
    assert next(iter(stories(running(), Found(files=3_000)))) is Code.OTHER_INTERVAL
    stopped = stories(running(), Found(files=3_000, last_at=datetime(2027, 3, 5, 17, 59)))
    assert next(iter(stopped)) is Code.STOPPED
    assert stopped[Code.STOPPED].at == datetime(2027, 3, 5, 18)
    late = stories(
        running(), Found(files=3_000, first_at=datetime(2027, 3, 6, 8), last_at=datetime(2027, 3, 10, 17, 59))
    )
    assert next(iter(late)) is Code.LATE_START


def test_true_frame_size():
    """6,000 files in 9.6 GB take 1.6 MB each; with 128 KiB clusters the file is that or up to 131,072 B less."""
    card = CardInUse(Estimate(600_000, 800_000, 1_200_000), 63 * GB, 131_072)
    comparison = compare(running(card=card), Found(files=6_000, used_bytes=exactly(9_600_000_000)))
    assert comparison.frame_bytes == exactly(1_600_000)
    assert comparison.file_bytes.low == 1_600_000 - 131_072
    assert comparison.file_bytes.high == 1_600_000
    found = verdict(comparison.running, comparison.found)
    # (63 − 9.6) GB hold 33,375 frames: 55 days and 375 frames after the ten days.
    assert found.full_at == exactly(datetime(2027, 3, 11, 8) + timedelta(days=55, minutes=375))
    assert found.verdict is Verdict.RETURN_BY
    assert found.return_by == date(2027, 5, 5)
    assert found.reasons == (Reason.CARD,)


def test_missing_frames_do_not_move_the_full_date_out():
    """With 19 % missing and the cause unknown the planned rate counts from now on."""
    card = CardInUse(exactly(1_310_720), 63 * GB, 131_072)
    found = verdict(running(card=card), Found(files=4_860, used_bytes=exactly(4_860 * 1_310_720)))
    frames_left = (63 * GB - 4_860 * 1_310_720) // 1_310_720
    days, rest = divmod(frames_left, 600)
    assert found.full_at.low == datetime(2027, 3, 11, 8) + timedelta(days=days, minutes=rest)


def test_a_shorter_interval_moves_the_full_date_in():
    """Twice the frames: the interval is 30 s, and from now on the card fills twice as fast as planned."""
    card = CardInUse(exactly(1_310_720), 63 * GB, 131_072)
    found = verdict(running(card=card), Found(files=12_000, used_bytes=exactly(12_000 * 1_310_720)))
    frames_left = (63 * GB - 12_000 * 1_310_720) // 1_310_720
    days, rest = divmod(frames_left, 1_200)
    assert found.full_at.low == datetime(2027, 3, 11, 8) + timedelta(days=days, seconds=30 * rest)


BATTERY = BatteryInUse(exactly(Load(standby_w=0.1)), Supply(exactly(100.0)), 0.2)


def test_true_drain_moves_the_reserve_date():
    """0.1 W take 24 Wh in ten days. 52 left of 100 is twice that: 32 Wh to the reserve at 4.8 Wh a day."""
    case = running(battery=BATTERY)
    comparison = compare(case, Found(battery_left_share=exactly(0.52)))
    assert comparison.drain_factor.expected == pytest.approx(2)
    found = verdict(case, comparison.found)
    days = 32 / 4.8
    assert abs(found.reserve_at.low - (case.at + timedelta(days=days))) < timedelta(seconds=5)
    assert found.verdict is Verdict.RETURN_BY
    assert found.return_by == date(2027, 3, 17)


def test_a_battery_that_drains_less_is_planned_as_before():
    """A reading of 88 is half the planned draw; the date to plan on still takes the planned 2.4 Wh a day."""
    case = running(battery=BATTERY)
    found = verdict(case, Found(battery_left_share=exactly(0.88)))
    assert abs(found.reserve_at.low - (case.at + timedelta(days=68 / 2.4))) < timedelta(seconds=5)
    assert abs(found.reserve_at.high - (case.at + timedelta(days=68 / 1.2))) < timedelta(seconds=5)


@pytest.mark.parametrize("left", [0.0, 0.1, 0.2])
def test_a_battery_at_its_reserve_is_changed_now(left):
    found = verdict(running(battery=BATTERY), Found(battery_left_share=exactly(left)))
    assert found.verdict is Verdict.CHANGE
    assert found.reasons == (Reason.BATTERY,)


def test_a_full_card_is_changed_now():
    card = CardInUse(exactly(1_310_720), 8 * GB, 131_072)
    found = verdict(running(card=card, card_bytes=8 * GB), Found(files=6_000, used_bytes=exactly(8 * GB)))
    assert found.verdict is Verdict.CHANGE
    assert found.reasons == (Reason.CARD,)


def test_what_lasts_is_left():
    card = CardInUse(exactly(300_000), 60 * GB, 131_072)
    found = verdict(running(card=card), Found(files=6_000))
    assert found.verdict is Verdict.LEAVE
    assert found.full_at == exactly(None)


def test_after_the_end_it_is_over():
    card = CardInUse(exactly(300_000), 60 * GB, 131_072)
    assert verdict(running(card=card, at=datetime(2027, 9, 2)), Found()).verdict is Verdict.OVER


def test_without_card_and_battery_there_is_no_verdict():
    assert verdict(running(), Found(files=6_000)).verdict is None


def test_clock_drift():
    """Seventeen seconds in ten days are 1.7 s a day; the range of ±1.7 s a day is what was expected."""
    comparison = compare(running(), Found(clock_fast_s=Fraction(17)))
    assert comparison.drift_s_per_day == Fraction(17, 10)
    assert comparison.expected.clock_error_s == Estimate(Fraction(-17), Fraction(0), Fraction(17))


def test_a_change_of_summer_time_is_no_drift():
    case = running(clock_shift_s=-3600)
    comparison = compare(case, Found(clock_fast_s=Fraction(-3590)))
    assert comparison.drift_s_per_day == 1
    assert comparison.expected.clock_error_s.expected == -3600


def test_a_clock_off_by_more_than_accepted_is_set_now():
    card = CardInUse(exactly(300_000), 60 * GB, 131_072)
    case = running(card=card, rules=VisitRules(drift_max_s=Fraction(30)))
    found = verdict(case, Found(clock_fast_s=Fraction(-45)))
    assert (found.verdict, found.reasons) == (Verdict.CHANGE, (Reason.CLOCK,))


# -- numbers of the files -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "last", "files"),
    [(1, 6_000, 6_000), (9_000, 5_000, 6_000), (1, 5_998, 5_998), (9_999, 1, 2), (7, 7, 1)],
)
def test_numbers_count_and_start_again_after_9999(first, last, files):
    """CIPA DC-009: 0001 to 9999. From 9000 to 9999 are 1,000 files, then 5,000."""
    assert compare(running(), Found(first_number=first, last_number=last)).files == files


def test_numbers_that_may_have_started_again_are_asked_about():
    """20,000 expected: 5,001, 15,000 by the same two numbers. The space used tells which, where it is known."""
    case = running(interval_s=Fraction(18))
    assert case.counts().stills == 20_000
    found = Found(first_number=1, last_number=5_001)
    assert compare(case, found).doubts == (Doubt.NUMBERS_ROLLED_OVER,)
    assert compare(case, found).files is None
    card = CardInUse(Estimate(900_000, 1_000_000, 1_100_000), 63 * GB, 1)
    used = Found(first_number=1, last_number=5_001, used_bytes=exactly(15_000 * 1_000_000))
    assert compare(running(interval_s=Fraction(18), card=card), used).files == 15_000


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 9_999), st.integers(1, 30_000))
def test_numbers_agree_with_their_own_count(first, files):
    """Numbers counted up one by one, 0001 after 9999, agree with the count, and with none that is one off."""
    number = first
    for _ in range(files - 1):
        number = 1 if number == 9_999 else number + 1
    case = running(at=datetime(2027, 5, 1))
    found = Found(files=files, first_number=first, last_number=number)
    assert Doubt.NUMBERS_DISAGREE not in compare(case, found).doubts
    assert Doubt.NUMBERS_DISAGREE in compare(case, replace(found, files=files + 1)).doubts


# -- what can't be ------------------------------------------------------------------------------------------

CARD = CardInUse(exactly(1_000_000), 63 * GB, 131_072)
DAY_S = 86_400


@pytest.mark.parametrize(
    ("case", "found", "doubt"),
    [
        (running(), Found(files=10 * DAY_S + 2), Doubt.MORE_THAN_SECONDS),
        (running(settable_s=(Fraction(30), MINUTE)), Found(files=20 * 1440 + 2), Doubt.MORE_THAN_SHORTEST_INTERVAL),
        (running(), Found(files=600, first_number=1, last_number=601), Doubt.NUMBERS_DISAGREE),
        (running(card=CARD), Found(used_bytes=exactly(65 * GB)), Doubt.MORE_THAN_CARD),
        (running(card=CARD, used_before_bytes=9 * GB), Found(used_bytes=exactly(8 * GB)), Doubt.LESS_THAN_BEFORE),
        (running(card=CARD), Found(files=6_000, used_bytes=exactly(GB // 2)), Doubt.SMALLER_THAN_CLUSTERS),
        (running(since=datetime(2027, 2, 1)), Found(files=1), Doubt.SINCE_BEFORE_START),
        (running(at=datetime(2027, 2, 1)), Found(files=1), Doubt.AT_BEFORE_SINCE),
        (running(), Found(clock_fast_s=Fraction(3600)), Doubt.CLOCK_SET_WRONG),
    ],
)
def test_what_cant_be_is_asked_about(case, found, doubt):
    comparison = compare(case, found)
    assert comparison.doubts == (doubt,)
    values = {
        Value.COUNT: (comparison.files, comparison.missed, comparison.missed_s),
        Value.CARD: (comparison.used_bytes, comparison.frame_bytes),
        Value.BATTERY: (comparison.battery_left_share,),
        Value.CLOCK: (comparison.drift_s_per_day,),
    }
    for value in doubt.concerns:
        assert values[value] == (None,) * len(values[value])


def test_a_doubt_leaves_the_other_values():
    case = running(card=CARD, battery=BATTERY)
    found = Found(6_000, exactly(70 * GB), exactly(0.76), Fraction(10))
    comparison = compare(case, found)
    assert comparison.doubts == (Doubt.MORE_THAN_CARD,)
    assert comparison.missed == 0
    assert comparison.drain_factor.expected == pytest.approx(1)
    assert comparison.drift_s_per_day == 1
    assert comparison.frame_bytes is None


def test_just_possible_counts_are_not_doubted():
    assert compare(running(), Found(files=10 * DAY_S)).doubts == ()
    assert compare(running(settable_s=(Fraction(30), MINUTE)), Found(files=20 * 1440)).doubts == ()


# -- lead-acid at rest --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "charge"), [(12.7, 1.0), (12.5, 0.9), (12.06, 0.5), (11.31, 0.1), (10.5, 0.0), (12.6, 0.95)]
)
def test_rest_voltage_becomes_what_is_left_of_the_usable_half(volts, charge):
    """The rows of a charge-controller manual (seen); half of the capacity is usable, so 0.75 charged is half left."""
    left = left_by_charge(exactly(charge_share_at_rest(volts)), Estimate(0.5, 0.5, 0.8))
    assert left.low == pytest.approx(max(0, 1 - (1 - charge) / 0.5))
    assert left.high == pytest.approx(max(0, 1 - (1 - charge) / 0.8))


def test_a_voltage_under_charge_tells_nothing():
    assert charge_share_at_rest(14.4) is None


def test_three_quarters_charged_is_half_of_the_usable_half():
    assert left_of_usable(0.75, 0.5) == 0.5


def test_the_expected_range_of_frames_is_the_typed_minute_and_the_drift():
    """Two hours, 120 frames; a little more than a minute less is 08:00 to 09:58, more is 08:00 to 10:01."""
    files = expect(running(at=datetime(2027, 3, 1, 10))).files
    assert (files.low, files.expected, files.high) == (119, 120, 122)


# -- the next visit -----------------------------------------------------------------------------------------


@settings(max_examples=60, deadline=None)
@given(shoots(), st.sets(st.integers(1, 7), min_size=1), st.integers(0, 3), st.integers(1, 9), st.integers(1, 30))
def test_the_next_visit_is_the_first_of_the_planner(shoot, weekdays, margin_days, card_parts, clean_days):
    schedule, interval_s, at = shoot
    whole = len(frames_taken(schedule, interval_s, schedule.starts_at, schedule.ends_at))
    card = CardInUse(exactly(1_000), max(1_000, whole * 1_000 // card_parts), 1)
    rules = VisitRules(frozenset(weekdays), margin_days=margin_days, clean_days=clean_days)
    planner = VisitPlanner(schedule, Recording(interval_s), rules, card)
    standing = replace(planner.start(), card_since=at, seen=at.date())
    plan, due = planner.plan(standing), next_due(planner, standing)
    if due is None:
        assert plan.visits[0].reasons == (Reason.LAST_DAY,)
    elif due.by is None:
        assert plan.visits == ()
        assert due.reasons[0] == plan.impossible.reason
    else:
        assert (due.by, due.reasons) == (plan.visits[0].date, plan.visits[0].reasons)
