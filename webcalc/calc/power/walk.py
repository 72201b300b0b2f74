"""The walk of one battery through windows, nights, weekends and harvests.

It goes from window to window. Between windows the constant draws run; inside a window the energy used is a
sawtooth (a jump at each frame, a slope in between) whose crossing of the reserve is solved, not stepped.
Energies are joules here, watt-hours elsewhere.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from webcalc.calc.power.load import Load
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, Schedule
from webcalc.calc.unknown import said

JOULES_PER_WH = 3600.0
#: When a day's harvest is added: as one lump at noon on the camera clock, the middle of the sun's day.
HARVEST_S = DAY_S // 2
#: Sums of many rounded steps differ by less than this share. What comes as near to the reserve has reached it, or a
#: window that takes exactly what is left would end before it or a night after it, as the rounding goes.
ROUNDING = 1e-10


@dataclass(frozen=True)
class WindowDrain:
    """Energy used inside a window, as a function of the seconds since its start, and the way back."""

    slope_w: float
    frame_j: float
    burst_w: float
    burst_s: float
    interval_s: float
    periods: int
    window_s: int

    @classmethod
    def of(cls, load: Load, recording: Recording, constant_w: float, window_s: int) -> WindowDrain:
        """Return the drain of a load; motion-triggered frames are spread evenly over the window."""
        motion_w = load.motion_j * recording.motion_frames_per_day / window_s
        periods = max(recording.stills_in(window_s), recording.bursts_in(window_s))
        interval_s = float(said(recording.interval_s)) if periods else float(window_s)
        bursts = bool(recording.bursts_in(window_s))
        # Bursts longer than the interval follow each other without a gap, with all their energy.
        burst_s = min(float(recording.burst_s), interval_s) if bursts else 0.0
        burst_w = load.burst_w * float(recording.burst_s) / burst_s if bursts else 0.0
        frame_j = load.frame_j if recording.stills and periods else 0.0
        slope_w = constant_w + load.recording_w + motion_w
        return cls(slope_w, frame_j, burst_w, burst_s, interval_s, max(periods, 1), window_s)

    @property
    def burst_j(self) -> float:
        """Energy of one burst."""
        return self.burst_w * self.burst_s

    @property
    def total_j(self) -> float:
        """Energy of a whole window."""
        return self.slope_w * self.window_s + self.periods * (self.frame_j + self.burst_j)

    def used_j(self, elapsed_s: float) -> float:
        """Return the energy used before this moment; a frame at this very moment isn't in it."""
        if elapsed_s <= 0:
            return 0.0
        if elapsed_s >= self.window_s:
            return self.total_j
        begun = min(math.ceil(elapsed_s / self.interval_s), self.periods)
        in_burst_s = min(elapsed_s - (begun - 1) * self.interval_s, self.burst_s)
        burst_j = (begun - 1) * self.burst_j + self.burst_w * in_burst_s
        return self.slope_w * elapsed_s + begun * self.frame_j + burst_j

    def elapsed_s(self, used_j: float) -> float:
        """Return the first moment at which this much energy is used, frames of that moment included."""
        period_j = self.slope_w * self.interval_s + self.frame_j + self.burst_j
        if used_j <= 0 or period_j <= 0:
            return 0.0
        slack_j = ROUNDING * self.total_j
        before = min(max(math.ceil((used_j - slack_j) / period_j) - 1, 0), self.periods - 1)
        start_s = before * self.interval_s
        rest_j = used_j - before * period_j - self.frame_j
        if rest_j <= slack_j:
            return min(start_s, float(self.window_s))
        if rest_j <= (self.slope_w + self.burst_w) * self.burst_s:
            return min(start_s + rest_j / (self.slope_w + self.burst_w), float(self.window_s))
        after_burst_s = (rest_j - self.burst_j) / self.slope_w if self.slope_w > 0 else self.interval_s
        return min(start_s + after_burst_s, float(self.window_s))


