"""Putting a camera back: what a small error does to the picture, and what error two landmarks show.

Pixels count from the picture's top left corner, x right and y down; the axis is taken to go through its middle. A
camera's error is what happened to it since the reference frame, in this order and about its own axes:

pan_deg : turned to the right (the scene moves left in the picture)
tilt_deg : turned up (the scene moves down)
roll_deg : turned clockwise as seen from behind (the scene turns counter-clockwise)
zoom : focal length now / then, above 0

Undoing it is turning back by the same angles, roll first. For a camera that is tilted, pan here is about its own
upright axis, not about the mast.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from webcalc.calc.formula import DEFINITION, formula
from webcalc.calc.optics.framing import PINHOLE

Point = tuple[float, float]


@formula("focal_px", "width_px / (2 * tan_deg(hfov_deg / 2))", PINHOLE)
def focal_px(width_px: int, hfov_deg: float) -> float:
    """Return the focal length in pixels."""
    return width_px / (2 * math.tan(math.radians(hfov_deg / 2)))


@formula("sideways_px", "focal_px * shift_mm / 1000 / distance_m", PINHOLE)
def sideways_px(focal_px: float, shift_mm: float, distance_m: float) -> float:
    """Return how far a sideways shift of the camera moves what stands at a distance, anywhere in the picture."""
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
    """What happened to a camera since its reference frame; see the module for signs and order."""

    pan_deg: float = 0.0
    tilt_deg: float = 0.0
    roll_deg: float = 0.0
    zoom: float = 1.0


@dataclass(frozen=True)
class Picture:
    """A picture with square pixels: its sides in pixels and its horizontal angle of view."""

    width_px: int
    height_px: int
    hfov_deg: float

    def __post_init__(self) -> None:
        if not 0 < self.hfov_deg < 180:
            raise ValueError("an angle of view lies between 0 and 180 degrees")
        if self.width_px < 2 or self.height_px < 2:
            raise ValueError("a picture has at least 2 x 2 pixels")

    @cached_property
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return focal_px(self.width_px, self.hfov_deg)

    @property
    def centre(self) -> Point:
        """The middle, where the axis goes."""
        return self.width_px / 2, self.height_px / 2

    @property
    def corner_radius_px(self) -> float:
        """From the middle to a corner."""
        return math.hypot(self.width_px, self.height_px) / 2

    def contains(self, point: Point) -> bool:
        """Whether a point is in the picture, border included (with a millionth of a pixel for rounding)."""
        return all(
            -1e-6 <= value <= side + 1e-6 for value, side in zip(point, (self.width_px, self.height_px), strict=True)
        )


def moved(picture: Picture, error: CameraError, point: Point) -> Point | None:
    """Return where a distant thing at ``point`` of the reference frame is now; None behind the camera."""
    x, y = point[0] - picture.centre[0], point[1] - picture.centre[1]
    z = picture.focal_px
    pan, tilt, roll = (math.radians(angle) for angle in (error.pan_deg, error.tilt_deg, error.roll_deg))
    x, z = x * math.cos(pan) - z * math.sin(pan), x * math.sin(pan) + z * math.cos(pan)
    y, z = y * math.cos(tilt) + z * math.sin(tilt), z * math.cos(tilt) - y * math.sin(tilt)
    x, y = x * math.cos(roll) + y * math.sin(roll), y * math.cos(roll) - x * math.sin(roll)
    if z <= 0:
        return None
    scale = picture.focal_px * error.zoom / z
    return picture.centre[0] + scale * x, picture.centre[1] + scale * y


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


@dataclass(frozen=True)
class Tolerances:
    """The errors that move the picture by a limit: pan and tilt at the middle and at the edge, roll at the corner.

    ``sideways_mm`` is None without a distance.
    """

    limit_px: float
    turn_at_centre: TurnTolerance
    pan_at_edge: TurnTolerance
    tilt_at_edge: TurnTolerance
    roll_at_corner: TurnTolerance
    sideways_mm: float | None


def tolerances(
    picture: Picture,
    limit_px: float,
    distance_m: float | None = None,
    arm_length_mm: float | None = None,
    pitch_mm: float | None = None,
) -> Tolerances:
    """Return how exactly a camera has to be put back; 0 < ``limit_px`` < the picture's diagonal."""
    if not 0 < limit_px < 2 * picture.corner_radius_px:
        raise ValueError("a limit is above 0 and below the picture's diagonal")

    def at_arm(turn_deg: float) -> TurnTolerance:
        travel_mm = None if arm_length_mm is None else arm_mm(arm_length_mm, turn_deg)
        turns = None if travel_mm is None or pitch_mm is None else screw_turns(travel_mm, pitch_mm)
        return TurnTolerance(turn_deg, travel_mm, turns)

    focal = picture.focal_px
    return Tolerances(
        limit_px=limit_px,
        turn_at_centre=at_arm(turn_tolerance_deg(limit_px, focal, 0)),
        pan_at_edge=at_arm(turn_tolerance_deg(limit_px, focal, picture.width_px / 2)),
        tilt_at_edge=at_arm(turn_tolerance_deg(limit_px, focal, picture.height_px / 2)),
        roll_at_corner=at_arm(roll_tolerance_deg(limit_px, picture.corner_radius_px)),
        sideways_mm=None if distance_m is None else sideways_tolerance_mm(limit_px, focal, distance_m),
    )
