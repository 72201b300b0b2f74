"""Angles of view, coverage, sharpness, ground and crops against published and independently computed values.

The values are in ``data/optics_framing.json``, each with its source and how it is known. Angles computed there come
from OpenCV's calibrationMatrixValues.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from webcalc.calc.optics.framing import (
    CROP_RATIOS,
    central_crop,
    circle_of_confusion_mm,
    covered_m,
    crops,
    far_limit_m,
    focal_for_width_mm,
    ground_cover,
    hfov_for_width_deg,
    hyperfocal_m,
    near_limit_m,
    px_per_m,
    sharpness,
    standing,
)
from webcalc.calc.optics.view import (
    SENSORS,
    Sensor,
    angle_of_share_deg,
    angle_of_view_deg,
    crop_factor,
    equivalent_from_angle_mm,
    focal_from_angle_mm,
    focal_from_equivalent_mm,
    focal_px,
    view_from_equivalent,
    view_from_focal,
    view_from_hfov,
)

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "optics_framing.json").read_text())["checks"]
FOOT_M = 0.3048
INCH_MM = 25.4

#: The stored name of a format, where ours differs.
FORMAT_NAMES = {"1/2.8in 16:9": "1/2.8in"}


def having(*prefixes: str) -> Any:
    """Run once for each stored check whose id begins so; each beginning has to find some."""
    found = [check for check in CHECKS if check["id"].startswith(prefixes)]
    assert all(any(check["id"].startswith(prefix) for check in found) for prefix in prefixes), prefixes
    return pytest.mark.parametrize("check", found, ids=lambda check: check["id"])


@having("aov_")
def test_angles_of_view(check: dict) -> None:
    view = view_from_focal(check["inputs"]["w_mm"], check["inputs"]["h_mm"], check["inputs"]["f_mm"])
    assert [view.hfov_deg, view.vfov_deg, view.dfov_deg] == pytest.approx(check["expected"], abs=check["tol"])


@having("pubV_")
def test_published_vertical_angles(check: dict) -> None:
    assert angle_of_view_deg(24, check["inputs"]["f_mm"]) == pytest.approx(check["expected"], abs=check["tol"])


@having("pubD_")
def test_published_diagonal_angles(check: dict) -> None:
    diagonal_mm = SENSORS["full frame"].diagonal_mm
    computed = angle_of_view_deg(diagonal_mm, check["inputs"]["f_mm"])
    assert computed == pytest.approx(check["expected"], abs=check["tol"])


@having(
    "sensor_1/2.3in", "sensor_1in", "sensor_APS-C", "sensor_full", "sensor_1/2in", "sensor_2/3in", "sensor_1/2.8in_16"
)
def test_sensor_formats(check: dict) -> None:
    name = check["inputs"]["format"]
    sensor = SENSORS[FORMAT_NAMES.get(name, name)]
    diagonal_mm = sensor.diagonal_mm
    computed = [sensor.width_mm, sensor.height_mm, diagonal_mm, crop_factor(diagonal_mm)]
    assert computed == pytest.approx(check["expected"][:4], abs=0.01)
    assert circle_of_confusion_mm(diagonal_mm) == pytest.approx(check["expected"][4], abs=5.1e-5)


@having("coc_full", "coc_APS", "coc_1")
def test_circle_of_confusion(check: dict) -> None:
    assert circle_of_confusion_mm(check["inputs"]["diag"]) == pytest.approx(check["expected"][0], abs=check["tol"])


@having("cover_")
def test_coverage(check: dict) -> None:
    inputs = check["inputs"]
    if "hfov" in inputs:
        view, width_px = view_from_hfov(inputs["hfov"], inputs["px"], inputs["px"]), inputs["px"]
    else:
        view, width_px = view_from_focal(inputs["w_mm"], inputs["h_mm"], inputs["f_mm"]), inputs["width_px"]
    width_m, height_m = (covered_m(inputs["D_m"], angle_deg) for angle_deg in (view.hfov_deg, view.vfov_deg))
    density = px_per_m(width_px, width_m)
    computed = [width_m, density] if "hfov" in inputs else [width_m, height_m, density]
    assert computed == pytest.approx(check["expected"], abs=check["tol"])


@having("army_H75", "army_H50", "navy_H", "sinclair_H", "barnet_H")
def test_published_hyperfocal(check: dict) -> None:
    """These leave out "+ f" of the exact formula, which is the focal length itself: taken off here."""
    inputs = check["inputs"]
    focal_mm = inputs["f_in"] * INCH_MM
    computed_ft = (hyperfocal_m(focal_mm, inputs["N"], inputs["c_in"] * INCH_MM) - focal_mm / 1000) / FOOT_M
    expected = check["expected"][0] if isinstance(check["expected"], list) else check["expected"]
    assert computed_ft == pytest.approx(expected, abs=check["tol"])


@having("army_DOF", "army_H_near", "navy_DOF", "sinclair_DOF", "consecutive")
def test_published_limits_from_hyperfocal(check: dict) -> None:
    """The books give limits from H alone, H·s / (H ± s): ours with a lens so short that its own length is nothing."""
    hyperfocal_ft = check["inputs"]["H_ft"]
    distance_ft = check["inputs"].get("s_ft", hyperfocal_ft)
    focal_mm = 0.01
    coc_mm = focal_mm**2 / (hyperfocal_ft * FOOT_M * 1000)
    near_ft = near_limit_m(distance_ft * FOOT_M, focal_mm, 1, coc_mm) / FOOT_M
    expected = check["expected"] if isinstance(check["expected"], list) else [check["expected"]]
    tolerance = max(check["tol"], 1e-4)
    assert near_ft == pytest.approx(expected[0], abs=tolerance)
    if len(expected) > 1:
        far_m = far_limit_m(distance_ft * FOOT_M, focal_mm, 1, coc_mm)
        assert far_m is not None
        assert far_m / FOOT_M == pytest.approx(expected[1], abs=tolerance)


@having("dof_")
def test_exact_limits(check: dict) -> None:
    inputs = check["inputs"]
    found = sharpness(inputs["s_m"], inputs["f_mm"], inputs["N"], inputs["c_mm"])
    hyperfocal, near, far = check["expected"]
    assert (found.hyperfocal_m, found.near_m) == pytest.approx((hyperfocal, near), abs=check["tol"])
    if far == "inf":
        assert found.far_m is None
    else:
        assert found.far_m == pytest.approx(far, abs=check["tol"])
    assert found.coc_mm == inputs["c_mm"]


def test_infinity_is_sharp_from_the_hyperfocal_distance_on() -> None:
    hyperfocal = hyperfocal_m(24, 8, 0.03)
    assert far_limit_m(hyperfocal * 1.0001, 24, 8, 0.03) is None
    nearer = far_limit_m(hyperfocal * 0.999, 24, 8, 0.03)
    assert nearer is not None and nearer > 1000


@having("res_")
def test_crops(check: dict) -> None:
    width_px, height_px = check["inputs"]["w"], check["inputs"]["h"]
    view = view_from_hfov(60, width_px, height_px)
    for ratio, sizes in check["expected"]["crops"].items():
        crop = central_crop(ratio, view, width_px, height_px)
        assert [crop.width_px, crop.height_px] == sizes["even"], ratio


@having("cropfov_")
def test_angles_of_crops(check: dict) -> None:
    crop = central_crop(check["inputs"]["crop"], view_from_hfov(60, 4000, 3000), 4000, 3000)
    # 9:16 of 3000 px is 1687.5 wide; ours is floored to 1686 px, 0.02 degrees less.
    assert [crop.hfov_deg, crop.vfov_deg] == pytest.approx(check["expected"], abs=0.03)


def test_ground_by_hand() -> None:
    """10 m up, 30° down, 40° high: rays 50° and 10° below the horizon; widths from the rays' own lengths."""
    view = view_from_hfov(60, 1000, round(1000 * math.tan(math.radians(20)) / math.tan(math.radians(30))))
    half_deg = view.vfov_deg / 2
    found = ground_cover(10, -30, view)
    assert found is not None and found.far_m is not None and found.far_width_m is not None
    near_m = 10 / math.tan(math.radians(30 + half_deg))
    far_m = 10 / math.tan(math.radians(30 - half_deg))
    assert (found.near_m, found.far_m) == pytest.approx((near_m, far_m))
    # Depth along the axis of the point where the top ray meets the ground, then the coverage at that depth.
    depth_m = far_m * math.cos(math.radians(30)) + 10 * math.sin(math.radians(30))
    assert found.far_width_m == pytest.approx(2 * depth_m * math.tan(math.radians(30)))
    depth_m = near_m * math.cos(math.radians(30)) + 10 * math.sin(math.radians(30))
    assert found.near_width_m == pytest.approx(2 * depth_m * math.tan(math.radians(30)))


