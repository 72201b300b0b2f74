"""One framing question, worked out: what the page ``/framing`` shows and its data holds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from webcalc.calc.optics import framing
from webcalc.calc.optics.framing import Coverage, Crop, GroundCover, Sharpness, View
from webcalc.web.link.inputs import Inputs
from webcalc.web.shoot.optics import ShootOptics


@dataclass(frozen=True)
class WantedLens:
    """What covers a wanted width at the distance; ``focal_mm`` is None where the sensor isn't known."""

    width_m: float
    hfov_deg: float
    focal_mm: float | None


class FramingCase:
    """What the camera sees at the typed distance. A part that can't be known is None."""

    def __init__(self, inputs: Inputs, optics: ShootOptics) -> None:
        self.inputs = inputs
        self.optics = optics
        self.view: View | None = optics.view
        self.distance_m: float | None = self._float("distance_m")

    def _float(self, name: str) -> float | None:
        value = self.inputs.get(name)
        return None if value is None else float(value)

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is an answer."""
        names = [*self.optics.missing, *([] if self.distance_m else ["distance_m"])]
        return [name for name in names if name not in self.inputs.errors]

    @property
    def shape(self) -> tuple[int, int] | None:
        """Return the picture's size in pixels."""
        return self.optics.size_px

    @cached_property
    def coverage(self) -> Coverage | None:
        """Return what the picture covers; None without distance, angle of view or picture size."""
        if self.view is None or self.distance_m is None or self.shape is None:
            return None
        return framing.coverage(self.view, self.distance_m, *self.shape, self._float("subject_m"))

    @property
    def covered_m(self) -> tuple[float, float] | None:
        """Return the width and height covered, which don't need a size in pixels."""
        if self.view is None or self.distance_m is None:
            return None
        sides = (self.view.hfov_deg, self.view.vfov_deg)
        width_m, height_m = (framing.covered_m(self.distance_m, angle_deg) for angle_deg in sides)
        return width_m, height_m

    @property
    def sharpness_values(self) -> dict[str, float] | None:
        """Return what the limits of sharp focus are worked out from, the distance left out."""
        aperture = self._float("aperture")
        wrong = {"coc_mm", "sensor", "sensor_mm", "focal_mm"} & set(self.inputs.errors)
        if aperture is None or wrong or self.optics.focal_mm is None or self.optics.coc_mm is None:
            return None
        return {"focal_mm": self.optics.focal_mm, "aperture": aperture, "coc_mm": self.optics.coc_mm}

    @cached_property
    def hyperfocal_m(self) -> float | None:
        """Return the hyperfocal distance."""
        return None if self.sharpness_values is None else framing.hyperfocal_m(**self.sharpness_values)

    @cached_property
    def sharpness(self) -> Sharpness | None:
        """Return the limits with the lens focused at the distance; None where it can't be focused so near."""
        values = self.sharpness_values
        if values is None or self.distance_m is None or self.distance_m * 1000 <= values["focal_mm"]:
            return None
        return framing.sharpness(self.distance_m, **values)

    @property
    def tilt_deg(self) -> float | None:
        """Return the tilt: level where nothing is typed, None where it is wrong."""
        return None if "tilt" in self.inputs.errors else float(self.inputs.get("tilt", 0))

    @property
    def asks_ground(self) -> bool:
        """Whether enough is known to look for ground in the picture."""
        return self.view is not None and self.tilt_deg is not None and self.inputs.has("camera_m")

    @cached_property
    def ground(self) -> GroundCover | None:
        """Return the level ground in the picture; None where there is none or it isn't known."""
        if not self.asks_ground:
            return None
        return framing.ground_cover(float(self.inputs.get("camera_m")), self.tilt_deg, self.view)

    @property
    def axis_ground_m(self) -> float | None:
        """Return where the middle of the picture meets level ground; None where it doesn't."""
        if not self.asks_ground or self.tilt_deg >= 0:
            return None
        return framing.ground_distance_m(float(self.inputs.get("camera_m")), -self.tilt_deg)

    @cached_property
    def crops(self) -> tuple[Crop, ...]:
        """Return the crops; none while angle of view or size isn't known."""
        if self.view is None or self.shape is None:
            return ()
        return framing.crops(self.view, *self.shape)

    @cached_property
    def wanted(self) -> WantedLens | None:
        """Return what covers the wanted width at the distance."""
        width_m, area = self._float("width_m"), self.optics.area
        if width_m is None or self.distance_m is None:
            return None
        known = area is not None and not {"sensor", "sensor_mm", "size"} & set(self.inputs.errors)
        focal_mm = framing.focal_for_width_mm(area.width_mm, self.distance_m, width_m) if known else None
        return WantedLens(width_m, framing.hfov_for_width_deg(self.distance_m, width_m), focal_mm)

    def results(self) -> dict[str, Any]:
        """Return the data; whatever isn't known stays None."""
        view, covered, sharp, ground = self.view, self.covered_m, self.sharpness, self.ground
        coverage, wanted = self.coverage, self.wanted
        return {
            "hfov_deg": view.hfov_deg if view else None,
            "vfov_deg": view.vfov_deg if view else None,
            "dfov_deg": view.dfov_deg if view else None,
            "known_by": self.optics.known_by,
            "focal_mm": self.optics.focal_mm,
            "focal_eq_mm": self.optics.focal_eq_mm,
            "width_m": covered[0] if covered else None,
            "height_m": covered[1] if covered else None,
            "px_per_m": coverage.px_per_m if coverage else None,
            "subject_px": coverage.subject_px if coverage else None,
            "subject_share": coverage.subject_share if coverage else None,
            "coc_mm": self.optics.coc_mm if "coc_mm" not in self.inputs.errors else None,
            "hyperfocal_m": self.hyperfocal_m,
            "near_m": sharp.near_m if sharp else None,
            "far_m": sharp.far_m if sharp else None,
            "far_is_infinite": sharp.far_m is None if sharp else None,
            "ground_in_picture": ground is not None if self.asks_ground else None,
            "ground_near_m": ground.near_m if ground else None,
            "ground_near_width_m": ground.near_width_m if ground else None,
            "ground_far_m": ground.far_m if ground else None,
            "ground_far_width_m": ground.far_width_m if ground else None,
            "ground_middle_m": self.axis_ground_m,
            "focal_for_width_mm": wanted.focal_mm if wanted else None,
            "hfov_for_width_deg": wanted.hfov_deg if wanted else None,
            "crops": [self._crop_data(crop) for crop in self.crops],
        }

    def crop_covers_m(self, crop: Crop) -> tuple[float, float] | None:
        """Return the width and height that a crop keeps of the scene."""
        if self.coverage is None:
            return None
        return crop.width_px / self.coverage.px_per_m, crop.height_px / self.coverage.px_per_m

    def _crop_data(self, crop: Crop) -> dict[str, Any]:
        covers = self.crop_covers_m(crop)
        width_m, height_m = covers or (None, None)
        return {**vars(crop), "width_m": width_m, "height_m": height_m}
