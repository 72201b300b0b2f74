"""Putting the camera back: what moved it, what to undo, what is tolerable."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from webcalc.calc.optics import landmarks as marks
from webcalc.calc.optics import remount
from webcalc.calc.optics.landmarks import MISREAD, Pair, Remount
from webcalc.calc.optics.remount import CameraError, HidingCrop, Picture, Point, Shift, Tolerances
from webcalc.calc.typed import Real
from webcalc.calc.unknown import (
    Missing,
    NotKnown,
    ask,
    figure,
    figure_for,
    given,
    is_wrong,
    known,
    need,
    said,
    unless_wrong,
)

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Landmarks have the numbers from 1 to this; two are enough.
MOST_LANDMARKS = 6
#: The head that pans about the vertical; any other turns about the camera's own axes.
PAN_TILT = "pan_tilt"
#: From this tilt on, up or down, pan and roll are as good as the same turn.
STEEP_DEG = 88.0
#: What blanks stand for; the hints of the quantities say so.
USUAL_LIMIT_PX, USUAL_READING_PX, USUAL_TURN_DEG = 1.0, 1.0, 0.1
#: A camera that rolled farther than this has more likely had its landmarks swapped.
_SWAPPED_DEG = 120
_NUMBERS = range(1, MOST_LANDMARKS + 1)


@dataclass(frozen=True)
class Step:
    """One turn to undo (``way``, by ``deg`` of error), and where each landmark, by number, must stand after it."""

    way: str
    deg: float
    stand: tuple[tuple[int, Point | None], ...]


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
        return Picture(width_px, height_px, view.hfov_deg, view.equidistant)

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

    # -- the landmarks --------------------------------------------------------------------------------------

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers of the landmarks that are given in both frames, be it wrongly; others don't count."""
        pairs = {n: (getattr(self.shoot, f"ref{n}"), getattr(self.shoot, f"now{n}")) for n in _NUMBERS}
        return tuple(n for n, pair in pairs.items() if all(map(given, pair)))

    @property
    def _names(self) -> tuple[str, ...]:
        return tuple(f"{frame}{n}" for frame in ("ref", "now") for n in self.numbers)

    @figure
    def landmarks(self) -> tuple[Pair, ...]:
        """Each landmark in the reference frame and now; two of them at least."""
        missing: list[str] = []
        if len(self.numbers) < 2:
            missing = [name for name in ("ref1", "ref2", "now1", "now2") if not given(getattr(self.shoot, name))]
        names = self._names if not missing else ("ref1", "ref2", "now1", "now2", *self._names)
        wrong = [name for name in names if is_wrong(getattr(self.shoot, name))]
        if missing or wrong:
            raise Missing(NotKnown(tuple(missing), tuple(wrong)))
        return tuple((self._point(f"ref{n}"), self._point(f"now{n}")) for n in self.numbers)

    def _point(self, name: str) -> Point:
        x, y = need(getattr(self.shoot, name))
        return float(x), float(y)

    @property
    def outside(self) -> list[str]:
        """The names of positions that count and aren't in the picture, as far as is known."""
        picture = self.picture
        if not known(picture):
            return []
        typed = [name for name in self._names if known(getattr(self.shoot, name))]
        return [name for name in typed if not picture.contains(self._point(name))]

    @figure
    def too_close(self) -> bool:
        """Whether the landmarks stand too close together in either frame."""
        pairs, picture = need(self.landmarks, self.picture)
        least_px = marks.LEAST_APART_SHARE * picture.width_px
        return any(marks.apart_px(points) < least_px for points in zip(*pairs, strict=True))

    @figure
    def usable(self) -> tuple[Pair, ...]:
        """The landmarks, if an error can be looked for with them."""
        pairs, close = need(self.landmarks, self.too_close)
        if self.outside or close:
            raise Missing(NotKnown(wrong=tuple(self.outside) or self._names))
        return pairs

    # -- the error ------------------------------------------------------------------------------------------

    @figure
    def fixed(self) -> Remount | None:
        """Pan, tilt, roll since the reference frame for a lens that can't have changed its focal length.

        About the camera's own axes; None where no turn brings the landmarks there at all.
        """
        picture, pairs, reading_px = need(self.picture, self.usable, self.reading_px)
        return marks.find_error(picture, pairs, zoom_fixed=True, reading_px=reading_px)

    @figure
    def free(self) -> Remount | None:
        """The same with another focal length."""
        picture, pairs, reading_px = need(self.picture, self.usable, self.reading_px)
        return marks.find_error(picture, pairs, reading_px=reading_px)

    @figure
    def resized_by(self) -> float | None:
        """By what the fresh picture seems smaller than the reference; None where a fixed lens explains it as it is."""
        picture, pairs, reading_px, fixed = need(self.picture, self.usable, self.reading_px, self.fixed)
        if fixed is not None and fixed.residual_px <= MISREAD * reading_px:
            return None
        return marks.resized_by(picture, pairs, reading_px)

    @figure
    def found(self) -> Remount | None:
        """The first that explains the landmarks as exactly as they were read, of a fixed lens and another focal length.

        Fixed lenses come first: readings a pixel off look like a zoom. None where neither does.
        """
        fixed, free, reading_px = need(self.fixed, self.free, self.reading_px)
        fits = [one for one in (fixed, free) if one is not None and one.residual_px <= MISREAD * reading_px]
        return fits[0] if fits else None

    @figure
    def explained(self) -> bool:
        """Whether a turn and a zoom explain where the landmarks are."""
        found, resized = need(self.found, self.resized_by)
        return found is not None and resized is None

    @figure
    def in_camera_axes(self) -> Remount:
        """What was found, about the camera's own axes; not known where nothing explains the landmarks."""
        found, explained = need(self.found, self.explained)
        if found is None or not explained:
            raise Missing(NotKnown(wrong=self._names))
        return found

    @figure
    def tilt_deg(self) -> float:
        """The tilt of the reference frame, as a head that pans about the vertical needs it."""
        tilt = need(self.shoot.tilt)
        if tilt is None:
            raise ask("tilt")
        return float(tilt)

    @figure
    def head_tilt_deg(self) -> float:
        """What the turns are about: the tilt for a head that pans about the vertical, else 0, the camera's axes."""
        tilt_deg = need(self.tilt_deg) if need(self.shoot.head) == PAN_TILT else 0.0
        return tilt_deg if abs(tilt_deg) < STEEP_DEG else 0.0

    @figure
    def looks_straight_down(self) -> bool:
        """Whether such a head's pan is a roll, as it looks straight down: turns are about the camera's axes then."""
        return need(self.shoot.head) == PAN_TILT and abs(need(self.tilt_deg)) >= STEEP_DEG

    @figure
    def error(self) -> Remount:
        """What was found, about the head's axes."""
        picture, pairs, found, tilt_deg = need(self.picture, self.usable, self.in_camera_axes, self.head_tilt_deg)
        return marks.on_head(picture, found, pairs, tilt_deg) if tilt_deg else found

    @figure
    def other_head(self) -> Remount | None:
        """Where no head was said: what was found about the axes of one that pans about the vertical; else None."""
        if need(self.shoot.head):
            return None
        picture, pairs, found, tilt_deg = need(self.picture, self.usable, self.in_camera_axes, self.tilt_deg)
        return marks.on_head(picture, found, pairs, tilt_deg) if 0 < abs(tilt_deg) < STEEP_DEG else None

    @figure
    def head_matters(self) -> bool:
        """Whether the turns depend on a head that wasn't said."""
        head, shows_nothing = need(self.shoot.head, self.shows_nothing)
        return not head and not shows_nothing and (not known(self.tilt_deg) or need(self.tilt_deg) != 0)

    @figure
    def looks_swapped(self) -> bool:
        """Whether landmark 1 now is probably landmark 2 before."""
        return abs(need(self.in_camera_axes).error.roll_deg) > _SWAPPED_DEG

    @figure
    def zoom_changed(self) -> bool:
        """Whether the focal length differs by more than the readings can tell."""
        found = need(self.in_camera_axes)
        return abs(found.error.zoom - 1) > found.uncertainty.zoom

    @figure
    def stands_elsewhere(self) -> bool:
        """Whether turning alone leaves more than misread positions can (both frames, both ways)."""
        fixed, reading_px = need(self.fixed, self.reading_px)
        return fixed is not None and fixed.residual_px > MISREAD * reading_px

    @figure
    def shows_nothing(self) -> bool:
        """Whether everything found is smaller than the readings can tell."""
        found, zoomed, elsewhere = need(self.in_camera_axes, self.zoom_changed, self.stands_elsewhere)
        return not (found.told or zoomed or elsewhere)

    @figure_for
    def steps(self, found: Remount) -> tuple[Step, ...]:
        """The turns that the readings can tell, in the order in which they are undone, and what each leads to.

        With the zoom set back first.
        """
        picture, pairs, left, steps = *need(self.picture, self.usable), replace(found.error, zoom=1.0), []
        for way in found.told:
            value, left = getattr(left, way), replace(left, **{way: 0.0})
            stand = tuple(
                (n, remount.moved(picture, left, before)) for n, (before, _now) in zip(self.numbers, pairs, strict=True)
            )
            steps.append(Step(way, value, stand))
        return tuple(steps)

    @figure
    def decimals(self) -> int:
        """Decimals of a degree that turns are told to: all three together rounded off by half of what is allowed."""
        allowed = need(self.tolerances)
        turns = (allowed.pan_at_corner, allowed.tilt_at_corner, allowed.roll_at_corner)
        return min(6, max(1, math.ceil(math.log10(3 / min(turn.turn_deg for turn in turns)))))

    @figure
    def moved_px(self) -> float | None:
        """The farthest that any corner, edge or the middle moved; None where one left the view."""
        picture, found = need(self.picture, self.in_camera_axes)
        shifted = remount.shift(picture, found.error)
        ways = (shifted.centre_px, shifted.edge_px, shifted.corner_px)
        return None if None in ways else max(way for way in ways if way is not None)

    @figure
    def crop(self) -> HidingCrop | None:
        """The crop that hides the error if it is left as it is; None where none does."""
        picture, found = need(self.picture, self.in_camera_axes)
        return remount.hiding_crop(picture, found.error)

    # -- what small errors do -------------------------------------------------------------------------------

    @figure
    def tolerances(self) -> Tolerances:
        """The errors that move the picture by what is allowed."""
        picture, limit_px, arm, pitch = need(self.picture, self.limit_px, self.shoot.arm_mm, self.shoot.pitch_mm)
        distance_m = need(self.shoot.view.distance_m) if given(self.shoot.distance_m) else None
        arm_mm, pitch_mm = (None if value is None else float(value) for value in (arm, pitch))
        head_tilt_deg = unless_wrong(self.head_tilt_deg) or 0.0
        return remount.tolerances(picture, limit_px, distance_m, arm_mm, pitch_mm, head_tilt_deg)

    @figure
    def turned(self) -> Turned:
        """How far the small turn moves the picture."""
        picture, turn = need(self.picture, self.turned_deg)
        errors = (CameraError(pan_deg=turn), CameraError(tilt_deg=turn), CameraError(roll_deg=turn))
        return Turned(*(remount.shift(picture, error) for error in errors))

    @figure
    def sideways_px(self) -> float:
        """How far a sideways shift moves what stands at the distance."""
        return remount.sideways_px(*need(self.focal_px, self.shift_mm, self.shoot.view.distance_m))

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
        return abs(remount.parallax_px(**need(self.parallax_values)))
