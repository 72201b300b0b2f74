"""What ``/motion`` answers as data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results, ranged
from webcalc.calc.unknown import given, or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class MotionResults(Results):
    """Does the motion read as smooth? Each figure at the expected speed, then over the range of speeds.

    hfov_deg : angle of view across, degrees
    interval_s : typed or worked out, seconds
    speed_m_s : metres a second
    speed_m_s_range : its range
    speed_source : where a usual speed comes from
    px_per_interval : from frame to frame, pixels
    px_per_interval_range : its range
    crossing_frames : frames that a crossing takes; null where it never crosses
    crossing_frames_range : its range
    crossing_clip_s : clip that a crossing takes, seconds
    crossing_clip_s_range : its range
    largest_interval_s : longest interval that reads as movement, seconds; null without a limit
    largest_interval_s_range : its range
    smallest_interval_s : shortest interval at which it is seen to move, seconds; null where nothing moves across
    smallest_interval_s_range : its range
    frames_across : fewest frames that a crossing should take
    reads_as_movement : whether the interval does at the fast end
    pace : how it reads at the interval: jumps, flows, too_slow, or varies over the range of speeds
    jumps_as_usual : whether it jumps at an interval that is usual for the kind: single movements aren't followed
    px_in_clip : pixels that progress (a building, plants, snow) makes over the whole shoot; null for all else
    px_in_clip_range : its range
    distance_m_range : the distance, metres: typed, else what is usual for the kind
    blur_px : while the shutter is open, pixels
    blur_px_range : its range
    exposure_wanted_s : exposure that fills the wanted share of the interval, seconds
    exposure_proposed_s : that, or null where it would be too long by day and no share was asked for
    shutter_angle_deg : the metered exposure as a shutter angle, degrees
    nd_stops : neutral density needed, stops
    nd_density : the same as density
    nd_nominal_density : the same at 0.3 a stop
    nd_filter_stops : filter of whole stops
    nd_filter_density : what it is sold as
    nd_filter_exposure_s : what to expose behind it, seconds
    usual_interval_s : usual for the kind, seconds
    clip_interval_s : what the wanted clip asks for, seconds
    clip_against_usual : within, shorter or longer than usual
    clip_against_usual_factor : how many times
    """

    hfov_deg: float | None = None
    interval_s: Fraction | None = None
    speed_m_s: float | None = None
    speed_m_s_range: Estimate[float] | None = ranged()
    speed_source: str | None = None
    px_per_interval: float | None = None
    px_per_interval_range: Estimate[float] | None = ranged()
    crossing_frames: float | None = None
    crossing_frames_range: Estimate[float | None] | None = ranged()
    crossing_clip_s: float | None = None
    crossing_clip_s_range: Estimate[float | None] | None = ranged()
    largest_interval_s: float | None = None
    largest_interval_s_range: Estimate[float | None] | None = ranged()
    smallest_interval_s: float | None = None
    smallest_interval_s_range: Estimate[float | None] | None = ranged()
    frames_across: float | None = None
    reads_as_movement: bool | None = None
    pace: str | None = None
    jumps_as_usual: bool | None = None
    px_in_clip: float | None = None
    px_in_clip_range: Estimate[float] | None = ranged()
    distance_m_range: Estimate[float] | None = ranged()
    blur_px: float | None = None
    blur_px_range: Estimate[float] | None = ranged()
    exposure_wanted_s: float | None = None
    exposure_proposed_s: float | None = None
    shutter_angle_deg: float | None = None
    nd_stops: float | None = None
    nd_density: float | None = None
    nd_nominal_density: float | None = None
    nd_filter_stops: int | None = None
    nd_filter_density: float | None = None
    nd_filter_exposure_s: float | None = None
    usual_interval_s: Estimate[float] | None = ranged()
    clip_interval_s: Fraction | None = None
    clip_against_usual: str | None = None
    clip_against_usual_factor: float | None = None


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
