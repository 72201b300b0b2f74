"""One question about movement, worked out: what the page ``/motion`` shows and its data holds."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from typing import Any

from webcalc.calc.clip import solve
from webcalc.calc.clip.interval import settable_at_or_below
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import Working, work
from webcalc.calc.optics import motion
from webcalc.calc.optics.motion import IntervalFit, MotionKind, NeutralDensity
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked
from webcalc.web.shoot.optics import OPTICS_NAMES

STARS = "stars"
#: Names whose wrong value would make any figure of the page wrong.
NEEDED_RIGHT = (*OPTICS_NAMES, "kind", "speed", "direction", "across", "distance_m", "interval", "fps")


class MotionCase:
    """How fast something moves in the picture, and what that asks of interval and exposure.

    A typed speed goes before the usual range of its kind. A part that can't be known is None.
    """

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.optics = asked.old.optics
        self.is_wrong = any(name in self.inputs.errors for name in NEEDED_RIGHT)

    @property
    def kind(self) -> MotionKind | None:
        """Return the kind of movement."""
        return motion.KINDS.get(self.inputs.get("kind", ""))

    @property
    def by_stars(self) -> bool:
        """Whether the movement is that of the sky, which has no speed in metres."""
        return self.inputs.get("kind") == STARS and not self.inputs.has("speed")

    @property
    def speed_m_s(self) -> Estimate[float] | None:
        """Return the speed: typed, else the usual range of the kind."""
        if self.is_wrong:
            return None
        if self.inputs.has("speed"):
            return Estimate.exact(float(self.inputs.get("speed")))
        return self.kind.speed_m_s if self.kind else None

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is a whole answer."""
        names = [] if self.by_stars or self.speed_m_s is not None else ["kind"]
        names += [] if self.by_stars or self.inputs.has("distance_m") else ["distance_m"]
        names += self.optics.missing
        if self.optics.size_px is None and "size" not in names:
            names.append("size")
        return [*names, *([] if self.interval_s else ["interval"])]

    @property
    def interval_s(self) -> Fraction | None:
        """Return the interval typed or worked out."""
        return self.shoot.interval_s

    @property
    def width_px(self) -> int | None:
        """Return the width of the picture."""
        return self.optics.size_px[0] if self.optics.size_px else None

    @property
    def direction_deg(self) -> float:
        """Return the angle to the picture plane; straight across where nothing is typed."""
        return float(self.inputs.get("direction", 0))

    @property
    def frames_across(self) -> float:
        """Return the fewest frames that a crossing should take."""
        return float(self.inputs.get("across", motion.FRAMES_ACROSS))

    # -- how fast in the picture ----------------------------------------------------------------------------

    def _step_values(self, speed_m_s: float, interval_s: float) -> dict[str, Any]:
        return {
            "speed_m_s": speed_m_s,
            "across": motion.across_share(self.direction_deg),
            "interval_s": interval_s,
            "width_px": self.width_px,
            "distance_m": float(self.inputs.get("distance_m")),
            "hfov_deg": self.optics.view.hfov_deg,
        }

    @cached_property
    def px_per_s(self) -> Estimate[float] | None:
        """Return the pixels that it moves in a second."""
        if self.is_wrong or self.optics.view is None or self.width_px is None:
            return None
        if self.by_stars:
            return Estimate.exact(motion.star_px_per_s(self.width_px, self.optics.view.hfov_deg))
        if self.speed_m_s is None or not self.inputs.has("distance_m"):
            return None
        return self.speed_m_s.map(lambda speed: motion.px_per_interval(**self._step_values(speed, 1)))

    def step_px(self, interval_s: Fraction | None) -> Estimate[float] | None:
        """Return the pixels that it moves from frame to frame at an interval."""
        if self.px_per_s is None or interval_s is None:
            return None
        return self.px_per_s.map(lambda px_per_s: px_per_s * float(interval_s))

    @cached_property
    def px_per_interval(self) -> Estimate[float] | None:
        """Return the pixels that it moves from frame to frame."""
        return self.step_px(self.interval_s)

    @cached_property
    def crossing_frames(self) -> Estimate[float | None] | None:
        """Return the frames that a crossing takes; None at an end where it never crosses."""
        if self.px_per_interval is None:
            return None
        return self.px_per_interval.map_falling(lambda px: motion.crossing_frames(self.width_px, px))

    @property
    def crossing_clip_s(self) -> Estimate[float | None] | None:
        """Return the seconds of clip that a crossing takes."""
        fps = self.inputs.get("fps")
        if self.crossing_frames is None or fps is None:
            return None
        return self.crossing_frames.map(lambda n: None if n is None else motion.crossing_clip_s(n, float(fps)))

    @cached_property
    def largest_interval_s(self) -> Estimate[float | None] | None:
        """Return the largest interval at which it still reads as movement; None at an end without a limit."""
        if self.px_per_s is None:
            return None
        return self.px_per_s.map_falling(
            lambda px_per_s: motion.largest_interval_s(self.width_px, self.frames_across, px_per_s)
        )

    def reads(self, largest_s: float | None) -> bool | None:
        """Return whether the interval is no longer than a largest one."""
        if self.interval_s is None or largest_s is None:
            return None
        return float(self.interval_s) <= largest_s * (1 + motion.ROUNDING)

    # -- exposure -------------------------------------------------------------------------------------------

    @property
    def shutter_s(self) -> float | None:
        """Return the exposure as metered."""
        shutter = self.inputs.get("shutter")
        return None if shutter is None else float(shutter)

    @property
    def blur_px(self) -> Estimate[float] | None:
        """Return the pixels that it moves while the shutter is open."""
        if self.px_per_s is None or self.shutter_s is None:
            return None
        return self.px_per_s.map(lambda px_per_s: motion.blur_px(px_per_s, 1, self.shutter_s))

    @property
    def exposed_share(self) -> float | None:
        """Return the wanted share of the interval: half where nothing is typed, None where it is wrong."""
        if "exposed" in self.inputs.errors:
            return None
        return float(self.inputs.get("exposed", motion.EXPOSURE_SHARE * 100)) / 100

    @property
    def exposure_s(self) -> float | None:
        """Return the exposure that fills the wanted share of the interval."""
        if self.interval_s is None or self.exposed_share is None:
            return None
        return motion.exposure_for_share_s(float(self.interval_s), self.exposed_share)

    @cached_property
    def density(self) -> NeutralDensity | None:
        """Return the filter that makes the wanted exposure right where the typed one was metered."""
        if self.shutter_s is None or self.exposure_s is None:
            return None
        return motion.neutral_density(self.shutter_s, self.exposure_s)

    # -- intervals to choose from ---------------------------------------------------------------------------

    @property
    def clip_interval_s(self) -> Fraction | None:
        """Return the interval that the wanted clip asks for."""
        found = self.shoot.interval_answer
        return found.chosen.interval_s if found and found.chosen else None

    @cached_property
    def fit(self) -> IntervalFit | None:
        """Return the clip's interval held against the usual ones of the kind; None while one isn't known."""
        if self.kind is None or self.clip_interval_s is None:
            return None
        return motion.interval_fit(self.kind.interval_s, float(self.clip_interval_s))

    @property
    def rule_interval_s(self) -> Fraction | None:
        """Return the longest settable interval that reads as movement at every speed of the range."""
        if self.largest_interval_s is None or self.largest_interval_s.low is None:
            return None
        return settable_at_or_below(Fraction(self.largest_interval_s.low), self.shoot.settable_s)

    def clip_at(self, interval_s: Fraction) -> Fraction | None:
        """Return the clip length that an interval gives."""
        if self.shoot.schedule is None or not self.inputs.has("fps"):
            return None
        get = self.inputs.get
        return solve.clip_from_interval(self.shoot.schedule, interval_s, get("fps"), self.shoot.kept_share).clip_s

    # -- data -----------------------------------------------------------------------------------------------

    def results(self) -> dict[str, Any]:
        """Return the data; whatever isn't known stays None."""

        def both(name: str, estimate: Estimate[Any] | None) -> dict[str, Any]:
            return {name: estimate.expected if estimate else None, f"{name}_range": ends(estimate)}

        density, fit, largest = self.density, self.fit, self.largest_interval_s
        usual = self.kind.interval_s if self.kind else None
        return {
            "hfov_deg": self.optics.view.hfov_deg if self.optics.view else None,
            "interval_s": self.interval_s,
            **both("speed_m_s", self.speed_m_s),
            "speed_source": self.kind.speed_source if self.kind and not self.inputs.has("speed") else None,
            **both("px_per_interval", self.px_per_interval),
            **both("crossing_frames", self.crossing_frames),
            **both("crossing_clip_s", self.crossing_clip_s),
            **both("largest_interval_s", largest),
            "frames_across": self.frames_across if "across" not in self.inputs.errors else None,
            "reads_as_movement": self.reads(largest.low) if largest else None,
            **both("blur_px", self.blur_px),
            "exposure_wanted_s": self.exposure_s,
            "shutter_angle_deg": self._shutter_angle_deg,
            "nd_stops": density.stops if density else None,
            "nd_density": density.density if density else None,
            "nd_nominal_density": density.nominal_density if density else None,
            "nd_filter_stops": density.whole_stops if density else None,
            "nd_filter_density": density.whole_density if density else None,
            "nd_filter_exposure_s": density.exposure_s if density else None,
            "usual_interval_s": ends(usual),
            "clip_interval_s": self.clip_interval_s,
            "clip_against_usual": fit.fit if fit else None,
            "clip_against_usual_factor": fit.factor if fit else None,
        }

    @property
    def _shutter_angle_deg(self) -> float | None:
        if self.interval_s is None or self.shutter_s is None:
            return None
        return motion.shutter_angle_deg(float(self.interval_s), self.shutter_s)

    def workings(self) -> list[Working]:
        """Return the arithmetic at the expected speed."""
        found: list[Working] = []
        if self.px_per_s is None:
            return found
        px_per_s = self.px_per_s.expected
        if self.by_stars:
            star = {"width_px": self.width_px, "hfov_deg": self.optics.view.hfov_deg}
            found.append(work(motion.star_px_per_s, **star))
        elif self.interval_s is not None:
            found.append(
                work(motion.px_per_interval, **self._step_values(self.speed_m_s.expected, float(self.interval_s)))
            )
        if px_per_s:
            if self.px_per_interval is not None:
                step_px = self.px_per_interval.expected
                found.append(work(motion.crossing_frames, width_px=self.width_px, px_per_interval=step_px))
            found.append(
                work(
                    motion.largest_interval_s,
                    width_px=self.width_px,
                    frames_across=self.frames_across,
                    px_per_s=px_per_s,
                )
            )
        return found
