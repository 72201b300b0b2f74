"""The shoot seen through its lens: sensor, angles of view, what the picture covers, what is sharp, crops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webcalc.calc.formula import Working, work
from webcalc.calc.optics import framing
from webcalc.calc.optics import view as viewing
from webcalc.calc.optics.framing import Crop, GroundCover, Sharpness, Standing
from webcalc.calc.optics.view import SENSORS, Sensor, View, crop_factor, focal_from_equivalent_mm
from webcalc.calc.unknown import Missing, NotKnown, ask, figure, given, is_wrong, known, need, or_none, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: What the angle of view can be known by.
BY_ANGLE, BY_FOCAL, BY_EQUIVALENT = "hfov", "focal_mm", "focal_eq_mm"


@dataclass(frozen=True)
class WantedLens:
    """What covers a wanted width at the distance; ``focal_mm`` is None where the sensor wasn't said."""

    width_m: float
    hfov_deg: float
    focal_mm: float | None


@dataclass(frozen=True, eq=False)
class ShootView:
    """What the camera sees.

    A typed angle of view goes before a focal length behind a known sensor, and that before a 35 mm equivalent.
    Typed sides of the sensor go before its format. A picture taller than wide is taken with the camera turned upright.
    """

    shoot: Shoot

    # -- sensor and picture ---------------------------------------------------------------------------------

    @property
    def sensor_said(self) -> bool:
        """Whether a sensor was named, be it wrongly."""
        sensor = self.shoot.sensor
        return given(self.shoot.sensor_mm) or not known(sensor) or sensor in SENSORS

    @property
    def stands_upright(self) -> bool:
        """Whether the picture is taller than wide, as far as is known."""
        size = self.shoot.size
        return known(size) and size is not None and size[1] > size[0]

    @figure
    def sensor(self) -> Sensor:
        """The sensor as the camera holds it."""
        if given(self.shoot.sensor_mm):
            width, height = said(self.shoot.sensor_mm)
            return Sensor(float(width), float(height))
        if not self.sensor_said:
            raise ask("sensor")
        chosen, _size = SENSORS[need(self.shoot.sensor)], need(self.shoot.size)
        return Sensor(chosen.height_mm, chosen.width_mm, chosen.source) if self.stands_upright else chosen

    @figure
    def area(self) -> Sensor:
        """The part of the sensor that the picture uses: all of it while there is no picture size."""
        sensor, size = need(self.sensor, self.shoot.size)
        return sensor if size is None else sensor.used_by(*size)

    @figure
    def size_px(self) -> tuple[int, int]:
        """Width and height of the picture."""
        size = need(self.shoot.size)
        if size is None:
            raise ask("size")
        return size

    @figure
    def _shape(self) -> tuple[float, float]:
        """Two lengths in the picture's aspect ratio."""
        if given(self.shoot.size):
            return need(self.size_px)
        if not self.sensor_said:
            raise ask("size")
        area = need(self.area)
        return area.width_mm, area.height_mm

    # -- the view -------------------------------------------------------------------------------------------

    @figure
    def known_by(self) -> str:
        """The name that the angle of view comes from."""
        shoot = self.shoot
        if given(shoot.hfov):
            need(shoot.hfov, self._shape)
            return BY_ANGLE
        if given(shoot.focal_mm) and (self.sensor_said or not given(shoot.focal_eq_mm)):
            need(shoot.focal_mm, self.area)
            return BY_FOCAL
        if given(shoot.focal_eq_mm):
            need(shoot.focal_eq_mm, self._shape)
            return BY_EQUIVALENT
        if not self.sensor_said:
            raise ask("sensor", "focal_mm")
        need(self.area)
        raise ask("focal_mm")

    @property
    def told_twice(self) -> bool:
        """Whether the angle of view, or the sensor, was given in more than one way."""
        shoot = self.shoot
        views = given(shoot.hfov) + (given(shoot.focal_mm) and self.sensor_said) + given(shoot.focal_eq_mm)
        return views > 1 or (given(shoot.sensor_mm) and known(shoot.sensor) and shoot.sensor in SENSORS)

    @figure
    def view(self) -> View:
        """The angles of view."""
        shoot, by, equidistant = self.shoot, *need(self.known_by, self.is_equidistant)
        try:
            if by == BY_ANGLE:
                return viewing.view_from_hfov(float(said(shoot.hfov)), *need(self._shape), equidistant=equidistant)
            if by == BY_FOCAL:
                area, focal_mm = said(self.area, shoot.focal_mm)
                sides_mm = area.width_mm, area.height_mm
                return viewing.view_from_focal(*sides_mm, float(focal_mm), equidistant=equidistant)
            focal_eq_mm = float(said(shoot.focal_eq_mm))
            return viewing.view_from_equivalent(focal_eq_mm, *need(self._shape), equidistant=equidistant)
        except ValueError:
            # Half the sky and more: only an equidistant lens sees so much, and nothing here is reckoned for it.
            raise Missing(NotKnown(wrong=(by,))) from None

    @figure
    def is_equidistant(self) -> bool:
        """Whether the lens is equidistant, as most fisheyes are near to; rectilinear where nothing is said."""
        return need(self.shoot.projection) == "equidistant"

    @figure
    def hfov_deg(self) -> float:
        """Angle of view across."""
        by_angle = need(self.known_by) == BY_ANGLE
        return float(said(self.shoot.hfov)) if by_angle else need(self.view).hfov_deg

    @figure
    def vfov_deg(self) -> float:
        """Angle of view up and down."""
        return need(self.view).vfov_deg

    @figure
    def dfov_deg(self) -> float:
        """Angle of view corner to corner."""
        return need(self.view).dfov_deg

    @figure
    def focal_mm(self) -> float:
        """The real focal length: typed, else from the angle of view and the sensor."""
        shoot = self.shoot
        if given(shoot.focal_mm) and not given(shoot.hfov):
            # With an equivalent beside it, which of them counts is a matter of the sensor.
            decides = (shoot.focal_eq_mm, shoot.sensor, shoot.sensor_mm) if given(shoot.focal_eq_mm) else ()
            need(None, *filter(is_wrong, decides))
            if self.sensor_said or not given(shoot.focal_eq_mm):
                return float(said(shoot.focal_mm))
        area, by = need(self.area, self.known_by)
        if by == BY_EQUIVALENT:
            return focal_from_equivalent_mm(float(said(shoot.focal_eq_mm)), crop_factor(area.diagonal_mm))
        return need(self.view).focal_mm(area.width_mm)

    @figure
    def focal_eq_mm(self) -> float:
        """The focal length on 36 × 24 mm with this picture's diagonal angle of view."""
        by = need(self.known_by)
        if by == BY_EQUIVALENT:
            return float(said(self.shoot.focal_eq_mm))
        if by == BY_FOCAL:
            area, focal_mm = said(self.area, self.shoot.focal_mm)
            return float(focal_mm) * crop_factor(area.diagonal_mm)
        view = need(self.view)
        equivalent_mm = viewing.equidistant_equivalent_mm if view.equidistant else viewing.equivalent_from_angle_mm
        return equivalent_mm(view.dfov_deg)

    @figure
    def coc_mm(self) -> float:
        """The circle of confusion: typed, else a share of the diagonal of the used area."""
        if given(self.shoot.coc_mm):
            return float(said(self.shoot.coc_mm))
        return framing.circle_of_confusion_mm(need(self.area).diagonal_mm)

    def workings(self) -> list[Working]:
        """Return the arithmetic from what was typed to the horizontal angle of view."""
        by, area, focal_mm, view = self.known_by, self.area, self.focal_mm, self.view
        if not known(by) or not known(area) or not known(focal_mm) or not known(view) or by == BY_ANGLE:
            return []
        angle_of_view = viewing.equidistant_angle_deg if view.equidistant else viewing.angle_of_view_deg
        angle = work(angle_of_view, side_mm=area.width_mm, focal_mm=focal_mm)
        if by == BY_FOCAL:
            return [angle]
        factor = work(crop_factor, diagonal_mm=area.diagonal_mm)
        focal_eq_mm = float(said(self.shoot.focal_eq_mm))
        return [factor, work(focal_from_equivalent_mm, focal_eq_mm=focal_eq_mm, crop_factor=factor.result), angle]

    # -- what it covers -------------------------------------------------------------------------------------

    @figure
    def distance_m(self) -> float:
        """The distance to the subject."""
        if not given(self.shoot.distance_m):
            raise ask("distance_m")
        return float(said(self.shoot.distance_m))

    @figure
    def width_m(self) -> float:
        """Width covered at the distance."""
        hfov_deg, distance_m = need(self.hfov_deg, self.distance_m)
        return framing.covered_m(distance_m, hfov_deg)

    @figure
    def height_m(self) -> float:
        """Height covered at the distance."""
        view, distance_m = need(self.view, self.distance_m)
        return framing.covered_m(distance_m, view.vfov_deg)

    @figure
    def px_per_m(self) -> float:
        """Detail at the distance: in the middle where the lens is equidistant, else all over."""
        (width_px, _height), width_m, equidistant = need(self.size_px, self.width_m, self.is_equidistant)
        if equidistant:
            return framing.middle_px_per_m(width_px, need(self.hfov_deg), need(self.distance_m))
        return framing.px_per_m(width_px, width_m)

    @figure
    def standing(self) -> Standing | None:
        """Where the subject stands in the picture, upright on the ground; None where no subject was named."""
        if not given(self.shoot.subject_m):
            return None
        height_m = need(self.camera_height_m) if given(self.shoot.camera_m) else None
        subject_m, distance_m, tilt_deg = said(self.shoot.subject_m, self.distance_m, self.tilt_deg)
        found = framing.standing(float(subject_m), distance_m, tilt_deg, height_m)
        if found is None:
            raise Missing(NotKnown(wrong=("subject_m",)))
        return found

    @figure
    def subject_in_picture(self) -> bool | None:
        """Whether all of it is in the picture; None without a subject, or without the height that tells the ground."""
        if not (given(self.shoot.subject_m) and given(self.shoot.camera_m)):
            return None
        standing, view = need(self.standing, self.view)
        return None if standing is None else standing.is_within(view)

    @figure
    def seldom_rectilinear(self) -> bool:
        """Whether few lenses with such a view draw straight lines straight, as is reckoned here."""
        hfov_deg, equidistant = need(self.hfov_deg, self.is_equidistant)
        return hfov_deg > framing.WIDEST_RECTILINEAR_DEG and not equidistant

    @figure
    def subject_px(self) -> float | None:
        """Height of the subject in the picture; None where no subject was named."""
        if not given(self.shoot.subject_m):
            return None
        standing, view, (width_px, _height) = need(self.standing, self.view, self.size_px)
        return None if standing is None else standing.focal_lengths(view) * view.focal_px(width_px)

    @figure
    def subject_share(self) -> float | None:
        """That as a share of the picture's height, above 1 where it doesn't fit; needs no size in pixels."""
        if not given(self.shoot.subject_m):
            return None
        if given(self.shoot.size):
            px, (_width, height_px) = need(self.subject_px, self.size_px)
            return None if px is None else px / height_px
        standing, view = need(self.standing, self.view)
        return None if standing is None else standing.focal_lengths(view) / (2 * view.half_height)

    @figure
    def crops(self) -> tuple[Crop, ...]:
        """The crops that keep the middle."""
        view, size = need(self.view, self.size_px)
        return framing.crops(view, *size)

    @figure
    def wanted(self) -> WantedLens | None:
        """What covers the wanted width at the distance; None where none is wanted."""
        if not given(self.shoot.width_m):
            return None
        width, distance_m, *_ = need(self.shoot.width_m, self.distance_m, *filter(is_wrong, [self.area]))
        area, width_m = or_none(self.area), float(said(width))
        hfov_deg, focal_mm = framing.hfov_for_width_deg(distance_m, width_m), None
        if area and need(self.is_equidistant):
            focal_mm = viewing.equidistant_focal_mm(area.width_mm, hfov_deg)
        elif area:
            focal_mm = framing.focal_for_width_mm(area.width_mm, distance_m, width_m)
        return WantedLens(width_m, hfov_deg, focal_mm)

    # -- what is sharp --------------------------------------------------------------------------------------

    @figure
    def lens(self) -> dict[str, float]:
        """What the limits of sharp focus are worked out from, the distance left out."""
        if not given(self.shoot.aperture):
            raise ask("aperture")
        focal_mm, aperture, coc_mm = said(self.focal_mm, self.shoot.aperture, self.coc_mm)
        return {"focal_mm": focal_mm, "aperture": float(aperture), "coc_mm": coc_mm}

    @figure
    def hyperfocal_m(self) -> float:
        """The hyperfocal distance."""
        return framing.hyperfocal_m(**need(self.lens))

    @figure
    def sharpness(self) -> Sharpness | None:
        """The limits with the lens focused at the distance; None where it can't be focused so near."""
        lens, distance_m = need(self.lens, self.distance_m)
        return None if distance_m * 1000 <= lens["focal_mm"] else framing.sharpness(distance_m, **lens)

    # -- the ground -----------------------------------------------------------------------------------------

    @figure
    def tilt_deg(self) -> float:
        """The tilt: level where nothing is typed."""
        return float(need(self.shoot.tilt) or 0)

    @figure
    def camera_height_m(self) -> float:
        """Height above ground."""
        if not given(self.shoot.camera_m):
            raise ask("camera_m")
        return float(said(self.shoot.camera_m))

    @figure
    def ground(self) -> GroundCover | None:
        """The level ground in the picture; None where there is none."""
        return framing.ground_cover(*need(self.camera_height_m, self.tilt_deg, self.view))

    @figure
    def ground_middle_m(self) -> float | None:
        """Where the middle of the picture meets level ground; None where it doesn't."""
        height_m, tilt_deg, _view = need(self.camera_height_m, self.tilt_deg, self.view)
        return framing.ground_distance_m(height_m, -tilt_deg) if tilt_deg < 0 else None

    @figure
    def horizon_share(self) -> float | None:
        """How far down the picture the horizon lies, 0 to 1; None where it isn't in it."""
        tilt_deg, view = need(self.tilt_deg, self.view)
        return framing.horizon_share(tilt_deg, view)
