"""Counts between two instants against a list of every single event, written out independently."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.schedule.count import (
    Counts,
    counts_between,
    motion_frames_before,
    recorded_time_between,
    window_dates,
)
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

MINUTE = Recording(interval_s=Fraction(60))
WEEK = Schedule(date(2026, 6, 1), date(2026, 6, 7), DailyWindow(time(8), time(18)), frozenset({1, 2, 3, 4, 5}))
NIGHT = Schedule(date(2026, 6, 1), date(2026, 6, 7), DailyWindow(time(22), time(4)), frozenset({5}))


@st.composite
def schedules(draw):
    first = date(2026, 1, 1) + timedelta(draw(st.integers(0, 400)))
    days = draw(st.integers(1, 16))
    minute = st.integers(0, 1439).map(lambda m: time(m // 60, m % 60))
    all_days = [first + timedelta(n) for n in range(days)]
    return Schedule(
        first,
        all_days[-1],
        DailyWindow(draw(minute), draw(minute)),
        draw(st.frozensets(st.integers(1, 7), min_size=1)),
        draw(st.frozensets(st.sampled_from(all_days), max_size=3)),
    )


@st.composite
def recordings(draw):
    interval_s = draw(st.none() | st.fractions(600, 30_000, max_denominator=7))
    return Recording(
        interval_s,
        stills=draw(st.booleans()),
        burst_s=draw(st.sampled_from([Fraction(0), Fraction(3), Fraction(5, 2)])),
        burst_bits_per_s=Fraction(draw(st.integers(0, 25_000_000))),
        motion_frames_per_day=draw(st.integers(0, 30)),
    )


def instants(schedule):
    """Instants around a schedule, whole minutes (where frames fall) and odd microseconds alike."""
    start, end = schedule.starts_at - timedelta(2), schedule.ends_at + timedelta(2)
    seconds = int((end - start).total_seconds())
    whole = st.integers(0, seconds // 60).map(lambda n: start + timedelta(minutes=n))
    odd = st.integers(0, seconds * 10**6).map(lambda n: start + timedelta(microseconds=n))
    return whole | odd


def exactly(when):
    """An instant as a fraction of seconds since 2000, independent of the code under test."""
    gone = when - datetime(2000, 1, 1)
    return Fraction(gone.days * 86_400 + gone.seconds) + Fraction(gone.microseconds, 10**6)


def every_event(schedule, recording, days=None):
    """Yield (instant in s since 2000, kind) of each file, one by one, in order of being written."""
    day = schedule.first
    last = schedule.last if days is None else schedule.first + timedelta(days - 1)
    while day <= last:
        if day.isoweekday() in schedule.weekdays and day not in schedule.skipped:
            opens = datetime.combine(day, schedule.window.start)
            closes = datetime.combine(day, schedule.window.end)
            if closes <= opens:
                closes += timedelta(1)
            begin, end = exactly(opens), exactly(closes)
            today = []
            tick = begin
            while recording.interval_s is not None and tick < end:
                if recording.stills:
                    today.append((tick, 0, "still"))
                if recording.burst_s > 0:
                    today.append((tick, 1, "burst"))
                tick += recording.interval_s
            motion = recording.motion_frames_per_day
            for j in range(motion):
                today.append((begin + (end - begin) * (j + Fraction(1, 2)) / motion, 2, "motion"))
            yield from ((at, kind) for at, _, kind in sorted(today))
        day += timedelta(1)


@settings(max_examples=300, deadline=None)
@given(st.data(), schedules(), recordings())
def test_counts_equal_the_events_listed_one_by_one(data, schedule, recording):
    since, until = data.draw(instants(schedule)), data.draw(instants(schedule))
    kinds = [kind for at, kind in every_event(schedule, recording) if exactly(since) <= at < exactly(until)]
    counted = counts_between(schedule, recording, since, until)
    assert counted == Counts(kinds.count("still"), kinds.count("burst"), kinds.count("motion"))
    assert counted.frames == kinds.count("still") + kinds.count("motion")


@settings(max_examples=60, deadline=None)
@given(st.data(), schedules(), recordings())
def test_past_the_last_date_the_pattern_goes_on(data, schedule, recording):
    since, until = data.draw(instants(schedule)), schedule.ends_at + timedelta(data.draw(st.integers(0, 20)))
    days = (until.date() - schedule.first).days + 2
    events = every_event(schedule, recording, days)
    kinds = [kind for at, kind in events if exactly(since) <= at < exactly(until)]
    counted = counts_between(schedule, recording, since, until, past_last=True)
    assert counted == Counts(kinds.count("still"), kinds.count("burst"), kinds.count("motion"))


@settings(max_examples=100, deadline=None)
@given(st.data(), schedules(), recordings())
def test_neighbouring_spans_add_up(data, schedule, recording):
    a, b, c = sorted(data.draw(instants(schedule)) for _ in range(3))
    parts = counts_between(schedule, recording, a, b) + counts_between(schedule, recording, b, c)
    assert parts == counts_between(schedule, recording, a, c)
    times = recorded_time_between(schedule, a, b) + recorded_time_between(schedule, b, c)
    assert times == recorded_time_between(schedule, a, c)


@settings(max_examples=100, deadline=None)
@given(schedules(), recordings())
def test_the_whole_shoot_is_days_times_windows(schedule, recording):
    counted = counts_between(schedule, recording, schedule.starts_at, schedule.ends_at)
    assert counted.stills == schedule.recorded_days * recording.stills_in(schedule.window.length_s)
    assert counted.motion_frames == schedule.recorded_days * recording.motion_frames_per_day
    assert recorded_time_between(schedule, schedule.starts_at, schedule.ends_at) == timedelta(
        seconds=schedule.recorded_s
    )


def test_ten_hours_at_one_a_minute_are_600_frames():
    """Common practice, no source: the usual working day of a usual shoot."""
    assert counts_between(WEEK, MINUTE, datetime(2026, 6, 1), datetime(2026, 6, 2)).stills == 600


@pytest.mark.parametrize(
    ("since", "until", "stills"),
    [
        (datetime(2026, 6, 1, 8, 0), datetime(2026, 6, 1, 8, 0), 0),
        (datetime(2026, 6, 1, 8, 0), datetime(2026, 6, 1, 8, 0, 0, 1), 1),
        (datetime(2026, 6, 1, 8, 0, 0, 1), datetime(2026, 6, 1, 8, 1), 0),
        (datetime(2026, 6, 1, 8, 0), datetime(2026, 6, 1, 8, 1), 1),
        (datetime(2026, 6, 5, 17, 59), datetime(2026, 6, 8, 9, 0), 1),
        (datetime(2026, 6, 2), datetime(2026, 6, 1), 0),
        (datetime(1, 1, 1), datetime(9999, 12, 31), 3000),
    ],
)
def test_the_edges_of_a_window(since, until, stills):
    assert counts_between(WEEK, MINUTE, since, until).stills == stills


def test_a_night_belongs_to_the_date_it_starts_on():
    assert counts_between(NIGHT, MINUTE, datetime(2026, 6, 6), datetime(2026, 6, 7)).stills == 240
    assert counts_between(NIGHT, MINUTE, datetime(2026, 6, 5), datetime(2026, 6, 6)).stills == 120
    assert recorded_time_between(NIGHT, datetime(2026, 6, 6, 1), datetime(2026, 6, 9)) == timedelta(hours=3)


@given(st.integers(0, 500), st.integers(60, 86_400))
def test_motion_frames_spread_from_none_to_all(frames, window_s):
    assert motion_frames_before(frames, 0, window_s) == 0
    assert motion_frames_before(frames, window_s, window_s) == frames
    assert motion_frames_before(frames, Fraction(window_s, 2), window_s) == frames // 2


def test_dates_past_the_last_continue_weekdays():
    dates = window_dates(NIGHT, past_last=True)
    assert dates[:2] == (date(2026, 6, 5), date(2026, 6, 12))
    assert len(dates) > 1000