@pytest.mark.parametrize(
    ("tilt_deg", "near", "far"),
    [(0, "ahead", None), (-20, "ahead", None), (-21, "ahead", "finite"), (-80, "behind", "finite"), (25, None, None)],
)
def test_ground_cases(tilt_deg: float, near: str | None, far: str | None) -> None:
    """Half the angle of view is 20°: at -20° the top ray is level, at +25° no ray goes down."""
    view = view_from_focal(2 * math.tan(math.radians(20)), 2 * math.tan(math.radians(20)), 1)
    found = ground_cover(8, tilt_deg, view)
    if near is None:
        assert found is None
        return
    assert found is not None
    assert (found.near_m > 0) == (near == "ahead")
    assert (found.far_m is None) == (far is None)


def test_unused_sensor_parts() -> None:
    """16:9 from a 4:3 chip keeps the width, 5:4 keeps the height."""
    chip = Sensor(6.4, 4.8)
    assert (chip.used_by(1920, 1080).width_mm, chip.used_by(1920, 1080).height_mm) == pytest.approx((6.4, 3.6))
    assert (chip.used_by(1350, 1080).width_mm, chip.used_by(1350, 1080).height_mm) == pytest.approx((6.0, 4.8))


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: view_from_focal(36, 24, 0),
        lambda: view_from_equivalent(0, 16, 9),
        lambda: view_from_hfov(180, 1920, 1080),
        lambda: view_from_hfov(float("nan"), 1920, 1080),
        lambda: sharpness(0.02, 24, 8, 0.03),
        lambda: sharpness(3, 24, 0, 0.03),
        lambda: ground_cover(0, -10, view_from_hfov(60, 16, 9)),
        lambda: ground_cover(5, -91, view_from_hfov(60, 16, 9)),
        lambda: central_crop("1:1", view_from_hfov(60, 16, 9), 1, 9),
        lambda: Sensor(0, 4),
        lambda: Sensor(4, 0),
    ],
)
def test_refused(wrong: Any) -> None:
    with pytest.raises(ValueError, match=r"above 0|between|nearer|at least"):
        wrong()


