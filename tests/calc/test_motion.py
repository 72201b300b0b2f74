"""Movement, exposure and neutral density against stored values with their sources (``data/optics_motion.json``)."""

from __future__ import annotations

import json
import math
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.clip.frames import clip_s, speed_up
from webcalc.calc.estimate import Estimate
from webcalc.calc.optics.motion import (
    FRAMES_ACROSS,
    KINDS,
    STAR_DEG_PER_S,
    Fit,
    across_share,
    blur_px,
    crossing_clip_s,
    crossing_frames,
    exposure_for_share_s,
    interval_fit,
    largest_interval_s,
    nd_density,
    nd_nominal_density,
    nd_stops,
    neutral_density,
    px_per_interval,
    shadow_speed_m_s,
    shutter_angle_deg,
    star_px_per_s,
)
from webcalc.calc.optics.sun_in_frame import SUN_DIAMETER_DEG
from webcalc.calc.schedule.recording import frames_in

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "optics_motion.json").read_text())["checks"]
SECONDS = {"s": 1, "min": 60}


def having(pattern: str, least: int) -> Any:
    found = [check for check in CHECKS if re.match(pattern, check["id"])]
    assert len(found) >= least, pattern
    return pytest.mark.parametrize("check", found, ids=lambda check: check["id"])


def by_id(name: str) -> dict:
    return next(check for check in CHECKS if check["id"] == name)


@having("motion_", 7)
def test_movement(check: dict) -> None:
    inputs = check["inputs"]
    width_px, interval_s = inputs["width_px"], inputs["interval_s"]
    step_px = px_per_interval(inputs["v_mps"], 1, interval_s, width_px, inputs["D_m"], inputs["hfov"])
    frames = crossing_frames(width_px, step_px)
    assert frames is not None
    computed = [
        step_px,
        step_px / width_px * 100,
        frames,
        crossing_clip_s(frames, inputs["fps"]),
        blur_px(step_px, interval_s, inputs["exposure_s"]),
        shutter_angle_deg(interval_s, inputs["exposure_s"]),
    ]
    assert computed == pytest.approx(check["expected"][1:], rel=1e-4, abs=check["tol"])


@having("shutter_", 6)
def test_published_shutter_angles(check: dict) -> None:
    """Brown, Cinematography: Theory and Practice, Table 10.6: there the "interval" is 1/24 s."""
    angle_deg = shutter_angle_deg(1 / check["inputs"]["fps"], 1 / check["inputs"]["x"])
    assert angle_deg == pytest.approx(check["expected"], abs=check["tol"])


@having("tl180_", 6)
def test_half_the_interval(check: dict) -> None:
    assert exposure_for_share_s(check["inputs"]["interval_s"]) == check["expected"]


@having(r"nd_\d", 14)
def test_densities(check: dict) -> None:
    density = check["inputs"]["density"]
    stops, nominal_stops, transmittance, factor = check["expected"]
    assert nd_density(stops) == pytest.approx(density, abs=check["tol"])
    assert nd_nominal_density(nominal_stops) == pytest.approx(density, abs=check["tol"])
    assert 1 / factor == pytest.approx(transmittance, abs=check["tol"])
    assert nd_stops(1, factor) == pytest.approx(stops, abs=check["tol"])


def test_filter_between_whole_stops() -> None:
    """1/50 s to 1 s is log2 50 = 5.644 stops: a filter of 5 isn't too dark, behind it 32/50 s."""
    found = neutral_density(1 / 50, 1)
    assert found.stops == pytest.approx(math.log2(50))
    assert (found.whole_stops, found.whole_density) == (5, 1.5)
    assert found.exposure_s == pytest.approx(32 / 50)


def test_round_shutter_speeds() -> None:
    """1/60 s to 1 s is 5.907 stops by the numbers written down, six on the dial."""
    found = neutral_density(1 / 60, 1)
    assert found.whole_stops == 6
    assert found.whole_density == pytest.approx(1.8)


def test_no_filter_where_light_is_missing() -> None:
    found = neutral_density(2, 1)
    assert (found.stops, found.whole_stops, found.exposure_s) == (-1, 0, 2)


@having("star_", 4)
def test_stars(check: dict) -> None:
    px_per_s = star_px_per_s(check["inputs"]["px"], check["inputs"]["hfov"])
    assert [px_per_s, 1 / px_per_s] == pytest.approx(check["expected"], abs=check["tol"])


def test_the_sun_moves_by_its_own_size() -> None:
    """The mean sun turns 15 degrees an hour."""
    check = by_id("sun_transit")
    assert pytest.approx(check["expected"], abs=check["tol"]) == SUN_DIAMETER_DEG / (15 / 3_600)


