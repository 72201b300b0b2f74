"""Movement, intervals and exposure, as the page and its data say them.

Values are those of ``tests/data/optics_motion.json``, where each has its source (MUTCD walking speed, published density
table seen; pinhole geometry and arithmetic computed), and cases worked by hand. Usual intervals are common practice
and have no source.
"""

from __future__ import annotations

import json
import math
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.quantities import QUANTITIES

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "optics_motion.json").read_text())["checks"]
#: 90° across at 10 m covers 20 m: 96 px a metre in 1920 px.
SQUARE = {"hfov": "90", "size": "1920x1080", "distance_m": "10", "fps": "24"}
#: Three days of ten hours.
SHOOT = {"first": "2027-03-01", "last": "2027-03-03", "from": "08:00", "until": "18:00", "days": "1234567"}


def ask(client: FlaskClient, **query: Any) -> dict[str, Any]:
    """Return the data for a query that carries a version: blanks are blanks."""
    response = client.get("/motion.json", query_string={"v": "1", **query})
    assert response.status_code == 200, response.json["errors"]
    return response.json


def results(client: FlaskClient, **query: Any) -> dict[str, Any]:
    return ask(client, **query)["results"]


def page(client: FlaskClient, **query: Any) -> str:
    return client.get("/motion", query_string={"v": "1", **query}).get_data(as_text=True).replace("\u00a0", " ")


def having(pattern: str, least: int) -> Any:
    found = [check for check in CHECKS if re.match(pattern, check["id"])]
    assert len(found) >= least, pattern
    return pytest.mark.parametrize("check", found, ids=lambda check: check["id"])


@having("motion_", 7)
def test_steps_crossing_and_blur(client: FlaskClient, check: dict[str, Any]) -> None:
    inputs = check["inputs"]
    found = results(
        client,
        speed=str(inputs["v_mps"]),
        distance_m=str(inputs["D_m"]),
        hfov=str(inputs["hfov"]),
        size=f"{inputs['width_px']}x1080",
        interval=f"{inputs['interval_s']}s",
        fps=str(inputs["fps"]),
        shutter=str(inputs["exposure_s"]),
    )
    keys = ["px_per_interval", "crossing_frames", "crossing_clip_s", "blur_px", "shutter_angle_deg"]
    _px_per_m, step_px, _percent, frames, clip_s, blur_px, angle_deg = check["expected"]
    expected = [step_px, frames, clip_s, blur_px, angle_deg]
    assert [found[key] for key in keys] == pytest.approx(expected, abs=check["tol"])
    # The rule by its own words: at the largest interval the crossing takes 20 frames.
    assert found["largest_interval_s"] == pytest.approx(inputs["interval_s"] * frames / 20, rel=1e-4)


@having("star_", 4)
def test_stars_need_no_distance(client: FlaskClient, check: dict[str, Any]) -> None:
    inputs = check["inputs"]
    data = ask(client, kind="stars", hfov=str(inputs["hfov"]), size=f"{inputs['px']}x1080", interval="1s")
    assert data["needs"] == []
    assert data["results"]["px_per_interval"] == pytest.approx(check["expected"][0], abs=check["tol"])
    assert "celestial equator" in page(client, kind="stars", hfov="60", size="1920x1080", interval="1s")


@having(r"nd_\d", 12)
def test_neutral_density(client: FlaskClient, check: dict[str, Any]) -> None:
    """Metered 0.1 s, wanted that times the check's exact factor: the page's need is the check's density again."""
    density = check["inputs"]["density"]
    stops, nominal_stops, _share, factor = check["expected"]
    found = results(client, shutter="0.1s", interval=f"{2 * 0.1 * factor:.6f}s")
    assert found["nd_stops"] == pytest.approx(stops, abs=1e-4)
    assert found["nd_density"] == pytest.approx(density, abs=1e-4)
    # As filters are sold, 0.3 a stop; whole stops only, up to a tenth too dark.
    assert found["nd_nominal_density"] == pytest.approx(0.3 * stops, abs=1e-4)
    assert found["nd_filter_stops"] == math.floor(nominal_stops + 0.05)
    assert found["nd_filter_density"] == pytest.approx(0.3 * found["nd_filter_stops"])


