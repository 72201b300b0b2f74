"""What ``/remount`` answers as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from webcalc.calc.optics.landmarks import UNDO, Remount
from webcalc.calc.optics.putting_back import ShootRemount, Step, Turned
from webcalc.calc.optics.remount import HidingCrop, Tolerances
from webcalc.calc.results import Results, key, meaning
from webcalc.calc.unknown import known, or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class StandResults(Results):
    """Where a landmark must stand in the picture; beyond its edges where it isn't seen."""

    landmark: int = field(metadata=meaning("its number"))
    x_px: float | None = field(metadata=meaning("pixels from the left; null behind the camera"))
    y_px: float | None = field(metadata=meaning("pixels from the top"))


@dataclass(frozen=True)
class UndoResults(Results):
    """One turn that brings the camera back."""

    turn: str = field(metadata=meaning("which way"))
    deg: float = field(metadata=meaning("by how much, degrees"))
    stand: tuple[StandResults, ...] = key("where each landmark must stand after it", ())


@dataclass(frozen=True)
class FixedZoomResults(Results):
    """The error for a lens that can't have changed its focal length."""

    pan_deg: float = field(metadata=meaning("to the right, degrees"))
    tilt_deg: float = field(metadata=meaning("upward, degrees"))
    roll_deg: float = field(metadata=meaning("clockwise, degrees"))
    residual_px: float = field(metadata=meaning("what is left unexplained, pixels"))


@dataclass(frozen=True)
class FreeZoomResults(Results):
    """The error for a lens that may have changed its focal length, about the camera's own axes."""

    pan_deg: float = field(metadata=meaning("to the right, degrees"))
    tilt_deg: float = field(metadata=meaning("upward, degrees"))
    roll_deg: float = field(metadata=meaning("clockwise, degrees"))
    zoom: float = field(metadata=meaning("focal length now over before"))
    zoom_within: float = field(metadata=meaning("how sure that is"))
    residual_px: float = field(metadata=meaning("what is left unexplained, pixels"))


@dataclass(frozen=True)
class RemountResults(Results):
    """How do I put it back?

    Turns are about the axes of the head where it pans about the vertical (``head``), else about the camera's own. They
    are those of a lens whose focal length is unchanged, where that explains the landmarks as exactly as they were read.
    """

    pan_deg: float | None = key("how it came back, to the right, degrees; by a fixed lens if that explains it")
    tilt_deg: float | None = key("upward, degrees")
    roll_deg: float | None = key("clockwise, degrees")
    zoom: float | None = key("focal length now over before; 1 where a fixed lens explains it")
    residual_px: float | None = key("what is left unexplained, pixels")
    pan_within_deg: float | None = key("how sure that is, degrees")
    tilt_within_deg: float | None = key("how sure that is, degrees")
    roll_within_deg: float | None = key("how sure that is, degrees")
    zoom_within: float | None = key("how sure that is")
    explained: bool | None = key("whether a turn and a zoom explain the landmarks")
    outside: tuple[str, ...] = key("positions that aren't in the picture", ())
    too_close: bool | None = key("whether the landmarks are too close together")
    looks_swapped: bool | None = key("whether they are probably swapped")
    lens_fixed: bool | None = key("whether the answer takes the focal length as unchanged")
    resized_by: float | None = key(
        "by what the fresh picture is smaller than the reference, it seems; null where it isn't"
    )
    landmarks: tuple[int, ...] | None = key("the numbers of the landmarks that count")
    misses_px: tuple[float, ...] | None = key("what each of them misses by")
    looks_straight_down: bool | None = key("whether pan and roll are the same turn")
    pan_tilt_undo: tuple[UndoResults, ...] | None = key(
        "where no head was said, the turns about the axes of one that pans about the vertical"
    )
    zoom_fixed: FixedZoomResults | None = key("the same for a fixed lens")
    zoom_free: FreeZoomResults | None = key("the same for a lens whose zoom may have changed")
    stands_elsewhere: bool | None = key("whether turning alone can't explain it")
    moved_px: float | None = key("the farthest that anything moved, pixels; null where it left the view")
    crop: HidingCrop | None = key("the crop that hides it")
    hfov_deg: float | None = key("angle of view across, degrees")
    focal_px: float | None = key("focal length, pixels")
    reading_px: float | None = key("how exactly positions were read, pixels")
    limit_px: float | None = key("movement allowed, pixels")
    tolerances: Tolerances | None = key("what moves the picture by that")
    turned_deg: float | None = key("small turn that is looked at, degrees")
    turned_moves: Turned | None = key("how far it moves the picture, pixels")
    sideways_px: float | None = key("how far the sideways shift does, pixels")
    parallax_px: float | None = key("how far near things move against far ones, pixels")
    undo: tuple[UndoResults, ...] | None = key("the turns that bring it back, in order")


def remount_results(shoot: Shoot) -> RemountResults:
    """Return the answer to ``/remount`` as data."""
    room = shoot.remounting
    found, fixed, free = or_none(room.error), or_none(room.fixed), or_none(room.free)
    error, unsure = (found.error, found.uncertainty) if found else (None, None)
    return RemountResults.of(
        room,
        found,
        shoot.view,
        **{way: getattr(error, way) if error else None for way in ("pan_deg", "tilt_deg", "roll_deg", "zoom")},
        pan_within_deg=unsure.pan_deg if unsure else None,
        tilt_within_deg=unsure.tilt_deg if unsure else None,
        roll_within_deg=unsure.roll_deg if unsure else None,
        zoom_within=unsure.zoom if unsure else None,
        lens_fixed=found.zoom_fixed if found else None,
        landmarks=room.numbers if known(room.landmarks) else None,
        outside=tuple(room.outside),
        zoom_fixed=FixedZoomResults.of(fixed.error, fixed) if fixed else None,
        zoom_free=FreeZoomResults.of(free.error, free, zoom_within=free.uncertainty.zoom) if free else None,
        stands_elsewhere=or_none(room.stands_elsewhere) if fixed else None,
        hfov_deg=room.picture.hfov_deg if known(room.picture) else None,
        turned_moves=room.turned,
        undo=_undo(room, found),
        pan_tilt_undo=_undo(room, or_none(room.other_head)),
    )


def _undo(room: ShootRemount, found: Remount | None) -> tuple[UndoResults, ...] | None:
    if found is None:
        return None
    steps = or_none(room.steps(found))
    return None if steps is None else tuple(map(_turn_back, steps))


def _turn_back(one: Step) -> UndoResults:
    stand = tuple(StandResults(n, *(at or (None, None))) for n, at in one.stand)
    return UndoResults(UNDO[one.way][one.deg < 0], abs(one.deg), stand)
