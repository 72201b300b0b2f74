"""What the pages on framing and on movement answer as data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.optics.framing import Crop, covered_m
from webcalc.calc.optics.shoot import ShootView
from webcalc.calc.results import Results, key, ranged
from webcalc.calc.unknown import given, known, or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class CropResults(Crop):
    """A crop and what it covers at the distance."""

    width_m: float | None = key("width it keeps of the scene, metres")
    height_m: float | None = key("height it keeps of the scene, metres")


@dataclass(frozen=True)
class FramingResults(Results):
    """What does the picture cover?"""

    hfov_deg: float | None = key("angle of view across, degrees")
    vfov_deg: float | None = key("angle of view up and down, degrees")
    dfov_deg: float | None = key("angle of view corner to corner, degrees")
    known_by: str | None = key("the quantity that the view comes from")
    focal_mm: float | None = key("real focal length, mm")
    focal_eq_mm: float | None = key("35 mm equivalent, mm")
    width_m: float | None = key("width covered at the distance, metres")
    height_m: float | None = key("height covered at the distance, metres")
    px_per_m: float | None = key("detail at the distance, pixels a metre; in the middle where the lens is equidistant")
    subject_px: float | None = key("height of the subject, pixels")
    subject_share: float | None = key("that as a share of the picture's height; above 1: it doesn't fit")
    subject_in_picture: bool | None = key(
        "whether it is all in the picture where the camera's height tells where its foot is"
    )
    coc_mm: float | None = key("circle of confusion, mm")
    hyperfocal_m: float | None = key("hyperfocal distance, metres")
    near_m: float | None = key("near limit of sharp focus, metres")
    far_m: float | None = key("far limit, metres; null where it is infinite")
    far_is_infinite: bool | None = key("whether it is")
    ground_in_picture: bool | None = key("whether level ground is in the picture")
    ground_near_m: float | None = key("its near edge from the foot, metres")
    ground_near_width_m: float | None = key("how wide it is there, metres")
    ground_far_m: float | None = key("its far edge, metres; null where the horizon is in the picture")
    ground_far_width_m: float | None = key("how wide it is there, metres")
    ground_middle_m: float | None = key("where the middle of the picture meets it, metres")
    focal_for_width_mm: float | None = key("focal length that covers the wanted width, mm")
    hfov_for_width_deg: float | None = key("angle of view that does, degrees")
    crops: tuple[CropResults, ...] = key("the crops that keep the middle", ())


def framing_results(shoot: Shoot) -> FramingResults:
    """Return the answer to ``/framing`` as data."""
    view, sharp, wanted = shoot.view, or_none(shoot.view.sharpness), or_none(shoot.view.wanted)
    ground = or_none(view.ground)
    return FramingResults.of(
        view,
        sharp,
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


# -- movement ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class MotionResults(Results):
    """Does the motion read as smooth? Each figure at the expected speed, then over the range of speeds."""

    hfov_deg: float | None = key("angle of view across, degrees")
    interval_s: Fraction | None = key("typed or worked out, seconds")
    speed_m_s: float | None = key("metres a second")
    speed_m_s_range: Estimate[float] | None = ranged("its range")
    speed_source: str | None = key("where a usual speed comes from")
    px_per_interval: float | None = key("from frame to frame, pixels")
    px_per_interval_range: Estimate[float] | None = ranged("its range")
    crossing_frames: float | None = key("frames that a crossing takes; null where it never crosses")
    crossing_frames_range: Estimate[float | None] | None = ranged("its range")
    crossing_clip_s: float | None = key("clip that a crossing takes, seconds")
    crossing_clip_s_range: Estimate[float | None] | None = ranged("its range")
    largest_interval_s: float | None = key("longest interval that reads as movement, seconds; null without a limit")
    largest_interval_s_range: Estimate[float | None] | None = ranged("its range")
    smallest_interval_s: float | None = key(
        "shortest interval at which it is seen to move, seconds; null where nothing moves across"
    )
    smallest_interval_s_range: Estimate[float | None] | None = ranged("its range")
    frames_across: float | None = key("fewest frames that a crossing should take")
    reads_as_movement: bool | None = key("whether the interval does at the fast end")
    pace: str | None = key("how it reads at the interval: jumps, flows, too_slow, or varies over the range of speeds")
    jumps_as_usual: bool | None = key(
        "whether it jumps at an interval that is usual for the kind: single movements aren't followed"
    )
    px_in_clip: float | None = key(
        "pixels that progress (a building, plants, snow) makes over the whole shoot; null for all else"
    )
    px_in_clip_range: Estimate[float] | None = ranged("its range")
    distance_m_range: Estimate[float] | None = ranged("the distance, metres: typed, else what is usual for the kind")
    blur_px: float | None = key("while the shutter is open, pixels")
    blur_px_range: Estimate[float] | None = ranged("its range")
    exposure_wanted_s: float | None = key("exposure that fills the wanted share of the interval, seconds")
    exposure_proposed_s: float | None = key(
        "that, or null where it would be too long by day and no share was asked for"
    )
    shutter_angle_deg: float | None = key("the metered exposure as a shutter angle, degrees")
    nd_stops: float | None = key("neutral density needed, stops")
    nd_density: float | None = key("the same as density")
    nd_nominal_density: float | None = key("the same at 0.3 a stop")
    nd_filter_stops: int | None = key("filter of whole stops")
    nd_filter_density: float | None = key("what it is sold as")
    nd_filter_exposure_s: float | None = key("what to expose behind it, seconds")
    usual_interval_s: Estimate[float] | None = ranged("usual for the kind, seconds")
    clip_interval_s: Fraction | None = key("what the wanted clip asks for, seconds")
    clip_against_usual: str | None = key("within, shorter or longer than usual")
    clip_against_usual_factor: float | None = key("how many times")


_RANGED = (
    *("speed_m_s", "px_per_interval", "crossing_frames", "crossing_clip_s", "largest_interval_s"),
    *("smallest_interval_s", "px_in_clip", "blur_px"),
)


def motion_results(shoot: Shoot) -> MotionResults:
    """Return the answer to ``/motion`` as data."""
    room = shoot.moving
    both: dict[str, Any] = {}
    for name in _RANGED:
        value = or_none(getattr(room, name))
        both[name], both[f"{name}_range"] = value.expected if value else None, value
    kind, density, fit, pace = or_none(room.kind), or_none(room.density), or_none(room.fit), or_none(room.pace)
    return MotionResults.of(
        room,
        shoot.view,
        **both,
        interval_s=or_none(shoot.interval_s),
        pace=pace.value if pace else None,
        distance_m_range=or_none(room.distances_m),
        speed_source=kind.speed_source if kind and not given(shoot.speed) else None,
        nd_stops=density.stops if density else None,
        nd_density=density.density if density else None,
        nd_nominal_density=density.nominal_density if density else None,
        nd_filter_stops=density.whole_stops if density else None,
        nd_filter_density=density.whole_density if density else None,
        nd_filter_exposure_s=density.exposure_s if density else None,
        usual_interval_s=kind.interval_s if kind else None,
        clip_against_usual=fit.fit.value if fit else None,
        clip_against_usual_factor=fit.factor if fit else None,
    )