@having("tl180_", 5)
def test_half_of_the_interval_unless_another_share_is_wanted(client: FlaskClient, check: dict[str, Any]) -> None:
    interval = f"{check['inputs']['interval_s']}s"
    assert results(client, interval=interval)["exposure_wanted_s"] == check["expected"]
    assert results(client, interval=interval, exposed="25")["exposure_wanted_s"] == check["expected"] / 2


def test_filter_by_hand(client: FlaskClient) -> None:
    """1/50 s metered, 1 s wanted: ×50 is 5.644 stops, density 1.699; 5 stops sold as 1.5 leave 32 / 50 = 0.64 s."""
    found = results(client, shutter="1/50", interval="2s")
    assert (found["nd_stops"], found["nd_density"]) == pytest.approx((5.643856, 1.698970), abs=1e-6)
    assert (found["nd_filter_stops"], found["nd_filter_density"]) == (5, pytest.approx(1.5))
    assert found["nd_filter_exposure_s"] == pytest.approx(0.64)
    html = page(client, shutter="1/50", interval="2s")
    assert "5 stops (density 1.5)" in html and "1.7 exactly, 1.69 at 0.3 a stop" in html
    assert "Never look at the sun" in html


def test_exposure_that_is_long_already(client: FlaskClient) -> None:
    """4 s metered, 1 s wanted: light is there for 2 stops more than wanted, no filter; and 4 s don't fit into 2 s."""
    found = results(client, shutter="4s", interval="2s")
    assert found["nd_stops"] == pytest.approx(-2)
    assert found["nd_filter_stops"] == 0
    html = page(client, shutter="4s", interval="2s")
    assert "light is short of it by 2 stops" in html and "frames will be missing" in html


def test_rule_can_be_adjusted(client: FlaskClient) -> None:
    """1 m/s is 96 px/s: 20 s to cross 1920 px; a twentieth of that is 1 s, a tenth 2 s."""
    found = results(client, **SQUARE, speed="1", interval="1s")
    assert found["largest_interval_s"] == pytest.approx(1) and found["reads_as_movement"] is True
    assert results(client, **SQUARE, speed="1", across="10")["largest_interval_s"] == pytest.approx(2)
    assert "this project’s choice" in page(client, **SQUARE, speed="1", interval="1s")
    assert "this project’s choice" not in page(client, **SQUARE, speed="1", interval="1s", across="20")


def test_direction(client: FlaskClient) -> None:
    """60° from the picture plane halves the step; straight at the camera nothing moves across."""
    assert results(client, **SQUARE, speed="1", interval="1s", direction="60")["px_per_interval"] == pytest.approx(48)
    along = results(client, **SQUARE, speed="1", interval="1s", direction="90")
    assert along["px_per_interval"] == 0 and along["crossing_frames"] is None and along["largest_interval_s"] is None
    assert "Nothing moves across the picture" in page(client, **SQUARE, speed="1", interval="1s", direction="90")


def test_verdicts_by_the_fast_and_the_slow_end(client: FlaskClient) -> None:
    """People walk 0.9144 to 1.2192 m/s (3 to 4 ft/s): 20 m take 16.4 to 21.9 s, a twentieth is 0.82 to 1.09 s."""
    found = results(client, **SQUARE, kind="people", interval="1s")
    largest = found["largest_interval_s_range"]
    assert (largest["low"], largest["high"]) == pytest.approx((1 / 1.2192, 1 / 0.9144))
    assert found["px_per_interval_range"]["high"] == pytest.approx(96 * 1.2192)
    assert found["reads_as_movement"] is False
    assert ">Perhaps<" in page(client, **SQUARE, kind="people", interval="1s")
    assert ">It flows<" in page(client, **SQUARE, kind="people", interval="0.8s")
    assert ">It jumps<" in page(client, **SQUARE, kind="people", interval="2s")
    # Without an interval the longest is said for the fast end.
    assert "≈0.82 s" in page(client, **SQUARE, kind="people")


def test_typed_speed_goes_before_the_kind(client: FlaskClient) -> None:
    found = results(client, **SQUARE, kind="traffic", speed="36 km/h", interval="1s")
    assert found["speed_m_s"] == 10 and found["px_per_interval"] == pytest.approx(960)
    assert found["speed_m_s_range"] == {"low": 10, "expected": 10, "high": 10}