angles = st.floats(1, 170)
sides = st.integers(2, 10_000)


@settings(deadline=None)
@given(st.floats(1, 60), st.floats(1, 600), st.floats(0.1, 1000))
def test_focal_for_width_covers_that_width(sensor_mm: float, distance_m: float, width_m: float) -> None:
    focal_mm = focal_for_width_mm(sensor_mm, distance_m, width_m)
    view = view_from_focal(sensor_mm, sensor_mm, focal_mm)
    assert covered_m(distance_m, view.hfov_deg) == pytest.approx(width_m)
    assert view.hfov_deg == pytest.approx(hfov_for_width_deg(distance_m, width_m))


@settings(deadline=None)
@given(st.floats(1, 60), angles)
def test_focal_and_angle_round_trip(side_mm: float, angle_deg: float) -> None:
    assert angle_of_view_deg(side_mm, focal_from_angle_mm(side_mm, angle_deg)) == pytest.approx(angle_deg)


@settings(deadline=None)
@given(st.floats(8, 1000), sides, sides)
def test_equivalent_and_view_round_trip(focal_eq_mm: float, width_px: int, height_px: int) -> None:
    """A 3:2 picture has the angles of 36 × 24 mm itself; others the same diagonal."""
    view = view_from_equivalent(focal_eq_mm, width_px, height_px)
    assert equivalent_from_angle_mm(view.dfov_deg) == pytest.approx(focal_eq_mm)
    assert view_from_hfov(view.hfov_deg, width_px, height_px).dfov_deg == pytest.approx(view.dfov_deg)
    assert view_from_equivalent(focal_eq_mm, 6000, 4000).hfov_deg == pytest.approx(angle_of_view_deg(36, focal_eq_mm))


@settings(deadline=None)
@given(sides, sides, angles)
def test_crops_lie_within_the_picture(width_px: int, height_px: int, hfov_deg: float) -> None:
    # Too tall for a pinhole view; refused elsewhere.
    assume(angle_of_share_deg(hfov_deg, math.hypot(width_px, height_px) / width_px) < 179.9)
    view = view_from_hfov(hfov_deg, width_px, height_px)
    found = crops(view, width_px, height_px)
    assert [crop.ratio for crop in found] == list(CROP_RATIOS)
    for crop in found:
        assert crop.width_px % 2 == crop.height_px % 2 == 0
        assert crop.x_px >= 0 and crop.x_px + crop.width_px <= width_px
        assert crop.y_px >= 0 and crop.y_px + crop.height_px <= height_px
        assert crop.hfov_deg <= view.hfov_deg * (1 + 1e-12) and crop.vfov_deg <= view.vfov_deg * (1 + 1e-12)
        assert 0 < crop.picture_share <= 1
        # The largest one: two more pixels would leave the picture or the shape.
        wide, high = CROP_RATIOS[crop.ratio]
        assert crop.width_px + 2 > width_px or (crop.width_px + 2) * high > height_px * wide
        assert crop.height_px + 2 > height_px or (crop.height_px + 2) * wide > width_px * high


