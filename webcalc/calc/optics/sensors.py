"""Sensor formats and the part of a sensor that a picture uses.

Dimensions are nominal; real chips of one format differ by a few percent.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula

_PRESET = "camera preset of the Blender project, seen"
_MEMORY = "from memory"
_EIGHTEEN_MM_RULE = "rule: diagonal = 18 mm per inch below 1/2 in (seen), split 16:9 (computed)"


@dataclass(frozen=True)
class Sensor:
    """The light-sensitive area of a sensor, landscape.

    width_mm, height_mm : sides in millimetres, > 0
    source : where the dimensions come from and how they are known
    """

    width_mm: float
    height_mm: float
    source: str = "typed"

    def __post_init__(self) -> None:
        if not (self.width_mm > 0 and self.height_mm > 0):
            raise ValueError("the sides of a sensor are above 0")

    @property
    def diagonal_mm(self) -> float:
        """Diagonal in millimetres."""
        return diagonal_mm(self.width_mm, self.height_mm)

    def used_by(self, width_px: int, height_px: int) -> Sensor:
        """Return the largest central area with the aspect ratio of a picture (square pixels).

        A 16:9 picture from a 4:3 sensor keeps the full width and loses height. Devices that
        read a smaller area still see less than this.
        """
        if width_px * self.height_mm >= height_px * self.width_mm:
            return Sensor(self.width_mm, self.width_mm * height_px / width_px, self.source)
        return Sensor(self.height_mm * width_px / height_px, self.height_mm, self.source)


@formula("diagonal_mm", "sqrt(width_mm**2 + height_mm**2)", "Pythagoras")
def diagonal_mm(width_mm: float, height_mm: float) -> float:
    """Return the diagonal of an area in millimetres."""
    return math.hypot(width_mm, height_mm)


FULL_FRAME_DIAGONAL_MM = math.hypot(36, 24)


@formula("crop_factor", "sqrt(36**2 + 24**2) / diagonal_mm", DEFINITION)
def crop_factor(diagonal_mm: float) -> float:
    """Return how many times smaller the diagonal is than that of 36 × 24 mm."""
    return FULL_FRAME_DIAGONAL_MM / diagonal_mm


@formula("focal_mm", "focal_eq_mm / crop_factor", "equal diagonal angle of view; " + ARITHMETIC)
def focal_from_equivalent_mm(focal_eq_mm: float, crop_factor: float) -> float:
    """Return the real focal length of a lens known by its 35 mm equivalent."""
    return focal_eq_mm / crop_factor


#: Formats by name, small to large.
SENSORS: Mapping[str, Sensor] = MappingProxyType(
    {
        "1/3in": Sensor(4.8, 3.6, "conventional 6 mm diagonal, " + _MEMORY),
        "1/2.8in": Sensor(5.60, 3.15, _EIGHTEEN_MM_RULE),
        "1/2.3in": Sensor(6.17, 4.55, _PRESET),
        "1/2in": Sensor(6.4, 4.8, "8.0 mm diagonal seen in an article on optical formats"),
        "1/1.8in": Sensor(7.18, 5.32, _MEMORY),
        "2/3in": Sensor(8.8, 6.6, "11 mm diagonal seen, sides " + _MEMORY),
        "1in": Sensor(13.2, 8.8, _PRESET),
        "4/3in": Sensor(17.3, 13.0, "Four Thirds standard, " + _MEMORY),
        "APS-C 22.3": Sensor(22.3, 14.9, "sold as APS-C too, " + _MEMORY),
        "APS-C": Sensor(23.6, 15.6, _PRESET),
        "full frame": Sensor(36.0, 24.0, "36 × 24 mm still format seen; ISO 1007 " + _MEMORY),
        "44x33mm": Sensor(43.8, 32.9, "sold as 44 × 33 mm, " + _MEMORY),
    }
)