def test_clip_and_kind_in_conflict(client: FlaskClient) -> None:
    """30 h for 60 s at 24 fps: 108 000 s / 1440 = 75 s, settable 60 s; 60 / 3 = 20 times longer than people take."""
    query = {**SQUARE, **SHOOT, "kind": "people", "clip": "60s"}
    found = results(client, **query)
    assert found["clip_interval_s"] == 60
    assert (found["clip_against_usual"], found["clip_against_usual_factor"]) == ("longer", pytest.approx(20))
    assert found["usual_interval_s"] == {"low": 1, "expected": 2, "high": 3}
    html = page(client, **query, interval="60s")
    assert "The clip asks for 1 min, 20 times longer than fits: 1 s to 3 s is usual for people walking" in html
    assert "common practice, no source" in html
    # Each interval but the present one is one tap away.
    assert "interval=2s" in html and 'value="interval=1min"' not in html and "value=interval=1min" not in html
    other = page(client, **query, interval="2s")
    assert "interval=1min" in other
    # At 2 s three days of ten hours are 54 000 frames, 37 min 30 s at 24 fps.
    assert "37 min 30 s" in html


def test_clip_that_agrees_and_clip_that_asks_for_less(client: FlaskClient) -> None:
    agreeing = results(client, **SQUARE, **SHOOT, kind="tide", clip="60s")
    assert agreeing["clip_against_usual"] == "within" and agreeing["clip_against_usual_factor"] == 1
    shorter = results(client, **SQUARE, **SHOOT, kind="site_machines", clip="60s")
    assert (shorter["clip_against_usual"], shorter["clip_against_usual_factor"]) == ("shorter", pytest.approx(5))
    assert "5 times shorter than needed" in page(client, **SQUARE, **SHOOT, kind="site_machines", clip="60s")


@pytest.mark.parametrize(
    ("query", "needs"),
    [
        ({}, ["kind", "distance_m", "sensor", "focal_mm", "size", "interval"]),
        ({"kind": "stars"}, ["sensor", "focal_mm", "size", "interval"]),
        ({"speed": "1", "hfov": "60"}, ["distance_m", "size", "interval"]),
        ({**SQUARE, "speed": "1"}, ["interval"]),
        ({**SQUARE, "speed": "1", "interval": "5s"}, []),
    ],
)
def test_blanks_are_asked_for(client: FlaskClient, query: dict[str, str], needs: list[str]) -> None:
    found = ask(client, **query)
    assert found["needs"] == needs
    if "interval" in needs:
        assert found["results"]["px_per_interval"] is None and found["results"]["nd_stops"] is None


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("kind", "birds", "What moves must be one of traffic"),
        ("speed", "fast", "Speed must be a number"),
        ("direction", "91", "Direction must be between 0 and 90"),
        ("across", "1", "Frames to cross it must be between 2 and 1000"),
        ("interval", "soon", "Interval must be a length of time"),
        ("distance_m", "0", "Distance must be between 0.01 and 100000 m"),
        ("hfov", "200", "Angle of view must be between"),
    ],
)
def test_wrong_input_is_said_and_nothing_is_worked_out_around_it(
    client: FlaskClient, name: str, text: str, sentence: str
) -> None:
    query = {"v": "1", **SQUARE, "kind": "people", "interval": "1s", name: text}
    response = client.get("/motion.json", query_string=query)
    assert response.status_code == 422
    assert sentence in response.json["errors"][name]
    found = response.json["results"]
    # What rests on it is unknown; what doesn't stays.
    assert (found["px_per_interval"] is None) == (name != "across")
    assert (found["largest_interval_s"] is None) == (name != "interval")
    assert (found["speed_m_s"] is None) == (name in ("kind", "speed"))
    assert found["reads_as_movement"] is None
    assert sentence in client.get("/motion", query_string=query).get_data(as_text=True)


def test_wrong_exposure_leaves_the_steps(client: FlaskClient) -> None:
    query = {"v": "1", **SQUARE, "speed": "1", "interval": "1s", "shutter": "1/0"}
    response = client.get("/motion.json", query_string=query)
    assert response.status_code == 422
    assert "Exposure must be an exposure time, like 1/50" in response.json["errors"]["shutter"]
    assert response.json["results"]["px_per_interval"] == pytest.approx(96)
    assert response.json["results"]["blur_px"] is None


