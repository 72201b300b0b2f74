"""Putting the camera back: what moved it, what to undo, what is tolerable; and the same as data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from webcalc.calc.optics.landmarks import LEAST_APART_SHARE, HidingCrop, Remount, find_error, hiding_crop
from webcalc.calc.optics.remount import (
    CameraError,
    Picture,
    Point,
    Shift,
    Tolerances,
    parallax_px,
    shift,
    sideways_px,
    tolerances,
)
from webcalc.calc.results import Results
from webcalc.calc.typed import Real
from webcalc.calc.unknown import Missing, NotKnown, ask, figure, given, known, need, or_none, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

REFERENCE, NOW = ("ref1", "ref2"), ("now1", "now2")
LANDMARKS = (*REFERENCE, *NOW)
#: What blanks stand for; the hints of the quantities say so.
USUAL_LIMIT_PX, USUAL_READING_PX, USUAL_TURN_DEG = 1.0, 1.0, 0.1
#: A camera that rolled farther than this has more likely had its landmarks swapped.
_SWAPPED_DEG = 120
#: What undoes each turn: of a positive value, of a negative one. Roll first, as pan and tilt are read off it.
UNDO = {
    "roll_deg": ("roll counter-clockwise", "roll clockwise"),
    "tilt_deg": ("tilt down", "tilt up"),
    "pan_deg": ("turn left", "turn right"),
}


@dataclass(frozen=True)
class Turned:
    """How far a turn moves the picture, for each way to turn."""

    pan: Shift
    tilt: Shift
    roll: Shift


@dataclass(frozen=True, eq=False)
class ShootRemount:
    """The camera before and after it was away."""

    shoot: Shoot

    def _number(self, value: Real | NotKnown | None, usual: float) -> float:
        typed = need(value)
        return usual if typed is None else float(typed)

    @figure
    def picture(self) -> Picture:
        """The picture and its angle of view."""
        view, (width_px, height_px) = need(self.shoot.view.view, self.shoot.view.size_px)
        return Picture(width_px, height_px, view.hfov_deg)

    @figure
    def focal_px(self) -> float:
        """Focal length in pixels."""
        return need(self.picture).focal_px

    @figure
    def limit_px(self) -> float:
        """The movement that is allowed; it can't be more than the picture."""
        limit = self._number(self.shoot.limit_px, USUAL_LIMIT_PX)
        if limit >= 2 * need(self.picture).corner_radius_px:
            raise Missing(NotKnown(wrong=("limit_px",)))
        return limit

    @figure
    def reading_px(self) -> float:
        """How exactly positions were read."""
        return self._number(self.shoot.reading_px, USUAL_READING_PX)

    @figure
    def turned_deg(self) -> float:
        """The small turn whose effect is shown."""
        return self._number(self.shoot.turned, USUAL_TURN_DEG)

    @figure
    def shift_mm(self) -> float:
        """How far the camera was moved sideways."""
        if not given(self.shoot.shift_mm):
            raise ask("shift_mm")
        return self._number(self.shoot.shift_mm, 0)

    # -- the error ------------------------------------------------------------------------------------------

    @figure
    def landmarks(self) -> tuple[tuple[Point, Point], tuple[Point, Point]]:
        """Both landmarks in the reference frame and now."""
        missing = [name for name in LANDMARKS if not given(getattr(self.shoot, name))]
        wrong = [name for name in LANDMARKS if not known(getattr(self.shoot, name))]
        if missing or wrong:
            raise Missing(NotKnown(tuple(missing), tuple(wrong)))
        ref1, ref2, now1, now2 = ((float(x), float(y)) for x, y in (getattr(self.shoot, name) for name in LANDMARKS))
        return (ref1, ref2), (now1, now2)

    @property
    def outside(self) -> list[str]:
        """The names of positions that aren't in the picture, as far as is known."""
        picture = self.picture
        if not known(picture):
            return []
        points = {name: getattr(self.shoot, name) for name in LANDMARKS}
        typed = {name: point for name, point in points.items() if known(point) and point is not None}
        return [name for name, (x, y) in typed.items() if not picture.contains((float(x), float(y)))]

    @figure
    def too_close(self) -> bool:
        """Whether the two landmarks stand too close together in either frame."""
        landmarks, picture = need(self.landmarks, self.picture)
        return any(math.dist(*pair) < LEAST_APART_SHARE * picture.width_px for pair in landmarks)

    @figure
    def found(self) -> Remount | None:
        """Pan, tilt, roll and zoom since the reference frame; None where nothing explains the landmarks."""
        return self._search(zoom_fixed=False)

    @figure
    def found_fixed(self) -> Remount | None:
        """The same for a lens that can't have changed its focal length."""
        return self._search(zoom_fixed=True)

    def _search(self, zoom_fixed: bool) -> Remount | None:
        picture, (reference, now), reading_px, close = need(
            self.picture, self.landmarks, self.reading_px, self.too_close
        )
        if self.outside or close:
            raise Missing(NotKnown(wrong=tuple(self.outside) or LANDMARKS))
        return find_error(picture, reference, now, zoom_fixed=zoom_fixed, reading_px=reading_px)

    @figure
    def explained(self) -> bool:
        """Whether a turn and a zoom explain where the landmarks are."""
        return need(self.found) is not None

    @figure
    def error(self) -> Remount:
        """What was found; not known where nothing explains the landmarks."""
        found = need(self.found)
        if found is None:
            raise Missing(NotKnown(wrong=LANDMARKS))
        return found

    @figure
    def looks_swapped(self) -> bool:
        """Whether landmark 1 now is probably landmark 2 before."""
        return abs(need(self.error).error.roll_deg) > _SWAPPED_DEG

    @figure
    def zoom_changed(self) -> bool:
        """Whether the focal length differs by more than the readings can tell."""
        found = need(self.error)
        return abs(found.error.zoom - 1) > found.uncertainty.zoom

    @figure
    def stands_elsewhere(self) -> bool:
        """Whether turning alone leaves more than misread positions can (both frames, both landmarks)."""
        fixed, reading_px = need(self.found_fixed, self.reading_px)
        return fixed is not None and fixed.residual_px > 2 * math.sqrt(2) * reading_px

    @figure
    def shows_nothing(self) -> bool:
        """Whether everything found is smaller than the readings can tell."""
        found, zoomed, elsewhere = need(self.error, self.zoom_changed, self.stands_elsewhere)
        turns = [(getattr(found.error, way), getattr(found.uncertainty, way)) for way in UNDO]
        return all(abs(value) <= within for value, within in turns) and not (zoomed or elsewhere)

    @figure
    def turns(self) -> tuple[tuple[str, float], ...]:
        """The turns that the readings can tell, in the order in which they are undone."""
        found = need(self.error)
        values = [(way, getattr(found.error, way), getattr(found.uncertainty, way)) for way in UNDO]
        return tuple((way, value) for way, value, within in values if abs(value) > within)

    @figure
    def moved_px(self) -> float | None:
        """The farthest that any corner, edge or the middle moved; None where one left the view."""
        picture, found = need(self.picture, self.error)
        moved = shift(picture, found.error)
        ways = (moved.centre_px, moved.edge_px, moved.corner_px)
        return None if None in ways else max(way for way in ways if way is not None)

    @figure
    def crop(self) -> HidingCrop | None:
        """The crop that hides the error if it is left as it is; None where none does."""
        picture, found = need(self.picture, self.error)
        return hiding_crop(picture, found.error)

    # -- what small errors do -------------------------------------------------------------------------------

    @figure
    def tolerances(self) -> Tolerances:
        """The errors that move the picture by what is allowed."""
        picture, limit_px, arm, pitch = need(self.picture, self.limit_px, self.shoot.arm_mm, self.shoot.pitch_mm)
        distance_m = need(self.shoot.view.distance_m) if given(self.shoot.distance_m) else None
        arm_mm, pitch_mm = (None if value is None else float(value) for value in (arm, pitch))
        return tolerances(picture, limit_px, distance_m, arm_mm, pitch_mm)

    @figure
    def turned(self) -> Turned:
        """How far the small turn moves the picture."""
        picture, turn = need(self.picture, self.turned_deg)
        errors = (CameraError(pan_deg=turn), CameraError(tilt_deg=turn), CameraError(roll_deg=turn))
        return Turned(*(shift(picture, error) for error in errors))

    @figure
    def sideways_px(self) -> float:
        """How far a sideways shift moves what stands at the distance."""
        return sideways_px(*need(self.focal_px, self.shift_mm, self.shoot.view.distance_m))

    @figure
    def parallax_values(self) -> dict[str, float]:
        """What the movement of near against far things is worked out from."""
        if not given(self.shoot.near_m):
            raise ask("near_m")
        focal_px, shift_mm, near, far = need(self.focal_px, self.shift_mm, self.shoot.near_m, self.shoot.far_m)
        far_m = math.inf if far is None else float(far)
        return {"focal_px": focal_px, "shift_mm": shift_mm, "near_m": float(said(near)), "far_m": far_m}

    @figure
    def parallax_px(self) -> float:
        """How far near things move against far ones for the sideways shift."""
        return abs(parallax_px(**need(self.parallax_values)))


