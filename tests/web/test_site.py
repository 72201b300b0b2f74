"""The one place field: towns, pairs of coordinates in people's writings, and the zone of the place."""

from __future__ import annotations

import csv
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from webcalc.web.link.inputs import Inputs, read_inputs
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.places.towns import meant, towns_called
from webcalc.web.places.zones import Stretch, belongs, same_rules, zones_near

LYON = (Decimal("45.76"), Decimal("4.84"))
SITE = QUANTITIES["site"]
DURING = Stretch(date(2027, 1, 1), date(2027, 12, 31))


def asked(**texts: str) -> Inputs:
    return read_inputs(texts.items(), date(2027, 3, 2))


@pytest.mark.parametrize(
    "text",
    [
        "45.76, 4.84",
        "45.76 4.84",
        "45,76 4,84",
        "45,76; 4,84",
        "45,76,4,84",
        "(45.7600000000000001, 4.84)",
        "Lat: 45.76 Long: 4.84",
        "45°45'36\"N 4°50'24\"E",
        "45° 45’ 36,0” N, 4° 50’ 24,0” E",
        "45º45′36″N4˚50′24″E",
        "4°50.4'E 45°45.6'N",
        "N 45 45 36 E 4 50 24",
        "45d45m36s N 4d50m24s E",
        "45:45:36 4:50:24",
        # RFC 5870, with the tails that programs append.
        "geo:45.76,4.84",
        "geo:45.76,4.84,170;crs=wgs84;u=35?z=15",
        "GEO:0,0?q=45.76,4.84(a name)",
        # Addresses from anywhere: invented hosts.
        "https://maps.example/place/@45.7600,4.8400,15z",
        "https://map.example/#map=15/45.7600/4.8400",
        "https://map.example/?mlat=45.76&mlon=4.84&layers=x",
        "https://map.example/?q=45.7600%2C4.8400",
    ],
)
def test_a_pair_in_any_usual_writing(text: str) -> None:
    spot = SITE.read(text)
    assert (spot.latitude_deg, spot.longitude_deg, spot.name) == (*LYON, "")


