"""Towns of over 15,000 inhabitants by name and by position: GeoNames, CC BY 4.0.

``towns.txt.gz`` (made by ``tests/data/generators/towns.py``, which tells its format) is read when the first town is
asked for, not at start. Positions are those of a point in the town, to 0.01 degrees, about a kilometre.
"""

from __future__ import annotations

import gzip
import re
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from difflib import get_close_matches
from functools import cache, cached_property, lru_cache
from importlib.resources import files
from math import cos, radians
from unicodedata import combining, normalize

from webcalc.calc.schedule.zone import great_circle_km

#: Letters that Unicode doesn't take apart into a letter and a mark.
_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ð": "d", "þ": "th", "ħ": "h", "ŧ": "t"}
)
_LEFT_OUT = re.compile(r"['’‘`´ʻʼʿʾ]")
_BETWEEN_WORDS = re.compile(r"[\W_]+")
_SAINT = re.compile(r"\b(?:saint|sankt|st)\b")


def folded(name: str) -> str:
    """Return the form that all ways to write a name share: ``Saint-Étienne`` is ``st etienne``."""
    text = name.casefold()
    if not text.isascii():
        text = normalize("NFKD", text.translate(_LETTERS))
        text = "".join(letter for letter in text if not combining(letter))
    return _SAINT.sub("st", _BETWEEN_WORDS.sub(" ", _LEFT_OUT.sub("", text)).strip())


#: What the page says where a town is used.
CREDIT = "Towns: GeoNames, CC BY 4.0."
#: Distances within which the nearest towns are looked for, the next where the one before isn't enough; kilometres.
_REACHES_KM = (30, 60, 120, 250, 500, 1000, 2500, 20_100)
#: No degree of latitude is shorter (WGS 84, at the equator: 110.57).
_KM_A_DEGREE = 110.5
_LEAST_NEAR, _MOST_NEAR = 3, 12
#: What a name is compared with that no town has: names of about its length.
_LONGEST_NAME, _FEW_LETTERS = 40, 2
#: Inhabitants, in times those of the next town of the same name, from which a name alone means this town.
_OUTSHINES = 20


@dataclass(frozen=True)
class Town:
    """One town.

    country, state : ISO 3166 code; state of the United States by its two letters, elsewhere empty
    zone : IANA name
    thousands : inhabitants
    """

    name: str
    country: str
    state: str
    latitude_deg: Decimal
    longitude_deg: Decimal
    zone: str
    thousands: int

    @property
    def label(self) -> str:
        """Return the name with state and country."""
        data = _towns()
        parts = (self.name, data.countries.get(f"US-{self.state}", ""), data.countries.get(self.country, self.country))
        return ", ".join(filter(None, parts))


@dataclass
class _Towns:
    """The file, with its towns still as lines; a line is taken apart when it is asked for."""

    countries: dict[str, str] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)
    #: First line and country, state, zone of each group.
    starts: list[int] = field(default_factory=list)
    groups: list[tuple[str, str, str]] = field(default_factory=list)
    latitudes: array[int] = field(default_factory=lambda: array("h"))
    longitudes: array[int] = field(default_factory=lambda: array("h"))

    def add(self, line: str) -> None:
        if line.startswith("="):
            country, state, zone = line[1:].split("\t")
            self.starts.append(len(self.lines))
            self.groups.append((country, state, zone))
        elif self.groups:
            _name, latitude, longitude, _rest = line.split("\t", 3)
            self.latitudes.append(int(latitude))
            self.longitudes.append(int(longitude))
            self.lines.append(line)
        elif not line.startswith("#"):
            code, name = line.split("\t")
            self.countries[code] = name

    def town(self, n: int) -> Town:
        name, latitude, longitude, thousands, *_others = self.lines[n].split("\t")
        country, state, zone = self.groups[bisect_right(self.starts, n) - 1]
        at = (Decimal(latitude) / 100, Decimal(longitude) / 100)
        return Town(name, country, state, *at, zone, int(thousands))

    @cached_property
    def by_name(self) -> dict[str, list[int]]:
        """The towns of every folded name."""
        found: dict[str, list[int]] = {}
        for n, line in enumerate(self.lines):
            name, _latitude, _longitude, _thousands, *others = line.split("\t")
            for key in (folded(name), *others):
                found.setdefault(key, []).append(n)
        return found

    @cached_property
    def from_the_south(self) -> tuple[list[int], list[int]]:
        """The latitudes in order, and the towns they are those of."""
        order = sorted(range(len(self.lines)), key=self.latitudes.__getitem__)
        return [self.latitudes[n] for n in order], order

    @cached_property
    def of_zone(self) -> dict[str, list[range]]:
        """The towns of each zone."""
        found: dict[str, list[range]] = {}
        for start, end, (_country, _state, zone) in zip(
            self.starts, [*self.starts[1:], len(self.lines)], self.groups, strict=True
        ):
            found.setdefault(zone, []).append(range(start, end))
        return found


