"""Kinds for places: a coordinate, a geo link, a city of the list, and the one place field that replaces them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from webcalc.calc.light.place import Place, PlaceError, Spot, find_place
from webcalc.web.link.kinds.basics import BadInput, Kind, Reading, plain
from webcalc.web.link.kinds.pairs import checked, pair_text, read_pair
from webcalc.web.places.towns import Town, meant, names_like, towns_called

#: Names that ``site`` replaces.
OLD_NAMES = ("lat", "lon", "geo", "place")


def old_text(typed: Mapping[str, str]) -> str:
    """Return the place of an older link as the field shows it: by the names that count there, as they were typed."""
    latitude, longitude, geo, place = (typed.get(name, "") for name in OLD_NAMES)
    if latitude and longitude:
        return f"{latitude}, {longitude}"
    return geo or place or (f"{latitude}, {longitude}" if latitude or longitude else "")


_PLACES = Decimal("0.000001")  # 0.1 m on the ground
_DECIMAL = re.compile(r"([+\-−]?)([0-9]{1,3}(?:[.,][0-9]{1,12})?)")
_MINUTES = r"(?:([0-9]{1,2}(?:[.,][0-9]+)?)['′\s:]*)?"
_SECONDS = r"(?:([0-9]{1,2}(?:[.,][0-9]+)?)[\"″\s]*)?"
_PARTS = re.compile(rf"([0-9]{{1,3}})[°\s:]+{_MINUTES}{_SECONDS}")


@dataclass(frozen=True)
class Coordinate(Kind):
    """Degrees: decimal (``40.4167``, ``-3,70``) or degrees, minutes, seconds with a letter (``40°25'00"N``)."""

    most_deg: int
    positive: str
    negative: str

    def read(self, text: str) -> Decimal:
        """Return decimal degrees to six places, north and east positive."""
        # Degrees, minutes and seconds by their letters: the S of seconds is not the S of south.
        text = re.sub(r"(?<=[0-9])\s*d\s*([0-9.,]+)\s*m(?:\s*([0-9.,]+)\s*s)?", r"°\1'\2", text, flags=re.IGNORECASE)
        letters = [c for c in text.upper() if c in "NSEWO"] if any(c.isdigit() for c in text) else []
        body = re.sub("[nsewoNSEWO]", "", text).replace("º", "°").replace("’", "'").replace("''", '"').strip()
        if letters == ["O"] and self.positive == "E":
            raise BadInput("{label}: O is east in one language and west in another; write E or W")
        if letters and (len(letters) > 1 or letters[0] not in self.positive + self.negative):
            raise BadInput(f"{{label}} must end in {self.positive} or {self.negative}")
        decimal = _DECIMAL.fullmatch(body.removesuffix("°").strip())
        parts = None if decimal else _PARTS.fullmatch(body.lstrip("+-−").strip() + " ")
        if decimal:
            degrees = Decimal(decimal[2].replace(",", "."))
        elif parts:
            minutes = Decimal((parts[2] or "0").replace(",", "."))
            seconds = Decimal((parts[3] or "0").replace(",", "."))
            if minutes >= 60 or seconds >= 60:
                raise BadInput("{label}: minutes and seconds must be below 60")
            degrees = Decimal(parts[1]) + minutes / 60 + seconds / 3600
        else:
            raise BadInput(f"{{label}} must be degrees, like 40.4167 or 40°25'00\"{self.positive}")
        minus = body[:1] in ("-", "−")
        if letters and minus:
            raise BadInput("{label}: write a minus sign or a letter, not both")
        if minus or (letters and letters[0] in self.negative):
            degrees = -degrees
        if abs(degrees) > self.most_deg:
            raise BadInput(f"{{label}} must be between -{self.most_deg} and {self.most_deg}")
        return degrees.quantize(_PLACES)

    def write(self, value: Decimal) -> str:
        """Return plain decimal degrees."""
        return plain(Decimal(value))


_GEO = re.compile(
    r"geo:([+\-]?[0-9]{1,2}(?:\.[0-9]+)?),([+\-]?[0-9]{1,3}(?:\.[0-9]+)?)(?:,-?[0-9.]+)?((?:;[A-Za-z0-9\-]+(?:=[^;\s]*)?)*)",
    re.IGNORECASE,
)


class GeoUri(Kind):
    """A ``geo:`` link by RFC 5870, WGS 84; height and uncertainty are read over."""

    def read(self, text: str) -> tuple[Decimal, Decimal]:
        """Return (latitude, longitude)."""
        match = _GEO.fullmatch(text if text.lower().startswith("geo:") else f"geo:{text}")
        if not match:
            raise BadInput("{label} must be a geo link, like geo:40.4167,-3.7033")
        crs = re.search(r";crs=([^;]*)", match[3], re.IGNORECASE)
        if crs and crs[1].lower() != "wgs84":
            raise BadInput("{label}: only the reference system wgs84 can be used")
        latitude, longitude = Decimal(match[1]), Decimal(match[2])
        if abs(latitude) > 90 or abs(longitude) > 180:
            raise BadInput("{label}: latitude must be within 90 degrees and longitude within 180")
        return latitude.quantize(_PLACES), longitude.quantize(_PLACES)

    def write(self, value: tuple[Decimal, Decimal]) -> str:
        """Return ``geo:lat,lon``."""
        return f"geo:{plain(value[0])},{plain(value[1])}"


class City(Kind):
    """A city of the built-in list: ``City`` or ``City, Country``."""

    def read(self, text: str) -> Place:
        """Return the entry; one that is unknown or stands for several is answered with proposals."""
        try:
            return find_place(text)
        except PlaceError as problem:
            proposals = "; ".join(problem.candidates[:4])
            hint = f" Near it in the list: {proposals}." if proposals else " Type latitude and longitude instead."
            raise BadInput(f"{{label}}: {text[:60]} doesn't lead to one city of the list.{hint}") from None

    def write(self, value: Place) -> str:
        """Return the entry's full label."""
        return value.label


_CANONICAL = re.compile(r"(-?[0-9]{1,2}\.[0-9]{1,6}),(-?[0-9]{1,3}\.[0-9]{1,6})(?:,([^\W\d_'‘’].{0,99}|['‘’].{1,99}))?")
#: As the field shows it.
_SHOWN = re.compile(r"([^\W\d_'‘’].{0,99}|['‘’].{1,99}) \((-?[0-9.]{1,12}), (-?[0-9.]{1,12})\)")
#: Towns that are offered to choose from.
_MOST_OFFERED = 5


def spot_of(town: Town) -> Spot:
    """Return the point that stands for a town."""
    return Spot(*checked(town.latitude_deg, town.longitude_deg), town.label)


class PlaceField(Kind):
    """Where the camera stands. The canonical text has the coordinates and the town's name: ``45.75,4.85,Lyon, France``.

    A town stands for one point in it, so that a later list of towns changes no link.
    """

    def read(self, text: str) -> Spot:
        """Return the point; a name that several towns have is asked about, the largest first."""
        canonical = _CANONICAL.fullmatch(text)
        if canonical:
            return Spot(*checked(Decimal(canonical[1]), Decimal(canonical[2])), (canonical[3] or "").strip())
        shown = _SHOWN.fullmatch(text)
        pair = read_pair(f"{shown[2]}, {shown[3]}" if shown else text)
        if shown and pair:
            return Spot(*pair, shown[1].strip())
        if pair is not None:
            return Spot(*pair)
        towns = towns_called(text)
        town = meant(towns)
        if town is not None:
            return spot_of(town)
        if towns:
            raise BadInput("{label}: which of these?", self.choices(towns))
        alike = self.choices(names_like(text))
        known = "Is it one of these?" if alike else "Type coordinates like 45.76, 4.84, or a larger town near by."
        raise BadInput(f"{{label}}: no town of over 15,000 people is called {text[:60]}. {known}", alike)

    def write(self, value: Spot) -> str:
        """Return coordinates and name."""
        pair = pair_text((value.latitude_deg, value.longitude_deg))
        return f"{pair},{value.name}" if value.name else pair

    def shown(self, value: Spot) -> str:
        """Return the text of a named place as people read it; it reads back to the same place."""
        return f"{value.name} ({plain(value.latitude_deg)}, {plain(value.longitude_deg)})"

    def choices(self, towns: tuple[Town, ...]) -> tuple[Reading, ...]:
        """Return towns to choose from; those of one name and country are told apart by where they are."""
        shown = towns[:_MOST_OFFERED]
        labels = [town.label for town in shown]
        return tuple(
            Reading(
                town.label
                if labels.count(town.label) == 1
                else f"{town.label} ({town.latitude_deg}, {town.longitude_deg})",
                self.write(spot_of(town)),
            )
            for town in shown
        )
