"""Putting a camera back: what a small error does to the picture, and what error two landmarks show.

Pixels count from the picture's top left corner, x right and y down; the axis is taken to go through its middle. A
camera's error is what happened to it since the reference frame, in this order and about its own axes:

pan_deg : turned to the right (the scene moves left in the picture)
tilt_deg : turned up (the scene moves down)
roll_deg : turned clockwise as seen from behind (the scene turns counter-clockwise)
zoom : focal length now / then, above 0

Undoing it is turning back by the same angles, roll first. On a ball head these are turns about the camera's own
axes. A head with a pan and a tilt axis on a level base pans about the vertical instead: with ``head_tilt_deg``, the
tilt of the reference frame, the same three angles are turns about that head's axes, in whatever order.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

from webcalc.calc.formula import DEFINITION, formula
from webcalc.calc.optics.view import PINHOLE, equidistant_focal_px, focal_px
from webcalc.calc.results import Results, meaning

Point = tuple[float, float]
#: A direction from the camera: right, down, ahead; of any length.
Ray = tuple[float, float, float]


@formula("sideways_px", "focal_px * shift_mm / 1000 / distance_m", PINHOLE)
def sideways_px(focal_px: float, shift_mm: float, distance_m: float) -> float:
    """Return how far a sideways shift of the camera moves what stands at a distance.

    Anywhere in the picture; in an equidistant one in its middle, elsewhere less.
    """
    return focal_px * shift_mm / 1000 / distance_m


@formula("parallax_px", "focal_px * shift_mm / 1000 * (1 / near_m - 1 / far_m)", PINHOLE)
def parallax_px(focal_px: float, shift_mm: float, near_m: float, far_m: float) -> float:
    """Return how much near and far things move against each other: no turning and no crop undoes it."""
    return focal_px * shift_mm / 1000 * (1 / near_m - 1 / far_m)


@formula("turn_deg", "atan_deg((half_side_px + limit_px) / focal_px) - atan_deg(half_side_px / focal_px)", PINHOLE)
def turn_tolerance_deg(limit_px: float, focal_px: float, half_side_px: float) -> float:
    """Return the pan (tilt) that moves a point on the axis line by ``limit_px``: 0 for the middle, else an edge."""
    return math.degrees(math.atan((half_side_px + limit_px) / focal_px) - math.atan(half_side_px / focal_px))


@formula("roll_deg", "2 * atan_deg(limit_px / sqrt(4 * radius_px**2 - limit_px**2))", PINHOLE)
def roll_tolerance_deg(limit_px: float, radius_px: float) -> float:
    """Return the roll that moves a point at ``radius_px`` from the middle by ``limit_px`` < 2 × radius."""
    return math.degrees(2 * math.asin(limit_px / (2 * radius_px)))


@formula("shift_mm", "1000 * limit_px * distance_m / focal_px", PINHOLE)
def sideways_tolerance_mm(limit_px: float, focal_px: float, distance_m: float) -> float:
    """Return the sideways shift that moves what stands at a distance by ``limit_px``."""
    return 1000 * limit_px * distance_m / focal_px


@formula("arm_mm", "arm_length_mm * tan_deg(turn_deg)", DEFINITION)
def arm_mm(arm_length_mm: float, turn_deg: float) -> float:
    """Return how far the end of an arm moves for a turn."""
    return arm_length_mm * math.tan(math.radians(turn_deg))


@formula("turns", "arm_mm / pitch_mm", DEFINITION)
def screw_turns(arm_mm: float, pitch_mm: float) -> float:
    """Return the turns of a screw with a thread pitch that move the arm's end so far."""
    return arm_mm / pitch_mm


@dataclass(frozen=True)
class CameraError:
    """What happened to a camera since its reference frame; see the module for signs and order.

    head_tilt_deg : tilt of the reference frame on a head that pans about the vertical; 0 for the camera's own axes
    """

    pan_deg: float = 0.0
    tilt_deg: float = 0.0
    roll_deg: float = 0.0
    zoom: float = 1.0
    head_tilt_deg: float = 0.0