@pytest.mark.parametrize(
    ("name", "text", "value", "written"),
    [
        ("shutter", "1/50", Fraction(1, 50), "1/50"),
        ("shutter", "0.5s", Fraction(1, 2), "1/2"),
        ("shutter", '2"', Fraction(2), "2s"),
        ("shutter", "1/1.3", Fraction(10, 13), "10/13"),
        ("shutter", "1/2.5 s", Fraction(2, 5), "0.4s"),
        ("shutter", "90", Fraction(90), "90s"),
        ("aperture", "f/2,8", 2.8, "2.8"),
        ("aperture", "F 8", 8, "8"),
        ("sensor_mm", "5.60 × 3,15 mm", (5.6, 3.15), "5.6x3.15"),
        ("speed", "50 km/h", 50 / 3.6, "13.888888888889"),
        ("speed", "10 mm/day", 0.01 / 86_400, "0.000000115741"),
    ],
)
def test_ways_to_write(name: str, text: str, value: Any, written: str) -> None:
    quantity = QUANTITIES[name]
    found = quantity.read(text)
    shown = [float(part) for part in (found if isinstance(found, tuple) else (found,))]
    assert shown == pytest.approx([float(part) for part in (value if isinstance(value, tuple) else (value,))], rel=1e-5)
    assert quantity.write(found) == written
    assert quantity.read(written) == found


@pytest.mark.parametrize(
    ("name", "text"),
    [("shutter", "1/64000"), ("shutter", "1/"), ("speed", "4 knots"), ("speed", "-1"), ("aperture", "f")],
)
def test_ways_that_are_refused(name: str, text: str) -> None:
    with pytest.raises(BadInput, match=QUANTITIES[name].label):
        QUANTITIES[name].read(text)


MOVING = "v=1&size=3840x2160&hfov=60&distance_m=50&speed=1&fps=25"


def test_the_motion_itself_moves_as_it_will(client: FlaskClient) -> None:
    """One step of the picture is one frame's step, in the picture's own units; it lasts as long as on screen."""
    found = client.get(f"/motion.json?{MOVING}&interval=2s").get_json()["results"]
    page = client.get(f"/motion?{MOVING}&interval=2s").get_data(as_text=True)
    values, lasts = (re.search(rf'{name}="?([\d.;]+)', page)[1] for name in ("values", "dur"))
    steps = [float(value) for value in values.split(";")]
    assert steps[1] / 320 == pytest.approx(found["px_per_interval"] / 3840, rel=1e-3)
    assert len(steps) == math.ceil(found["crossing_frames"])
    assert float(lasts) == pytest.approx(len(steps) / 25, rel=1e-3)


@pytest.mark.parametrize("interval", ["10min", ""])
def test_nothing_moves_where_nothing_is_seen_to(client: FlaskClient, interval: str) -> None:
    assert "The motion itself" not in client.get(f"/motion?{MOVING}&interval={interval}").get_data(as_text=True)


#: 60° across 3840 px; 1 px at 50 m is 15 mm.
YEAR = {"first": "2027-03-01", "last": "2027-12-31", "from": "08:00", "until": "17:00", "days": "12345", "fps": "25"}
LENS = {"hfov": "60", "size": "3840x2160"}


def test_machines_jump_as_usual_at_any_usual_distance(client: FlaskClient) -> None:
    """Every 5 to 30 min at 50 to 400 m they jump by the rule of 20 frames, and that is usual (common practice)."""
    for distance in ("50", "400", ""):
        for interval in ("5min", "30min"):
            found = results(client, **LENS, fps="25", kind="site_machines", interval=interval, distance_m=distance)
            assert found["reads_as_movement"] is False
            assert found["jumps_as_usual"] is (found["pace"] == "jumps")
    query = {**LENS, "fps": "25", "kind": "site_machines", "interval": "10min", "distance_m": "100"}
    assert results(client, **query)["jumps_as_usual"] is True
    assert "single movements aren’t followed, which is usual for machines on a site" in page(client, **query)
    assert "is too long to read as movement" in page(client, **{**query, "interval": "2h"})