@pytest.mark.parametrize("text", ["–33.45, –70.66", "33.45 S, 70.66 W", "33°27′S 70°39′36″W", "south 33.45 west 70.66"])
def test_south_and_west(text: str) -> None:
    assert SITE.write(SITE.read(text)) == "-33.45,-70.66"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("45.76", "latitude and longitude"),
        ("45,76", "latitude and longitude"),
        ("45 4", "latitude and longitude"),
        ("45 45.5 30 4 50 8", "latitude and longitude"),
        ("13.4 O 52.5 N", "write E or W"),
        ("-33.45 S, 70.66 W", "not both"),
        ("139.69, 35.69", "within 90"),
        # RFC 5870: no plus sign, crs before u, each once.
        ("geo:+45,4", "geo link"),
        ("geo:45.76,4.84;u=35;crs=wgs84", "geo link"),
        ("geo:45.76,4.84;crs=nad27", "wgs84"),
        ("geo:0,0?q=Lyon", "no coordinates"),
        ("https://map.example/abc", "no coordinates"),
        ("https://map.example/?q=45.7600,4.8400&ll=48.8500,2.3500", "more than one"),
        ("Springfield", "which of these"),
        ("Lyonn", "is called"),
        ("x" * 501, "too long"),
    ],
)
def test_what_is_no_place_says_why(text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        SITE.read(text)


@pytest.mark.parametrize(
    ("text", "label"),
    [
        ("Lyon", "Lyon, France"),
        ("LYON ", "Lyon, France"),
        ("munich", "Munich, Germany"),
        ("München", "Munich, Germany"),
        ("saint etienne", "Saint-Étienne, France"),
        ("Paris, Texas", "Paris, Texas, United States"),
        ("Springfield, MO, USA", "Springfield, Missouri, United States"),
        ("Sucre, Bolivia", "Sucre, Bolivia"),
        ("東京", "Tokyo, Japan"),
        ("s-Hertogenbosch", "'s-Hertogenbosch, The Netherlands"),
    ],
)
def test_towns_by_the_names_people_write(text: str, label: str) -> None:
    town = meant(towns_called(text.strip()))
    assert town is not None
    assert town.label == label


@pytest.mark.parametrize(
    ("text", "at"),
    [
        # Published coordinates to a minute, from memory; astral's list has the last three elsewhere.
        ("Lyon", (45.76, 4.84)),
        ("Nairobi", (-1.29, 36.82)),
        ("Sucre, Bolivia", (-19.05, -65.26)),
        ("Washington, DC", (38.90, -77.04)),
    ],
)
def test_towns_are_where_they_are(text: str, at: tuple[float, float]) -> None:
    spot = SITE.read(text)
    assert abs(float(spot.latitude_deg) - at[0]) < 0.05
    assert abs(float(spot.longitude_deg) - at[1]) < 0.05


def test_several_of_one_name_are_offered_largest_first() -> None:
    with pytest.raises(BadInput) as refused:
        SITE.read("Valencia")
    readings = [SITE.read(reading.text) for reading in refused.value.readings]
    assert [spot.name for spot in readings[:2]] == ["Valencia, Venezuela", "Valencia, Spain"]


def test_the_link_keeps_what_was_resolved() -> None:
    found = asked(v="1", site="Lyon").canonical
    assert found["site"] == "45.75,4.85,Lyon, France"
    assert found["tz"] == "Europe/Paris"
    assert asked(v="1", **found).canonical == found


def test_coordinates_of_a_link_without_zone_stay_without() -> None:
    assert "tz" not in asked(v="1", site="45.76,4.84").canonical
    assert asked(v="1", typed="1", site="45.76,4.84").canonical["tz"] == "Europe/Paris"
    assert asked(v="1", typed="1", site="45.76,4.84", tz="Europe/Rome").canonical["tz"] == "Europe/Rome"


def test_editing_the_field_replaces_an_older_place_and_leaving_it_does_not() -> None:
    old = "lat=40.4167&lon=-3.7033"
    assert asked(v="1", typed="1", site="40.4167, -3.7033", set=old).canonical == {"lat": "40.4167", "lon": "-3.7033"}
    edited = asked(v="1", typed="1", site="Lyon", set=old)
    assert set(edited.canonical) == {"site", "tz"}
    assert asked(v="1", typed="1", site="", set=old).canonical == {}


def test_the_zones_of_random_places() -> None:
    """Against the polygons of the zones; see SOURCES.md."""
    path = Path(__file__).parents[1] / "data" / "site_zones.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    for kind, least_told, least_right in (("near", 0.9, 0.99), ("land", 0.3, 0.98)):
        told = right = 0
        points = [row for row in rows if row["kind"] == kind]
        for row in points:
            place = f"{row['latitude_deg']}, {row['longitude_deg']}"
            zone = asked(site=place, first="2027-01-01", last="2027-12-31").canonical.get("tz")
            told += zone is not None
            right += zone is not None and same_rules(zone, row["zone"], DURING)
        assert len(points) >= 250
        assert told >= least_told * len(points)
        assert right >= least_right * told


def test_where_towns_disagree_the_zone_is_asked_likeliest_first() -> None:
    # On the border of Spain and Portugal, which are an hour apart.
    inputs = asked(v="1", typed="1", site="38.88, -7.03")
    assert "tz" not in inputs.canonical
    assert [near.zone for near in zones_near(inputs.get("site"), DURING)] == ["Europe/Madrid", "Europe/Lisbon"]


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone", "fits"),
    [
        (45.76, 4.84, "Europe/Paris", True),
        (45.76, 4.84, "Europe/Madrid", True),
        (-45.76, 4.84, "Europe/Paris", False),
        (33.45, -70.66, "America/Santiago", False),
        (28.6, 77.2, "Asia/Calcutta", True),
        (45.76, 4.84, "UTC", True),
    ],
)
def test_a_zone_from_elsewhere_is_doubted(latitude: float, longitude: float, zone: str, fits: bool) -> None:
    assert belongs(latitude, longitude, zone) is fits


def test_the_field_shows_what_was_found_and_the_zone_with_it(client: FlaskClient) -> None:
    page = client.get("/daylight?v=1&typed=1&site=Lyon").text
    assert 'value="Lyon, France (45.75, 4.85)"' in page
    assert "Europe/Paris, as in Lyon" in page
    page = client.get("/daylight?v=1&typed=1&site=Valencia").text
    assert "Valencia, Spain</a>" in page
    assert "tz=Europe/Madrid" in page


def test_a_town_taken_among_others_says_so(client: FlaskClient) -> None:
    page = client.get("/daylight?v=1&typed=1&site=Paris").text
    assert "Paris is taken as Paris, France" in page
    assert "Paris, Texas, United States</a>" in page
    assert "is taken as" not in client.get("/daylight?v=1&site=48.85,2.35,Paris,%20France&tz=Europe/Paris").text


@pytest.mark.parametrize("page", ["daylight", "plan", "sun"])
def test_the_zone_of_an_older_link_is_offered(client: FlaskClient, page: str) -> None:
    answer = client.get(f"/{page}?v=1&lat=45.76&lon=4.84").text
    assert "tz=Europe/Paris" in answer
    assert "Use Europe/Paris, as in Lyon" in answer


@pytest.mark.parametrize(
    ("place", "zone", "step"),
    [
        ("lat=-45.76&lon=4.84", "Europe/Paris", "site=45.76,4.84"),
        ("lat=33.45&lon=-70.66", "America/Santiago", "site=-33.45,-70.66"),
        ("site=4.84,45.76", "Europe/Paris", "site=45.76,4.84"),
        ("site=40.0,80.0", "America/New_York", "site=40.0,-80.0"),
    ],
)
def test_a_place_far_from_its_zone_is_doubted_with_steps(client: FlaskClient, place: str, zone: str, step: str) -> None:
    page = client.get(f"/daylight?v=1&{place}&tz={zone}").text
    assert "is it right?" in page
    assert step in page.replace("&amp;", "&")