def test_clips_worked_in_encyclopaedias() -> None:
    check = by_id("tl_1min_4h")
    given_ = check["inputs"]
    frames = frames_in(given_["hours"] * 3_600, Fraction(given_["interval_s"]))
    assert clip_s(frames, Fraction(given_["fps"])) == check["expected"]
    check = by_id("tl_1fps_30")
    assert speed_up(Fraction(check["inputs"]["interval_s"]), Fraction(check["inputs"]["fps"])) == check["expected"]


def test_sidereal_rate() -> None:
    check = by_id("sidereal")
    arcsec_per_s = STAR_DEG_PER_S * 3600
    assert arcsec_per_s == pytest.approx(check["expected"], abs=check["tol"])


@pytest.mark.parametrize(
    ("kind", "stored"),
    [
        ("clouds", "interval_clouds"),
        ("traffic", "interval_traffic"),
        ("people", "interval_people"),
        ("shadows", "interval_moving_shadows"),
        ("stars", "interval_stars"),
        ("site_machines", "interval_construction"),
        ("plants", "interval_plants_growing"),
        ("tide", "interval_tides"),
    ],
)
def test_interval_ranges(kind: str, stored: str) -> None:
    """Common practice, no source: the table says what the stored list says."""
    low, high, unit = re.match(r"([\d.]+)-([\d.]+) (s|min)", by_id(stored)["expected"]).groups()  # type: ignore[union-attr]
    usual = KINDS[kind].interval_s
    assert (usual.low, usual.high) == (float(low) * SECONDS[unit], float(high) * SECONDS[unit])


@pytest.mark.parametrize(
    ("kind", "usual_s", "near_m", "usual_m", "far_m"),
    [
        # Common practice, no source.
        ("traffic", 1, 20, 80, 400),
        ("clouds", 5, 800, 2500, 8000),
        ("people", 2, 5, 20, 80),
        ("site_machines", 600, 50, 150, 400),
        ("building", 600, 30, 100, 400),
        ("snow", 300, 3, 20, 200),
        ("shadows", 20, 10, 40, 200),
        ("tide", 60, 10, 60, 500),
        ("plants", 300, 0.2, 0.6, 3),
    ],
)
def test_usual_intervals_and_distances(kind: str, usual_s: float, near_m: float, usual_m: float, far_m: float) -> None:
    found = KINDS[kind]
    assert found.distance_m is not None
    assert (found.distance_m.low, found.distance_m.expected, found.distance_m.high) == (near_m, usual_m, far_m)
    assert found.interval_s.expected == usual_s
    assert found.progress is (kind in {"building", "snow", "plants"})


def test_intervals_of_what_the_stored_list_lacks() -> None:
    """Common practice, no source."""
    found = {kind: KINDS[kind].interval_s for kind in ("building", "snow", "stars")}
    assert {kind: (s.low, s.expected, s.high) for kind, s in found.items()} == {
        "building": (300, 600, 1800),
        "snow": (60, 300, 900),
        "stars": (15, 30, 60),
    }


def test_kinds_are_in_order() -> None:
    for kind in KINDS.values():
        assert kind.interval_s.low < kind.interval_s.expected < kind.interval_s.high
        if kind.speed_m_s is not None:
            assert 0 < kind.speed_m_s.low < kind.speed_m_s.expected < kind.speed_m_s.high
    assert [name for name, kind in KINDS.items() if kind.speed_m_s is None] == ["stars"]


def test_walking_speed() -> None:
    """MUTCD 2009 section 4E.06: 3.5 feet a second."""
    assert KINDS["people"].speed_m_s.expected == pytest.approx(3.5 * 0.3048)  # type: ignore[union-attr]


def test_tide_runs_half_a_period() -> None:
    """The semidiurnal tide takes 12 h 25 min from high to high: 3 m of rise in half of it."""
    assert KINDS["tide"].speed_m_s.expected == pytest.approx(3 / (12 * 3600 + 25 * 60) * 2)  # type: ignore[union-attr]


def test_shadow_speed_is_the_slope_of_its_length() -> None:
    """The shadow is height / tan(altitude) long; the sun climbs 15° an hour: slope taken numerically over a second."""
    step_deg = 15 / 3600
    for altitude_deg in (5, 30, 60):
        lengths = [10 / math.tan(math.radians(altitude_deg + half * step_deg / 2)) for half in (-1, 1)]
        assert shadow_speed_m_s(10, altitude_deg) == pytest.approx(lengths[0] - lengths[1], rel=1e-6)


