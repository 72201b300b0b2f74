"""When a card is full, against a simulation that writes file after file."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_count import MINUTE, every_event, exactly, instants, recordings, schedules

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.card.forecast import day_bytes, forecast, shoot_bytes, used_at
from webcalc.calc.card.frame_size import PICTURES, frame_bytes, measured
from webcalc.calc.card.space import FAT32, GB, file_system_for, usable_bytes
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import Counts
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

WORKDAYS = Schedule(date(2026, 6, 1), date(2026, 8, 28), DailyWindow(time(8), time(18)), frozenset({1, 2, 3, 4, 5}))
NO_RESERVE = Fraction(0)
CLUSTERS = st.sampled_from([1, 4_096, 32_768, 131_072])


@st.composite
def frames(draw):
    ends = sorted(draw(st.lists(st.integers(1, 3_000_000), min_size=3, max_size=3)))
    return Estimate(*ends)


def in_clusters(file_bytes, cluster_bytes):
    """Whole clusters, counted up one by one where it is cheap, independent of the code under test."""
    clusters = int(file_bytes / cluster_bytes)
    while clusters * cluster_bytes < file_bytes:
        clusters += 1
    return clusters * cluster_bytes


def write_until_full(events, recording, frame_bytes, cluster_bytes, free_bytes, since):
    """Write file after file from ``since``: instant of the first that doesn't fit, frames written, bytes written."""
    frame = in_clusters(frame_bytes, cluster_bytes)
    burst = in_clusters(recording.burst_bits_per_s * recording.burst_s / 8, cluster_bytes)
    frames_written = written = 0
    for at, kind in events:
        if at < exactly(since):
            continue
        size = burst if kind == "burst" else frame
        if written + size > free_bytes:
            return at, frames_written, written
        written += size
        frames_written += kind != "burst"
    return None, frames_written, written


def at_instant(when):
    return None if when is None else exactly(when)


