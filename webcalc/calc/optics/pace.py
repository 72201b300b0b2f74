"""How movement reads in the clip: it jumps, it flows, or it is too slow to be seen to move."""

from __future__ import annotations

from enum import Enum

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import formula
from webcalc.calc.optics.motion import ROUNDING

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
