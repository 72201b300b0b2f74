"""Where the camera stands, and the built-in list of places that astral carries."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from functools import cache

from astral.geocoder import all_locations, database

#: Entries of one name closer together than this are one place under two spellings of its country.
SAME_PLACE_DEG = 0.2

#: Entries of astral 3.2 whose coordinates lie in another part of the world (a sign turned, or another town's), found by
#: comparison with zone.tab of the IANA database. They are left out: no answer is better than a wrong one.
_MISPLACED = frozenset(
    {
        "Al Jubail, Saudi Arabia",
        "Avarua, Cook Islands",
        "Kingston, Norfolk Island",
        "Nouakchott, Mauritania",
        "Sana'a, Yemen",
        "Sana, Yemen",
        "St. George's, Grenada",
    }
)

#: Entries of astral 3.2 with another place's zone, and the zone that zone.tab has at these coordinates.
_ZONE_KEYS = {
    "El Aaiun, Morocco": "Africa/El_Aaiun",
    "Saint Helier, Jersey": "Europe/Jersey",
    "St. John's, Canada": "America/St_Johns",
}


@dataclass(frozen=True)
class Site:
    """A point at sea level with a free horizon.

    latitude_deg : north positive, -90 to 90
    longitude_deg : east positive, -180 to 180
    zone_key : IANA name of the site's time zone, None while it isn't known

    Raises ValueError outside these ranges (and for what isn't a number).
    """

    latitude_deg: float
    longitude_deg: float
    zone_key: str | None = None

    def __post_init__(self) -> None:
        if not -90 <= self.latitude_deg <= 90:
            raise ValueError("latitude is outside -90 to 90 degrees")
        if not -180 <= self.longitude_deg <= 180:
            raise ValueError("longitude is outside -180 to 180 degrees")


@dataclass(frozen=True)
class Spot:
    """A point as a link keeps it: degrees, north and east positive, and the name of the town it was found by.

    name : empty where coordinates were typed
    """

    latitude_deg: Decimal
    longitude_deg: Decimal
    name: str = ""


@dataclass(frozen=True)
class Place:
    """One entry of the list: ``name``, ``country`` (or US state) and its site."""

    name: str
    country: str
    site: Site

    @property
    def label(self) -> str:
        """``name, country``: unique, and accepted by ``find_place``."""
        return f"{self.name}, {self.country}"


class PlaceError(ValueError):
    """A name that doesn't lead to one place; ``candidates`` holds labels to choose from."""

    def __init__(self, name: str, candidates: tuple[str, ...]) -> None:
        super().__init__(name)
        self.name = name
        self.candidates = candidates


class UnknownPlace(PlaceError):
    """No entry has this name; ``candidates`` are entries spelt alike, perhaps none."""


class AmbiguousPlace(PlaceError):
    """Several entries far apart have this name; ``candidates`` are all of them."""


def _key(text: str) -> str:
    return " ".join(text.replace("_", " ").casefold().split())


@cache
def _places() -> tuple[Place, ...]:
    found: dict[str, Place] = {}
    for entry in all_locations(database()):
        label = f"{entry.name}, {entry.region}"
        if label not in _MISPLACED:
            site = Site(entry.latitude, entry.longitude, _ZONE_KEYS.get(label, entry.timezone))
            found.setdefault(_key(label), Place(entry.name, entry.region, site))
    return tuple(sorted(found.values(), key=lambda place: place.label.casefold()))


def find_place(name: str) -> Place:
    """Return the place called ``name``: "City" or "City, Country", in any case.

    Coordinates are those of the list: a point in or near the city, good to
    about a minute of sunrise. Raises UnknownPlace or AmbiguousPlace, both with candidates.
    Source: the list in astral's ``geocoder`` module, less its misplaced entries.
    """
    city, _, country = (_key(part) for part in name.partition(","))
    found = [p for p in _places() if _key(p.name) == city and (not country or _key(p.country) == country)]
    if not found:
        raise UnknownPlace(name, _spelt_alike(city))
    first = found[0].site
    for other in (place.site for place in found[1:]):
        apart_deg = max(abs(other.latitude_deg - first.latitude_deg), abs(other.longitude_deg - first.longitude_deg))
        if apart_deg > SAME_PLACE_DEG:
            raise AmbiguousPlace(name, tuple(place.label for place in found))
    return found[0]


def _spelt_alike(city: str) -> tuple[str, ...]:
    close = set(get_close_matches(city, {_key(place.name) for place in _places()}, n=5, cutoff=0.75))
    return tuple(place.label for place in _places() if _key(place.name) in close)
