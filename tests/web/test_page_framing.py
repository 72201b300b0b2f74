"""What the picture covers, as the page and its data say it.

Values are those of ``tests/data/optics_framing.json``, where each has its source (tables of angles of view and
handbooks of photography seen; OpenCV and thin-lens geometry computed), and cases worked by hand.
"""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from webcalc.web.words.say import Say

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "optics_framing.json").read_text())["checks"]
FOOT_M = 0.3048
INCH_MM = 25.4
#: 36 × 24 mm behind 24 mm: 73.74° × 53.13°, the width covered is 1.5 times the distance.
FULL_FRAME = {"sensor": "full frame", "focal_mm": "24", "size": "6000x4000"}


def ask(client: FlaskClient, **query: Any) -> dict[str, Any]:
    """Return the data for a query that carries a version: blanks are blanks."""
    response = client.get("/framing.json", query_string={"v": "1", **query})
    assert response.status_code == 200, response.json["errors"]
    return response.json


def results(client: FlaskClient, **query: Any) -> dict[str, Any]:
    return ask(client, **query)["results"]


def page(client: FlaskClient, **query: Any) -> str:
    return client.get("/framing", query_string={"v": "1", **query}).get_data(as_text=True).replace("\u00a0", " ")


def having(*prefixes: str) -> Any:
    """Run once for each stored check whose id begins so; each beginning has to find some."""
    found = [check for check in CHECKS if check["id"].startswith(prefixes)]
    assert all(any(check["id"].startswith(prefix) for check in found) for prefix in prefixes), prefixes
    return pytest.mark.parametrize("check", found, ids=lambda check: check["id"])


def sides(inputs: dict[str, Any]) -> dict[str, str]:
    """Return sensor and lens of a check; without a picture size all of the sensor is used."""
    return {"sensor_mm": f"{inputs['w_mm']}x{inputs['h_mm']}", "focal_mm": str(inputs["f_mm"])}


@having("aov_")
def test_angles_of_view(client: FlaskClient, check: dict[str, Any]) -> None:
    found = results(client, **sides(check["inputs"]))
    angles = [found["hfov_deg"], found["vfov_deg"], found["dfov_deg"]]
    assert angles == pytest.approx(check["expected"], abs=check["tol"])


@having("pubV_", "pubD_")
def test_published_angles_of_view(client: FlaskClient, check: dict[str, Any]) -> None:
    found = results(client, **FULL_FRAME | {"focal_mm": str(check["inputs"]["f_mm"])})
    key = "vfov_deg" if check["id"].startswith("pubV") else "dfov_deg"
    assert found[key] == pytest.approx(check["expected"], abs=check["tol"])


@having("cover_")
def test_coverage(client: FlaskClient, check: dict[str, Any]) -> None:
    inputs, distance = check["inputs"], str(check["inputs"]["D_m"])
    if "hfov" in inputs:
        query = {"hfov": str(inputs["hfov"]), "size": f"{inputs['px']}x1080"}
        keys = ["width_m", "px_per_m"]
    else:
        height_px = inputs["width_px"] * inputs["h_mm"] / inputs["w_mm"]
        query = {**sides(inputs), "size": f"{inputs['width_px']}x{math.ceil(height_px)}"}
        keys = ["width_m", "height_m", "px_per_m"]
    found = results(client, distance_m=distance, **query)
    # A height in whole pixels may take up to one row more than the sensor has, so the width loses its part of that.
    assert [found[key] for key in keys] == pytest.approx(check["expected"], rel=4e-4)


@having("army_H75", "army_H50", "navy_H")
def test_published_hyperfocal(client: FlaskClient, check: dict[str, Any]) -> None:
    """The books leave out "+ f" of the exact formula, which is the focal length itself: taken off here."""
    inputs = check["inputs"]
    focal_mm, coc_mm = inputs["f_in"] * INCH_MM, inputs["c_in"] * INCH_MM
    query = {"sensor": "full frame", "focal_mm": f"{focal_mm:.4f}", "aperture": f"f/{inputs['N']}"}
    found = results(client, **query, coc_mm=f"{coc_mm:.6f}")
    expected = check["expected"][0] if isinstance(check["expected"], list) else check["expected"]
    assert (found["hyperfocal_m"] - focal_mm / 1000) / FOOT_M == pytest.approx(expected, abs=check["tol"])