def to_microsecond(at):
    return None if at is None else Fraction(at * 10**6 // 1, 10**6)


@settings(max_examples=300, deadline=None)
@given(st.data(), schedules(), recordings(), frames(), CLUSTERS)
def test_forecast_equals_writing_file_after_file(data, schedule, recording, frame, cluster_bytes):
    since = data.draw(st.none() | instants(schedule))
    begin = since or schedule.starts_at
    past_last = data.draw(st.booleans())
    events = list(every_event(schedule, recording))
    whole = write_until_full(events, recording, frame.expected, cluster_bytes, 10**18, begin)[2]
    used = data.draw(st.integers(0, 10**6))
    usable = data.draw(st.integers(0, max(2 * whole, 10**7))) + used
    if past_last:
        events = list(every_event(schedule, recording, schedule.calendar_days + 30))
    result = forecast(
        schedule, recording, frame, usable, cluster_bytes, used, since, past_last, reserve_share=NO_RESERVE
    )
    for size, full_at, fits in (
        (frame.high, result.full_at.low, result.frames_on_card.low),
        (frame.expected, result.full_at.expected, result.frames_on_card.expected),
        (frame.low, result.full_at.high, result.frames_on_card.high),
    ):
        at, written_frames, _ = write_until_full(events, recording, size, cluster_bytes, usable - used, begin)
        if past_last and at is None:  # the simulation stops 30 days later, the forecast after 20 years
            assert full_at is None or full_at > schedule.ends_at + timedelta(29)
            continue
        assert at_instant(full_at) == to_microsecond(at)
        if at is not None:
            assert fits == written_frames
    for size, needed in zip(
        (frame.low, frame.expected, frame.high),
        (result.needed_bytes.low, result.needed_bytes.expected, result.needed_bytes.high),
        strict=True,
    ):
        own = every_event(schedule, recording)
        assert needed == write_until_full(own, recording, size, cluster_bytes, 10**18, begin)[2]


@settings(max_examples=150, deadline=None)
@given(st.data(), schedules(), recordings(), frames(), CLUSTERS, st.integers(0, 10**10))
def test_the_ends_are_in_order_and_agree(data, schedule, recording, frame, cluster_bytes, usable):
    since = data.draw(st.none() | instants(schedule))
    result = forecast(schedule, recording, frame, usable, cluster_bytes, since=since, reserve_share=NO_RESERVE)
    earliest, expected, latest = (
        when or datetime.max for when in (result.full_at.low, result.full_at.expected, result.full_at.high)
    )
    assert earliest <= expected <= latest
    assert result.frames_on_card.low <= result.frames_on_card.expected <= result.frames_on_card.high
    assert result.needed_bytes.low <= result.needed_bytes.expected <= result.needed_bytes.high
    assert result.lasts == (result.full_at.low is None)
    assert result.lasts_expected == (result.full_at.expected is None)
    assert result.needed_bytes == shoot_bytes(schedule, recording, frame, cluster_bytes, since)


@settings(max_examples=150, deadline=None)
@given(schedules(), recordings(), frames(), CLUSTERS, st.integers(0, 10**10), st.integers(2, 5))
def test_more_frames_never_use_less_card(schedule, recording, frame, cluster_bytes, usable, times):
    assume(recording.interval_s is not None)
    denser = Recording(
        recording.interval_s / times,
        recording.stills,
        recording.burst_s,
        recording.burst_bits_per_s,
        recording.motion_frames_per_day * times,
    )
    few = forecast(schedule, recording, frame, usable, cluster_bytes, reserve_share=NO_RESERVE)
    many = forecast(schedule, denser, frame, usable, cluster_bytes, reserve_share=NO_RESERVE)
    assert many.needed_bytes.low >= few.needed_bytes.low
    assert many.needed_bytes.high >= few.needed_bytes.high
    assert (many.card_needed_gb or 10**6) >= (few.card_needed_gb or 10**6)
    assert (many.full_at.low or datetime.max) <= (few.full_at.low or datetime.max)


@settings(max_examples=100, deadline=None)
@given(schedules(), recordings(), frames(), st.integers(1, 200), st.fractions(0, Fraction(1, 2), max_denominator=20))
def test_the_card_needed_lasts_and_the_next_smaller_does_not(schedule, recording, frame, factor, reserve):
    """With frames large enough for every size of card to be drawn."""
    frame = frame.map(lambda size: size * factor)
    needed = forecast(schedule, recording, frame, 0, 1, reserve_share=reserve).card_needed_gb
    sizes = (8, 16, 32, 64, 128, 256, 512, 1000, 2000)
    lasts = {}
    for size in sizes:
        system = file_system_for(size * GB)
        usable = usable_bytes(size * GB, reserve)
        lasts[size] = forecast(schedule, recording, frame, usable, system.cluster_bytes, reserve_share=reserve).lasts
    assert needed == next((size for size in sizes if lasts[size]), None)


@settings(max_examples=100, deadline=None)
@given(st.data(), schedules(), recordings(), frames(), CLUSTERS)
def test_what_stands_on_the_card_at_an_instant(data, schedule, recording, frame, cluster_bytes):
    since, when = data.draw(instants(schedule)), data.draw(instants(schedule))
    use = used_at(schedule, recording, frame, cluster_bytes, when, used_bytes=77, since=since)
    events = [event for event in every_event(schedule, recording) if event[0] < exactly(when)]
    for size, used in ((frame.low, use.used_bytes.low), (frame.high, use.used_bytes.high)):
        _, written_frames, written = write_until_full(events, recording, size, cluster_bytes, 10**18, since)
        assert used == written + 77
        assert use.counts.frames == written_frames


def test_a_working_summer_by_hand():
    """65 weekdays of 600 frames; 2 MB take 62 FAT32 clusters: 2,031,616 bytes. All figures worked by hand."""
    frame = measured(2)
    usable = usable_bytes(32 * GB, NO_RESERVE)
    result = forecast(WORKDAYS, MINUTE, frame, usable, FAT32.cluster_bytes, reserve_share=NO_RESERVE)
    assert day_bytes(MINUTE, 36_000, frame, FAT32.cluster_bytes) == Estimate.exact(1_218_969_600)
    assert result.frames_on_card == Estimate.exact(15_593)  # 31.68e9 / 2,031,616 = 15,593.5
    # 25 whole days are 15,000 frames; file 15,594 comes on the 26th weekday, 593 minutes after eight
    assert result.full_at == Estimate.exact(datetime(2026, 7, 6, 17, 53))
    assert result.needed_bytes == Estimate.exact(79_233_024_000)
    # on exFAT 16 clusters of 128 KiB: 2,097,152 × 39,000 = 81.8 GB, more than a 64 GB card
    assert result.card_needed_gb == 128
    assert not result.lasts


def test_the_early_date_comes_from_the_big_frames():
    frame = frame_bytes(1920, 1080, PICTURES["standard"])
    usable = usable_bytes(16 * GB, NO_RESERVE)
    result = forecast(WORKDAYS, MINUTE, frame, usable, FAT32.cluster_bytes, reserve_share=NO_RESERVE)
    big = forecast(WORKDAYS, MINUTE, Estimate.exact(frame.high), usable, FAT32.cluster_bytes, reserve_share=NO_RESERVE)
    assert result.full_at.low == big.full_at.expected
    assert result.full_at.low < result.full_at.expected
    assert result.full_at.high is None  # the small frames fit
    assert not result.lasts


def test_the_card_needed_is_for_the_big_frames():
    """39,000 frames: 700 kB take 28.1 GB of FAT32 clusters, 1.7 MB take 66.5 GB of exFAT's."""
    wide = Estimate(500_000, 700_000, 1_700_000)
    for frame, needed_gb in ((wide, 128), (Estimate.exact(wide.expected), 32)):
        assert forecast(WORKDAYS, MINUTE, frame, 0, 1, reserve_share=NO_RESERVE).card_needed_gb == needed_gb


def test_an_overfull_card_is_full_at_the_next_file():
    args = (WORKDAYS, MINUTE, measured(2), 10**9, FAT32.cluster_bytes, 2 * 10**9)
    saturday = forecast(*args, since=datetime(2026, 6, 6, 12), reserve_share=NO_RESERVE)
    assert saturday.full_at == Estimate.exact(datetime(2026, 6, 8, 8))
    assert saturday.frames_on_card == Estimate.exact(0)


def test_nothing_recorded_never_fills_a_card():
    nothing = Recording(interval_s=None)
    result = forecast(
        WORKDAYS, nothing, measured(2), 10**9, FAT32.cluster_bytes, past_last=True, reserve_share=NO_RESERVE
    )
    assert result.full_at == Estimate.exact(None)
    assert result.lasts
    assert result.needed_bytes == Estimate.exact(0)


def test_no_bytes_in_the_bursts_and_no_frames():
    silent = Recording(Fraction(60), stills=False, burst_s=Fraction(3))
    result = forecast(WORKDAYS, silent, measured(1), 10**9, 1, reserve_share=NO_RESERVE)
    assert result.full_at == Estimate.exact(None)
    assert result.frames_on_card == Estimate.exact(1000)


def test_used_before_the_start_and_after_the_end():
    frame = measured(2)
    before = used_at(WORKDAYS, MINUTE, frame, 1, datetime(2026, 5, 1))
    after = used_at(WORKDAYS, MINUTE, frame, 1, datetime(2027, 5, 1))
    assert before.counts == Counts()
    assert after.counts == Counts(stills=39_000)
    assert after.used_bytes == Estimate.exact(78_000_000_000)
    assert used_at(WORKDAYS, MINUTE, frame, 1, datetime(2026, 8, 31, 8, 1), past_last=True).counts.stills == 39_001


@pytest.mark.parametrize("past_last", [False, True])
def test_ten_years_at_one_second_are_walked_day_by_day(past_last):
    """About a millisecond; file by file it would be 315 million steps."""
    decade = Schedule(date(2026, 1, 1), date(2035, 12, 31), DailyWindow(time(0), time(0)))
    every_second = Recording(Fraction(1), motion_frames_per_day=100)
    result = forecast(
        decade, every_second, measured(Fraction(1, 1000)), 10**11, 1, past_last=past_last, reserve_share=NO_RESERVE
    )
    assert result.needed_bytes.expected == 3_652 * (86_400 + 100) * 1000
    # 1,156 days of 86,500 kilobyte frames leave room for 6,000 more; the next is one too many
    one_day = sorted([*range(86_400), *((j + 0.5) * 864 for j in range(100))])
    assert result.full_at == Estimate.exact(datetime(2026, 1, 1) + timedelta(days=1_156, seconds=one_day[6_000]))
    assert result.card_needed_gb is None  # a kilobyte takes 128 KiB of exFAT: 41 TB


@settings(max_examples=100, deadline=None)
@given(st.data(), schedules(), recordings(), frames(), CLUSTERS, st.integers(0, 10**9))
def test_full_at_alone_is_the_forecasts(data, schedule, recording, frame, cluster_bytes, usable):
    since, used = data.draw(st.none() | instants(schedule)), data.draw(st.integers(0, 10**8))
    told = forecast(
        schedule, recording, frame, usable, cluster_bytes, used, since, past_last=False, reserve_share=NO_RESERVE
    ).full_at
    for size, at in ((frame.high, told.low), (frame.expected, told.expected), (frame.low, told.high)):
        assert card_forecast.full_at(schedule, recording, size, usable, cluster_bytes, used, since) == at
