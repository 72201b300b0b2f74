"""The sun in the picture: stored single cases, and whole years against JPL DE421 (live, through skyfield).

The yearly comparison shares nothing with the code it checks: positions come from DE421 with skyfield's own refraction,
and a disc counts as touching the picture when its middle or one of many points on its rim projects into it, or a corner
of the picture lies in the disc. Stored cases are in ``data/optics_sun.json``; their pixel positions were computed with
OpenCV's projectPoints.
"""

from __future__ import annotations

import json
import math
import re
import time as clock
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from ephemeris import BODIES, TIMESCALE
from hypothesis import given, settings
from hypothesis import strategies as st
from skyfield.api import wgs84
from skyfield.earthlib import refract

from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import altitude_deg, azimuth_deg, crossings
from webcalc.calc.optics.sun_in_frame import (
    SUN_DIAMETER_DEG,
    Camera,
    Shots,
    backlit,
    direction,
    front_lit,
    sun_direction,
    sun_in_frame,
)
from webcalc.calc.optics.view import focal_px, view_from_hfov
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "optics_sun.json").read_text())["checks"]

LONDON = Site(51.5074, -0.1278)
WIDE = view_from_hfov(60, 1920, 1080)
YEAR = (date(2026, 1, 1), date(2026, 12, 31))


def having(pattern: str, least: int) -> Any:
    found = [check for check in CHECKS if re.match(pattern, check["id"])]
    assert len(found) >= least, pattern
    return pytest.mark.parametrize("check", found, ids=lambda check: check["id"])


def camera_of(inputs: dict) -> Camera:
    vfov = inputs["vfov"]
    return Camera(inputs["bearing"], inputs["tilt"], inputs["hfov"], vfov, inputs.get("roll", 0))


def shots(
    site: Site,
    window: DailyWindow,
    offset_h: float,
    interval_s: int | None,
    days: tuple[date, date] = YEAR,
    weekdays: frozenset[int] = ALL_WEEKDAYS,
) -> Shots:
    interval = None if interval_s is None else Fraction(interval_s)
    return Shots(site, Schedule(*days, window, weekdays), timedelta(hours=offset_h), interval)