@dataclass(frozen=True)
class UndoResults(Results):
    """One turn that brings the camera back.

    turn : which way
    deg : by how much, degrees
    """

    turn: str
    deg: float


@dataclass(frozen=True)
class FixedZoomResults(Results):
    """The error for a lens that can't have changed its focal length.

    pan_deg : to the right, degrees
    tilt_deg : upward, degrees
    roll_deg : clockwise, degrees
    residual_px : what is left unexplained, pixels
    """

    pan_deg: float
    tilt_deg: float
    roll_deg: float
    residual_px: float


@dataclass(frozen=True)
class TolerancesResults(Results):
    """The turns and the shift that move the picture by what is allowed.

    turn_at_centre : a turn, judged in the middle
    pan_at_edge : pan, judged at the edge
    tilt_at_edge : tilt, judged at the edge
    roll_at_corner : roll, judged at a corner
    sideways_mm : sideways at the distance, mm
    """

    turn_at_centre: dict[str, Any]
    pan_at_edge: dict[str, Any]
    tilt_at_edge: dict[str, Any]
    roll_at_corner: dict[str, Any]
    sideways_mm: float | None


@dataclass(frozen=True)
class RemountResults(Results):
    """How do I put it back?

    pan_deg : how it came back, to the right, degrees
    tilt_deg : upward, degrees
    roll_deg : clockwise, degrees
    zoom : focal length now over before
    residual_px : what is left unexplained, pixels
    pan_within_deg : how sure that is, degrees
    tilt_within_deg : how sure that is, degrees
    roll_within_deg : how sure that is, degrees
    zoom_within : how sure that is
    explained : whether a turn and a zoom explain the landmarks
    outside : positions that aren't in the picture
    too_close : whether the landmarks are too close together
    looks_swapped : whether they are probably swapped
    zoom_fixed : the same for a fixed lens
    stands_elsewhere : whether turning alone can't explain it
    moved_px : the farthest that anything moved, pixels; null where it left the view
    crop : the crop that hides it
    hfov_deg : angle of view across, degrees
    focal_px : focal length, pixels
    reading_px : how exactly positions were read, pixels
    limit_px : movement allowed, pixels
    tolerances : what moves the picture by that
    turned_deg : small turn that is looked at, degrees
    turned_moves : how far it moves the picture, pixels
    sideways_px : how far the sideways shift does, pixels
    parallax_px : how far near things move against far ones, pixels
    undo : the turns that bring it back, in order
    """

    pan_deg: float | None = None
    tilt_deg: float | None = None
    roll_deg: float | None = None
    zoom: float | None = None
    residual_px: float | None = None
    pan_within_deg: float | None = None
    tilt_within_deg: float | None = None
    roll_within_deg: float | None = None
    zoom_within: float | None = None
    explained: bool | None = None
    outside: tuple[str, ...] = ()
    too_close: bool | None = None
    looks_swapped: bool | None = None
    zoom_fixed: FixedZoomResults | None = None
    stands_elsewhere: bool | None = None
    moved_px: float | None = None
    crop: dict[str, Any] | None = None
    hfov_deg: float | None = None
    focal_px: float | None = None
    reading_px: float | None = None
    limit_px: float | None = None
    tolerances: TolerancesResults | None = None
    turned_deg: float | None = None
    turned_moves: dict[str, Any] | None = None
    sideways_px: float | None = None
    parallax_px: float | None = None
    undo: tuple[UndoResults, ...] | None = None


