"""What the camera records: stills every interval, bursts every interval, motion-triggered frames."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from webcalc.calc.formula import ARITHMETIC, formula


@formula(
    "frames", "ceil(window_s / interval_s)", "first frame at the start of the window, none at its end; " + ARITHMETIC
)
def frames_in(window_s: int | float | Fraction, interval_s: Fraction) -> int:
    """Return the frames taken in ``window_s`` seconds from the window's start.

    ``window_s`` >= 0; ``interval_s`` > 0. The first frame falls on the start, none on the end:
    10 h at 60 s gives 600. Exact for fractions.
    """
    elapsed_s = Fraction(window_s) if isinstance(window_s, float) else window_s
    # In whole numbers: a `Fraction` for each window would take most of the time.
    return -(-elapsed_s.numerator * interval_s.denominator // (elapsed_s.denominator * interval_s.numerator))


@formula("frames", "recorded_days * frames_per_day", ARITHMETIC)
def frames_total(recorded_days: int, frames_per_day: int) -> int:
    """Return the frames of a shoot whose windows are all alike."""
    return recorded_days * frames_per_day


@dataclass(frozen=True)
class Recording:
    """The sum of loads that a shoot records; each part is optional.

    interval_s : seconds between stills (and bursts), > 0; None where nothing is taken on the interval
    stills : whether a still is taken on the interval
    burst_s : length of a short video taken on the interval, seconds >= 0
    burst_bits_per_s : bit rate of that video
    motion_frames_per_day : motion-triggered frames on a recorded day, >= 0, taken as spread
        evenly over the window; they fill the card and draw energy but are no part of the clip
    in_one_file : whether frames go into one video file, where none takes a cluster of its own
    """

    interval_s: Fraction | None
    stills: bool = True
    burst_s: Fraction = Fraction(0)
    burst_bits_per_s: Fraction = Fraction(0)
    motion_frames_per_day: int = 0
    in_one_file: bool = False

    @cached_property
    def _hash(self) -> int:
        parts = (self.interval_s, self.stills, self.burst_s, self.burst_bits_per_s, self.motion_frames_per_day)
        return hash((parts, self.in_one_file))

    def __hash__(self) -> int:
        """Return the hash of the fields, worked out once: that of a ``Fraction`` is slow."""
        return self._hash

    def stills_in(self, window_s: int | float | Fraction) -> int:
        """Return the stills in the first ``window_s`` seconds of a window."""
        if self.interval_s is None or not self.stills:
            return 0
        return frames_in(window_s, self.interval_s)

    def bursts_in(self, window_s: int | float | Fraction) -> int:
        """Return the bursts begun in the first ``window_s`` seconds of a window."""
        if self.interval_s is None or not self.burst_s:
            return 0
        return frames_in(window_s, self.interval_s)
