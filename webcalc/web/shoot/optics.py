"""Sensor, lens and angles of view, from the typed quantities."""

from __future__ import annotations

from functools import cached_property

from webcalc.calc.formula import Working, work
from webcalc.calc.optics import framing
from webcalc.calc.optics.framing import View
from webcalc.calc.optics.sensors import SENSORS, Sensor, crop_factor, focal_from_equivalent_mm
from webcalc.web.link.inputs import Inputs

#: What the angle of view can be known by.
BY_ANGLE, BY_FOCAL, BY_EQUIVALENT = "hfov", "focal_mm", "focal_eq_mm"

#: Names whose wrong value would make the angle of view wrong.
OPTICS_NAMES = ("sensor", "sensor_mm", "focal_mm", "focal_eq_mm", "hfov", "size")


class ShootOptics:
    """What the camera sees, as far as it is known.

    A typed angle of view goes before a focal length behind a known sensor, and that before a 35 mm equivalent.
    Typed sides of the sensor go before its format. A picture taller than wide is taken with the camera turned upright.
    """

    def __init__(self, inputs: Inputs) -> None:
        self.inputs = inputs

    @property
    def size_px(self) -> tuple[int, int] | None:
        """Return width and height of the picture."""
        return self.inputs.get("size")

    @cached_property
    def sensor(self) -> Sensor | None:
        """Return the sensor as the camera holds it; None while it isn't known."""
        sides = self.inputs.get("sensor_mm")
        if sides:
            return Sensor(float(sides[0]), float(sides[1]))
        chosen = SENSORS.get(self.inputs.get("sensor", ""))
        if chosen and self.stands_upright:
            return Sensor(chosen.height_mm, chosen.width_mm, chosen.source)
        return chosen

    @property
    def stands_upright(self) -> bool:
        """Whether the picture is taller than wide."""
        return self.size_px is not None and self.size_px[1] > self.size_px[0]

    @cached_property
    def area(self) -> Sensor | None:
        """Return the part of the sensor that the picture uses: all of it while there is no picture size."""
        if self.sensor is None or self.size_px is None:
            return self.sensor
        return self.sensor.used_by(*self.size_px)

    @cached_property
    def known_by(self) -> str | None:
        """Return the name that the angle of view comes from; None while it isn't known or a part of it is wrong."""
        if any(name in self.inputs.errors for name in OPTICS_NAMES):
            return None
        if self.inputs.has("hfov"):
            return BY_ANGLE if self._shape else None
        if self.inputs.has("focal_mm") and self.area:
            return BY_FOCAL
        return BY_EQUIVALENT if self.inputs.has("focal_eq_mm") and self._shape else None

    @property
    def told_twice(self) -> bool:
        """Whether the angle of view, or the sensor, was given in more than one way."""
        has = self.inputs.has
        views = has("hfov") + (has("focal_mm") and self.sensor is not None) + has("focal_eq_mm")
        return views > 1 or (has("sensor_mm") and self.inputs.get("sensor") in SENSORS)

    @property
    def _shape(self) -> tuple[float, float] | None:
        """Return two lengths in the picture's aspect ratio."""
        if self.size_px:
            return self.size_px
        return (self.area.width_mm, self.area.height_mm) if self.area else None

    @cached_property
    def view(self) -> View | None:
        """Return the angles of view; None while they aren't known."""
        get = self.inputs.get
        if self.known_by == BY_ANGLE:
            return framing.view_from_hfov(float(get("hfov")), *self._shape)
        if self.known_by == BY_FOCAL:
            return framing.view_from_focal(self.area.width_mm, self.area.height_mm, float(get("focal_mm")))
        if self.known_by == BY_EQUIVALENT:
            return framing.view_from_equivalent(float(get("focal_eq_mm")), *self._shape)
        return None

    @cached_property
    def missing(self) -> list[str]:
        """Return the names to fill in before there is an angle of view."""
        missing = self._missing() if self.view is None else []
        return [name for name in missing if name not in self.inputs.errors]

    def _missing(self) -> list[str]:
        if self.inputs.has("hfov") or (self.inputs.has("focal_eq_mm") and not self.inputs.has("focal_mm")):
            return ["size"]
        return [
            *([] if self.sensor else ["sensor"]),
            *([] if self.inputs.has("focal_mm") else ["focal_mm"]),
        ]

    @cached_property
    def focal_mm(self) -> float | None:
        """Return the real focal length: typed, else from the angle of view and the sensor."""
        typed = self.inputs.get("focal_mm")
        if typed is not None and self.known_by in (None, BY_FOCAL):
            return float(typed)
        if self.view is None or self.area is None:
            return None
        return framing.focal_from_angle_mm(self.area.width_mm, self.view.hfov_deg)

    @cached_property
    def focal_eq_mm(self) -> float | None:
        """Return the focal length on 36 × 24 mm with this picture's diagonal angle of view."""
        return None if self.view is None else framing.equivalent_from_angle_mm(self.view.dfov_deg)

    @cached_property
    def coc_mm(self) -> float | None:
        """Return the circle of confusion: typed, else a share of the diagonal of the used area."""
        typed = self.inputs.get("coc_mm")
        if typed is not None:
            return float(typed)
        return None if self.area is None else framing.circle_of_confusion_mm(self.area.diagonal_mm)

    def workings(self) -> list[Working]:
        """Return the arithmetic from what was typed to the horizontal angle of view."""
        if self.known_by == BY_FOCAL:
            return [work(framing.angle_of_view_deg, side_mm=self.area.width_mm, focal_mm=self.focal_mm)]
        if self.known_by == BY_EQUIVALENT and self.area:
            focal_eq_mm, factor = float(self.inputs.get("focal_eq_mm")), crop_factor(self.area.diagonal_mm)
            return [
                work(crop_factor, diagonal_mm=self.area.diagonal_mm),
                work(focal_from_equivalent_mm, focal_eq_mm=focal_eq_mm, crop_factor=factor),
                work(framing.angle_of_view_deg, side_mm=self.area.width_mm, focal_mm=self.focal_mm),
            ]
        return []