def remount_results(shoot: Shoot) -> RemountResults:
    """Return the answer to ``/remount`` as data."""
    room = shoot.remounting
    found, fixed, crop = or_none(room.error), or_none(room.found_fixed), or_none(room.crop)
    error, unsure = (found.error, found.uncertainty) if found else (None, None)
    allowed, turns, turned = or_none(room.tolerances), or_none(room.turns), or_none(room.turned)
    return RemountResults.of(
        room,
        shoot.view,
        **{way: getattr(error, way) if error else None for way in ("pan_deg", "tilt_deg", "roll_deg", "zoom")},
        residual_px=found.residual_px if found else None,
        pan_within_deg=unsure.pan_deg if unsure else None,
        tilt_within_deg=unsure.tilt_deg if unsure else None,
        roll_within_deg=unsure.roll_deg if unsure else None,
        zoom_within=unsure.zoom if unsure else None,
        outside=tuple(room.outside),
        zoom_fixed=FixedZoomResults(fixed.error.pan_deg, fixed.error.tilt_deg, fixed.error.roll_deg, fixed.residual_px)
        if fixed
        else None,
        stands_elsewhere=or_none(room.stands_elsewhere) if fixed else None,
        crop=vars(crop) if crop else None,
        hfov_deg=room.picture.hfov_deg if known(room.picture) else None,
        tolerances=_allowed(allowed) if allowed else None,
        turned_moves={way: vars(moved) for way, moved in vars(turned).items()} if turned else None,
        undo=tuple(UndoResults(UNDO[way][value < 0], abs(value)) for way, value in turns)
        if turns is not None
        else None,
    )


def _allowed(found: Tolerances) -> TolerancesResults:
    return TolerancesResults(
        vars(found.turn_at_centre),
        vars(found.pan_at_edge),
        vars(found.tilt_at_edge),
        vars(found.roll_at_corner),
        found.sideways_mm,
    )