@having("dof_")
def test_limits_of_sharp_focus(client: FlaskClient, check: dict[str, Any]) -> None:
    inputs = check["inputs"]
    query = {"focal_mm": str(inputs["f_mm"]), "aperture": str(inputs["N"]), "coc_mm": str(inputs["c_mm"])}
    found = results(client, sensor="full frame", distance_m=str(inputs["s_m"]), **query)
    hyperfocal, near, far = check["expected"]
    assert (found["hyperfocal_m"], found["near_m"]) == pytest.approx((hyperfocal, near), abs=check["tol"])
    assert found["far_is_infinite"] == (far == "inf")
    assert found["far_m"] == (None if far == "inf" else pytest.approx(far, abs=check["tol"]))


@having("res_")
def test_crops(client: FlaskClient, check: dict[str, Any]) -> None:
    inputs = check["inputs"]
    found = results(client, hfov="60", size=f"{inputs['w']}x{inputs['h']}")
    sizes = {crop["ratio"]: [crop["width_px"], crop["height_px"]] for crop in found["crops"]}
    assert list(sizes) == ["16:9", "1:1", "4:5", "9:16"]
    for ratio in ("16:9", "1:1", "9:16"):
        assert sizes[ratio] == check["expected"]["crops"][ratio]["even"], ratio


def test_circle_of_confusion_is_the_convention_unless_typed(client: FlaskClient) -> None:
    """43.267 mm / 1500 = 0.028844 mm; a typed one goes before it, a wrong one isn't replaced."""
    found = results(client, **FULL_FRAME, aperture="8", distance_m="3")
    assert found["coc_mm"] == pytest.approx(0.028844, abs=1e-6)
    assert results(client, **FULL_FRAME, coc_mm="0.03")["coc_mm"] == 0.03
    response = client.get("/framing.json", query_string={"v": "1", **FULL_FRAME, "aperture": "8", "coc_mm": "small"})
    assert response.status_code == 422
    assert response.json["results"]["hyperfocal_m"] is None and response.json["results"]["coc_mm"] is None
    assert "diagonal / 1500, a convention" in page(client, **FULL_FRAME, aperture="8", distance_m="3")


def test_subject_by_hand(client: FlaskClient) -> None:
    """At 50 m the picture is 75 m wide: 80 px a metre; a person of 1.7 m is 136 px, 3.4 % of 4000."""
    found = results(client, **FULL_FRAME, distance_m="50", subject_m="1.7")
    assert (found["subject_px"], found["subject_share"]) == pytest.approx((136, 0.034))
    html = page(client, **FULL_FRAME, distance_m="50", subject_m="1.7")
    assert ">75 m wide<" in html and "The subject fills 3 % of the height" in html
    # A mast of 60 m doesn't fit into 50 m.
    html = page(client, **FULL_FRAME, distance_m="50", subject_m="60")
    assert "doesn&#39;t fit: it is 120 %" in html and 'class="figure fails"' in html


def test_ground_by_hand(client: FlaskClient) -> None:
    """10 m up, 30° down, 40° high: rays 50°, 30° and 10° below the horizon; 10 / tan of each."""
    found = results(client, hfov="40", size="1000x1000", camera_m="10", tilt="-30")
    expected = [10 / math.tan(math.radians(angle)) for angle in (50, 30, 10)]
    ground = [found["ground_near_m"], found["ground_middle_m"], found["ground_far_m"]]
    assert ground == pytest.approx(expected)
    assert ground == pytest.approx([8.390996, 17.320508, 56.712818])


def test_ground_with_the_horizon_behind_and_without(client: FlaskClient) -> None:
    square = {"hfov": "40", "size": "1000x1000", "camera_m": "10"}
    level = results(client, **square)
    assert level["ground_near_m"] == pytest.approx(10 / math.tan(math.radians(20)))
    assert level["ground_in_picture"] is True and level["ground_far_m"] is None
    assert "the horizon is in the picture" in page(client, **square)
    down = results(client, **square, tilt="-80")
    assert down["ground_near_m"] == pytest.approx(10 / math.tan(math.radians(100)))
    assert "1.76 m behind" in page(client, **square, tilt="-80")
    up = results(client, **square, tilt="30")
    assert up["ground_in_picture"] is False and up["ground_near_m"] is None
    assert "No level ground is in the picture" in page(client, **square, tilt="30")
    assert results(client, hfov="40", size="1000x1000")["ground_in_picture"] is None


def test_lens_for_a_width_and_the_step_to_it(client: FlaskClient) -> None:
    """36 mm × 10 m / 12 m = 30 mm; without a sensor 2·atan(12 / 20) = 61.93°."""
    found = results(client, **FULL_FRAME, distance_m="10", width_m="12")
    assert found["focal_for_width_mm"] == pytest.approx(30)
    assert "focal_mm=30" in page(client, **FULL_FRAME, distance_m="10", width_m="12")
    assert results(client, **FULL_FRAME | {"focal_mm": "30"}, distance_m="10")["width_m"] == pytest.approx(12)
    found = results(client, hfov="60", size="1920x1080", distance_m="10", width_m="12")
    assert found["focal_for_width_mm"] is None
    assert found["hfov_for_width_deg"] == pytest.approx(61.927513)