@dataclass(frozen=True)
class Picture:
    """A picture with square pixels: its sides in pixels, its horizontal angle of view, and how its lens draws."""

    width_px: int
    height_px: int
    hfov_deg: float
    equidistant: bool = False

    def __post_init__(self) -> None:
        if not 0 < self.hfov_deg < 180:
            raise ValueError("an angle of view lies between 0 and 180 degrees")
        if self.width_px < 2 or self.height_px < 2:
            raise ValueError("a picture has at least 2 x 2 pixels")

    @cached_property
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return (equidistant_focal_px if self.equidistant else focal_px)(self.width_px, self.hfov_deg)

    @property
    def centre(self) -> Point:
        """The middle, where the axis goes."""
        return self.width_px / 2, self.height_px / 2

    @property
    def corner_radius_px(self) -> float:
        """From the middle to a corner."""
        return math.hypot(self.width_px, self.height_px) / 2

    def ray(self, point: Point) -> Ray:
        """Return the direction of what is seen at a point: right, down, ahead."""
        x, y = point[0] - self.centre[0], point[1] - self.centre[1]
        if not self.equidistant:
            return x, y, self.focal_px
        radius_px = math.hypot(x, y)
        angle = radius_px / self.focal_px
        across = math.sin(angle) / radius_px if radius_px else 0.0
        return across * x, across * y, math.cos(angle)

    def spot(self, ray: Ray, zoom: float = 1.0) -> Point | None:
        """Return the point where a direction is seen; None behind the camera."""
        x, y, z = ray
        if self.equidistant:
            off_axis = math.hypot(x, y)
            if not off_axis and z <= 0:
                return None
            scale = self.focal_px * zoom * (math.atan2(off_axis, z) / off_axis if off_axis else 0.0)
        elif z <= 0:
            return None
        else:
            scale = self.focal_px * zoom / z
        return self.centre[0] + scale * x, self.centre[1] + scale * y

    def contains(self, point: Point) -> bool:
        """Whether a point is in the picture, border included (with a millionth of a pixel for rounding)."""
        return all(
            -1e-6 <= value <= side + 1e-6 for value, side in zip(point, (self.width_px, self.height_px), strict=True)
        )


def _tilted(ray: Ray, tilt_deg: float) -> Ray:
    """Return a direction as the camera sees it once it is tilted up."""
    x, y, z = ray
    cos, sin = math.cos(math.radians(tilt_deg)), math.sin(math.radians(tilt_deg))
    return x, y * cos + z * sin, z * cos - y * sin


def turned(ray: Ray, error: CameraError) -> Ray:
    """Return a direction of the reference frame as the camera sees it now."""
    x, y, z = _tilted(ray, -error.head_tilt_deg)
    cos, sin = math.cos(math.radians(error.pan_deg)), math.sin(math.radians(error.pan_deg))
    x, y, z = _tilted((x * cos - z * sin, y, x * sin + z * cos), error.head_tilt_deg + error.tilt_deg)
    cos, sin = math.cos(math.radians(error.roll_deg)), math.sin(math.radians(error.roll_deg))
    return x * cos + y * sin, y * cos - x * sin, z


