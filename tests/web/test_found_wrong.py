"""What the first version got wrong, each as a test: verdicts safer than what was known, and figures that disagreed."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import parse_qsl, urlencode

import pytest
from examples import FULL
from flask.testing import FlaskClient
from laws import REASSURING, plain_words

#: A night shoot in June, invented; the sun is up for the last hour or so of dusk and from dawn on.
NIGHT = (
    "v=1&lat=40.4167&lon=-3.7033&tz=Europe/Madrid&first=2026-06-10&last=2026-06-20&from=20:00&until=08:00"
    "&days=1234567&interval=60s&light=sun"
)


def data(client: FlaskClient, page: str, query: str) -> dict[str, Any]:
    return client.get(f"/{page}.json", query_string=query).get_json()


def words(client: FlaskClient, path: str, query: str) -> str:
    return plain_words(client.get(path, query_string=query).get_data(as_text=True))


def headline(client: FlaskClient, page: str, query: str) -> str:
    source = client.get(f"/{page}", query_string=query).get_data(as_text=True)
    return plain_words(re.search(r'(?s)<div id="?answer"?[^>]*>(.*?)</div>', source)[1])


def query(**changes: str | None) -> str:
    """Return the example's query with changes (``from_`` stands for ``from``); None takes a quantity out."""
    changed = {name.rstrip("_"): text for name, text in changes.items()}
    return urlencode({name: text for name, text in {**FULL, **changed}.items() if text is not None})


# -- light --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hours", [("20:00", "08:00"), ("12:00", "12:00")])
def test_a_night_is_not_all_in_the_light(client: FlaskClient, hours: tuple[str, str]) -> None:
    night = urlencode({**dict(parse_qsl(NIGHT)), "from": hours[0], "until": hours[1]})
    counted = data(client, "daylight", night)["results"]
    assert 0 < counted["light_frames"] < counted["frames"] == 11 * (720 if hours[0] != hours[1] else 1440)
    for page in ("daylight", "plan", "visits", "sheet"):
        assert not re.search(r"all in the light|light on every day", words(client, f"/{page}", night), re.IGNORECASE)
    assert data(client, "plan", night)["verdict"]["parts"]["light"] == "doubtful"


def test_the_picture_tells_the_night_from_the_day(client: FlaskClient) -> None:
    day = NIGHT.replace("from=20:00&until=08:00", "from=08:00&until=20:00")
    night_svg, day_svg = (
        re.search(r"(?s)<svg.*?</svg>", client.get("/daylight", query_string=each).get_data(as_text=True))[0]
        for each in (NIGHT, day)
    )
    assert night_svg != day_svg
    clocks = r"20:00.{0,30}08:00"
    assert re.search(clocks, words(client, "/daylight", NIGHT)) and not re.search(
        clocks, words(client, "/daylight", day)
    )


def test_a_sunset_past_midnight_has_no_range_of_a_whole_day(client: FlaskClient) -> None:
    iceland = (
        "v=1&lat=64.15&lon=-21.94&tz=Atlantic/Reykjavik&first=2027-06-01&last=2027-06-30&from=08:00&until=18:00"
        "&days=1234567&interval=5min&light=sun"
    )
    assert not re.search(r"00:0\d ?– ?23:5\d", words(client, "/daylight", iceland))


def test_polar_night_fails_on_light(client: FlaskClient) -> None:
    """Tromsø has no sunrise from late November to mid January (almanacs; from memory)."""
    tromso = query(lat="69.65", lon="18.95", tz="Europe/Oslo", first="2027-12-05", last="2027-12-20", skip=None)
    verdict = data(client, "plan", tromso)["verdict"]
    assert verdict["parts"]["light"] == verdict["state"] == "fails"
    assert "in the dark" in headline(client, "plan", tromso)


# -- what isn't known, what isn't recorded, what contradicts itself -----------------------------------------------


@pytest.mark.parametrize("path", ["/visits", "/plan", "/sheet", "/sheet.txt", "/sheet.html", "/call", "/check"])
def test_an_unknown_battery_is_no_reason_to_stay_at_home(client: FlaskClient, path: str) -> None:
    said = words(client, path, query(battery_wh=None))
    assert not REASSURING.search(said), said
    assert not re.search(r"Next visit in \d+ days", said)
    assert re.search(r"(?i)not known.*battery", said)


@pytest.mark.parametrize("page", ["plan", "battery", "storage", "clip", "visits", "check", "call", "sheet", "interval"])
def test_nothing_holds_where_every_day_is_left_out(client: FlaskClient, page: str) -> None:
    none = query(skip="2027-03-01/2027-08-31")
    said = headline(client, page, none)
    assert "every day is left out" in said and not re.search(r"So far, yes|It lasts|\blasts\b|It holds", said)
    assert data(client, page, none)["verdict"]["parts"]["recording"] == "fails"


