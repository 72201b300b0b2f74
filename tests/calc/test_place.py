"""The list of places: lookup, and its coordinates and zones against the IANA database's own table."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from webcalc.calc.light.place import AmbiguousPlace, PlaceError, Site, UnknownPlace, _places, find_place
from webcalc.calc.schedule.zone import NOON_GAP_ASK_H, load_zone, nearest_zones, noon_gap_h

JANUARY = datetime(2026, 1, 15, tzinfo=UTC)
NAMES = sorted(place.label for place in _places())


@pytest.mark.parametrize("name", ["London", "london", " LONDON , england ", "London, England"])
def test_lookup_ignores_case_and_spaces(name: str) -> None:
    place = find_place(name)
    assert place.label == "London, England"
    # The city's centre is at 51°30′N 0°07′W (from memory); the list has its observatory.
    assert place.site.latitude_deg == pytest.approx(51.5, abs=0.15)
    assert place.site.longitude_deg == pytest.approx(-0.12, abs=0.15)
    assert place.site.zone_key == "Europe/London"


def test_one_name_in_two_countries_asks() -> None:
    with pytest.raises(AmbiguousPlace) as error:
        find_place("birmingham")
    assert error.value.candidates == ("Birmingham, England", "Birmingham, USA")
    assert find_place("Birmingham, USA").site.longitude_deg < -80


def test_two_spellings_of_one_country_do_not_ask() -> None:
    assert find_place("Abu Dhabi").site == find_place("Abu Dhabi, United Arab Emirates").site


@pytest.mark.parametrize(("name", "candidate"), [("Reykjavic", "Reykjavik, Iceland"), ("Lodon", "London, England")])
def test_unknown_name_proposes_those_spelt_alike(name: str, candidate: str) -> None:
    with pytest.raises(UnknownPlace) as error:
        find_place(name)
    assert candidate in error.value.candidates
    assert isinstance(error.value, PlaceError) and isinstance(error.value, ValueError)


@pytest.mark.parametrize("name", ["", ",", "London, France", "zzzzzz", "\N{PILE OF POO}"])
def test_nonsense_is_unknown(name: str) -> None:
    with pytest.raises(UnknownPlace):
        find_place(name)


def test_every_name_leads_to_its_place() -> None:
    assert len(NAMES) > 350
    for name in NAMES:
        assert find_place(name).label == name


def test_places_agree_with_the_iana_table() -> None:
    """astral 3.2 has places in the wrong hemisphere and with another island's zone; none of them is left."""
    for name in NAMES:
        site = find_place(name).site
        assert site.zone_key is not None
        zone = load_zone(site.zone_key)
        assert noon_gap_h(zone, site.longitude_deg, JANUARY) < NOON_GAP_ASK_H, name
        nearest = nearest_zones(site.latitude_deg, site.longitude_deg, 1)[0]
        if nearest.distance_km < 40:
            offsets = [load_zone(key).utcoffset(datetime(2027, m, 1)) for key in (nearest.zone,) for m in (1, 7)]
            assert [zone.utcoffset(datetime(2027, m, 1)) for m in (1, 7)] == offsets, name


@pytest.mark.parametrize(
    ("lat", "lon"), [(90.1, 0), (-91, 0), (0, 180.5), (0, -181), (float("nan"), 0), (0, float("nan"))]
)
def test_site_outside_the_globe_is_refused(lat: float, lon: float) -> None:
    with pytest.raises(ValueError, match="is outside"):
        Site(lat, lon)