@cache
def _towns() -> _Towns:
    found = _Towns()
    packed = files("webcalc.web.places").joinpath("towns.txt.gz").read_bytes()
    for line in gzip.decompress(packed).decode().split("\n"):
        found.add(line)
    return found


@lru_cache(maxsize=1024)
def towns_called(text: str) -> tuple[Town, ...]:
    """Return the towns that a text may mean, the largest first: ``Lyon``, ``Paris, Texas``, ``Springfield, MO, US``.

    Behind commas stand a state or a country, by name or code. None where no town is called so.
    """
    name, *where = (folded(part) for part in text.split(","))
    data = _towns()
    found = [data.town(n) for n in data.by_name.get(name, ())]
    for part in filter(None, where):
        found = [town for town in found if part in _qualifiers(town)]
    return tuple(sorted(dict.fromkeys(found), key=lambda town: -town.thousands))


def _qualifiers(town: Town) -> set[str]:
    names = _towns().countries
    ours = {town.country, town.state, names.get(town.country, ""), names.get(f"US-{town.state}", "")}
    if town.country == "US":
        ours.add("USA")
    if town.country == "GB":
        ours |= {"UK", "England", "Scotland", "Wales"}
    return {folded(one) for one in ours if one}


def meant(towns: tuple[Town, ...]) -> Town | None:
    """Return the town that a name alone means: the only one, or the one that outshines all others."""
    if not towns or (len(towns) > 1 and towns[0].thousands < _OUTSHINES * max(1, towns[1].thousands)):
        return None
    return towns[0]


@lru_cache(maxsize=256)
def names_like(text: str) -> tuple[Town, ...]:
    """Return towns whose names are spelt like a text, the closest first; for a name that no town has."""
    name = folded(text.partition(",")[0])[:_LONGEST_NAME]
    data = _towns()
    # Close names begin alike; comparing with all of them would take a second.
    near = [key for key in data.by_name if key[:1] == name[:1] and abs(len(key) - len(name)) <= _FEW_LETTERS]
    found = [data.town(n) for key in get_close_matches(name, near, n=4, cutoff=0.8) for n in data.by_name[key]]
    return tuple(dict.fromkeys(found))


@lru_cache(maxsize=256)
def nearest_towns(latitude_deg: float, longitude_deg: float) -> tuple[tuple[Town, float], ...]:
    """Return the nearest towns to a point with their distances in km, nearest first: three to twelve."""
    found: list[tuple[float, int]] = []
    for reach_km in _REACHES_KM:
        found = sorted(_within(latitude_deg, longitude_deg, reach_km))[:_MOST_NEAR]
        if len(found) >= _LEAST_NEAR:
            break
    data = _towns()
    return tuple((data.town(which), km) for km, which in found)


def _within(latitude_deg: float, longitude_deg: float, reach_km: float) -> Iterator[tuple[float, int]]:
    data = _towns()
    latitudes, order = data.from_the_south
    high = reach_km / _KM_A_DEGREE
    # The widest part of the circle is nearest to the pole.
    narrow = cos(radians(min(90.0, abs(latitude_deg) + high)))
    wide = high / narrow if narrow > high / 180 else 180.0
    low, end = bisect_left(latitudes, (latitude_deg - high) * 100), bisect_right(latitudes, (latitude_deg + high) * 100)
    for n in order[low:end]:
        longitude = data.longitudes[n] / 100
        apart = abs(longitude - longitude_deg)
        if min(apart, 360 - apart) <= wide:
            km = great_circle_km(latitude_deg, longitude_deg, data.latitudes[n] / 100, longitude)
            if km <= reach_km:
                yield km, n


@lru_cache(maxsize=256)
def km_to_zone(latitude_deg: float, longitude_deg: float, zone: str) -> float | None:
    """Return the distance from a point to the nearest town that has a zone; None where no town has it."""
    data = _towns()
    return min(
        (
            great_circle_km(latitude_deg, longitude_deg, data.latitudes[n] / 100, data.longitudes[n] / 100)
            for towns in data.of_zone.get(zone, ())
            for n in towns
        ),
        default=None,
    )
