"""An equidistant lens (r = f × angle) through framing, motion, remounting and the sun, against numpy.

The projection here is written from its definition with numpy's rotations and shares nothing with the package. Angles by
hand: 36 × 24 mm behind 15 mm is 36 / 15 = 2.4 rad across.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from flask.testing import FlaskClient
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.optics.framing import ground_cover
from webcalc.calc.optics.landmarks import find_error
from webcalc.calc.optics.remount import CameraError, Picture, hiding_crop, moved, tolerances
from webcalc.calc.optics.sun_in_frame import BentBorder
from webcalc.calc.optics.view import view_from_hfov

FISHEYE = {"sensor": "full frame", "focal_mm": "15", "size": "6000x4000", "projection": "equidistant"}


def results(client: FlaskClient, page: str, **query: str) -> dict[str, Any]:
    return client.get(f"/{page}.json", query_string={"v": "1", **query}).get_json()["results"]


def seen(directions: np.ndarray, focal_px: float) -> np.ndarray:
    """Project directions (right, down, ahead) by the definition: as far from the middle as the angle says."""
    angle = np.arccos(directions[..., 2] / np.linalg.norm(directions, axis=-1))
    round_axis = np.arctan2(directions[..., 1], directions[..., 0])
    return focal_px * angle[..., None] * np.stack([np.cos(round_axis), np.sin(round_axis)], axis=-1)


def rotation(pan_deg: float, tilt_deg: float, roll_deg: float) -> np.ndarray:
    """Turn the scene as a camera that pans right, then tilts up, then rolls clockwise sees it."""
    p, t, r = np.radians([pan_deg, tilt_deg, roll_deg])
    pan = np.array([[np.cos(p), 0, -np.sin(p)], [0, 1, 0], [np.sin(p), 0, np.cos(p)]])
    tilt = np.array([[1, 0, 0], [0, np.cos(t), np.sin(t)], [0, -np.sin(t), np.cos(t)]])
    roll = np.array([[np.cos(r), np.sin(r), 0], [-np.sin(r), np.cos(r), 0], [0, 0, 1]])
    return roll @ tilt @ pan


def test_angles_by_hand(client: FlaskClient) -> None:
    """36, 24 and 43.267 mm over 15 mm; over 8 mm it would be 4.5 rad across, half the sky and more."""
    found = results(client, "framing", **FISHEYE, distance_m="10")
    angles = [math.degrees(side / 15) for side in (36, 24, math.hypot(36, 24))]
    assert [found["hfov_deg"], found["vfov_deg"], found["dfov_deg"]] == pytest.approx(angles)
    assert found["width_m"] == pytest.approx(20 * math.tan(1.2))
    # In the middle 6000 px are 2.4 rad: 2500 px a radian, 250 px a metre at 10 m.
    assert found["px_per_m"] == pytest.approx(250)
    assert (found["focal_mm"], found["focal_eq_mm"]) == (15, pytest.approx(15))
    by_angle = results(client, "framing", hfov=f"{angles[0]:.9f}", size="6000x4000", projection="equidistant")
    assert by_angle["vfov_deg"] == pytest.approx(angles[1]) and by_angle["focal_eq_mm"] == pytest.approx(15)
    wide = client.get("/framing", query_string={"v": "1", **FISHEYE, "focal_mm": "8"}).get_data(as_text=True)
    assert "half the sky or more" in wide
    # Crops keep their share of the angle; motion in the middle goes by 2500 px a radian.
    assert found["crops"][1]["hfov_deg"] == pytest.approx(angles[0] * 2 / 3)
    motion = results(client, "motion", **FISHEYE, distance_m="10", speed="1", interval="1s", fps="25")
    assert motion["px_per_interval"] == pytest.approx(250)


@pytest.mark.parametrize(("tilt", "camera"), [("0", ""), ("-30", ""), ("-30", "6"), ("10", "6")])
def test_an_upright_subject_by_projection(client: FlaskClient, tilt: str, camera: str) -> None:
    found = results(client, "framing", **FISHEYE, distance_m="9", subject_m="2", tilt=tilt, camera_m=camera)
    down = -math.radians(float(tilt))
    axis, above = np.array([math.cos(down), -math.sin(down)]), np.array([math.sin(down), math.cos(down)])
    # The foot is on the axis, or on the ground where the plane square to the axis at 9 m meets it.
    foot = 9 * axis if not camera else np.array([(9 - float(camera) * math.sin(down)) / math.cos(down), -float(camera)])
    rows = [
        seen(np.array([0.0, -(point @ above), point @ axis]), 2500)[1] for point in (foot, foot + np.array([0, 2.0]))
    ]
    assert found["subject_px"] == pytest.approx(rows[0] - rows[1])
    assert found["subject_share"] == pytest.approx((rows[0] - rows[1]) / 4000)


def test_ground_across_by_projection() -> None:
    """Where the near line across leaves the picture, its place is half the width from the middle, to the side."""
    view = view_from_hfov(137.5, 6000, 4000, equidistant=True)
    found = ground_cover(8, -60, view)
    assert found is not None and found.far_m is not None and found.far_width_m is not None
    tilt = math.radians(60)
    for ahead, width in ((found.near_m, found.near_width_m), (found.far_m, found.far_width_m)):
        side = np.array([width / 2, 0, 0]) + ahead * np.array([0, -math.sin(tilt), math.cos(tilt)])
        place = seen(side + 8 * np.array([0, math.cos(tilt), math.sin(tilt)]), 6000 / math.radians(137.5))
        assert place[0] == pytest.approx(3000)


@settings(deadline=None, max_examples=60)
@given(
    *(st.floats(-8, 8) for _ in range(3)),
    st.lists(st.tuples(st.floats(0, 4000), st.floats(0, 3000)), min_size=1, max_size=3),
)
def test_turns_by_rotation(pan: float, tilt: float, roll: float, points: list[tuple[float, float]]) -> None:
    picture = Picture(4000, 3000, 140, equidistant=True)
    focal = 4000 / math.radians(140)
    for point in points:
        x, y = point[0] - 2000, point[1] - 1500
        angle, round_axis = math.hypot(x, y) / focal, math.atan2(y, x)
        ray = np.array(
            [math.sin(angle) * math.cos(round_axis), math.sin(angle) * math.sin(round_axis), math.cos(angle)]
        )
        there = seen(rotation(pan, tilt, roll) @ ray, focal) + np.array([2000, 1500])
        assert moved(picture, CameraError(pan, tilt, roll), point) == pytest.approx(there, abs=1e-6)


@pytest.mark.parametrize("zoom_fixed", [True, False])
def test_the_error_is_found_again(zoom_fixed: bool) -> None:
    picture, error = Picture(4000, 3000, 140, equidistant=True), CameraError(3, -2, 1.5, 1.0 if zoom_fixed else 1.02)
    before = [(400.0, 300.0), (3500.0, 500.0), (600.0, 2700.0)]
    pairs = [(point, moved(picture, error, point)) for point in before]
    found = find_error(picture, pairs, zoom_fixed=zoom_fixed)  # type: ignore[arg-type]
    assert found is not None and found.residual_px < 1e-6
    assert vars(found.error) == pytest.approx(vars(error))
    crop = hiding_crop(picture, error)
    assert crop is not None and 0 < crop.picture_lost < 0.5
    # 4000 px are 2.443 rad: a pixel is 0.035 degrees, in the middle and at the edge alike.
    allowed = tolerances(picture, 1)
    assert allowed.turn_at_centre.turn_deg == allowed.pan_at_edge.turn_deg == pytest.approx(140 / 4000)


@settings(deadline=None, max_examples=40)
@given(st.floats(0.2, 1.5), st.floats(0.2, 1.5), st.integers(0, 10_000))
def test_the_border_on_the_sky(half_across: float, half_up: float, seed: int) -> None:
    """Distances to a border of 8,000 points by numpy, to 0.01 degrees."""
    random = np.random.default_rng(seed)
    towards = random.normal(size=(20, 3))
    towards /= np.linalg.norm(towards, axis=1)[:, None]
    along = np.linspace(-1, 1, 2001)
    sides = [np.stack([np.full_like(along, s * half_across), half_up * along], axis=1) for s in (-1, 1)]
    sides += [np.stack([half_across * along, np.full_like(along, s * half_up)], axis=1) for s in (-1, 1)]
    rim = np.concatenate(sides)
    angle = np.linalg.norm(rim, axis=1)[:, None]
    rim = np.concatenate([np.sin(angle) * rim / angle, np.cos(angle)], axis=1)
    nearest = np.degrees(np.arccos(np.clip((towards @ rim.T).max(axis=1), -1, 1)))
    place = seen(towards, 1.0)
    inside = (np.abs(place[:, 0]) <= half_across) & (np.abs(place[:, 1]) <= half_up)
    border = BentBorder(half_across, half_up)
    for direction, distance, within in zip(towards, nearest, inside, strict=True):
        assert border.holds(*direction) == within
        assert border.inside_deg(*direction) == pytest.approx(distance if within else -distance, abs=0.01 + 0.03)


def test_the_sun_in_a_fisheye_by_hand(client: FlaskClient) -> None:
    """The equator at the equinox, looking west: the sun comes straight down the middle, in at half the height.

    90 degrees high and wide: 45 degrees up, as in a rectilinear picture of that height.
    """
    west = {
        **{"first": "2027-03-20", "last": "2027-03-20", "from": "12:00", "until": "19:00", "days": "1234567"},
        **{"interval": "60s", "size": "1000x1000", "lat": "0", "lon": "0", "tz": "Etc/UTC", "hfov": "90"},
    }
    straight, bent = (results(client, "sun", **west, bearing="270", projection=kind) for kind in ("", "equidistant"))
    assert abs(straight["frames_touched"] - bent["frames_touched"]) <= 1
    # 40 degrees aside a straight top is at atan(cos 40) = 37.5; a bent one at 42.0 degrees: the angle from the axis is
    # 55.3 there, its cosine that of 40 times that of 42; its upright part 55.3 sin 42 / sin 55.3 = 45. Sunset: -0.8.
    straight, bent = (results(client, "sun", **west, bearing="230", projection=kind) for kind in ("", "equidistant"))
    assert straight["frames_touched"] == pytest.approx(4 * (37.5 + 0.3 + 0.8), abs=2)
    assert bent["frames_touched"] == pytest.approx(4 * (42.0 + 0.3 + 0.8), abs=2)