@pytest.mark.parametrize(("direction_deg", "share"), [(0, 1), (60, 0.5), (45, math.sqrt(0.5)), (90, 0)])
def test_direction(direction_deg: float, share: float) -> None:
    assert across_share(direction_deg) == pytest.approx(share)


def test_straight_at_the_camera_never_crosses() -> None:
    step_px = px_per_interval(1, across_share(90), 1, 1920, 20, 60)
    assert step_px == 0
    assert crossing_frames(1920, step_px) is largest_interval_s(1920, FRAMES_ACROSS, step_px) is None


@pytest.mark.parametrize(
    ("interval_s", "fit", "factor"),
    [(1, Fit.SHORTER, 2), (2, Fit.WITHIN, 1), (10, Fit.WITHIN, 1), (60, Fit.LONGER, 6)],
)
def test_interval_against_the_usual_range(interval_s: float, fit: Fit, factor: float) -> None:
    found = interval_fit(KINDS["clouds"].interval_s, interval_s)
    assert (found.fit, found.factor, found.clip_interval_s) == (fit, factor, interval_s)
    assert found.usual_s == Estimate(2, 5, 10)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: across_share(91),
        lambda: across_share(-1),
        lambda: exposure_for_share_s(2, 1.01),
        lambda: exposure_for_share_s(2, 0),
        lambda: neutral_density(0, 1),
    ],
)
def test_refused(wrong: Any) -> None:
    with pytest.raises(ValueError, match=r"above 0|between"):
        wrong()


positive = st.floats(0.01, 1000)


@settings(deadline=None)
@given(positive, positive, positive, st.floats(1, 170), st.floats(0, 89))
def test_at_the_largest_interval_a_crossing_takes_the_frames_asked_for(
    speed_m_s: float, interval_s: float, distance_m: float, hfov_deg: float, direction_deg: float
) -> None:
    def step_px(interval_s: float) -> float:
        return px_per_interval(speed_m_s, across_share(direction_deg), interval_s, 1920, distance_m, hfov_deg)

    longest_s = largest_interval_s(1920, FRAMES_ACROSS, step_px(interval_s) / interval_s)
    assert longest_s is not None
    assert crossing_frames(1920, step_px(longest_s)) == pytest.approx(FRAMES_ACROSS)


@settings(deadline=None)
@given(positive, positive, st.floats(0.01, 1))
def test_blur_is_the_exposed_share_of_the_step(step_px: float, interval_s: float, share: float) -> None:
    assert blur_px(step_px, interval_s, exposure_for_share_s(interval_s, share)) == pytest.approx(share * step_px)
    assert largest_interval_s(1920, FRAMES_ACROSS, 0) is None


@pytest.mark.parametrize(
    ("kind", "low", "expected", "high", "per_s"),
    [
        # Kilometres an hour in town and outside it, metres a second of wind and machines, millimetres a day of growth:
        # common practice, no source. Tides rise 1, 3 and 10 m within 6 h 12.5 min: half of a period of 12 h 25 min.
        ("traffic", 30, 50, 100, 1 / 3.6),
        ("clouds", 5, 10, 20, 1),
        ("people", 3, 3.5, 4, 0.3048),
        ("site_machines", 0.2, 0.5, 2, 1),
        ("tide", 1, 3, 10, 1 / (12 * 3_600 + 25 * 60) * 2),
        ("plants", 1, 10, 100, 0.001 / 86_400),
        ("building", 0.1, 0.25, 0.5, 1 / 86_400),
        ("snow", 0.01, 0.05, 0.3, 1 / 86_400),
    ],
)
def test_speeds(kind: str, low: float, expected: float, high: float, per_s: float) -> None:
    speed = KINDS[kind].speed_m_s
    assert speed is not None
    found = (speed.low, speed.expected, speed.high)
    assert found == pytest.approx((low * per_s, expected * per_s, high * per_s), rel=1e-9)


def test_shadows_of_something_ten_metres_tall() -> None:
    """How far the shadow's end moves in the minute about 70, 45 and 15 degrees, at 15 degrees an hour."""

    def shadow_m(altitude_deg: float) -> float:
        return 10 / math.tan(math.radians(altitude_deg))

    speed = KINDS["shadows"].speed_m_s
    assert speed is not None
    moved = [(shadow_m(deg - 0.125) - shadow_m(deg + 0.125)) / 60 for deg in (70, 45, 15)]
    assert [speed.low, speed.expected, speed.high] == pytest.approx(moved, rel=1e-3)