def test_a_clip_far_too_long_is_told_first(client: FlaskClient) -> None:
    """130 days of ten hours, a frame each minute, at 80 % and 30 fps: 34 min 40 s for 2 min."""
    long = query(interval="60s")
    assert data(client, "clip", long)["results"]["clip_s"] == 130 * 600 * 0.8 / 30
    for page in ("plan", "clip"):
        assert re.search(r"not 2 min\. Every 15 min mends it", headline(client, page, long))


def test_a_contradiction_takes_the_promise_back(client: FlaskClient) -> None:
    """A mean current of 0.5 A at 12 V is 6 W, against 45 mW by the draws."""
    twice = query(standby_mw="45", frame_j="0", draw_ma="500", draw_v="12", battery_wh="1000")
    assert data(client, "battery", twice)["verdict"]["parts"]["battery"] == "unknown"
    said = headline(client, "battery", twice)
    assert "It lasts" not in said and "contradict" in said.lower()


@pytest.mark.parametrize("interval", ["", "zz"])
def test_motion_alone_tells_nothing_of_the_card(client: FlaskClient, interval: str) -> None:
    found = data(client, "plan", query(motion="900", interval=interval, clip=None, battery_wh=None))
    assert found["results"]["first_to_run_out"] == {"what": None, "at": None}
    assert found["verdict"]["parts"]["card"] == "unknown"


def test_frames_are_not_counted_beside_an_error(client: FlaskClient) -> None:
    spoiled = query(stills="zz", interval="60s")
    found = data(client, "clip", spoiled)
    assert found["results"]["frames"] is None and "stills" in found["errors"]
    assert not REASSURING.search(headline(client, "plan", spoiled))
    assert data(client, "plan", spoiled)["verdict"]["parts"]["clip"] == "unknown"


# -- what was asked without a question ----------------------------------------------------------------------------


@pytest.mark.parametrize("page", ["plan", "daylight", "clip", "battery", "visits"])
def test_over_midnight_is_said_with_a_way_to_swap(client: FlaskClient, page: str) -> None:
    swapped = query(from_="18:00", until="08:00")
    said = headline(client, page, swapped)
    assert "Over midnight" in said and "Swap" in said
    assert "Over midnight" not in headline(client, page, query())


def test_the_interval_is_the_longest_that_works(client: FlaskClient) -> None:
    """By counting: a frame at each begun interval of every window."""
    weekdays = "v=1&first=2027-10-25&last=2029-10-23&days=12345&fps=23.976&kept=66.6&from=00:00&until=04:07&clip=3min"
    assert data(client, "interval", weekdays)["results"]["interval_s"] == 20 * 60
    year = "v=1&first=2027-01-01&last=2027-12-31&days=1234567&fps=30&from=08:00&until=18:00&clip=12s&settable=24h"
    assert data(client, "interval", year)["results"]["interval_s"] == 24 * 3600


def test_one_shoot_takes_one_card(client: FlaskClient) -> None:
    shoot = (
        "v=1&first=2027-01-04&last=2027-01-20&frame_mb=0.14&interval=1min&clip=5min&fps=30&from=08:00&until=18:00"
        "&days=1234567"
    )
    needed = data(client, "storage", shoot)["results"]["needed_bytes"]
    (row,) = [one for one in data(client, "interval", shoot)["results"]["choices"] if one["interval_s"] == 60]
    assert row["card_bytes"] == needed


def test_framing_answers_its_four_front_fields(client: FlaskClient) -> None:
    front = "v=1&sensor=1/2.8in&focal_mm=4&distance_m=40&subject_m=6"
    said = words(client, "/framing", front)
    assert re.search(r"Subject", said)
    found = data(client, "framing", front)
    assert found["needs"] == ["size"] or found["results"]["subject_share"] is not None


# -- words --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/solar", "/visits", "/sheet", "/sheet.txt", "/sheet.html", "/battery"])
def test_a_reader_of_fahrenheit_reads_no_celsius(client: FlaskClient, path: str) -> None:
    warm = query(units="imperial", panel_w="5", panel_tilt="50", sky="mixed")
    source = client.get(path, query_string=warm).get_data(as_text=True)
    said = plain_words(re.sub(r"(?s)<(form|option|select|label)\b.*?</\1>", " ", source))
    assert not re.search(r"\d ?°C", said), re.search(r".{40}\d ?°C", said)
