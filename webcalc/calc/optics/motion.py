"""How far things move between two frames, and what that asks of interval and exposure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, COMMON_PRACTICE, DEFINITION, formula
from webcalc.calc.optics.view import PINHOLE

#: Frames that a crossing should take at least, to read as movement and not as things
#: appearing here and there: a project choice, to be adjusted by the user.
FRAMES_ACROSS = 20

#: Share of the interval that is exposed by default (180° of shutter): common practice, no source.
EXPOSURE_SHARE = 0.5

#: Density of one doubling as filters are sold (exactly it is log10 2 = 0.30103).
NOMINAL_DENSITY_PER_STOP = 0.3

#: Exposures are written down roundly (1/60 s for 1/64): a filter that is too dark by no more than this fits.
NOMINAL_STOPS = 0.1

#: What binary fractions may add to a value that is exact on paper.
ROUNDING = 1e-9

#: Mean sidereal day 86,164.0905 s, from memory (IERS).
STAR_DEG_PER_S = 360 / 86_164.0905

_WALKING = "MUTCD 2009 section 4E.06: 3.5 ft/s (seen quoted); ends 3 and 4 ft/s from memory"
_TIDE = "rise of 1, 3 and 10 m within 6 h 12.5 min (tide period seen, ranges common practice)"
_SHADOW = "shadow of something 10 m tall, sun at 70, 45 and 15 degrees (computed); see shadow_speed_m_s"


@dataclass(frozen=True)
class MotionKind:
    """A kind of movement: how fast it usually goes and the intervals people use for it.

    speed_m_s : None for stars, which have an angular speed only (``STAR_DEG_PER_S``)
    interval_s : usual range, common practice, no source; its middle value is a settable interval near the geometric
        mean
    distance_m : how far away it usually is, to go by while nothing is typed; common practice, no source
    progress : whether the clip is about what becomes of it over the whole shoot
    """

    speed_m_s: Estimate[float] | None
    interval_s: Estimate[float]
    distance_m: Estimate[float] | None = None
    speed_source: str = COMMON_PRACTICE
    progress: bool = False


def _kmh(low: float, expected: float, high: float) -> Estimate[float]:
    return Estimate(low / 3.6, expected / 3.6, high / 3.6)


def _per_day(low: float, expected: float, high: float) -> Estimate[float]:
    return Estimate(low / 86_400, expected / 86_400, high / 86_400)


@formula("speed_m_s", "height_m * 2 * pi / 86400 / sin_deg(sun_altitude_deg)**2", "sun climbing 15° an hour")
def shadow_speed_m_s(height_m: float, sun_altitude_deg: float) -> float:
    """Return about the greatest speed of the end of a shadow on level ground.

    It holds for a sun that climbs or sinks straight; near noon the shadow turns more slowly.
    """
    return height_m * 2 * math.pi / 86_400 / math.sin(math.radians(sun_altitude_deg)) ** 2


#: Kinds of movement by key, fast to slow: the usual speeds, intervals and distances.
KINDS: Mapping[str, MotionKind] = MappingProxyType(
    {
        "traffic": MotionKind(_kmh(30, 50, 100), Estimate(0.5, 1, 2), Estimate(20, 80, 400)),
        "clouds": MotionKind(Estimate(5, 10, 20), Estimate(2, 5, 10), Estimate(800, 2500, 8000)),
        "people": MotionKind(Estimate(0.9144, 1.0668, 1.2192), Estimate(1, 2, 3), Estimate(5, 20, 80), _WALKING),
        "site_machines": MotionKind(Estimate(0.2, 0.5, 2.0), Estimate(300, 600, 1800), Estimate(50, 150, 400)),
        # A storey of 3 m in a week to a month.
        "building": MotionKind(
            _per_day(0.1, 0.25, 0.5), Estimate(300, 600, 1800), Estimate(30, 100, 400), progress=True
        ),
        "snow": MotionKind(_per_day(0.01, 0.05, 0.3), Estimate(60, 300, 900), Estimate(3, 20, 200), progress=True),
        "shadows": MotionKind(
            Estimate(*(shadow_speed_m_s(10, altitude_deg) for altitude_deg in (70, 45, 15))),
            Estimate(10, 20, 30),
            Estimate(10, 40, 200),
            _SHADOW,
        ),
        "tide": MotionKind(
            Estimate(*(rise_m / 22_350 for rise_m in (1, 3, 10))), Estimate(30, 60, 120), Estimate(10, 60, 500), _TIDE
        ),
        "plants": MotionKind(_per_day(0.001, 0.01, 0.1), Estimate(120, 300, 900), Estimate(0.2, 0.6, 3), progress=True),
        "stars": MotionKind(None, Estimate(15, 30, 60), speed_source="mean sidereal day, from memory"),
    }
)


def across_share(direction_deg: float) -> float:
    """Return the share of a speed that runs across the picture (its cosine), 0 to 1.

    ``direction_deg`` is the angle to the picture plane: 0 straight across, 90 towards or away
    from the camera. ValueError outside 0–90.
    """
    if not 0 <= direction_deg <= 90:
        raise ValueError("a direction lies between 0 and 90 degrees")
    return 0.0 if direction_deg == 90 else math.cos(math.radians(direction_deg))


@formula(
    "px_per_interval",
    "speed_m_s * across * interval_s * width_px / (2 * distance_m * tan_deg(hfov_deg / 2))",
    PINHOLE,
)
def px_per_interval(
    speed_m_s: float, across: float, interval_s: float, width_px: int, distance_m: float, hfov_deg: float
) -> float:
    """Return the pixels that something moves from one frame to the next, near the picture's middle."""
    return speed_m_s * across * interval_s * width_px / (2 * distance_m * math.tan(math.radians(hfov_deg / 2)))