def test_too_slow_to_see(client: FlaskClient) -> None:
    """A 1920 px picture of 20 m: 96 px a metre. 10 mm/h at 25 fps, every 10 s: 0.0067 px a second of the clip.

    Seen from 2 px a second on (1/960 of the width): 2 / 25 / 0.000267 px a second = 300 s.
    """
    slow = {**SQUARE, "fps": "25", "speed": "10 mm/h"}
    found = results(client, **slow, interval="10s")
    assert found["pace"] == "too_slow"
    assert found["smallest_interval_s"] == pytest.approx(2 / 25 / (0.010 / 3600 * 96))
    html = page(client, **slow, interval="10s")
    assert "Too slow to see" in html and "from ≈5 min on" in html and "240 mm a day" in html
    assert results(client, **slow, interval="5min")["pace"] == "flows"
    # Twenty frames across 1920 px are 96 px a step: a metre, or ten hours at ten times the speed.
    faster = {**slow, "speed": "100 mm/h"}
    assert [results(client, **faster, interval=f"{hours}h")["pace"] for hours in (9, 11)] == ["flows", "jumps"]
    assert results(client, **SQUARE, speed="0", interval="1s")["pace"] is None


def test_progress_is_judged_over_the_whole_clip(client: FlaskClient) -> None:
    """A building that grows 25 cm a day, 100 m away, from 1 March 8:00 to 31 December 17:00 2027: 305.375 days.

    At 3840 px for 115.47 m it makes 33.256 px a metre, so 2539 px in all; the picture's width is 3840.
    """
    query = {**LENS, **YEAR, "kind": "building", "distance_m": "100", "interval": "1h"}
    found = results(client, **query)
    assert found["px_in_clip"] == pytest.approx(305.375 * 0.25 * 3840 / (200 * math.tan(math.radians(30))), rel=1e-6)
    assert found["px_in_clip_range"]["high"] == pytest.approx(2 * found["px_in_clip"])
    # 219 weekdays of 9 frames are a clip of 79 s: 32 px a second, 4 are enough to be seen.
    assert found["pace"] == "flows"
    html = page(client, **query)
    assert re.search("In the whole clip of ≈.{5,14} it moves 2539 px", html) and "Crosses in" not in html
    # Every 10 s it is a clip of eight hours.
    assert results(client, **{**query, "interval": "10s"})["pace"] == "too_slow"
    blank = ask(client, **LENS, kind="plants", distance_m="1", interval="5min", fps="25")
    assert blank["results"]["pace"] is None and {"first", "last"} <= set(blank["needs"])


def test_an_unknown_distance_gives_a_range(client: FlaskClient) -> None:
    """People 5 to 80 m away: slow ones far, fast ones near; a kind says so much, a speed alone doesn't."""
    found = results(client, **LENS, kind="people", interval="1s", fps="25")
    assert found["distance_m_range"] == {"low": 5, "expected": 20, "high": 80}
    px_m = 3840 / (2 * math.tan(math.radians(30)))
    ends = [found["px_per_interval_range"][end] for end in ("low", "high")]
    assert ends == pytest.approx([0.9144 * px_m / 80, 1.2192 * px_m / 5])
    assert "No distance was typed: 5 m to 80 m is taken" in page(client, **LENS, kind="people", interval="1s", fps="25")
    assert "distance_m" in ask(client, **LENS, speed="1", interval="1s")["needs"]
    # Nothing is drawn that rests on a guess.
    assert "The motion itself" not in page(client, **LENS, kind="people", interval="1s", fps="25")


def test_no_exposure_of_minutes_is_proposed_by_day(client: FlaskClient) -> None:
    """Half of 10 min is for the dark, or for who asks for it; 10 stops over 1/100 s are 10 s (common practice)."""
    day = {**SQUARE, "kind": "site_machines", "interval": "10min", "shutter": "1/100"}
    assert results(client, **day)["exposure_proposed_s"] is None
    html = page(client, **day)
    assert "as metered" in html and "Neutral density" not in html
    for more in ({"exposed": "50"}, {"shutter": "1s"}, {"kind": "stars"}):
        assert results(client, **{**day, **more})["exposure_proposed_s"] == 300
    assert results(client, **{**day, "interval": "20s"})["exposure_proposed_s"] == 10