def apart_deg(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    """Return the angle between two unit vectors, well-conditioned near 0."""
    return math.degrees(2 * math.asin(min(1.0, math.dist(one, other) / 2)))


@having("frame_|real_", 15)
def test_stored_directions(check: dict) -> None:
    inputs, expected = check["inputs"], check["expected"]
    camera, towards = camera_of(inputs), direction(inputs["sun_az"], inputs["sun_alt"])
    assert (camera.inside_deg(towards) >= 0) is expected["in_frame"]
    # Azimuths and altitudes are stored to 0.0001 degrees; the separation 0 is compared as such.
    assert camera.off_axis_deg(towards) == pytest.approx(expected["sep"], abs=0.001)
    # Where the row has the sun in the picture, from -1 to 1 within it.
    height_px = 1920 * math.tan(math.radians(camera.vfov_deg / 2)) / math.tan(math.radians(camera.hfov_deg / 2))
    point = expected["u"] / 960 - 1, 1 - expected["v"] * 2 / height_px
    # The stored margin is that to the nearest edge's plane: the same as ours, except beyond a corner.
    past_a_corner = max(abs(point[0]), abs(point[1])) > 1 < min(abs(point[0]), abs(point[1]))
    assert camera.inside_deg(towards) <= expected["margin"] + 0.01
    assert past_a_corner or camera.inside_deg(towards) == pytest.approx(expected["margin"], abs=0.01)


def test_portrait_is_a_roll_of_90_degrees() -> None:
    upright, rolled = (camera_of(check["inputs"]) for check in CHECKS if check["id"].startswith("frame_portrait"))
    for azimuth in range(0, 360, 7):
        for altitude in range(-20, 90, 7):
            towards = direction(azimuth, altitude)
            assert upright.inside_deg(towards) == pytest.approx(rolled.inside_deg(towards), abs=1e-4)


def border_of(camera: Camera, points: int = 400) -> np.ndarray:
    """Return unit vectors along the picture's border, made from the handed-down tangents only."""
    across, along = (math.tan(math.radians(angle / 2)) for angle in (camera.hfov_deg, camera.vfov_deg))
    steps = np.linspace(-1, 1, points)
    ones = np.ones(points)
    flat = np.concatenate(
        [np.stack(pair) for pair in ((steps, ones), (steps, -ones), (ones, steps), (-ones, steps))], axis=1
    )
    right, up, forward = (np.array(axis) for axis in camera.axes)
    rays = forward + np.outer(flat[0] * across, right) + np.outer(flat[1] * along, up)
    return rays / np.linalg.norm(rays, axis=1)[:, None]


@settings(deadline=None)
@given(
    st.floats(0, 360),
    st.floats(-90, 90),
    st.floats(5, 120),
    st.floats(5, 120),
    st.floats(-180, 180),
    st.floats(0, 360),
    st.floats(-90, 90),
)
def test_distance_to_the_border_is_the_nearest_sampled_point(
    bearing: float, tilt: float, hfov: float, vfov: float, roll: float, azimuth: float, altitude: float
) -> None:
    camera = Camera(bearing, tilt, hfov, vfov, roll)
    towards = direction(azimuth, altitude)
    nearest_deg = float(np.degrees(np.arccos(np.clip((border_of(camera) @ np.array(towards)).max(), -1, 1))))
    found_deg = camera.inside_deg(towards)
    # Sampled points are up to 0.3 degrees apart, so the nearest one is a little farther than the border.
    assert -0.001 <= nearest_deg - abs(found_deg) <= 0.32
    right, up, forward = (sum(a * b for a, b in zip(axis, towards, strict=True)) for axis in camera.axes)
    across, along = (forward * math.tan(math.radians(angle / 2)) for angle in (hfov, vfov))
    inside = forward > 0 and abs(right) <= across and abs(up) <= along
    assert (found_deg >= 0) is inside or abs(found_deg) < 1e-6


@having("sunpos_", 14)
def test_stored_positions(check: dict) -> None:
    """Skyfield, NREL's SPA (pvlib) and astral itself; low sun included. Refraction is for sea level and 10 °C."""
    inputs = check["inputs"]
    # One place lies at 1,830 m, where the air is thinner.
    refraction_tolerance = 0.006 if inputs.get("elev_m") == 1830.14 else 0.0
    site, utc = Site(inputs["lat"], inputs["lon"]), datetime.fromisoformat(inputs["utc"])
    azimuth, airless, refracted = check["expected"]
    assert azimuth_deg(site, utc) == pytest.approx(azimuth, abs=check["tol"] + 0.005)
    assert altitude_deg(site, utc) == pytest.approx(airless, abs=check["tol"] + 0.005)
    assert altitude_deg(site, utc, refracted=True) == pytest.approx(
        refracted, abs=check["tol"] + 0.008 + refraction_tolerance
    )


@having("nrel_spa_published", 1)
def test_published_position(check: dict) -> None:
    """Reda & Andreas, NREL/TP-560-34302, Table A5.1."""
    inputs = check["inputs"]
    site, local = Site(inputs["lat"], inputs["lon"]), datetime.fromisoformat(inputs["local"])
    zenith, azimuth = check["expected"]
    published = direction(azimuth, 90 - zenith)
    assert apart_deg(sun_direction(site, local.astimezone(UTC)), published) < 0.01


@having("sun_diameter", 1)
def test_sun_diameter(check: dict) -> None:
    assert pytest.approx(check["expected"][0], abs=check["tol"]) == SUN_DIAMETER_DEG


@having("sun_px_", 2)
def test_size_of_the_sun_in_the_picture(check: dict) -> None:
    """The disc in the middle of the frame, through a pinhole."""
    focal = focal_px(check["inputs"]["px"], check["inputs"]["hfov"])
    assert 2 * focal * math.tan(math.radians(SUN_DIAMETER_DEG / 2)) == pytest.approx(
        check["expected"], abs=check["tol"]
    )


class Ephemeris:
    """JPL DE421 at a place: unit vectors to the sun (with refraction at 10 °C, 1010 mbar) and airless altitudes."""

    def __init__(self, site: Site) -> None:
        self.observer = BODIES["earth"] + wgs84.latlon(site.latitude_deg, site.longitude_deg)

    def at(self, instants: list[datetime]) -> tuple[np.ndarray, np.ndarray]:
        times = TIMESCALE.from_datetimes(instants)
        apparent = self.observer.at(times).observe(BODIES["sun"]).apparent()
        airless = apparent.altaz()[0].degrees
        altitude, azimuth, _ = apparent.altaz(temperature_C=10, pressure_mbar=1010)
        east, north = np.sin(azimuth.radians), np.cos(azimuth.radians)
        level = np.cos(altitude.radians)
        return np.stack([east * level, north * level, np.sin(altitude.radians)], axis=1), airless


def disc_touches(camera: Camera, sun: np.ndarray, radius_deg: float, rim_points: int = 90) -> np.ndarray:
    """Return for each direction whether the disc's middle or a point of its rim projects into the picture."""
    bearing, tilt, roll = (math.radians(angle) for angle in (camera.bearing_deg, camera.tilt_deg, camera.roll_deg))
    forward = np.array([math.sin(bearing) * math.cos(tilt), math.cos(bearing) * math.cos(tilt), math.sin(tilt)])
    right = np.array([math.cos(bearing), -math.sin(bearing), 0])
    up = np.cross(right, forward)
    right, up = right * math.cos(roll) - up * math.sin(roll), right * math.sin(roll) + up * math.cos(roll)
    across, along = (math.tan(math.radians(angle / 2)) for angle in (camera.hfov_deg, camera.vfov_deg))
    sideways = np.cross(sun, [0, 0, 1.0])
    sideways /= np.linalg.norm(sideways, axis=1)[:, None]
    upwards = np.cross(sideways, sun)
    touched = np.zeros(len(sun), dtype=bool)
    radius = math.radians(radius_deg)
    for turn in [None, *np.linspace(0, math.tau, rim_points, endpoint=False)]:
        point = sun
        if turn is not None:
            point = sun * math.cos(radius) + math.sin(radius) * (sideways * math.cos(turn) + upwards * math.sin(turn))
        ahead = point @ forward
        with np.errstate(divide="ignore", invalid="ignore"):
            touched |= (ahead > 0) & (abs(point @ right) <= ahead * across) & (abs(point @ up) <= ahead * along)
    for corner in (forward + a * across * right + b * along * up for a in (-1, 1) for b in (-1, 1)):
        touched |= sun @ (corner / np.linalg.norm(corner)) >= math.cos(radius)
    return touched


#: Every Wednesday of a year: the ephemeris takes nearly all of the time, and every day of it agreed as well.
SOME_WEEKDAYS = frozenset({3})

YEARS = {
    # Europe, looking south-west a little up; frames every five minutes.
    "London": (LONDON, Camera(225, 5, WIDE.hfov_deg, WIDE.vfov_deg), DailyWindow(time(7), time(19)), 0, 300),
    # Australia, looking north-west, rolled; a clock ahead of UTC.
    "Sydney": (Site(-33.8688, 151.2093), Camera(300, -10, 90, 58.7155, 5), DailyWindow(time(6), time(20)), 10, 300),
    # North America, looking east into the sunrise through a long lens.
    "Denver": (Site(39.7392, -104.9903), Camera(90, 3, 30, 17.1424), DailyWindow(time(5), time(12)), -7, 180),
    # Africa, near the equator, looking up; all day and night.
    "Nairobi": (Site(-1.2921, 36.8219), Camera(20, 60, 75, 46), DailyWindow(time(0), time(0)), 3, 600),
}


@cache
def year_of_ephemeris(name: str) -> tuple[list[tuple[date, int]], np.ndarray, np.ndarray]:
    """Return every frame of a year (date, number), where the sun is and its airless altitude."""
    site, _, window, offset_h, interval_s = YEARS[name]
    shoot = shots(site, window, offset_h, interval_s, weekdays=SOME_WEEKDAYS)
    keys = [(day, n) for day in shoot.schedule.recorded_dates for n in range(math.ceil(window.length_s / interval_s))]
    instants = [
        datetime.combine(day, window.start, UTC) - timedelta(hours=offset_h) + timedelta(seconds=n * interval_s)
        for day, n in keys
    ]
    return keys, *Ephemeris(site).at(instants)


def frames_of(spells: Any, window: DailyWindow, interval_s: int) -> set[tuple[date, int]]:
    found = set()
    for spell in spells.spells:
        start = datetime.combine(spell.day, window.start)
        first, last = ((instant - start).total_seconds() / interval_s for instant in (spell.start, spell.end))
        frames = range(math.ceil(first), math.ceil(last))
        assert len(frames) == spell.frames
        found |= {(spell.day, n) for n in frames}
    return found


@pytest.mark.parametrize("margin_deg", [0, 8])
@pytest.mark.parametrize("name", YEARS)
def test_frames_touched_in_a_year(name: str, margin_deg: float, record_property: Any) -> None:
    """Frame by frame: the few that differ lie within seconds of an entry or exit."""
    site, camera, window, offset_h, interval_s = YEARS[name]
    keys, sun, airless = year_of_ephemeris(name)
    touched = disc_touches(camera, sun, 0.533 / 2 + margin_deg) & (airless >= -0.8333)
    truth = {key for key, touches in zip(keys, touched, strict=True) if touches}
    found = sun_in_frame(camera, shots(site, window, offset_h, interval_s, weekdays=SOME_WEEKDAYS), margin_deg)
    ours = frames_of(found, window, interval_s)
    differing = truth ^ ours
    record_property("frames", (len(truth), len(ours), len(differing)))
    assert (found.frames_touched, found.frames_total) == (len(ours), len(keys))
    assert len(truth) > 200
    assert len(differing) <= max(4, 0.002 * len(truth))
    # Whatever differs is at the border of the picture or of the day.
    place = {key: n for n, key in enumerate(keys)}
    for key in differing:
        n = place[key]
        slack = camera.inside_deg(tuple(sun[n])) + 0.533 / 2 + margin_deg
        assert abs(slack) < 0.03 or abs(airless[n] + 0.8333) < 0.03


@pytest.mark.parametrize("name", YEARS)
def test_lit_from_behind_and_from_the_front_in_a_year(name: str) -> None:
    site, camera, window, offset_h, interval_s = YEARS[name]
    _, sun, airless = year_of_ephemeris(name)
    tilt, bearing = math.radians(camera.tilt_deg), math.radians(camera.bearing_deg)
    axis = [math.sin(bearing) * math.cos(tilt), math.cos(bearing) * math.cos(tilt), math.sin(tilt)]
    shoot = shots(site, window, offset_h, interval_s, weekdays=SOME_WEEKDAYS)
    for find, towards in ((backlit, sun @ axis), (front_lit, -(sun @ axis))):
        truth = int(((towards >= 0.5) & (airless >= -0.8333)).sum())
        found = find(camera, shoot)
        assert found.frames_touched == pytest.approx(truth, abs=max(4, 0.001 * truth))
        # Each stretch holds a frame more or less than its length says.
        assert abs(found.total_s - truth * interval_s) <= interval_s * (len(found.spells) + 4)


def test_positions_agree_with_de421(record_property: Any) -> None:
    """Every 35 h 13 min of two years at seven latitudes, wherever the sun is up: within 0.02 degrees of sky."""
    worst = 0.0
    instants = [datetime(2026, 1, 1, tzinfo=UTC) + n * timedelta(hours=35, minutes=13) for n in range(498)]
    for latitude in (-54.8, -33.9, -0.2, 19.4, 40.7, 51.5, 64.1):
        site = Site(latitude, 25.0)
        sun, airless = Ephemeris(site).at(instants)
        for instant, truth, altitude in zip(instants, sun, airless, strict=True):
            if altitude > 0:
                worst = max(worst, apart_deg(sun_direction(site, instant), tuple(truth)))
    record_property("worst_deg", worst)
    assert 0 < worst < 0.02


def test_a_year_of_minutes_is_fast() -> None:
    """Frames every minute for a year take a tenth of a second of processor time; the limit allows for slow ones."""
    started = clock.process_time()
    found = sun_in_frame(Camera(180, 10, 90, 58.7), shots(LONDON, DailyWindow(time(6), time(20)), 0, 60), 10)
    assert clock.process_time() - started < 1.5
    assert found.frames_total == 365 * 840


def test_spell_runs_to_both_ends_of_the_window() -> None:
    """At noon in June the sun is high in the south: a window of ten minutes lies wholly inside."""
    day = date(2026, 6, 21)
    found = sun_in_frame(Camera(180, 60, 60, 40), shots(LONDON, DailyWindow(time(12), time(12, 10)), 0, 60, (day, day)))
    assert [(spell.start, spell.end, spell.frames) for spell in found.spells] == [
        (datetime(2026, 6, 21, 12), datetime(2026, 6, 21, 12, 10), 10)
    ]
    assert (found.frames_touched, found.frames_total, found.total_s, found.days) == (10, 10, 600, 1)


def test_sunset_ends_it() -> None:
    """A camera at the sunset on a level bearing: the last spell ends at sunset as the daylight page has it."""
    day = date(2026, 3, 20)
    found = sun_in_frame(Camera(270, 0, 60, 36), shots(LONDON, DailyWindow(time(15), time(20)), 0, 60, (day, day)))
    (sunset,) = crossings(LONDON, UTC, day, -0.8333).sets
    (spell,) = found.spells
    assert abs((spell.end.replace(tzinfo=UTC) - sunset).total_seconds()) <= 2


def test_window_across_midnight_under_the_midnight_sun() -> None:
    """In Tromsø in June the sun is due north about 22:46 UTC, 3 degrees up; the spell belongs to the evening's date."""
    day = date(2026, 6, 21)
    found = sun_in_frame(
        Camera(0, 5, 40, 25), shots(Site(69.6492, 18.9553), DailyWindow(time(22), time(4)), 2, 300, (day, day))
    )
    (spell,) = found.spells
    assert spell.day == day
    assert spell.start.date() == day and spell.end.date() == date(2026, 6, 22)
    middle = spell.start + (spell.end - spell.start) / 2
    assert abs(middle - datetime(2026, 6, 22, 0, 46)) < timedelta(minutes=3)


def test_camera_clock_moves_the_hours_not_the_sun() -> None:
    day = (date(2026, 4, 1), date(2026, 4, 3))
    camera = Camera(200, 30, 50, 30)
    here = sun_in_frame(camera, shots(LONDON, DailyWindow(time(8), time(18)), 0, 60, day))
    ahead = sun_in_frame(camera, shots(LONDON, DailyWindow(time(9), time(19)), 1, 60, day))
    assert [spell.start + timedelta(hours=1) for spell in here.spells] == [spell.start for spell in ahead.spells]
    assert here.frames_touched == ahead.frames_touched


def test_only_recorded_days() -> None:
    schedule = Schedule(
        date(2026, 6, 1),
        date(2026, 6, 14),
        DailyWindow(time(8), time(18)),
        frozenset({1, 2, 3, 4, 5}),
        frozenset({date(2026, 6, 3)}),
    )
    found = sun_in_frame(Camera(180, 60, 80, 60), Shots(LONDON, schedule, timedelta(0), Fraction(60)))
    assert {spell.day for spell in found.spells} == set(schedule.recorded_dates)
    assert found.frames_total == 9 * 600


def test_frames_are_unknown_without_an_interval() -> None:
    day = date(2026, 6, 21)
    found = sun_in_frame(Camera(180, 60, 60, 40), shots(LONDON, DailyWindow(time(8), time(18)), 0, None, (day, day)))
    assert found.spells and found.spells[0].frames is None
    assert found.frames_touched is found.frames_total is None
    assert found.total_s > 0


def test_looking_away_from_it() -> None:
    found = sun_in_frame(Camera(0, 0, 60, 36), shots(LONDON, DailyWindow(time(9), time(15)), 0, 60))
    assert (found.spells, found.frames_touched, found.frames_total) == ((), 0, 365 * 360)


@pytest.mark.parametrize(
    "wrong", [(0, 91, 60, 36), (0, -91, 60, 36), (0, 0, 0, 36), (0, 0, 60, 180), (0, math.nan, 60, 36)]
)
def test_refused(wrong: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="between"):
        Camera(*wrong)


def test_refraction_below_the_horizon() -> None:
    """Down to the sunrise itself as skyfield has it (Bennett 1982; 37.3' there), where astral's falls to 23.8'."""
    site = Site(40, 0)
    utc = datetime(2027, 3, 20, 6, 12, tzinfo=UTC)
    while (airless := altitude_deg(site, utc)) > -0.9:
        lifted_deg = altitude_deg(site, utc, refracted=True) - airless
        if airless < -0.4:
            assert lifted_deg == pytest.approx(refract(airless, 10, 1010) - airless, abs=0.01), airless
        utc -= timedelta(seconds=20)
    assert altitude_deg(site, utc) < -0.85