@formula("star_px_per_s", "width_px / (2 * tan_deg(hfov_deg / 2)) * pi / 180 * 360 / 86164.0905", PINHOLE)
def star_px_per_s(width_px: int, hfov_deg: float) -> float:
    """Return how fast a star on the celestial equator moves in the picture's middle: the fastest case."""
    return width_px / (2 * math.tan(math.radians(hfov_deg / 2))) * math.radians(STAR_DEG_PER_S)


@formula("crossing_frames", "width_px / px_per_interval", ARITHMETIC)
def crossing_frames(width_px: int, px_per_interval: float) -> float | None:
    """Return the frames (intervals) that a crossing of the picture takes; None if it never crosses."""
    return width_px / px_per_interval if px_per_interval > 0 else None


@formula("crossing_clip_s", "crossing_frames / fps", ARITHMETIC)
def crossing_clip_s(crossing_frames: float, fps: float) -> float:
    """Return the seconds of clip that a crossing takes."""
    return crossing_frames / fps


@formula("largest_interval_s", "width_px / frames_across / px_per_s", "rule of this project, adjustable")
def largest_interval_s(width_px: int, frames_across: float, px_per_s: float) -> float | None:
    """Return the largest interval at which a crossing still takes ``frames_across`` frames.

    That is the same as a step of at most 1 / ``frames_across`` of the width. None: no limit,
    nothing moves across.
    """
    return width_px / frames_across / px_per_s if px_per_s > 0 else None


@formula("blur_px", "px_per_interval * exposure_s / interval_s", ARITHMETIC)
def blur_px(px_per_interval: float, interval_s: float, exposure_s: float) -> float:
    """Return the pixels that something moves while the shutter is open."""
    return px_per_interval * exposure_s / interval_s


@formula("exposure_s", "share * interval_s", COMMON_PRACTICE)
def exposure_for_share_s(interval_s: float, share: float = EXPOSURE_SHARE) -> float:
    """Return the exposure that fills a share of the interval; 0 < share <= 1.

    Near 1 no time is left to write the frame.
    """
    if not 0 < share <= 1:
        raise ValueError("a share of the interval lies above 0 and up to 1")
    return share * interval_s


@formula(
    "angle_deg", "360 * exposure_s / interval_s", DEFINITION + "; exposure = angle / (360 × rate), Brown, Table 10.6"
)
def shutter_angle_deg(interval_s: float, exposure_s: float) -> float:
    """Return the exposure as a shutter angle: 360° is the whole interval."""
    return 360 * exposure_s / interval_s


@formula("stops", "log2(wanted_s / metered_s)", DEFINITION)
def nd_stops(metered_s: float, wanted_s: float) -> float:
    """Return the stops of light to take away to expose longer than metered; negative: light is missing."""
    return math.log2(wanted_s / metered_s)


@formula("density", "stops * log10(2)", "D = log10(1 / T), ISO 5-1")
def nd_density(stops: float) -> float:
    """Return the exact optical density of a number of stops."""
    return stops * math.log10(2)


