"""Light and the daily window: laws by brute force, states, windows across midnight, stretches.

Brute force asks the altitude minute by minute, and so shares only ``altitude_deg`` with what it checks; that one is
held to DE421 in ``test_sun.py``.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.light.daylight import LONGEST_MARGIN_MIN, DayLight, LightRule, LightSpans, day_light, light_days
from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import altitude_deg
from webcalc.calc.light.window import ShootLight, best_window, shoot_light
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.schedule.zone import camera_offset, camera_to_utc, load_zone

DAY, MINUTE = timedelta(1), timedelta(minutes=1)
LONDON = Site(51.5, -0.13, "Europe/London")
REYKJAVIK = Site(64.15, -21.94, "Atlantic/Reykjavik")
LONGYEARBYEN = Site(78.22, 15.65, "Arctic/Longyearbyen")
KIRITIMATI = Site(1.87, -157.4, "Pacific/Kiritimati")
MC_MURDO = Site(-77.85, 166.67, "Antarctica/McMurdo")
SITES = [LONDON, REYKJAVIK, LONGYEARBYEN, KIRITIMATI, MC_MURDO, Site(-33.87, 151.21, "Australia/Sydney")]
MINUTELY = Recording(Fraction(60))
#: Nearer than this to the threshold brute force doesn't decide (an event lies within the same second).
EDGE_DEG = 0.001


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)


def hours(start: int, end: int) -> DailyWindow:
    return DailyWindow(time(start), time(end))


def light_of(site: Site, schedule: Schedule, rule: LightRule = LightRule.sun(), **more) -> ShootLight:  # noqa: B008
    zone = load_zone(site.zone_key)
    found = shoot_light(
        schedule, site, zone, rule, lambda _day: camera_offset(zone, schedule.starts_at), MINUTELY, **more
    )
    assert found is not None
    return found


def is_light(site: Site, at: datetime, rule: LightRule) -> bool | None:
    """Ask the altitude; with a margin, every minute around. None where it is too near to call."""
    heights = [
        altitude_deg(site, at + n * MINUTE) - rule.threshold_deg for n in range(-rule.margin_min, rule.margin_min + 1)
    ]
    if all(height > EDGE_DEG for height in heights):
        return True
    return False if any(height < -EDGE_DEG for height in heights) else None


shoots = st.builds(
    lambda first, days, start, end, weekdays: Schedule(
        first, first + (days - 1) * DAY, DailyWindow(start, end), frozenset(weekdays)
    ),
    st.dates(date(2026, 1, 1), date(2029, 12, 31)),
    st.integers(7, 20),
    st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    st.sets(st.integers(1, 7), min_size=1),
)
rules = st.sampled_from([LightRule.sun(), LightRule.civil(), LightRule.inside(10), LightRule.inside(45)])
sites = st.sampled_from(SITES)


def light_s(day: DayLight) -> float:
    return sum((end - start).total_seconds() for start, end in day.light)


@settings(max_examples=40, deadline=None)
@given(sites, shoots, rules)
def test_laws_of_a_shoot(site: Site, schedule: Schedule, rule: LightRule) -> None:
    light = light_of(site, schedule, rule)
    assert 0 <= light.time_share <= 1
    assert light.frame_share is not None and 0 <= light.frame_share <= 1
    assert light.light_share == light.frame_share
    assert light.frames == len(light.days) * MINUTELY.stills_in(schedule.window.length_s)
    # One frame a minute: each span of light holds its minutes, give or take one.
    for day in light.days:
        assert abs(day.light_frames - day.window_light_s / 60) <= max(1, len(day.light))
        assert day.window_light_s <= schedule.window.length_s
        edges = ((day.begins_dark, day.start_utc), (day.ends_dark, day.end_utc - timedelta(seconds=1)))
        for dark, at in edges:
            assert is_light(site, at, rule) in (not dark, None) or rule.margin_min
        assert (day.date in light.begin_dark) == day.begins_dark
        assert (day.date in light.end_dark) == day.ends_dark
    least = min(day.window_light_s for day in light.days)
    assert light.worst_day.window_light_s == least


@settings(max_examples=25, deadline=None)
@given(sites, shoots, rules, st.randoms(use_true_random=False))
def test_frames_in_the_light_are_counted_one_by_one(site: Site, schedule: Schedule, rule: LightRule, random) -> None:
    day = random.choice(light_of(site, schedule, rule).days)
    answers = [is_light(site, day.start_utc + n * MINUTE, rule) for n in range(day.frames)]
    unsure = answers.count(None)
    # With a margin brute force sees a night that is shorter than a minute only by chance.
    assert answers.count(True) - len(day.light) * bool(rule.margin_min) <= day.light_frames
    assert day.light_frames <= answers.count(True) + unsure + 2 * len(day.light) * bool(rule.margin_min)


@settings(max_examples=15, deadline=None)
@given(sites, shoots, st.sampled_from([LightRule.sun(), LightRule.civil(), LightRule.inside(20)]))
def test_always_light_is_light_and_cannot_be_longer(site: Site, schedule: Schedule, rule: LightRule) -> None:
    light = light_of(site, schedule, rule)
    offset = camera_offset(load_zone(site.zone_key), schedule.starts_at)
    window = light.always_light

    def all_light(start_s: int, length_s: int) -> bool:
        for day in schedule.recorded_dates:
            start = camera_to_utc(datetime.combine(day, time.min) + timedelta(seconds=start_s), offset)
            if any(is_light(site, start + n * MINUTE, rule) is False for n in range(length_s // 60 + 1)):
                return False
        return True

    if window is None:
        assert not any(all_light(start_s, 120) for start_s in range(0, 86_400, 1800))
        return
    assert all_light(window.start_s, window.length_s)
    if window.length_s < 86_400:
        longer = window.length_s + 120
        # Neither this window moved a little, nor one anywhere else, can be two minutes longer.
        starts = [*range(0, 86_400, 3600), *(window.start_s + 60 * n for n in (-3, -2, -1, 0, 1))]
        assert not any(all_light(start_s, longer) for start_s in starts)
    assert best_window(schedule.recorded_dates, site, load_zone(site.zone_key), rule, offset) == window


def test_summer_and_winter_window_in_london() -> None:
    # Sunrise and sunset computed with skyfield 1.55 and JPL DE421: 21 June 03:43:09 and 20:21:31 UTC.
    june = light_of(LONDON, Schedule(date(2026, 6, 21), date(2026, 6, 21), hours(7, 19)))
    assert june.light_share == june.time_share == 1
    assert june.begin_dark == june.end_dark == ()
    # The camera clock is on summer time: 04:43:09 to 21:21:31, to whole minutes inward.
    assert june.always_light == DailyWindow(time(4, 44), time(21, 21))
    december = light_of(LONDON, Schedule(date(2026, 12, 21), date(2026, 12, 21), hours(7, 19)))
    assert december.begin_dark == december.end_dark == (date(2026, 12, 21),)
    # Shortest day in London: 7 h 50 min (Royal Observatory's almanac, from memory).
    assert december.worst_day.window_light_s == pytest.approx(7 * 3600 + 50 * 60, abs=60)


def test_margin_takes_off_at_both_ends() -> None:
    zone, day = load_zone("Europe/London"), date(2026, 6, 21)
    ((start, end),) = day_light(LONDON, zone, day, LightRule.sun()).light
    assert day_light(LONDON, zone, day, LightRule.inside(30)).light == ((start + 30 * MINUTE, end - 30 * MINUTE),)
    assert day_light(LONDON, zone, date(2026, 12, 21), LightRule.inside(300)).light == ()


def test_margin_reaches_across_midnight() -> None:
    # Reykjavik, 21 June 2026: the sun sets at 00:03:51 and rises at 02:55:06 (skyfield 1.55, JPL DE421).
    day = day_light(REYKJAVIK, load_zone("Atlantic/Reykjavik"), date(2026, 6, 21), LightRule.inside(10))
    assert len(day.sunsets) == len(day.sunrises) == 1
    # Ten minutes before that sunset was the evening before, so the date begins dark. The next sunset is at
    # about 00:04 on the 22nd, so the light of the 21st ends ten minutes earlier, before midnight.
    ((start, end),) = day.light
    assert abs(start - utc(2026, 6, 21, 3, 5, 6)) < timedelta(seconds=10)
    assert utc(2026, 6, 21, 23, 53) < end < utc(2026, 6, 21, 23, 55)


def test_margin_takes_nothing_off_a_polar_day() -> None:
    zone, schedule = load_zone(LONGYEARBYEN.zone_key), Schedule(date(2026, 6, 1), date(2026, 6, 10), hours(0, 0))
    assert light_s(day_light(LONGYEARBYEN, zone, date(2026, 6, 5), LightRule.inside(LONGEST_MARGIN_MIN))) == 86_400
    light = light_of(LONGYEARBYEN, schedule, LightRule.inside(60))
    assert light.light_share == 1
    assert light.always_light == hours(0, 0)
    assert light.always_light.length_s == 86_400


@pytest.mark.parametrize("margin_min", [-1, 721])
def test_margin_out_of_range_is_refused(margin_min: int) -> None:
    with pytest.raises(ValueError, match="margin"):
        LightRule.inside(margin_min)


@pytest.mark.parametrize(
    ("site", "day", "state"),
    [
        (LONGYEARBYEN, date(2026, 12, 21), "polar_night"),
        (LONGYEARBYEN, date(2026, 6, 21), "polar_day"),
        (MC_MURDO, date(2026, 12, 21), "polar_day"),
        (MC_MURDO, date(2026, 6, 21), "polar_night"),
        (LONDON, date(2026, 6, 21), "normal"),
    ],
)
def test_states(site: Site, day: date, state: str) -> None:
    found = day_light(site, load_zone(site.zone_key), day, LightRule.sun())
    assert found.state == state
    assert bool(found.light) == (state != "polar_night")


def test_state_is_that_of_the_sun_whatever_the_rule() -> None:
    # Tromsø in December: the sun stays down, yet there is civil twilight around noon (common knowledge).
    tromso, zone = Site(69.65, 18.96), load_zone("Europe/Oslo")
    civil = day_light(tromso, zone, date(2026, 12, 21), LightRule.civil())
    assert civil.state == "polar_night"
    assert 3 * 3600 < light_s(civil) < 6 * 3600
    assert day_light(tromso, zone, date(2026, 12, 21), LightRule.sun()).light == ()


def test_polar_night_has_no_light_window() -> None:
    light = light_of(LONGYEARBYEN, Schedule(date(2026, 12, 1), date(2026, 12, 10), hours(8, 16)))
    assert light.always_light is None
    assert light.light_share == light.time_share == 0
    assert len(light.begin_dark) == len(light.end_dark) == 10
    assert light.worst_day.date == date(2026, 12, 1)


def test_window_across_midnight_belongs_to_its_first_date() -> None:
    light = light_of(LONDON, Schedule(date(2026, 6, 20), date(2026, 6, 21), hours(20, 6)))
    assert [day.date for day in light.days] == [date(2026, 6, 20), date(2026, 6, 21)]
    for day in light.days:
        # Summer time: 20:00 to sunset, and sunrise to 06:00 on the next date.
        (evening, morning) = day.light
        assert evening[0] == day.start_utc and morning[1] == day.end_utc
        assert evening[1].date() == day.date and morning[0].date() == day.date + DAY
    assert light.begin_dark == light.end_dark == ()
    night = light_of(LONDON, Schedule(date(2026, 6, 20), date(2026, 6, 21), hours(23, 3)))
    assert night.light_share == 0 and night.always_light is not None


def test_always_light_may_cross_midnight() -> None:
    # At 64° N in June only the short night, from 00:0x to 02:5x, is dark.
    window = light_of(REYKJAVIK, Schedule(date(2026, 6, 19), date(2026, 6, 22), hours(8, 18))).always_light
    assert window is not None
    assert window.start == time(2, 56) and window.end == time(0, 3)
    # And everywhere, if the camera's clock is far from the sun's.
    zone = load_zone(LONDON.zone_key)
    found = best_window([date(2026, 6, 21)], LONDON, zone, LightRule.sun(), timedelta(hours=12))
    assert found == DailyWindow(time(15, 44), time(8, 21))


def test_summer_time_change_moves_the_window_against_the_light() -> None:
    # The camera keeps winter time: its window is one hour later by the wall clock, and not by the sun.
    schedule = Schedule(date(2026, 3, 28), date(2026, 3, 29), hours(6, 18))
    before, after = light_of(LONDON, schedule).days
    assert after.start_utc - before.start_utc == DAY
    assert abs(after.window_light_s - before.window_light_s) < 240


def test_only_recorded_dates_count() -> None:
    # Mondays. The solstice is on 21 December 2026 at 20:50 UTC, and that Monday is left out: the next is the nearest.
    left_out = frozenset({date(2026, 12, 21)})
    light = light_of(LONDON, Schedule(date(2026, 12, 14), date(2027, 1, 11), hours(7, 19), frozenset({1}), left_out))
    assert [day.date for day in light.days] == [
        date(2026, 12, 14),
        date(2026, 12, 28),
        date(2027, 1, 4),
        date(2027, 1, 11),
    ]
    assert light.worst_day.date == date(2026, 12, 28)


def test_nothing_recorded() -> None:
    schedule = Schedule(date(2026, 12, 14), date(2026, 12, 15), hours(7, 19), frozenset({7}))
    zone = load_zone(LONDON.zone_key)
    assert shoot_light(schedule, LONDON, zone, LightRule.sun(), lambda _day: timedelta(0), MINUTELY) is None
    assert best_window([], LONDON, zone, LightRule.sun(), timedelta(0)) is None


@pytest.mark.parametrize("recording", [None, Recording(None), Recording(Fraction(60), stills=False)])
def test_without_stills_only_time_is_counted(recording: Recording | None) -> None:
    zone, schedule = load_zone(LONDON.zone_key), Schedule(date(2026, 3, 20), date(2026, 3, 20), hours(0, 0))
    light = shoot_light(schedule, LONDON, zone, LightRule.sun(), lambda _day: timedelta(0), recording)
    assert light is not None
    assert light.frames is light.light_frames is light.frame_share is None
    # Near the equinox the day is a little over twelve hours.
    assert light.light_share == light.time_share == pytest.approx(0.5, abs=0.01)


def test_long_intervals_count_frames_not_time() -> None:
    # Every six hours from midnight: of 0, 6, 12 and 18 h only 12 h is light in December.
    zone, schedule = load_zone(LONDON.zone_key), Schedule(date(2026, 12, 1), date(2026, 12, 10), hours(0, 0))
    light = shoot_light(schedule, LONDON, zone, LightRule.sun(), lambda _day: timedelta(0), Recording(Fraction(21_600)))
    assert light is not None
    assert (light.frames, light.light_frames, light.frame_share) == (40, 10, 0.25)
    assert light.time_share == pytest.approx(1 / 3, abs=0.02)


def test_best_window_of_a_stretch_is_never_shorter_than_that_of_the_whole() -> None:
    zone = load_zone(LONDON.zone_key)
    schedule = Schedule(date(2026, 1, 1), date(2026, 12, 31), hours(7, 19))
    whole = best_window(schedule.recorded_dates, LONDON, zone, LightRule.sun(), timedelta(0))
    assert whole is not None
    for first in range(0, 365, 30):
        stretch = schedule.recorded_dates[first : first + 30]
        part = best_window(stretch, LONDON, zone, LightRule.sun(), timedelta(0))
        assert part is not None and part.length_s >= whole.length_s
        light = shoot_light(schedule, LONDON, zone, LightRule.sun(), lambda _day: timedelta(0), MINUTELY, stretch)
        assert light is not None and light.always_light == part
        assert tuple(day.date for day in light.days) == stretch


def test_light_days_join_to_the_spans() -> None:
    zone, first, last = load_zone(REYKJAVIK.zone_key), date(2026, 6, 1), date(2026, 7, 1)
    rule = LightRule.inside(15)
    days = light_days(REYKJAVIK, zone, first, last, rule)
    spans = LightSpans(REYKJAVIK, zone, rule, first, last)
    whole = spans.within(*spans.bounds)
    assert [day.date for day in days] == [first + n * DAY for n in range(31)]
    assert sum(light_s(day) for day in days) == pytest.approx(sum((b - a).total_seconds() for a, b in whole))
    assert days[20] == day_light(REYKJAVIK, zone, date(2026, 6, 21), rule)