def test_ways_to_know_the_view(client: FlaskClient) -> None:
    """2·atan(18 / 24) = 73.7398° by lens and by equivalent on 3:2; a typed angle goes before both."""
    by_lens = results(client, **FULL_FRAME)
    assert by_lens["known_by"] == "focal_mm"
    by_equivalent = results(client, focal_eq_mm="24", size="6000x4000")
    assert by_equivalent["known_by"] == "focal_eq_mm"
    assert by_equivalent["hfov_deg"] == pytest.approx(by_lens["hfov_deg"]) == pytest.approx(73.739795)
    both = ask(client, **FULL_FRAME, hfov="60")
    assert both["results"]["known_by"] == "hfov" and both["results"]["hfov_deg"] == 60
    assert any("Told in more than one way: the typed angle of view" in note for note in both["notes"])
    typed = results(client, **FULL_FRAME, sensor_mm="18x12")
    assert typed["hfov_deg"] == pytest.approx(2 * math.degrees(math.atan(9 / 24)))


def test_only_the_part_of_the_sensor_that_the_picture_uses(client: FlaskClient) -> None:
    """16:9 from 6.17 × 4.55 mm keeps the width: 6.17 × 3.4706 mm. Upright, the sensor stands on its side."""
    lens = {"sensor": "1/2.3in", "focal_mm": "4.5"}
    wide = results(client, **lens, size="1920x1080")
    assert wide["vfov_deg"] == pytest.approx(2 * math.degrees(math.atan(6.17 * 9 / 16 / 9)))
    upright = ask(client, **lens, size="1080x1920")
    assert upright["results"]["vfov_deg"] == pytest.approx(wide["hfov_deg"])
    assert any("turned upright" in note for note in upright["notes"])


@pytest.mark.parametrize(
    ("query", "needs"),
    [
        ({}, ["sensor", "focal_mm", "distance_m"]),
        ({"focal_mm": "4"}, ["sensor", "distance_m"]),
        ({"hfov": "60"}, ["size", "distance_m"]),
        ({"focal_eq_mm": "28", "distance_m": "5"}, ["size"]),
        ({**FULL_FRAME}, ["distance_m"]),
        ({**FULL_FRAME, "distance_m": "5"}, []),
    ],
)
def test_blanks_are_asked_for(client: FlaskClient, query: dict[str, str], needs: list[str]) -> None:
    found = ask(client, **query)
    assert found["needs"] == needs
    if "distance_m" in needs:
        assert found["results"]["width_m"] is None and found["results"]["px_per_m"] is None


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("sensor", "huge", "Sensor must be one of 1/3in"),
        ("sensor_mm", "5.6", "Sensor sides must be width x height in millimetres"),
        ("sensor_mm", "0.1x3", "each side must be between 0.5 and 200 mm"),
        ("focal_mm", "0", "Focal length must be between 0.1 and 5000 mm"),
        ("hfov", "180", "Angle of view must be between 0.05 and 179"),
        ("distance_m", "near", "Distance must be a number"),
        ("tilt", "-91", "Tilt must be between -90 and 90"),
        ("aperture", "f/", "Aperture must be a number"),
    ],
)
def test_wrong_input_is_said_and_nothing_is_worked_out_around_it(
    client: FlaskClient, name: str, text: str, sentence: str
) -> None:
    query = {"v": "1", **FULL_FRAME, "distance_m": "5", "camera_m": "5", "aperture": "8", name: text}
    response = client.get("/framing.json", query_string=query)
    assert response.status_code == 422
    assert sentence in response.json["errors"][name]
    found = response.json["results"]
    gone = {"tilt": "ground_near_m", "aperture": "near_m"}.get(name, "width_m")
    assert found[gone] is None
    assert sentence in client.get("/framing", query_string=query).get_data(as_text=True)


def test_too_near_to_focus(client: FlaskClient) -> None:
    found = ask(client, **FULL_FRAME, aperture="8", distance_m="0.02")
    assert found["results"]["near_m"] is None and found["results"]["hyperfocal_m"] is not None
    assert any("nearer than its focal length" in note for note in found["notes"])


def test_sharpness_needs_the_sensor(client: FlaskClient) -> None:
    found = ask(client, hfov="60", size="1920x1080", distance_m="5", aperture="8")
    assert found["results"]["hyperfocal_m"] is None
    assert "What is sharp needs the sensor too." in found["notes"]