@settings(deadline=None)
@given(st.sampled_from(sorted(SENSORS)), st.floats(1, 1000))
def test_equivalent_has_the_same_diagonal_angle(name: str, equivalent_mm: float) -> None:
    """An equivalent focal length has the diagonal angle of view on 36 x 24 mm that the lens has on its sensor."""
    sensor = SENSORS[name]
    focal_mm = focal_from_equivalent_mm(equivalent_mm, crop_factor(sensor.diagonal_mm))
    here = view_from_focal(sensor.width_mm, sensor.height_mm, focal_mm)
    assert view_from_focal(36, 24, equivalent_mm).dfov_deg == pytest.approx(here.dfov_deg)


@pytest.mark.parametrize(
    ("name", "width_mm", "height_mm", "diagonal_mm"),
    [
        # Diagonals: 6 mm by convention, 22 mm for Four Thirds (the standard says 21.6 mm), 9 mm; sides from memory.
        ("1/3in", 4.8, 3.6, 6.0),
        ("1/1.8in", 7.18, 5.32, 8.93),
        ("4/3in", 17.3, 13.0, 21.6),
        # Sides as makers print them, from memory; 1.61 and 0.79 times smaller than 36 x 24 mm, as they say.
        ("APS-C 22.3", 22.3, 14.9, 43.27 / 1.613),
        ("44x33mm", 43.8, 32.9, 43.27 / 0.79),
    ],
)
def test_sensors_without_a_stored_row(name: str, width_mm: float, height_mm: float, diagonal_mm: float) -> None:
    assert (SENSORS[name].width_mm, SENSORS[name].height_mm) == (width_mm, height_mm)
    assert SENSORS[name].diagonal_mm == pytest.approx(diagonal_mm, abs=0.05)


def projected_px(tilt_deg: float, height_m: float, distance_m: float, subject_m: float, hfov_deg: float) -> list[float]:
    """Where foot and top of a post are seen, in pixels above the middle of a picture 4000 px wide: numpy, by matrices.

    The post stands where the plane square to the axis, at the distance along it, meets the ground straight ahead.
    """
    tilt = math.radians(tilt_deg)
    ahead, up = np.array([math.cos(tilt), math.sin(tilt)]), np.array([-math.sin(tilt), math.cos(tilt)])
    camera = np.array([0, height_m])
    # ahead . ((x, 0) - camera) = distance
    foot = np.array([(distance_m + ahead @ camera) / ahead[0], 0])
    seen = []
    for point in (foot, foot + np.array([0, subject_m])):
        deep, above = np.linalg.solve(np.array([ahead, up]).T, point - camera)
        seen.append(2000 / math.tan(math.radians(hfov_deg / 2)) * above / deep)
    return seen


@settings(deadline=None, max_examples=50)
@given(st.floats(-75, 30), st.floats(0.5, 40), st.floats(3, 200), st.floats(0.1, 2), st.floats(20, 90))
def test_an_upright_subject_by_projection(
    tilt_deg: float, height_m: float, distance_m: float, subject_m: float, hfov_deg: float
) -> None:
    foot_px, top_px = projected_px(tilt_deg, height_m, distance_m, subject_m, hfov_deg)
    found = standing(subject_m, distance_m, tilt_deg, height_m)
    focal = focal_px(4000, hfov_deg)
    assert found is not None
    assert (found.foot * focal, found.top * focal) == pytest.approx((foot_px, top_px), rel=1e-6, abs=1e-6)


def test_what_stands_where_the_axis_ends_needs_no_height() -> None:
    """12 m up, looking 45 degrees down at 16.97 m: foot in the middle, 1.8 m high, by projection 281 px, not 367."""
    distance_m = 12 * math.sqrt(2)
    foot_px, top_px = projected_px(-45, 12, distance_m, 1.8, 60)
    assert (foot_px, top_px) == pytest.approx((0, 280.9), abs=0.05)
    for height_m in (12, None):
        found = standing(1.8, distance_m, -45, height_m)
        assert found is not None and found.top * focal_px(4000, 60) == pytest.approx(top_px)
    assert standing(20, 12, -89, None) is None and standing(1, 12, -90, 12) is None
