"""The camera's bearing: from coordinates against the ellipsoid (skyfield), and turns away from the sun."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from skyfield.api import load, wgs84

from webcalc.calc.light.place import Site
from webcalc.calc.optics.bearing import SHARE_LEFT, bearing_deg, turned, turns
from webcalc.calc.optics.sun_in_frame import Camera, Shots, sun_in_frame
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

LONDON = Site(51.5074, -0.1278)
#: At most 40 days: every candidate is exact.
SPRING = Shots(
    LONDON,
    Schedule(date(2026, 3, 1), date(2026, 4, 9), DailyWindow(time(7), time(19))),
    timedelta(0),
    Fraction(60),
)
TIMESCALE = load.timescale(builtin=True)


def difference_deg(one: float, other: float) -> float:
    return abs((one - other + 180) % 360 - 180)


@pytest.mark.parametrize(
    ("start", "end", "bearing"),
    [
        (Site(0, 0), Site(10, 0), 0),
        (Site(0, 0), Site(0, 10), 90),
        (Site(0, 0), Site(-10, 0), 180),
        (Site(0, 0), Site(0, -10), 270),
        (Site(0, 179), Site(0, -179), 90),
        # Along a parallel a great circle starts poleward: by symmetry atan2(sin 90°, -sin 35° · cos 35° …) = 60.16°.
        (Site(35, 45), Site(35, 135), 60.16),
        (Site(50, 0), Site(90, 0), 0),
    ],
)
def test_bearings_known_by_geometry(start: Site, end: Site, bearing: float) -> None:
    found = bearing_deg(start, end)
    assert found is not None
    assert difference_deg(found, bearing) < 0.01


def test_no_bearing_to_the_same_place() -> None:
    assert bearing_deg(LONDON, LONDON) is None


@settings(deadline=None)
@given(st.floats(-70, 70), st.floats(-180, 180), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2))
def test_landmarks_on_the_ellipsoid(latitude: float, longitude: float, north: float, east: float) -> None:
    """Landmarks to 20 km: the azimuth of the straight line between the points of WGS 84, by skyfield."""
    if max(abs(north), abs(east)) < 0.001:
        north = 0.001
    end_longitude = (longitude + east + 180) % 360 - 180
    found = bearing_deg(Site(latitude, longitude), Site(latitude + north, end_longitude))
    ends = (wgs84.latlon(latitude, longitude), wgs84.latlon(latitude + north, end_longitude))
    _, azimuth, _ = (ends[1] - ends[0]).at(TIMESCALE.utc(2026, 6, 21)).altaz()
    assert found is not None
    assert difference_deg(found, azimuth.degrees) < 0.2


def test_turned_the_short_way_round_north() -> None:
    assert turned(Camera(350, 5, 60, 36), 20).bearing_deg == 10
    assert turned(Camera(10, 5, 60, 36), -20).bearing_deg == 350


@pytest.mark.parametrize(
    ("site", "offset_h", "camera"),
    [
        (LONDON, 0, Camera(225, 5, 60, 36)),
        (LONDON, 0, Camera(90, -10, 40, 25)),
        (Site(-33.87, 151.21), 10, Camera(300, 20, 90, 60)),
        (Site(1.3, 103.8), 8, Camera(80, 0, 60, 36)),
        (Site(69.6, 18.9), 1, Camera(350, 0, 60, 36)),
        (LONDON, 0, Camera(180, 30, 60, 36, roll_deg=90)),
    ],
)
def test_estimates_of_a_year_come_near(site: Site, offset_h: int, camera: Camera) -> None:
    """Estimated from looks on up to 40 days: off by a tenth of what is touched or 0.3 % of all frames at most."""
    window = DailyWindow(time(7), time(19))
    schedule = Schedule(date(2026, 1, 1), date(2026, 12, 31), window)
    year = Shots(site, schedule, timedelta(hours=offset_h), Fraction(300))
    found = turns(camera, year)
    assert 30 < found.days_judged <= 40
    found_at = {change_deg: turns(turned(camera, change_deg), year).frames_now for change_deg in (-180, -90, 0, 90)}
    found_at |= {turn.change_deg: turn.frames_touched_about for turn in found.small[::5]}
    touched = 0
    for change_deg, about in found_at.items():
        exact = sun_in_frame(turned(camera, change_deg), year).frames_touched
        assert exact is not None
        assert about == pytest.approx(exact, rel=0.1, abs=0.003 * 365 * 144)
        touched += exact
    assert touched > 1000


def test_estimated_turns_leave_about_the_share() -> None:
    camera = Camera(225, 5, 60, 36)
    schedule = Schedule(date(2026, 1, 1), date(2026, 12, 31), DailyWindow(time(7), time(19)))
    year = Shots(LONDON, schedule, timedelta(0), Fraction(300))
    found = turns(camera, year)
    now = sun_in_frame(camera, year).frames_touched
    assert now is not None and found.frames_now == pytest.approx(now, rel=0.04)
    assert found.left is not None and found.right is not None
    assert found.left.change_deg < 0 < found.right.change_deg
    for turn in (found.left, found.right):
        assert turn.frames_touched_about <= SHARE_LEFT * found.frames_now
        # A degree less and too much is left.
        nearer = turns(turned(camera, turn.change_deg - (1 if turn.change_deg > 0 else -1)), year).frames_now
        assert nearer > SHARE_LEFT * found.frames_now
        there = sun_in_frame(turned(camera, turn.change_deg), year).frames_touched
        assert there == pytest.approx(SHARE_LEFT * now, rel=0.15)


def test_nothing_to_avoid() -> None:
    found = turns(Camera(0, -30, 40, 25), SPRING)
    assert (found.frames_now, found.left, found.right) == (0, None, None)


def test_no_turn_helps_a_camera_that_looks_straight_up() -> None:
    noon = Schedule(date(2026, 6, 1), date(2026, 6, 10), DailyWindow(time(11), time(13)))
    found = turns(Camera(0, 90, 120, 120), Shots(LONDON, noon, timedelta(0), Fraction(60)))
    assert found.frames_now == 10 * 120
    assert found.left is found.right is None


def test_no_count_without_an_interval() -> None:
    with pytest.raises(ValueError, match="without an interval"):
        turns(Camera(90, 0, 60, 36), Shots(LONDON, SPRING.schedule, timedelta(0)))


def test_spring_has_forty_days() -> None:
    assert SPRING.schedule.recorded_days == 40
    assert SPRING.utc_start(date(2026, 3, 1)).replace(tzinfo=None) == datetime(2026, 3, 1, 7)
