"""Kinds for places: latitude and longitude, geo: links, and cities from the built-in list."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from webcalc.calc.light.place import Place, PlaceError, find_place
from webcalc.web.link.kinds.basics import BadInput, Kind, plain

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
