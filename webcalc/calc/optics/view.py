"""Sensors, the angles of view, and how a lens projects: straight lines straight, or angles as lengths.

Rectilinear is the pinhole: a direction at an angle a from the axis is seen f tan a from the middle. Equidistant, as
most fisheyes nearly are: f a, with a in radians; such a lens sees more, and straight lines bend. All with the lens
focused at infinity.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula

# -- sensors ----------------------------------------------------------------------------------------------


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


# -- angles of view ---------------------------------------------------------------------------------------


PINHOLE = "pinhole (rectilinear) geometry"
EQUIDISTANT = "equidistant projection, r = f × angle"


@formula("angle_deg", "2 * atan_deg(side_mm / (2 * focal_mm))", PINHOLE)
def angle_of_view_deg(side_mm: float, focal_mm: float) -> float:
    """Return the angle of view over a side (width, height or diagonal) of the sensor, focus at infinity."""
    return math.degrees(2 * math.atan(side_mm / (2 * focal_mm)))


@formula("focal_mm", "side_mm / (2 * tan_deg(angle_deg / 2))", PINHOLE)
def focal_from_angle_mm(side_mm: float, angle_deg: float) -> float:
    """Return the focal length that gives an angle of view over a side; 0 < angle < 180."""
    return side_mm / (2 * math.tan(math.radians(angle_deg / 2)))


@formula("part_angle_deg", "2 * atan_deg(share * tan_deg(angle_deg / 2))", PINHOLE)
def angle_of_share_deg(angle_deg: float, share: float) -> float:
    """Return the angle of view of a central part that keeps ``share`` of a side.

    ``share`` may be above 1: the vertical angle is that of height / width of the horizontal one,
    the diagonal that of diagonal / width.
    """
    return math.degrees(2 * math.atan(share * math.tan(math.radians(angle_deg / 2))))


@formula("focal_px", "width_px / (2 * tan_deg(hfov_deg / 2))", PINHOLE)
def focal_px(width_px: int, hfov_deg: float) -> float:
    """Return the focal length in pixels."""
    return width_px / (2 * math.tan(math.radians(hfov_deg / 2)))


@formula("angle_deg", "side_mm / focal_mm * 180 / pi", EQUIDISTANT)
def equidistant_angle_deg(side_mm: float, focal_mm: float) -> float:
    """Return the angle of view over a side of the sensor behind an equidistant lens."""
    return math.degrees(side_mm / focal_mm)


@formula("focal_mm", "side_mm / (angle_deg * pi / 180)", EQUIDISTANT)
def equidistant_focal_mm(side_mm: float, angle_deg: float) -> float:
    """Return the focal length of an equidistant lens that gives an angle of view over a side; above 0."""
    return side_mm / math.radians(angle_deg)


@formula("focal_px", "width_px / (hfov_deg * pi / 180)", EQUIDISTANT)
def equidistant_focal_px(width_px: int, hfov_deg: float) -> float:
    """Return the focal length of an equidistant lens in pixels."""
    return width_px / math.radians(hfov_deg)


@formula("middle_hfov_deg", "2 * atan_deg(hfov_deg * pi / 360)", "rectilinear view of the same scale in the middle")
def middle_hfov_deg(hfov_deg: float) -> float:
    """Return the rectilinear angle of view whose middle is drawn as large as that of an equidistant one."""
    return math.degrees(2 * math.atan(math.radians(hfov_deg) / 2))


@dataclass(frozen=True)
class View:
    """Angles of view in degrees, each above 0; ``equidistant`` says how the lens projects, else rectilinear.

    Across and up and down below 180; so is corner to corner where it is rectilinear. ValueError otherwise.
    """

    hfov_deg: float
    vfov_deg: float
    dfov_deg: float
    equidistant: bool = False

    def __post_init__(self) -> None:
        widest_deg = 360 if self.equidistant else 180
        if not (0 < self.hfov_deg < 180 and 0 < self.vfov_deg < 180 and 0 < self.dfov_deg < widest_deg):
            raise ValueError("an angle of view lies between 0 and 180 degrees")

    @property
    def middle_hfov_deg(self) -> float:
        """The rectilinear angle across that draws the middle as large: for what is reckoned near the middle."""
        return middle_hfov_deg(self.hfov_deg) if self.equidistant else self.hfov_deg

    def focal_px(self, width_px: int) -> float:
        """Return the focal length in pixels: pixels a radian in the middle."""
        return (equidistant_focal_px if self.equidistant else focal_px)(width_px, self.hfov_deg)

    def focal_mm(self, sensor_width_mm: float) -> float:
        """Return the focal length that gives the view on a sensor of this width."""
        return (equidistant_focal_mm if self.equidistant else focal_from_angle_mm)(sensor_width_mm, self.hfov_deg)

    def seen_at(self, tangent: float) -> float:
        """Return where a direction with this tangent to the axis is seen, in focal lengths from the middle."""
        return math.atan(tangent) if self.equidistant else tangent

    @property
    def half_height(self) -> float:
        """Half the picture's height in focal lengths."""
        return self.seen_at(math.tan(math.radians(self.vfov_deg / 2)))

    def part_deg(self, angle_deg: float, share: float) -> float:
        """Return the angle of view of a central part that keeps a share of a side."""
        return angle_deg * share if self.equidistant else angle_of_share_deg(angle_deg, share)