@dataclass
class Walk:
    """One battery going through the calendar.

    Times are seconds from the first date's midnight. With ``swap_j`` set, a pack at its reserve is exchanged
    for a full one (of ``swap_j`` above the reserve) and counted; without, the walk ends there.
    """

    schedule: Schedule
    drain: WindowDrain
    constant_w: float
    left_j: float
    full_j: float
    reserve_j: float
    harvest_wh: Callable[[date], float] | None = None
    swap_j: float | None = None
    swaps: int = 0
    at_s: float = 0.0

    def run(self, since_s: float, until_s: float) -> bool:
        """Walk until the reserve or ``until_s``; return whether the reserve came, with its instant in ``at_s``."""
        self.at_s = since_s
        days, window_s = self.schedule.ordinals_past_last, self.drain.window_s
        origin_s = self.schedule.window.start_s - self.schedule.first.toordinal() * DAY_S
        # The first window that ends after `since`, and the first that starts at or after `until`.
        index = bisect_right(days, (since_s - window_s - origin_s) / DAY_S)
        stop = bisect_left(days, (until_s - origin_s) / DAY_S, lo=index)
        while index < stop:
            start_s = days[index] * DAY_S + origin_s
            if self._pass(min(start_s, until_s), None) or self._pass(min(start_s + window_s, until_s), start_s):
                return True
            index += 1
            if self.harvest_wh is None:
                index = self._skip(days, origin_s, index, stop)
        return self._pass(until_s, None)

    def _skip(self, days: Sequence[int], origin_s: int, index: int, stop: int) -> int:
        """Take at once the windows that certainly don't reach the reserve; return the first that is left to walk.

        The battery stands at the end of a window, and windows are all alike: what n of them and the gaps before them
        take is a product. The last window is left, as the end of the walk may cut it.
        """
        window_s, total_j = self.drain.window_s, self.drain.total_j
        gap_j = self.constant_w * window_s

        def used_j(windows: int) -> float:
            span_s = days[index + windows - 1] * DAY_S + origin_s + window_s - self.at_s
            return self.constant_w * span_s + windows * (total_j - gap_j)

        # One window early: there the sum of many rounded steps and this product could differ.
        spare_j = self.left_j - self.reserve_j
        whole = bisect_left(range(1, stop - index), spare_j, key=used_j) - 1
        if whole < 1:
            return index
        self.left_j -= used_j(whole)
        self.at_s = days[index + whole - 1] * DAY_S + origin_s + window_s
        return index + whole

    def rest(self, until_s: float) -> bool:
        """Go on to ``until_s`` with no window begun; return whether the reserve came."""
        return self._pass(until_s, None)

    def _pass(self, until_s: float, window_start_s: int | None) -> bool:
        """Go on to ``until_s``, inside the window begun then, or outside (None); return whether the reserve came."""
        while self.at_s < until_s:
            stop_s = until_s
            if self.harvest_wh is not None:
                noon_s = ((self.at_s - HARVEST_S) // DAY_S + 1) * DAY_S + HARVEST_S
                stop_s = min(until_s, noon_s)
            if self._use(stop_s, window_start_s):
                return True
            self.at_s = stop_s
            if self.harvest_wh is not None and stop_s == noon_s:
                day = self.schedule.first + timedelta(days=int(stop_s // DAY_S))
                self.left_j = min(self.full_j, self.left_j + self.harvest_wh(day) * JOULES_PER_WH)
        return False

    def _use(self, stop_s: float, window_start_s: int | None) -> bool:
        """Take the energy of one stretch; set ``at_s`` to the instant of the reserve if that comes first."""
        if window_start_s is None:
            before_j, used_j = 0.0, self.constant_w * (stop_s - self.at_s)
        else:
            before_j = self.drain.used_j(self.at_s - window_start_s)
            used_j = self.drain.used_j(stop_s - window_start_s) - before_j
        spare_j = self.left_j - self.reserve_j
        if used_j < spare_j - ROUNDING * self.full_j or used_j <= 0:
            self.left_j -= used_j
            return False
        if self.swap_j is not None:
            packs = max(0, math.ceil((used_j - spare_j) / self.swap_j - ROUNDING))
            self.swaps += packs
            self.left_j += packs * self.swap_j - used_j
            return False
        if window_start_s is None:
            self.at_s = min(self.at_s + spare_j / self.constant_w, stop_s)
        else:
            # A jump at the end of the stretch belongs to the next one: never later than the stretch itself.
            reached_s = window_start_s + self.drain.elapsed_s(before_j + spare_j)
            self.at_s = min(max(self.at_s, reached_s), stop_s)
        self.left_j = self.reserve_j
        return True


def seconds_of(schedule: Schedule, instant: datetime) -> float:
    """Return the seconds from the first date's midnight to an instant on the camera clock."""
    return (instant - datetime.combine(schedule.first, datetime.min.time())).total_seconds()


def datetime_of(schedule: Schedule, at_s: float) -> datetime:
    """Return the instant, cut to the second: a date that protects is never late."""
    return datetime.combine(schedule.first, datetime.min.time()) + timedelta(seconds=math.floor(at_s))
