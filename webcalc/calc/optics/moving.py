"""How fast something moves in the picture, and what that asks of interval and exposure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.clip.interval import settable_at_or_below
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import Working, work
from webcalc.calc.optics import motion
from webcalc.calc.optics.motion import IntervalFit, MotionKind, NeutralDensity, Pace
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

    @figure
    def distances_m(self) -> Estimate[float]:
        """The distance: typed, else the usual range of the kind."""
        if given(self.shoot.distance_m):
            return Estimate.exact(need(self.shoot.view.distance_m))
        kind = need(self.kind)
        if kind is None or kind.distance_m is None:
            raise ask("distance_m")
        return kind.distance_m

    @figure_for
    def step_values(self, speed_m_s: float, interval_s: float, distance_m: float) -> dict[str, Any]:
        """What a step from frame to frame is worked out from."""
        (width_px, _height), view, direction_deg = need(
            self.shoot.view.size_px, self.shoot.view.view, self.direction_deg
        )
        return {
            "speed_m_s": speed_m_s,
            "across": motion.across_share(direction_deg),
            "interval_s": interval_s,
            "width_px": width_px,
            "distance_m": distance_m,
            "hfov_deg": view.middle_hfov_deg,
        }

    @figure
    def px_per_s(self) -> Estimate[float]:
        """The pixels that it moves in a second."""
        if need(self.by_stars):
            (width_px, _height), view = need(self.shoot.view.size_px, self.shoot.view.view)
            return Estimate.exact(motion.star_px_per_s(width_px, view.middle_hfov_deg))
        speed, distances, values = need(self.speed_m_s, self.distances_m, self.step_values(1, 1, 1))
        metre_px = motion.px_per_interval(**values)
        # The fastest is near, the slowest far.
        ends = zip(vars(speed).values(), (distances.high, distances.expected, distances.low), strict=True)
        low, expected, high = (speed_m_s * metre_px / distance_m for speed_m_s, distance_m in ends)
        return Estimate.exact(expected) if low == high else Estimate(low, expected, high)

    @figure_for
    def step_px(self, interval_s: Fraction) -> Estimate[float]:
        """The pixels that it moves from frame to frame at an interval."""
        return need(self.px_per_s).map(lambda px_per_s: px_per_s * float(interval_s))

    @figure_for
    def step_share(self, interval_s: Fraction) -> float:
        """The share of the picture's width that it is expected to move from frame to frame at an interval.

        For what is at a known distance only.
        """
        if not need(self.by_stars):
            need(self.shoot.view.distance_m)
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

    # -- how it reads in the clip ----------------------------------------------------------------------------

    @figure
    def smallest_interval_s(self) -> Estimate[float | None]:
        """The shortest interval at which it is seen to move; None at an end where it never is."""
        speed, (width_px, _height), fps = need(self.px_per_s, self.shoot.view.size_px, self.shoot.fps)
        return speed.map_falling(lambda px_per_s: motion.smallest_interval_s(width_px, float(fps), px_per_s))

    @figure
    def is_progress(self) -> bool:
        """Whether the clip is about what becomes of it over the whole shoot."""
        kind = need(self.kind)
        return kind is not None and kind.progress

    @figure
    def shown_interval_s(self) -> float:
        """The time between two frames of the clip: the interval; for progress the whole shoot over its frames."""
        if not known(self.is_progress):
            need(self.is_progress, self.shoot.interval_s)
        if not need(self.is_progress):
            return float(need(self.shoot.interval_s))
        span_s, made = need(self.span_s, self.shoot.clip_made)
        if not made.kept_frames:
            raise ask("interval")
        return span_s / made.kept_frames

    @figure
    def span_s(self) -> float:
        """From the shoot's first window to the end of its last."""
        dates = (schedule := need(self.shoot.schedule)).recorded_dates
        if not dates:
            raise ask("days")
        return (schedule.window_on(dates[-1])[1] - schedule.window_on(dates[0])[0]).total_seconds()

    @figure
    def px_in_clip(self) -> Estimate[float] | None:
        """The pixels that progress makes over the whole shoot; None for all else."""
        if not need(self.is_progress):
            return None
        px_per_s, span_s = need(self.px_per_s, self.span_s)
        return px_per_s.map(lambda speed: speed * span_s)

    @figure
    def pace(self) -> Pace | None:
        """How it reads at the interval; None where nothing moves across."""
        return motion.pace(*need(self.shown_interval_s, self.smallest_interval_s, self.largest_interval_s))

    @figure
    def jumps_as_usual(self) -> bool:
        """Whether it jumps at an interval that is usual for the kind: then single movements aren't followed."""
        pace, kind, interval_s = need(self.pace, self.kind, self.shoot.interval_s)
        if pace is not Pace.JUMPS or kind is None:
            return False
        return kind.interval_s.low <= interval_s <= kind.interval_s.high

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
    def exposure_proposed_s(self) -> float | None:
        """That exposure, where a share of the interval was asked for or light and filters allow it; else None."""
        wanted_s = need(self.exposure_wanted_s)
        if given(self.shoot.exposed) or wanted_s <= motion.LONGEST_BY_DAY_S or need(self.by_stars):
            return wanted_s
        dark = given(self.shoot.shutter) and need(self.shutter_s) >= motion.METERED_IN_THE_DARK_S
        return wanted_s if dark else None

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
        fps, distances = or_none(self.shoot.fps), or_none(self.distances_m)
        if need(self.by_stars):
            found.append(work(motion.star_px_per_s, width_px=width_px, hfov_deg=view.middle_hfov_deg))
        elif interval_s is not None and distances is not None:
            values = need(self.step_values(need(self.speed_m_s).expected, float(interval_s), distances.expected))
            found.append(work(motion.px_per_interval, **values))
        if px_per_s.expected:
            step, across = self.px_per_interval, self.frames_across
            if known(step):
                found.append(work(motion.crossing_frames, width_px=width_px, px_per_interval=step.expected))
            if known(across):
                values = {"width_px": width_px, "frames_across": across, "px_per_s": px_per_s.expected}
                found.append(work(motion.largest_interval_s, **values))
            if fps is not None:
                values = {"width_px": width_px, "fps": float(fps), "px_per_s": px_per_s.expected}
                found.append(work(motion.smallest_interval_s, **values))
        return found