def about_head(error: CameraError, head_tilt_deg: float) -> CameraError:
    """Return an error about the camera's own axes as the same one about a head's, for its tilt in the reference frame.

    The head's pan axis is upright, so the whole turn from level is roll, then tilt, then pan; taken apart as such.
    """
    right, down, ahead = (turned(_tilted(axis, head_tilt_deg), error) for axis in ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
    tilt_deg = math.degrees(math.atan2(-down[2], math.hypot(right[2], ahead[2])))
    pan_deg, roll_deg = (math.degrees(math.atan2(a, b)) for a, b in ((right[2], ahead[2]), (down[0], down[1])))
    if abs(pan_deg) > 90:
        # The other way to the same turn: tilted beyond straight down, instead of turned half round.
        pan_deg, roll_deg = (math.remainder(angle + 180, 360) for angle in (pan_deg, roll_deg))
        tilt_deg = math.copysign(180, tilt_deg) - tilt_deg
    return CameraError(pan_deg, tilt_deg - head_tilt_deg, roll_deg, error.zoom, head_tilt_deg)


def moved(picture: Picture, error: CameraError, point: Point) -> Point | None:
    """Return where a distant thing at ``point`` of the reference frame is now; None behind the camera."""
    return picture.spot(turned(picture.ray(point), error), error.zoom)


@dataclass(frozen=True)
class Shift:
    """How far the picture moves, in pixels, at its middle, at the middle of the edge and at the corner that move most.

    None where that point is no longer in front of the camera.
    """

    centre_px: float | None
    edge_px: float | None
    corner_px: float | None


def shift(picture: Picture, error: CameraError) -> Shift:
    """Return the movement of middle, edges and corners for an error."""
    middle_x, middle_y = picture.centre
    wide, high = float(picture.width_px), float(picture.height_px)

    def farthest(*points: Point) -> float | None:
        targets = [moved(picture, error, point) for point in points]
        if None in targets:
            return None
        return max(math.dist(point, target) for point, target in zip(points, targets, strict=True))  # type: ignore[arg-type]

    return Shift(
        centre_px=farthest(picture.centre),
        edge_px=farthest((0, middle_y), (wide, middle_y), (middle_x, 0), (middle_x, high)),
        corner_px=farthest((0, 0), (wide, 0), (0, high), (wide, high)),
    )


@dataclass(frozen=True)
class TurnTolerance:
    """A turn in degrees, as millimetres at an arm and as turns of a screw there; None where not known."""

    turn_deg: float
    arm_mm: float | None
    screw_turns: float | None


def turn_at_corner_deg(picture: Picture, limit_px: float, way: str, head_tilt_deg: float = 0.0) -> float:
    """Return the smallest pan or tilt (``way``: ``pan_deg``, ``tilt_deg``) that moves a corner or edge by a limit."""

    def farthest_px(turn_deg: float) -> float:
        farthest = 0.0
        for signed_deg in (turn_deg, -turn_deg):
            shifted = shift(picture, replace(CameraError(head_tilt_deg=head_tilt_deg), **{way: signed_deg}))
            if shifted.edge_px is None or shifted.corner_px is None:
                return math.inf
            farthest = max(farthest, shifted.edge_px, shifted.corner_px)
        return farthest

    low, high = 0.0, 90.0
    while high - low > 1e-9 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if farthest_px(middle) > limit_px else (middle, high)
    return low


@dataclass(frozen=True)
class Tolerances(Results):
    """The turns and the shift that move the picture by what is allowed; the corner moves farthest."""

    turn_at_centre: TurnTolerance = field(metadata=meaning("a turn, judged in the middle"))
    pan_at_edge: TurnTolerance = field(metadata=meaning("pan, judged at the edge"))
    tilt_at_edge: TurnTolerance = field(metadata=meaning("tilt, judged at the edge"))
    pan_at_corner: TurnTolerance = field(metadata=meaning("pan, judged at a corner"))
    tilt_at_corner: TurnTolerance = field(metadata=meaning("tilt, judged at a corner"))
    roll_at_corner: TurnTolerance = field(metadata=meaning("roll, judged at a corner"))
    sideways_mm: float | None = field(metadata=meaning("sideways at the distance, mm"))


def tolerances(
    picture: Picture,
    limit_px: float,
    distance_m: float | None = None,
    arm_length_mm: float | None = None,
    pitch_mm: float | None = None,
    head_tilt_deg: float = 0.0,
) -> Tolerances:
    """Return how exactly a camera has to be put back; 0 < ``limit_px`` < the picture's diagonal.

    The turns at the corner are about the head's axes.
    """
    if not 0 < limit_px < 2 * picture.corner_radius_px:
        raise ValueError("a limit is above 0 and below the picture's diagonal")

    def at_arm(turn_deg: float) -> TurnTolerance:
        travel_mm = None if arm_length_mm is None else arm_mm(arm_length_mm, turn_deg)
        turns = None if travel_mm is None or pitch_mm is None else screw_turns(travel_mm, pitch_mm)
        return TurnTolerance(turn_deg, travel_mm, turns)

    def at_edge(half_side_px: float) -> TurnTolerance:
        # Along the axis line an equidistant picture moves by the same everywhere.
        if picture.equidistant:
            return at_arm(math.degrees(limit_px / focal))
        return at_arm(turn_tolerance_deg(limit_px, focal, half_side_px))

    focal = picture.focal_px
    return Tolerances(
        turn_at_centre=at_edge(0),
        pan_at_edge=at_edge(picture.width_px / 2),
        tilt_at_edge=at_edge(picture.height_px / 2),
        pan_at_corner=at_arm(turn_at_corner_deg(picture, limit_px, "pan_deg", head_tilt_deg)),
        tilt_at_corner=at_arm(turn_at_corner_deg(picture, limit_px, "tilt_deg", head_tilt_deg)),
        roll_at_corner=at_arm(roll_tolerance_deg(limit_px, picture.corner_radius_px)),
        sideways_mm=None if distance_m is None else sideways_tolerance_mm(limit_px, focal, distance_m),
    )


# -- the crop that hides an error -------------------------------------------------------------------------


#: Stretches of each side whose ends are looked at where sides are bent.
_ALONG_SIDES = 24


@dataclass(frozen=True)
class HidingCrop:
    """The largest central part, in the picture's shape, that both frames hold once they are laid over each other.

    The later frames are turned and stretched back onto the reference frame before cropping. ``picture_lost`` is the
    share of the area that goes.
    """

    width_px: int
    height_px: int
    picture_lost: float


def hiding_crop(picture: Picture, error: CameraError) -> HidingCrop | None:
    """Return the crop that hides an error that was left; None where not even the middle is in both frames.

    Straight lines stay straight, so a part is in the other frame when its four corners are; in an equidistant picture
    points along its sides are looked at too. Sides are floored to even pixels. Parallax from a shifted camera can't be
    cropped away.
    """

    steps = _ALONG_SIDES if picture.equidistant else 1
    along = [2 * n / steps - 1 for n in range(steps + 1)]
    sides = {(a, float(b)) for a in along for b in (-1, 1)} | {(float(a), b) for a in (-1, 1) for b in along}

    def fits(share: float) -> bool:
        half_width, half_height = share * picture.width_px / 2, share * picture.height_px / 2
        middle_x, middle_y = picture.centre
        rim = [(middle_x + a * half_width, middle_y + b * half_height) for a, b in sides]
        targets = [moved(picture, error, point) for point in rim]
        return all(target is not None and picture.contains(target) for target in targets)

    if not fits(0):
        return None
    kept, too_much = (1.0, 1.0) if fits(1) else (0.0, 1.0)
    while too_much - kept > 1e-9:
        middle = (kept + too_much) / 2
        kept, too_much = (middle, too_much) if fits(middle) else (kept, middle)
    width_px, height_px = (int(side * kept + 1e-6) // 2 * 2 for side in (picture.width_px, picture.height_px))
    if not (width_px and height_px):
        return None
    return HidingCrop(width_px, height_px, 1 - width_px * height_px / (picture.width_px * picture.height_px))