def test_picture_table_and_cautions(client: FlaskClient) -> None:
    html = page(client, **FULL_FRAME, distance_m="10", camera_m="6")
    assert html.count("<text ") == 4 and "<svg" in html
    assert "6000×3374" in html and "2250×4000" in html
    assert "Ladder" in html and "use licensed people where the law asks for them" in html
    # A crop that keeps the whole picture is its frame.
    assert page(client, **FULL_FRAME | {"size": "1920x1080"}, distance_m="10").count("<text ") == 3


def test_feet_for_those_who_use_them(client: FlaskClient) -> None:
    """10 m are 32.8 ft, 15 m 49.2 ft (a foot is 0.3048 m); 400 px a metre are 121.92 px a foot. Data stays metric."""
    query = {**FULL_FRAME, "distance_m": "10", "units": "imperial"}
    html = page(client, **query)
    assert ">49.2 ft wide<" in html and "covered at 32.8 ft" in html
    assert "122 px/ft" in html and "Feet" in html and "Metres" not in html
    assert results(client, **query)["width_m"] == pytest.approx(15)


@pytest.mark.parametrize(
    ("seconds", "exposure", "brief"),
    [
        (Fraction(1, 50), "1/50 s", "0.02 s"),
        (0.0123, "≈1/81 s", "≈0.012 s"),
        (Fraction(1, 3), "≈0.33 s", "≈0.33 s"),
        (0.5, "0.5 s", "0.5 s"),
        (2, "2 s", "2 s"),
        (90, "1 min 30 s", "1 min 30 s"),
        (0, "0 s", "0 s"),
        (None, "not known", "not known"),
    ],
)
def test_short_times_in_words(seconds: Any, exposure: str, brief: str) -> None:
    say = Say()
    assert say.exposure(seconds).replace("\u00a0", " ") == exposure
    assert say.brief(seconds).replace("\u00a0", " ") == brief


def test_angles_in_words() -> None:
    say = Say()
    assert [say.degrees(angle) for angle in (69.984, -12.25, 0.0234, 0)] == ["70°", "−12.3°", "0.023°", "0°"]


TILTED = {"hfov": "60", "size": "4000x3000", "distance_m": "16.9706", "tilt": "-45", "camera_m": "12"}


def test_a_tilted_camera_sees_an_upright_subject_shorter(client: FlaskClient) -> None:
    """By projection 281 px (``tests/calc/test_framing.py``); straight ahead 1.8 m are 367 px."""
    found = results(client, **TILTED, subject_m="1.8")
    assert found["subject_px"] == pytest.approx(280.9, abs=0.05)
    assert found["subject_share"] == pytest.approx(280.9 / 3000, abs=1e-4)
    assert found["subject_in_picture"] is True
    # Level from 12 m up, half the picture's height is 8.7 m at 20 m: who stands there isn't seen.
    level = {**TILTED, "tilt": "", "distance_m": "20", "subject_m": "1.8"}
    assert results(client, **level)["subject_in_picture"] is False
    assert "part of it is outside the picture" in page(client, **level)
    behind = {**TILTED, "tilt": "-80", "distance_m": "12", "subject_m": "13"}
    assert ask(client, **behind)["results"]["subject_px"] is None
    assert "would reach behind the camera" in page(client, **behind)


def test_straight_down_the_middle_is_the_foot(client: FlaskClient) -> None:
    assert results(client, **{**TILTED, "tilt": "-90"})["ground_middle_m"] == 0
    assert "e-" not in page(client, **{**TILTED, "tilt": "-90"}).partition("<h2>Level ground")[2][:400]


def test_what_is_wrong_is_asked_for_and_nothing_instead(client: FlaskClient) -> None:
    """A wrong angle of view asks for no sensor; a far thing nearer than the near one is refused; limits are plain."""

    def wrong(page_name: str, **query: str) -> dict[str, Any]:
        return client.get(f"/{page_name}.json", query_string={"v": "1", **query}).get_json()

    assert wrong("framing", hfov="wide", size="4000x3000", distance_m="10")["needs"] == ["hfov"]
    near = wrong("remount", hfov="60", size="4000x3000", shift_mm="5", near_m="30", far_m="20")
    assert list(near["errors"]) == ["far_m"] and near["results"]["parallax_px"] is None
    assert wrong("motion", speed="-1")["errors"]["speed"] == "Speed must be between 0 and 100000 m/s"


def test_few_lenses_are_rectilinear_beyond_100_degrees(client: FlaskClient) -> None:
    """Common practice, no source."""
    beyond, within = (page(client, hfov=hfov, size="4000x3000", distance_m="10") for hfov in ("101", "100"))
    assert "Beyond 100° few lenses" in beyond and "Beyond 100° few lenses" not in within
