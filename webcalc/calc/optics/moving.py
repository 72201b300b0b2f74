"""How fast something moves in the picture, and what that asks of interval and exposure; and the same as data."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.clip.interval import settable_at_or_below
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import Working, work
from webcalc.calc.optics import motion
from webcalc.calc.optics.motion import IntervalFit, MotionKind, NeutralDensity
from webcalc.calc.results import Results, ranged
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, or_none, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

STARS = "stars"


@dataclass(frozen=True, eq=False)
class ShootMotion:
    """A typed speed goes before the usual range of its kind."""

    shoot: Shoot

    @figure
    def kind(self) -> MotionKind | None:
        """The kind of movement; None where none was named."""
        return motion.KINDS.get(need(self.shoot.kind))

    @figure
    def by_stars(self) -> bool:
        """Whether the movement is that of the sky, which has no speed in metres."""
        return not given(self.shoot.speed) and need(self.shoot.kind) == STARS

    @figure
    def speed_m_s(self) -> Estimate[float]:
        """The speed: typed, else the usual range of the kind."""
        if given(self.shoot.speed):
            return Estimate.exact(float(said(self.shoot.speed)))
        kind = need(self.kind)
        if kind is None or kind.speed_m_s is None:
            raise ask("kind")
        return kind.speed_m_s

    @figure
    def frames_across(self) -> float:
        """The fewest frames that a crossing should take."""
        across = need(self.shoot.across)
        return float(motion.FRAMES_ACROSS if across is None else across)

    @figure
    def direction_deg(self) -> float:
        """The angle to the picture plane: straight across where nothing is typed."""
        return float(need(self.shoot.direction) or 0)

    # -- how fast in the picture ----------------------------------------------------------------------------

    @figure_for
    def step_values(self, speed_m_s: float, interval_s: float) -> dict[str, Any]:
        """What a step from frame to frame is worked out from."""
        (width_px, _height), view, distance_m, direction_deg = need(
            self.shoot.view.size_px, self.shoot.view.view, self.shoot.view.distance_m, self.direction_deg
        )
        return {
            "speed_m_s": speed_m_s,
            "across": motion.across_share(direction_deg),
            "interval_s": interval_s,
            "width_px": width_px,
            "distance_m": distance_m,
            "hfov_deg": view.hfov_deg,
        }

    @figure
    def px_per_s(self) -> Estimate[float]:
        """The pixels that it moves in a second."""
        if need(self.by_stars):
            (width_px, _height), view = need(self.shoot.view.size_px, self.shoot.view.view)
            return Estimate.exact(motion.star_px_per_s(width_px, view.hfov_deg))
        speed, values = need(self.speed_m_s, self.step_values(1, 1))
        return speed.map(lambda speed_m_s: motion.px_per_interval(**{**values, "speed_m_s": speed_m_s}))

    @figure_for
    def step_px(self, interval_s: Fraction) -> Estimate[float]:
        """The pixels that it moves from frame to frame at an interval."""
        return need(self.px_per_s).map(lambda px_per_s: px_per_s * float(interval_s))

    @figure_for
    def step_share(self, interval_s: Fraction) -> float:
        """The share of the picture's width that it is expected to move from frame to frame at an interval."""
        step, (width_px, _height) = need(self.step_px(interval_s), self.shoot.view.size_px)
        return step.expected / width_px

    @figure
    def px_per_interval(self) -> Estimate[float]:
        """The pixels that it moves from frame to frame."""
        _px, interval_s = need(self.px_per_s, self.shoot.interval_s)
        return need(self.step_px(interval_s))

    @figure
    def crossing_frames(self) -> Estimate[float | None]:
        """The frames that a crossing takes; None at an end where it never crosses."""
        step, (width_px, _height) = need(self.px_per_interval, self.shoot.view.size_px)
        return step.map_falling(lambda px: motion.crossing_frames(width_px, px))

    @figure
    def crossing_clip_s(self) -> Estimate[float | None]:
        """The clip that a crossing takes."""
        crossing, fps = need(self.crossing_frames, self.shoot.fps)
        return crossing.map(lambda n: None if n is None else motion.crossing_clip_s(n, float(fps)))

    @figure
    def largest_interval_s(self) -> Estimate[float | None]:
        """The largest interval at which it still reads as movement; None at an end without a limit."""
        speed, (width_px, _height), across = need(self.px_per_s, self.shoot.view.size_px, self.frames_across)
        return speed.map_falling(lambda px_per_s: motion.largest_interval_s(width_px, across, px_per_s))

    @figure_for
    def reads(self, largest_s: float | None) -> bool | None:
        """Whether the interval is no longer than a largest one; None without a limit."""
        interval_s = need(self.shoot.interval_s)
        return None if largest_s is None else float(interval_s) <= largest_s * (1 + motion.ROUNDING)

    @figure
    def reads_as_movement(self) -> bool | None:
        """Whether it reads as movement at the fast end; None without a limit."""
        return need(self.reads(need(self.largest_interval_s).low))

    # -- exposure -------------------------------------------------------------------------------------------

    @figure
    def shutter_s(self) -> float:
        """The exposure as metered."""
        if not given(self.shoot.shutter):
            raise ask("shutter")
        return float(said(self.shoot.shutter))

    @figure
    def blur_px(self) -> Estimate[float]:
        """The pixels that it moves while the shutter is open."""
        speed, shutter_s = need(self.px_per_s, self.shutter_s)
        return speed.map(lambda px_per_s: motion.blur_px(px_per_s, 1, shutter_s))

    @figure
    def exposed_share(self) -> float:
        """The wanted share of the interval: half where nothing is typed."""
        exposed = need(self.shoot.exposed)
        return float(motion.EXPOSURE_SHARE * 100 if exposed is None else exposed) / 100

    @figure
    def exposure_wanted_s(self) -> float:
        """The exposure that fills the wanted share of the interval."""
        interval_s, share = need(self.shoot.interval_s, self.exposed_share)
        return motion.exposure_for_share_s(float(interval_s), share)

    @figure
    def shutter_angle_deg(self) -> float:
        """The metered exposure as a share of the interval, in degrees."""
        interval_s, shutter_s = need(self.shoot.interval_s, self.shutter_s)
        return motion.shutter_angle_deg(float(interval_s), shutter_s)

    @figure
    def density(self) -> NeutralDensity:
        """The filter that makes the wanted exposure right where the typed one was metered."""
        return motion.neutral_density(*need(self.shutter_s, self.exposure_wanted_s))

    # -- intervals to choose from ---------------------------------------------------------------------------

    @figure
    def clip_interval_s(self) -> Fraction | None:
        """The interval that the wanted clip asks for; None where none can be set."""
        chosen = need(self.shoot.interval_answer).chosen
        return None if chosen is None else chosen.interval_s

    @figure
    def fit(self) -> IntervalFit | None:
        """The clip's interval held against the usual ones of the kind; None without one of them."""
        kind, interval_s = need(self.kind, self.clip_interval_s)
        return None if kind is None or interval_s is None else motion.interval_fit(kind.interval_s, float(interval_s))

    @figure
    def rule_interval_s(self) -> Fraction | None:
        """The longest settable interval that reads as movement at every speed of the range; None without one."""
        largest, settable = need(self.largest_interval_s, self.shoot.settable)
        return None if largest.low is None else settable_at_or_below(Fraction(largest.low), settable)

    def workings(self) -> list[Working]:
        """Return the arithmetic at the expected speed."""
        px_per_s, view, size = self.px_per_s, self.shoot.view.view, self.shoot.view.size_px
        if not (known(px_per_s) and known(view) and known(size)):
            return []
        found, interval_s, width_px = [], or_none(self.shoot.interval_s), size[0]
        if need(self.by_stars):
            found.append(work(motion.star_px_per_s, width_px=width_px, hfov_deg=view.hfov_deg))
        elif interval_s is not None:
            values = need(self.step_values(need(self.speed_m_s).expected, float(interval_s)))
            found.append(work(motion.px_per_interval, **values))
        if px_per_s.expected:
            step, across = self.px_per_interval, self.frames_across
            if known(step):
                found.append(work(motion.crossing_frames, width_px=width_px, px_per_interval=step.expected))
            if known(across):
                values = {"width_px": width_px, "frames_across": across, "px_per_s": px_per_s.expected}
                found.append(work(motion.largest_interval_s, **values))
        return found


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
    frames_across : fewest frames that a crossing should take
    reads_as_movement : whether the interval does at the fast end
    blur_px : while the shutter is open, pixels
    blur_px_range : its range
    exposure_wanted_s : exposure that fills the wanted share of the interval, seconds
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
    frames_across: float | None = None
    reads_as_movement: bool | None = None
    blur_px: float | None = None
    blur_px_range: Estimate[float] | None = ranged()
    exposure_wanted_s: float | None = None
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


_RANGED = ("speed_m_s", "px_per_interval", "crossing_frames", "crossing_clip_s", "largest_interval_s", "blur_px")


def motion_results(shoot: Shoot) -> MotionResults:
    """Return the answer to ``/motion`` as data."""
    room = shoot.moving
    both: dict[str, Any] = {}
    for name in _RANGED:
        value = or_none(getattr(room, name))
        both[name], both[f"{name}_range"] = value.expected if value else None, value
    kind, density, fit = or_none(room.kind), or_none(room.density), or_none(room.fit)
    return MotionResults.of(
        room,
        shoot.view,
        **both,
        interval_s=or_none(shoot.interval_s),
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
