"""What a picture covers: angles of view, coverage, sharpness, ground, crops.

All of it is the pinhole (rectilinear) model with the lens focused at infinity and no
distortion: lenses with barrel distortion see a little more. Distances are measured along the
camera's axis, to a plane square to it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from webcalc.calc.formula import COMMON_PRACTICE, formula
from webcalc.calc.optics.sensors import FULL_FRAME_DIAGONAL_MM

PINHOLE = "pinhole (rectilinear) geometry"
THIN_LENS = "thin-lens geometry; Sinclair Handbook of Photography, Lens Facts; US Army course SS0507"

#: Divisor of the diagonal for the default circle of confusion: a convention, not a standard.
COC_DIVISOR = 1500

#: A camera that looks straight down, or nearly so, sees nothing upright: cosine of 89 degrees.
_LOOKS_DOWN = 0.0175
#: Few lenses draw straight lines straight beyond this angle. Common practice, no source.
WIDEST_RECTILINEAR_DEG = 100

#: Shapes of delivery kept in mind at mounting, width to height.
CROP_RATIOS: Mapping[str, tuple[int, int]] = MappingProxyType(
    {"16:9": (16, 9), "1:1": (1, 1), "4:5": (4, 5), "9:16": (9, 16)}
)


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


@dataclass(frozen=True)
class View:
    """Angles of view in degrees, each above 0 and below 180. ValueError otherwise."""

    hfov_deg: float
    vfov_deg: float
    dfov_deg: float

    def __post_init__(self) -> None:
        if not all(0 < angle < 180 for angle in (self.hfov_deg, self.vfov_deg, self.dfov_deg)):
            raise ValueError("an angle of view lies between 0 and 180 degrees")


def view_from_focal(width_mm: float, height_mm: float, focal_mm: float) -> View:
    """Return the angles of view of an area of the sensor behind a lens."""
    if not focal_mm > 0:
        raise ValueError("a focal length is above 0")
    sides_mm = (width_mm, height_mm, math.hypot(width_mm, height_mm))
    return View(*(angle_of_view_deg(side_mm, focal_mm) for side_mm in sides_mm))


def view_from_hfov(hfov_deg: float, width_px: float, height_px: float) -> View:
    """Return all angles of view of a picture with square pixels from its horizontal one."""
    if not 0 < hfov_deg < 180:
        raise ValueError("an angle of view lies between 0 and 180 degrees")
    shares = (height_px / width_px, math.hypot(width_px, height_px) / width_px)
    return View(hfov_deg, *(angle_of_share_deg(hfov_deg, share) for share in shares))


@formula("focal_eq_mm", "sqrt(36**2 + 24**2) / (2 * tan_deg(dfov_deg / 2))", "equal diagonal angle of view; " + PINHOLE)
def equivalent_from_angle_mm(dfov_deg: float) -> float:
    """Return the focal length on 36 × 24 mm with this diagonal angle of view."""
    return focal_from_angle_mm(FULL_FRAME_DIAGONAL_MM, dfov_deg)


def view_from_equivalent(focal_eq_mm: float, width_px: float, height_px: float) -> View:
    """Return the angles of view of a picture whose lens is known by its 35 mm equivalent only.

    The equivalent is taken to hold for the diagonal of this picture; makers often state it for the whole sensor.
    """
    if not focal_eq_mm > 0:
        raise ValueError("a focal length is above 0")
    scale = FULL_FRAME_DIAGONAL_MM / math.hypot(width_px, height_px)
    return view_from_focal(width_px * scale, height_px * scale, focal_eq_mm)


@formula("covered_m", "2 * distance_m * tan_deg(angle_deg / 2)", PINHOLE)
def covered_m(distance_m: float, angle_deg: float) -> float:
    """Return the width (or height) that the picture covers at a distance."""
    return 2 * distance_m * math.tan(math.radians(angle_deg / 2))


@formula("focal_px", "width_px / (2 * tan_deg(hfov_deg / 2))", PINHOLE)
def focal_px(width_px: int, hfov_deg: float) -> float:
    """Return the focal length in pixels."""
    return width_px / (2 * math.tan(math.radians(hfov_deg / 2)))


@formula("px_per_m", "side_px / covered_m", PINHOLE)
def px_per_m(side_px: int, covered_m: float) -> float:
    """Return pixels per metre in the plane where ``side_px`` pixels cover ``covered_m`` metres."""
    return side_px / covered_m


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

    def is_within(self, vfov_deg: float) -> bool:
        """Whether both ends are in a picture of this height."""
        half = math.tan(math.radians(vfov_deg / 2))
        return -half <= self.foot and self.top <= half


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
        far_width_m = ground_width_m(camera_height_m, view.hfov_deg, half_deg, top_deg)
    near_width_m = ground_width_m(camera_height_m, view.hfov_deg, half_deg, bottom_deg)
    return GroundCover(ground_distance_m(camera_height_m, bottom_deg), near_width_m, far_m, far_width_m)


def horizon_share(tilt_deg: float, vfov_deg: float) -> float | None:
    """Return how far down the picture the horizon lies, 0 its top edge and 1 its bottom; None where it isn't in it.

    ``tilt_deg`` is the axis above the horizon, above -90 and below 90. The pinhole camera: a direction ``a`` off the
    axis lies tan a / tan(half the angle of view) of half the height from the middle.
    """
    half_deg = vfov_deg / 2
    if not -half_deg <= tilt_deg <= half_deg:
        return None
    return (1 + math.tan(math.radians(tilt_deg)) / math.tan(math.radians(half_deg))) / 2


@dataclass(frozen=True)
class Crop:
    """The largest central part of a picture in a shape, sides floored to even pixels.

    x_px, y_px : its top left corner; width_share, height_share : how much of each side it
    keeps, 0 to 1; hfov_deg, vfov_deg : its angles of view
    """

    ratio: str
    width_px: int
    height_px: int
    x_px: int
    y_px: int
    width_share: float
    height_share: float
    hfov_deg: float
    vfov_deg: float

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
        hfov_deg=angle_of_share_deg(view.hfov_deg, width_share),
        vfov_deg=angle_of_share_deg(view.vfov_deg, height_share),
    )


def crops(view: View, width_px: int, height_px: int) -> tuple[Crop, ...]:
    """Return the crops for every shape in ``CROP_RATIOS``."""
    return tuple(central_crop(ratio, view, width_px, height_px) for ratio in CROP_RATIOS)