@formula("density", "stops * 0.3", "nominal, as filters are sold: 0.3 a stop")
def nd_nominal_density(stops: float) -> float:
    """Return the density that filters for this number of stops are sold under."""
    return stops * NOMINAL_DENSITY_PER_STOP


@dataclass(frozen=True)
class NeutralDensity:
    """The filter for a wanted exposure.

    stops : exact need; zero or less: no filter
    density, nominal_density : of that need, exactly and at 0.3 a stop
    whole_stops : the strongest filter of whole stops that isn't too dark (by a tenth of a stop); 0 is none
    whole_density : what it is sold as
    exposure_s : what to expose behind it, by nominal doublings
    """

    stops: float
    density: float
    nominal_density: float
    whole_stops: int
    whole_density: float
    exposure_s: float


def neutral_density(metered_s: float, wanted_s: float) -> NeutralDensity:
    """Return the filter that makes ``wanted_s`` right where ``metered_s`` is without; both above 0."""
    if not (metered_s > 0 and wanted_s > 0):
        raise ValueError("an exposure is above 0")
    stops = nd_stops(metered_s, wanted_s)
    whole_stops = max(0, math.floor(stops + NOMINAL_STOPS))
    return NeutralDensity(
        stops=stops,
        density=nd_density(stops),
        nominal_density=nd_nominal_density(stops),
        whole_stops=whole_stops,
        whole_density=nd_nominal_density(whole_stops),
        exposure_s=metered_s * 2**whole_stops,
    )


class Fit(Enum):
    """Where an interval lies against a usual range."""

    SHORTER = "shorter"
    WITHIN = "within"
    LONGER = "longer"


@dataclass(frozen=True)
class IntervalFit:
    """An interval that the clip asks for, held against the kind's usual range.

    ``factor`` is how many times shorter or longer it is than the nearer end; 1 within.
    """

    usual_s: Estimate[float]
    clip_interval_s: float
    fit: Fit
    factor: float


def interval_fit(usual_s: Estimate[float], clip_interval_s: float) -> IntervalFit:
    """Compare the clip's interval with the usual range of a kind of movement."""
    if clip_interval_s < usual_s.low:
        return IntervalFit(usual_s, clip_interval_s, Fit.SHORTER, usual_s.low / clip_interval_s)
    if clip_interval_s > usual_s.high:
        return IntervalFit(usual_s, clip_interval_s, Fit.LONGER, clip_interval_s / usual_s.high)
    return IntervalFit(usual_s, clip_interval_s, Fit.WITHIN, 1.0)


# -- how it reads in the clip: it jumps, it flows, or it is too slow to be seen to move ---------------------

#: What moves less than this share of the picture's width in a second of the clip isn't seen to move, 2 px of 1920:
#: about 2 arcminutes at three picture heights, where HDTV's pixel is one (ITU-R BT.710), and 1 to 2 arcminutes a second
#: are just seen beside what stands still (Aubert 1886); both from memory.
SLOWEST_SHARE_PER_S = 1 / 960

#: The longest exposure that strong filters (10 stops) allow by day. Common practice, no source.
LONGEST_BY_DAY_S = 10
#: Who meters this long, meters in the dark. Own choice.
METERED_IN_THE_DARK_S = 1


class Pace(Enum):
    """How it reads; ``VARIES`` over the range of speeds."""

    JUMPS = "jumps"
    FLOWS = "flows"
    TOO_SLOW = "too_slow"
    VARIES = "varies"


@formula(
    "smallest_interval_s", "width_px / 960 / (fps * px_per_s)", "rule of this project: 1/960 of the width a second"
)
def smallest_interval_s(width_px: int, fps: float, px_per_s: float) -> float | None:
    """Return the shortest interval at which it is seen to move; None: at none, nothing moves across."""
    return width_px * SLOWEST_SHARE_PER_S / (fps * px_per_s) if px_per_s > 0 else None


def pace(interval_s: float, smallest: Estimate[float | None], largest: Estimate[float | None]) -> Pace | None:
    """Return how movement reads at an interval; None where nothing moves across.

    The low ends of both are those of the fastest, the high ends those of the slowest.
    """
    if smallest.low is None or largest.low is None:
        return None
    slack = 1 + ROUNDING
    if largest.high is not None and interval_s > largest.high * slack:
        return Pace.JUMPS
    if interval_s * slack < smallest.low:
        return Pace.TOO_SLOW
    seen = smallest.high is not None and smallest.high <= interval_s * slack
    return Pace.FLOWS if seen and interval_s <= largest.low * slack else Pace.VARIES
