"""What the page on framing answers as data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webcalc.calc.optics.framing import Crop, covered_m
from webcalc.calc.optics.shoot import ShootView
from webcalc.calc.results import Results
from webcalc.calc.unknown import known, or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class CropResults(Results):
    """The largest crop of a shape that keeps the middle.

    ratio : its shape
    width_px : pixels
    height_px : pixels
    x_px : its left edge, pixels
    y_px : its top edge, pixels
    width_share : of the picture's width, 0 to 1
    height_share : of the picture's height, 0 to 1
    hfov_deg : angle of view across, degrees
    vfov_deg : angle of view up and down, degrees
    width_m : width it keeps of the scene, metres
    height_m : height it keeps of the scene, metres
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
    width_m: float | None = None
    height_m: float | None = None


@dataclass(frozen=True)
class FramingResults(Results):
    """What does the picture cover?

    hfov_deg : angle of view across, degrees
    vfov_deg : angle of view up and down, degrees
    dfov_deg : angle of view corner to corner, degrees
    known_by : the quantity that the view comes from
    focal_mm : real focal length, mm
    focal_eq_mm : 35 mm equivalent, mm
    width_m : width covered at the distance, metres
    height_m : height covered at the distance, metres
    px_per_m : detail at the distance, pixels a metre; in the middle where the lens is equidistant
    subject_px : height of the subject, pixels
    subject_share : that as a share of the picture's height; above 1: it doesn't fit
    subject_in_picture : whether it is all in the picture where the camera's height tells where its foot is
    coc_mm : circle of confusion, mm
    hyperfocal_m : hyperfocal distance, metres
    near_m : near limit of sharp focus, metres
    far_m : far limit, metres; null where it is infinite
    far_is_infinite : whether it is
    ground_in_picture : whether level ground is in the picture
    ground_near_m : its near edge from the foot, metres
    ground_near_width_m : how wide it is there, metres
    ground_far_m : its far edge, metres; null where the horizon is in the picture
    ground_far_width_m : how wide it is there, metres
    ground_middle_m : where the middle of the picture meets it, metres
    focal_for_width_mm : focal length that covers the wanted width, mm
    hfov_for_width_deg : angle of view that does, degrees
    crops : the crops that keep the middle
    """

    hfov_deg: float | None = None
    vfov_deg: float | None = None
    dfov_deg: float | None = None
    known_by: str | None = None
    focal_mm: float | None = None
    focal_eq_mm: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    px_per_m: float | None = None
    subject_px: float | None = None
    subject_share: float | None = None
    subject_in_picture: bool | None = None
    coc_mm: float | None = None
    hyperfocal_m: float | None = None
    near_m: float | None = None
    far_m: float | None = None
    far_is_infinite: bool | None = None
    ground_in_picture: bool | None = None
    ground_near_m: float | None = None
    ground_near_width_m: float | None = None
    ground_far_m: float | None = None
    ground_far_width_m: float | None = None
    ground_middle_m: float | None = None
    focal_for_width_mm: float | None = None
    hfov_for_width_deg: float | None = None
    crops: tuple[CropResults, ...] = ()


def framing_results(shoot: Shoot) -> FramingResults:
    """Return the answer to ``/framing`` as data."""
    view, sharp, wanted, ground = shoot.view, or_none(shoot.view.sharpness), or_none(shoot.view.wanted), None
    if known(view.ground):
        ground = view.ground
    return FramingResults.of(
        view,
        near_m=sharp.near_m if sharp else None,
        far_m=sharp.far_m if sharp else None,
        far_is_infinite=sharp.far_m is None if sharp else None,
        ground_in_picture=ground is not None if known(view.ground) else None,
        ground_near_m=ground.near_m if ground else None,
        ground_near_width_m=ground.near_width_m if ground else None,
        ground_far_m=ground.far_m if ground else None,
        ground_far_width_m=ground.far_width_m if ground else None,
        focal_for_width_mm=wanted.focal_mm if wanted else None,
        hfov_for_width_deg=wanted.hfov_deg if wanted else None,
        crops=tuple(_crop(view, crop) for crop in or_none(view.crops) or ()),
    )


def _crop(view: ShootView, crop: Crop) -> CropResults:
    distance_m = or_none(view.distance_m)
    angles_deg = crop.hfov_deg, crop.vfov_deg
    covers = (None, None) if distance_m is None else tuple(covered_m(distance_m, angle_deg) for angle_deg in angles_deg)
    return CropResults(**vars(crop), width_m=covers[0], height_m=covers[1])
