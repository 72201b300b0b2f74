"""Kinds for lens, sensor and movement: f-numbers, sizes in millimetres, exposures, speeds, points in a picture."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from webcalc.web.link.kinds.basics import BadInput, Kind, Number, plain
from webcalc.web.link.kinds.times import Duration, duration_text


@dataclass(frozen=True)
class FNumber(Number):
    """An aperture: ``8``, ``f/8`` or ``F 2.8``."""

    def read(self, text: str) -> Decimal | int:
        """Return the f-number."""
        return super().read(re.sub(r"^[fF]\s*/?\s*", "", text))


_SIDES = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,40})?)\s*[xX×*]\s*([0-9]{1,3}(?:[.,][0-9]{1,40})?)")


class SizeInMm(Kind):
    """Width by height of a sensor in millimetres."""

    low, high = Decimal("0.5"), Decimal(200)

    def read(self, text: str) -> tuple[Decimal, Decimal]:
        """Return (width, height)."""
        match = _SIDES.fullmatch(text.removesuffix("mm").strip())
        if not match:
            raise BadInput("{label} must be width x height in millimetres, like 5.60x3.15")
        width, height = (Decimal(side.replace(",", ".")) for side in match.groups())
        if not all(self.low <= side <= self.high for side in (width, height)):
            raise BadInput(f"{{label}}: each side must be between {self.low} and {self.high} mm")
        return width, height

    def write(self, value: tuple[Decimal, Decimal]) -> str:
        """Return ``5.6x3.15``."""
        return f"{plain(value[0])}x{plain(value[1])}"


_PART_OF_A_SECOND = re.compile(r"([0-9]{1,9})\s*/\s*([0-9]{1,9}(?:[.,][0-9]{1,2})?)\s*(?:s|sec)?")
_MICROSECONDS = 1_000_000
_LONGEST_PART = 10**9


class Exposure(Duration):
    """An exposure time as cameras write it: ``1/50``, ``0.5s``, ``2"``; a bare number is seconds."""

    def _seconds(self, text: str) -> Fraction:
        part = _PART_OF_A_SECOND.fullmatch(text)
        if part and Fraction(part[2].replace(",", ".")):
            seconds = Fraction(part[1]) / Fraction(part[2].replace(",", "."))
            # What couldn't be read back from a link isn't read in the first place.
            if seconds.denominator < _LONGEST_PART > seconds.numerator:
                return seconds
        try:
            return super()._seconds(text.removesuffix('"').removesuffix("″"))
        except BadInput:
            raise BadInput("{label} must be an exposure time, like 1/50, 0.5s or 2s") from None

    def write(self, value: Fraction) -> str:
        """Return ``1/50``, or a duration where that is exact and not one part of a second."""
        is_short = value.denominator < _LONGEST_PART > value.numerator
        if value.denominator > 1 and is_short and (value.numerator == 1 or _MICROSECONDS % value.denominator):
            return f"{value.numerator}/{value.denominator}"
        return duration_text(value)


#: Metres a second of one of each, exact (a knot is 1852 m an hour).
_SPEEDS = {
    "m/s": Fraction(1),
    "km/h": Fraction(1000, 3600),
    "kmh": Fraction(1000, 3600),
    "kph": Fraction(1000, 3600),
    "mph": Fraction("1609.344") / 3600,
    "mi/h": Fraction("1609.344") / 3600,
    "ft/s": Fraction("0.3048"),
    "kn": Fraction(1852, 3600),
    "mm/h": Fraction(1, 3_600_000),
    "cm/h": Fraction(1, 360_000),
    "m/h": Fraction(1, 3600),
    "mm/d": Fraction(1, 86_400_000),
    "cm/d": Fraction(1, 8_640_000),
    "m/d": Fraction(1, 86_400),
}
#: A millimetre a day keeps four figures.
_SPEED_DECIMALS = 12
_ANY = Decimal("-Infinity"), Decimal("Infinity")


@dataclass(frozen=True)
class Speed(Number):
    """A speed in metres a second; ``50 km/h``, ``4 mm/h`` and ``10 mm/d`` are read too."""

    units: tuple[str, ...] = ("m/s",)

    def read(self, text: str) -> Decimal:
        """Return metres a second."""
        lower = re.sub(r"\s*/\s*", "/", text.lower()).removesuffix("ay")
        unit = next((unit for unit in sorted(_SPEEDS, key=len, reverse=True) if lower.endswith(unit)), "")
        number = lower.removesuffix(unit).rstrip() if unit else text
        # The limits are those of metres a second, so they are looked at after the unit.
        typed = Fraction(Number(_ANY[0], _ANY[1]).read(number)) * _SPEEDS[unit or "m/s"]
        value = round(Decimal(typed.numerator) / typed.denominator, _SPEED_DECIMALS)
        return Decimal(super().read(plain(value)))

    def write(self, value: Decimal | int | float | Fraction) -> str:
        """Return plain metres a second."""
        if isinstance(value, Fraction):
            value = Decimal(value.numerator) / Decimal(value.denominator)
        return plain(round(Decimal(value), _SPEED_DECIMALS))


_TYPED_POINT = re.compile(r"(\S+?)\s{0,3}[,;]?\s{1,3}(\S+)|([^\s,;]+)[,;]([^\s,;]+)")


class Pixel(Kind):
    """A point of a picture: x and y in pixels from its top left corner, ``412,318`` or ``412.5 318``.

    A comma between the two means a point in the decimals; with a space between them decimals may have a comma.
    """

    _side = Number(Decimal(0), Decimal(20_000), ("px",))

    def read(self, text: str) -> tuple[Decimal, Decimal]:
        """Return (x, y) to a ten-thousandth."""
        match = _TYPED_POINT.fullmatch(text.removesuffix("px").strip())
        sides = [side for side in match.groups() if side is not None] if match else []
        try:
            x, y = (round(Decimal(self._side.read(side)), 4) for side in sides)
        except ValueError:
            raise BadInput("{label} must be x,y in pixels from the top left, like 412,318: each 0 to 20000") from None
        return x, y

    def write(self, value: tuple[Decimal, Decimal]) -> str:
        """Return ``412.5,318``."""
        return f"{plain(value[0])},{plain(value[1])}"
