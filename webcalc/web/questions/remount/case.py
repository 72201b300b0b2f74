"""What the page ``/remount`` works out, before any words: what moved the camera, what to undo, what is tolerable."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

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
from webcalc.web.http.page import Asked

REFERENCE, NOW = ("ref1", "ref2"), ("now1", "now2")
LANDMARKS = (*REFERENCE, *NOW)
#: What blanks stand for; the hints of the quantities say so.
USUAL_LIMIT_PX, USUAL_READING_PX, USUAL_TURN_DEG = 1.0, 1.0, 0.1
#: A camera that rolled farther than this has more likely had its landmarks swapped.
_SWAPPED_DEG = 120


@dataclass(frozen=True)
class Turned:
    """How far a turn moves the picture, for each way to turn."""

    pan: Shift
    tilt: Shift
    roll: Shift


class RemountCase:
    """Everything about one request; parts that can't be known yet are None."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.inputs = asked.inputs
        self.optics = asked.old.optics

    def _typed(self, name: str, usual: float | None = None) -> float | None:
        """Return a typed number; ``usual`` where it is blank, None where it is wrong."""
        if name in self.inputs.errors:
            return None
        value = self.inputs.get(name)
        return usual if value is None else float(value)

    @property
    def limit_px(self) -> float | None:
        """Return the movement that is allowed; None where it is more than the picture."""
        limit = self._typed("limit_px", USUAL_LIMIT_PX)
        if limit is None or self.picture is None or limit >= 2 * self.picture.corner_radius_px:
            return None
        return limit

    @property
    def reading_px(self) -> float | None:
        """Return how exactly positions were read."""
        return self._typed("reading_px", USUAL_READING_PX)

    @property
    def turned_deg(self) -> float | None:
        """Return the small turn whose effect is shown."""
        return self._typed("turned", USUAL_TURN_DEG)

    @property
    def distance_m(self) -> float | None:
        """Return the distance of what sideways shifts are judged by."""
        return self._typed("distance_m")

    @property
    def shift_mm(self) -> float | None:
        """Return how far the camera was moved sideways."""
        return self._typed("shift_mm")

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before the error can be found."""
        size = [] if self.optics.size_px else ["size"]
        names = [*self.optics.missing, *size, *(name for name in LANDMARKS if not self.inputs.has(name))]
        return [name for name in dict.fromkeys(names) if name not in self.inputs.errors]

    @cached_property
    def picture(self) -> Picture | None:
        """Return the picture and its angle of view."""
        view, size = self.optics.view, self.optics.size_px
        return Picture(*size, view.hfov_deg) if view and size else None

    # -- the error ------------------------------------------------------------------------------------------

    def _pair(self, names: tuple[str, str]) -> tuple[Point, Point] | None:
        if not self.inputs.has(*names):
            return None
        (x1, y1), (x2, y2) = (self.inputs.get(name) for name in names)
        return (float(x1), float(y1)), (float(x2), float(y2))

    @cached_property
    def landmarks(self) -> tuple[tuple[Point, Point], tuple[Point, Point]] | None:
        """Return both landmarks in the reference frame and now."""
        reference, now = self._pair(REFERENCE), self._pair(NOW)
        return (reference, now) if reference and now else None

    @property
    def outside(self) -> list[str]:
        """Return the names of positions that aren't in the picture."""
        if self.picture is None:
            return []
        points = {name: self.inputs.get(name) for name in LANDMARKS if self.inputs.has(name)}
        return [name for name, (x, y) in points.items() if not self.picture.contains((float(x), float(y)))]

    @property
    def too_close(self) -> bool:
        """Whether the two landmarks stand too close together in either frame."""
        if self.landmarks is None or self.picture is None:
            return False
        return any(math.dist(*pair) < LEAST_APART_SHARE * self.picture.width_px for pair in self.landmarks)

    @property
    def can_search(self) -> bool:
        """Whether the landmarks are there and fit to search an error with."""
        known = self.landmarks is not None and self.picture is not None and self.reading_px is not None
        return known and not self.outside and not self.too_close

    @cached_property
    def found(self) -> Remount | None:
        """Return pan, tilt, roll and zoom since the reference frame; None where nothing explains the landmarks."""
        return self._search(zoom_fixed=False)

    @cached_property
    def found_fixed(self) -> Remount | None:
        """Return the same for a lens that can't have changed its focal length."""
        return self._search(zoom_fixed=True)

    def _search(self, zoom_fixed: bool) -> Remount | None:
        if not self.can_search or self.picture is None or self.landmarks is None or self.reading_px is None:
            return None
        reference, now = self.landmarks
        return find_error(self.picture, reference, now, zoom_fixed=zoom_fixed, reading_px=self.reading_px)

    @property
    def looks_swapped(self) -> bool:
        """Whether landmark 1 now is probably landmark 2 before."""
        return self.found is not None and abs(self.found.error.roll_deg) > _SWAPPED_DEG

    @property
    def shows_nothing(self) -> bool:
        """Whether everything found is smaller than the readings can tell."""
        if self.found is None:
            return False
        error, unsure = self.found.error, self.found.uncertainty
        turns = ((error.pan_deg, unsure.pan_deg), (error.tilt_deg, unsure.tilt_deg), (error.roll_deg, unsure.roll_deg))
        return all(abs(value) <= within for value, within in turns) and not (self.zoom_changed or self.is_elsewhere)

    @property
    def zoom_changed(self) -> bool:
        """Whether the focal length differs by more than the readings can tell."""
        return self.found is not None and abs(self.found.error.zoom - 1) > self.found.uncertainty.zoom

    @property
    def is_elsewhere(self) -> bool:
        """Whether turning alone leaves more than misread positions can (both frames, both landmarks)."""
        if self.found_fixed is None or self.reading_px is None:
            return False
        return self.found_fixed.residual_px > 2 * math.sqrt(2) * self.reading_px

    @cached_property
    def moved_px(self) -> float | None:
        """Return the farthest that any corner, edge or the middle moved; None where one left the view."""
        if self.found is None or self.picture is None:
            return None
        moved = shift(self.picture, self.found.error)
        ways = (moved.centre_px, moved.edge_px, moved.corner_px)
        return None if None in ways else max(ways)  # type: ignore[type-var]

    @cached_property
    def crop(self) -> HidingCrop | None:
        """Return the crop that hides the error if it is left as it is."""
        if self.found is None or self.picture is None:
            return None
        return hiding_crop(self.picture, self.found.error)

    # -- what small errors do -------------------------------------------------------------------------------

    @cached_property
    def tolerances(self) -> Tolerances | None:
        """Return the errors that move the picture by what is allowed."""
        if self.picture is None or self.limit_px is None:
            return None
        arm_mm, pitch_mm = self._typed("arm_mm"), self._typed("pitch_mm")
        return tolerances(self.picture, self.limit_px, self.distance_m, arm_mm, pitch_mm)

    @cached_property
    def turned(self) -> Turned | None:
        """Return how far the small turn moves the picture."""
        if self.picture is None or self.turned_deg is None:
            return None
        turn = self.turned_deg
        errors = (CameraError(pan_deg=turn), CameraError(tilt_deg=turn), CameraError(roll_deg=turn))
        return Turned(*(shift(self.picture, error) for error in errors))

    @property
    def sideways_px(self) -> float | None:
        """Return how far a sideways shift moves what stands at the distance."""
        if self.picture is None or self.shift_mm is None or self.distance_m is None:
            return None
        return sideways_px(self.picture.focal_px, self.shift_mm, self.distance_m)

    @property
    def parallax_values(self) -> dict[str, float] | None:
        """Return what the movement of near against far things is worked out from."""
        near_m, far_m = self._typed("near_m"), self._typed("far_m", math.inf)
        if self.picture is None or self.shift_mm is None or near_m is None or far_m is None:
            return None
        return {"focal_px": self.picture.focal_px, "shift_mm": self.shift_mm, "near_m": near_m, "far_m": far_m}

    @property
    def parallax_px(self) -> float | None:
        """Return how far near things move against far ones for the sideways shift."""
        values = self.parallax_values
        return None if values is None else abs(parallax_px(**values))

    # -- the data -------------------------------------------------------------------------------------------

    def results(self) -> dict[str, Any]:
        """Return the data; whatever isn't known stays None."""
        found, fixed, crop = self.found, self.found_fixed, self.crop
        error, unsure = (found.error, found.uncertainty) if found else (None, None)
        return {
            "pan_deg": error.pan_deg if error else None,
            "tilt_deg": error.tilt_deg if error else None,
            "roll_deg": error.roll_deg if error else None,
            "zoom": error.zoom if error else None,
            "residual_px": found.residual_px if found else None,
            "pan_within_deg": unsure.pan_deg if unsure else None,
            "tilt_within_deg": unsure.tilt_deg if unsure else None,
            "roll_within_deg": unsure.roll_deg if unsure else None,
            "zoom_within": unsure.zoom if unsure else None,
            "explained": found is not None if self.can_search else None,
            "outside": self.outside,
            "too_close": self.too_close if self.landmarks and self.picture else None,
            "looks_swapped": self.looks_swapped if found else None,
            "zoom_fixed": {
                "pan_deg": fixed.error.pan_deg,
                "tilt_deg": fixed.error.tilt_deg,
                "roll_deg": fixed.error.roll_deg,
                "residual_px": fixed.residual_px,
            }
            if fixed
            else None,
            "stands_elsewhere": self.is_elsewhere if fixed else None,
            "moved_px": self.moved_px,
            "crop": vars(crop) if crop else None,
            "hfov_deg": self.picture.hfov_deg if self.picture else None,
            "focal_px": self.picture.focal_px if self.picture else None,
            "reading_px": self.reading_px,
            "limit_px": self.limit_px,
            "tolerances": self._tolerances_data(),
            "turned_deg": self.turned_deg,
            "turned_moves": {way: vars(moved) for way, moved in vars(self.turned).items()} if self.turned else None,
            "sideways_px": self.sideways_px,
            "parallax_px": self.parallax_px,
        }

    def _tolerances_data(self) -> dict[str, Any] | None:
        if self.tolerances is None:
            return None
        turns = ("turn_at_centre", "pan_at_edge", "tilt_at_edge", "roll_at_corner")
        return {
            **{name: vars(getattr(self.tolerances, name)) for name in turns},
            "sideways_mm": self.tolerances.sideways_mm,
        }
