"""What a picture covers: angles of view, coverage, sharpness, ground, crops.

Pinhole (rectilinear) or equidistant, with the lens focused at infinity and no further distortion: rectilinear lenses
with barrel distortion see a little more. Distances are measured along the camera's axis, to a plane square to it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from webcalc.calc.formula import COMMON_PRACTICE, formula
from webcalc.calc.optics.view import EQUIDISTANT, PINHOLE, View
from webcalc.calc.results import Results, meaning

THIN_LENS = "thin-lens geometry; Sinclair Handbook of Photography, Lens Facts; US Army course SS0507"

#: Divisor of the diagonal for the default circle of confusion: a convention, not a standard.
COC_DIVISOR = 1500

#: A camera that looks straight down, or nearly so, sees nothing upright: cosine of 89 degrees.
_LOOKS_DOWN = 0.0175
#: Farther than any camera sees ground.
_ENDLESS_M = 1e9
#: Few lenses draw straight lines straight beyond this angle. Common practice, no source.
WIDEST_RECTILINEAR_DEG = 100

#: Shapes of delivery kept in mind at mounting, width to height.
CROP_RATIOS: Mapping[str, tuple[int, int]] = MappingProxyType(
    {"16:9": (16, 9), "1:1": (1, 1), "4:5": (4, 5), "9:16": (9, 16)}
)


@formula("covered_m", "2 * distance_m * tan_deg(angle_deg / 2)", PINHOLE)
def covered_m(distance_m: float, angle_deg: float) -> float:
    """Return the width (or height) that the picture covers at a distance."""
    return 2 * distance_m * math.tan(math.radians(angle_deg / 2))


@formula("px_per_m", "side_px / covered_m", PINHOLE)
def px_per_m(side_px: int, covered_m: float) -> float:
    """Return pixels per metre in the plane where ``side_px`` pixels cover ``covered_m`` metres."""
    return side_px / covered_m


@formula("px_per_m", "width_px / (hfov_deg * pi / 180) / distance_m", EQUIDISTANT)
def middle_px_per_m(width_px: int, hfov_deg: float, distance_m: float) -> float:
    """Return pixels per metre in the middle of an equidistant picture; towards its edges there are fewer."""
    return width_px / math.radians(hfov_deg) / distance_m


@formula("focal_mm", "sensor_width_mm * distance_m / wanted_width_m", PINHOLE)
def focal_for_width_mm(sensor_width_mm: float, distance_m: float, wanted_width_m: float) -> float:
    """Return the focal length that covers a wanted width at a distance."""
    return sensor_width_mm * distance_m / wanted_width_m


@formula("hfov_deg", "2 * atan_deg(wanted_width_m / (2 * distance_m))", PINHOLE)
def hfov_for_width_deg(distance_m: float, wanted_width_m: float) -> float:
    """Return the horizontal angle of view that covers a wanted width at a distance."""
    return math.degrees(2 * math.atan(wanted_width_m / (2 * distance_m)))


@formula("coc_mm", "diagonal_mm / 1500", "convention, not a standard; " + COMMON_PRACTICE)
def circle_of_confusion_mm(diagonal_mm: float) -> float:
    """Return the default circle of confusion: the largest blur that still counts as sharp."""
    return diagonal_mm / COC_DIVISOR


@formula("hyperfocal_m", "(focal_mm**2 / (aperture * coc_mm) + focal_mm) / 1000", THIN_LENS)
def hyperfocal_m(focal_mm: float, aperture: float, coc_mm: float) -> float:
    """Return the nearest focus distance at which infinity still counts as sharp.

    ``aperture`` is the f-number; ``coc_mm`` the circle of confusion.
    """
    return (focal_mm**2 / (aperture * coc_mm) + focal_mm) / 1000


@formula(
    "near_m",
    "distance_m * focal_mm**2 / (focal_mm**2 + aperture * coc_mm * (distance_m * 1000 - focal_mm))",
    THIN_LENS,
)
def near_limit_m(distance_m: float, focal_mm: float, aperture: float, coc_mm: float) -> float:
    """Return the nearest distance that counts as sharp with the lens focused at ``distance_m``."""
    return distance_m * focal_mm**2 / (focal_mm**2 + aperture * coc_mm * (distance_m * 1000 - focal_mm))


@formula(
    "far_m",
    "distance_m * focal_mm**2 / (focal_mm**2 - aperture * coc_mm * (distance_m * 1000 - focal_mm))",
    THIN_LENS + "; infinity from the hyperfocal distance on",
)
def far_limit_m(distance_m: float, focal_mm: float, aperture: float, coc_mm: float) -> float | None:
    """Return the farthest distance that counts as sharp; None is infinity."""
    left = focal_mm**2 - aperture * coc_mm * (distance_m * 1000 - focal_mm)
    return distance_m * focal_mm**2 / left if left > 0 else None


@dataclass(frozen=True)
class Sharpness:
    """Limits of sharp focus, with the circle of confusion they rest on. ``far_m`` None is infinity."""

    coc_mm: float
    hyperfocal_m: float
    near_m: float
    far_m: float | None


def sharpness(distance_m: float, focal_mm: float, aperture: float, coc_mm: float) -> Sharpness:
    """Return the limits of sharp focus; ``distance_m`` must lie beyond the focal length."""
    if not (focal_mm > 0 and aperture > 0 and coc_mm > 0):
        raise ValueError("focal length, f-number and circle of confusion are above 0")
    if not distance_m * 1000 > focal_mm:
        raise ValueError("a lens can't focus nearer than its focal length")
    limits = (distance_m, focal_mm, aperture, coc_mm)
    return Sharpness(coc_mm, hyperfocal_m(focal_mm, aperture, coc_mm), near_limit_m(*limits), far_limit_m(*limits))


@formula("ground_m", "camera_height_m / tan_deg(depression_deg)", "level ground; " + PINHOLE)
def ground_distance_m(camera_height_m: float, depression_deg: float) -> float:
    """Return how far from the mast's foot a ray meets level ground.

    ``depression_deg`` is the ray's angle below the horizon, above 0 and below 180; past 90 the
    ray goes backwards and the distance is negative: behind the mast.
    """
    # Straight down is the foot itself, not a millionth of a nanometre from it.
    return 0.0 if depression_deg == 90 else camera_height_m / math.tan(math.radians(depression_deg))


@formula(
    "ground_width_m",
    "2 * camera_height_m * tan_deg(hfov_deg / 2) * cos_deg(half_deg) / sin_deg(depression_deg)",
    "level ground; " + PINHOLE,
)
def ground_width_m(camera_height_m: float, hfov_deg: float, half_deg: float, depression_deg: float) -> float:
    """Return the width of ground along a picture row.

    ``half_deg`` is the row's angle from the axis (half the vertical angle of view for the
    bottom and top rows), ``depression_deg`` the angle of its middle ray below the horizon.
    """
    half_width = math.tan(math.radians(hfov_deg / 2))
    row = math.cos(math.radians(half_deg)) / math.sin(math.radians(depression_deg))
    return 2 * camera_height_m * half_width * row


@dataclass(frozen=True)
class Standing:
    """Where an upright thing stands in the picture: its foot and its top above the axis, as tangents of their angles.

    Negative is below the axis.
    """

    foot: float
    top: float

    def is_within(self, view: View) -> bool:
        """Whether both ends are in the picture, straight ahead as it stands."""
        half = math.tan(math.radians(view.vfov_deg / 2))
        return -half <= self.foot and self.top <= half

    def focal_lengths(self, view: View) -> float:
        """Return how high it is in the picture, in focal lengths."""
        return view.seen_at(self.top) - view.seen_at(self.foot)


def standing(subject_m: float, distance_m: float, tilt_deg: float, camera_height_m: float | None) -> Standing | None:
    """Return where something upright stands, straight ahead, its foot at a distance along the axis.

    The foot is on level ground, which a camera at no known height has where its axis ends. None where its top would
    be behind the camera's plane. Pinhole geometry: with the axis turned down by t, a point d ahead of the foot of the
    camera's vertical and h above the camera lies d cos t - h sin t deep and d sin t + h cos t above the axis.
    """
    cos, sin = math.cos(math.radians(-tilt_deg)), math.sin(math.radians(-tilt_deg))
    foot_m = 0.0
    if camera_height_m is not None:
        if cos < _LOOKS_DOWN:
            return None
        ahead_m = (distance_m - camera_height_m * sin) / cos
        foot_m = ahead_m * sin - camera_height_m * cos
    deep_m = distance_m - subject_m * sin
    return None if deep_m <= 0 else Standing(foot_m / distance_m, (foot_m + subject_m * cos) / deep_m)


@dataclass(frozen=True)
class GroundCover:
    """Level ground between the bottom and top rows, measured from the mast's foot along the bearing.

    ``near_m`` is negative where the picture reaches behind the mast. ``far_m`` and
    ``far_width_m`` are None where the top row is at or above the horizon.
    """

    near_m: float
    near_width_m: float
    far_m: float | None
    far_width_m: float | None


def _row_width_m(camera_height_m: float, view: View, half_deg: float, depression_deg: float) -> float:
    """Return how wide the picture is on the ground, straight across where its bottom or top row begins.

    A line across bends in an equidistant picture; it leaves it at the side, where half the width in focal lengths is
    the angle from the axis times the part of it that is sideways.
    """
    if not view.equidistant:
        return ground_width_m(camera_height_m, view.hfov_deg, half_deg, depression_deg)
    far_m = camera_height_m / math.sin(math.radians(depression_deg))
    ahead_m, along_m = far_m * math.cos(math.radians(half_deg)), far_m * math.sin(math.radians(half_deg))

    def aside(across_m: float) -> float:
        off_axis_m = math.hypot(across_m, along_m)
        return math.atan2(off_axis_m, ahead_m) * across_m / off_axis_m if off_axis_m else 0.0

    half_width, low, high = math.radians(view.hfov_deg) / 2, 0.0, far_m
    while aside(high) < half_width and high < _ENDLESS_M:
        high *= 2
    while high - low > 1e-9 * high:
        middle = (low + high) / 2
        low, high = (middle, high) if aside(middle) < half_width else (low, middle)
    return 2 * low


def ground_cover(camera_height_m: float, tilt_deg: float, view: View) -> GroundCover | None:
    """Return the level ground that a camera at a height sees; None where it sees none.

    ``tilt_deg`` is the axis above the horizon, -90 to 90 (down negative).
    """
    if not camera_height_m > 0:
        raise ValueError("a camera height is above 0")
    if not -90 <= tilt_deg <= 90:
        raise ValueError("a tilt lies between -90 and 90 degrees")
    half_deg = view.vfov_deg / 2
    bottom_deg, top_deg = half_deg - tilt_deg, -half_deg - tilt_deg
    if bottom_deg <= 0:
        return None
    far_m = far_width_m = None
    if top_deg > 0:
        far_m = ground_distance_m(camera_height_m, top_deg)
        far_width_m = _row_width_m(camera_height_m, view, half_deg, top_deg)
    near_width_m = _row_width_m(camera_height_m, view, half_deg, bottom_deg)
    return GroundCover(ground_distance_m(camera_height_m, bottom_deg), near_width_m, far_m, far_width_m)


def horizon_share(tilt_deg: float, view: View) -> float | None:
    """Return how far down the picture the horizon lies in its middle, 0 its top edge and 1 its bottom; None if not.

    ``tilt_deg`` is the axis above the horizon, above -90 and below 90.
    """
    half_deg = view.vfov_deg / 2
    if not -half_deg <= tilt_deg <= half_deg:
        return None
    return (1 + view.seen_at(math.tan(math.radians(tilt_deg))) / view.half_height) / 2


@dataclass(frozen=True)
class Crop(Results):
    """The largest crop of a shape that keeps the middle, sides floored to even pixels."""

    ratio: str = field(metadata=meaning("its shape"))
    width_px: int = field(metadata=meaning("pixels"))
    height_px: int = field(metadata=meaning("pixels"))
    x_px: int = field(metadata=meaning("its left edge, pixels"))
    y_px: int = field(metadata=meaning("its top edge, pixels"))
    width_share: float = field(metadata=meaning("of the picture's width, 0 to 1"))
    height_share: float = field(metadata=meaning("of the picture's height, 0 to 1"))
    hfov_deg: float = field(metadata=meaning("angle of view across, degrees"))
    vfov_deg: float = field(metadata=meaning("angle of view up and down, degrees"))

    @property
    def picture_share(self) -> float:
        """Share of the picture's area that is kept."""
        return self.width_share * self.height_share