def view_from_focal(width_mm: float, height_mm: float, focal_mm: float, *, equidistant: bool = False) -> View:
    """Return the angles of view of an area of the sensor behind a lens."""
    if not focal_mm > 0:
        raise ValueError("a focal length is above 0")
    angle_deg = equidistant_angle_deg if equidistant else angle_of_view_deg
    hfov_deg, vfov_deg = (angle_deg(side_mm, focal_mm) for side_mm in (width_mm, height_mm))
    return View(hfov_deg, vfov_deg, angle_deg(math.hypot(width_mm, height_mm), focal_mm), equidistant)


def view_from_hfov(hfov_deg: float, width_px: float, height_px: float, *, equidistant: bool = False) -> View:
    """Return all angles of view of a picture with square pixels from its horizontal one."""
    if not 0 < hfov_deg < 180:
        raise ValueError("an angle of view lies between 0 and 180 degrees")
    high, corner = height_px / width_px, math.hypot(width_px, height_px) / width_px
    if equidistant:
        return View(hfov_deg, hfov_deg * high, hfov_deg * corner, True)
    return View(hfov_deg, angle_of_share_deg(hfov_deg, high), angle_of_share_deg(hfov_deg, corner))


@formula("focal_eq_mm", "sqrt(36**2 + 24**2) / (2 * tan_deg(dfov_deg / 2))", "equal diagonal angle of view; " + PINHOLE)
def equivalent_from_angle_mm(dfov_deg: float) -> float:
    """Return the focal length on 36 × 24 mm with this diagonal angle of view."""
    return focal_from_angle_mm(FULL_FRAME_DIAGONAL_MM, dfov_deg)


@formula("focal_eq_mm", "sqrt(36**2 + 24**2) / (dfov_deg * pi / 180)", "equal diagonal angle of view; " + EQUIDISTANT)
def equidistant_equivalent_mm(dfov_deg: float) -> float:
    """Return the focal length of an equidistant lens on 36 × 24 mm with this diagonal angle of view."""
    return equidistant_focal_mm(FULL_FRAME_DIAGONAL_MM, dfov_deg)


def view_from_equivalent(focal_eq_mm: float, width_px: float, height_px: float, *, equidistant: bool = False) -> View:
    """Return the angles of view of a picture whose lens is known by its 35 mm equivalent only.

    The equivalent is taken to hold for the diagonal of this picture, projected alike; makers often state it for the
    whole sensor.
    """
    if not focal_eq_mm > 0:
        raise ValueError("a focal length is above 0")
    scale = FULL_FRAME_DIAGONAL_MM / math.hypot(width_px, height_px)
    return view_from_focal(width_px * scale, height_px * scale, focal_eq_mm, equidistant=equidistant)