def central_crop(ratio: str, view: View, width_px: int, height_px: int) -> Crop:
    """Return the crop for a ratio written as ``"16:9"``; sides of the picture from 2 px up."""
    if width_px < 2 or height_px < 2:
        raise ValueError("a picture has at least 2 x 2 pixels")
    wide, high = CROP_RATIOS.get(ratio) or tuple(int(part) for part in ratio.split(":"))
    crop_width_px = max(2, min(width_px, height_px * wide // high) // 2 * 2)
    crop_height_px = max(2, min(height_px, width_px * high // wide) // 2 * 2)
    width_share, height_share = crop_width_px / width_px, crop_height_px / height_px
    return Crop(
        ratio=ratio,
        width_px=crop_width_px,
        height_px=crop_height_px,
        x_px=(width_px - crop_width_px) // 2,
        y_px=(height_px - crop_height_px) // 2,
        width_share=width_share,
        height_share=height_share,
        hfov_deg=view.part_deg(view.hfov_deg, width_share),
        vfov_deg=view.part_deg(view.vfov_deg, height_share),
    )


def crops(view: View, width_px: int, height_px: int) -> tuple[Crop, ...]:
    """Return the crops for every shape in ``CROP_RATIOS``."""
    return tuple(central_crop(ratio, view, width_px, height_px) for ratio in CROP_RATIOS)
