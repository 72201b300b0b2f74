"""When a card is full, what a shoot needs, and what stands on the card at an instant.

Instants are naive datetimes on the camera clock. Big frames fill a card earliest, so the high end of
the frame size gives the early date, the one to plan on.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from fractions import Fraction

from webcalc.calc.card.space import FileSizes, smallest_card_gb
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import (
    Counts,
    counts_between,
    counts_in,
    elapsed_in_window,
    first_window_ending_after,
    window_dates,
)
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule


@dataclass(frozen=True)
class CardUse:
    """What the shoot has put on the card.

    counts : taken since the start of the count
    used_bytes : in whole clusters, with what was on the card before
    """

    counts: Counts
    used_bytes: Estimate[int]


@dataclass(frozen=True)
class CardForecast:
    """How far a card goes.

    full_at : instant of the first file that no longer fits; low is the earliest (big frames), high the
        latest (small frames). None where that doesn't happen within what was asked.
    frames_on_card : stills and motion-triggered frames that fit in the free space; low is the fewest
    needed_bytes : for all of the shoot from ``since`` to its last date, in this card's clusters
    card_needed_gb : smallest card sold that, put in empty, lasts even with the biggest frames; None if none does
    lasts : whether this card lasts to the last date even with the biggest frames
    lasts_expected : the same with frames of the expected size
    """

    full_at: Estimate[datetime | None]
    frames_on_card: Estimate[int]
    needed_bytes: Estimate[int]
    card_needed_gb: int | None
    lasts: bool
    lasts_expected: bool


def day_bytes(recording: Recording, window_s: int, frame: Estimate[int], cluster_bytes: int) -> Estimate[int]:
    """Return the bytes that one recorded day takes on the card."""
    counts = counts_in(recording, window_s)
    return _bytes_of(counts, recording, frame, cluster_bytes)


def shoot_bytes(
    schedule: Schedule,
    recording: Recording,
    frame: Estimate[int],
    cluster_bytes: int,
    since: datetime | None = None,
) -> Estimate[int]:
    """Return the bytes that the shoot takes from ``since`` (default its start) to its last date."""
    counts = counts_between(schedule, recording, since or schedule.starts_at, schedule.ends_at)
    return _bytes_of(counts, recording, frame, cluster_bytes)


def used_at(
    schedule: Schedule,
    recording: Recording,
    frame: Estimate[int],
    cluster_bytes: int,
    when: datetime,
    *,
    used_bytes: int = 0,
    since: datetime | None = None,
    past_last: bool = False,
) -> CardUse:
    """Return what was put on the card in [since, when), as if there were always room.

    Compare ``when`` with ``CardForecast.full_at`` before printing it: a full card takes no more. ``used_bytes`` is what
    stood on the card at ``since`` (default the shoot's start).
    """
    counts = counts_between(schedule, recording, since or schedule.starts_at, when, past_last=past_last)
    taken = _bytes_of(counts, recording, frame, cluster_bytes)
    return CardUse(counts, taken.map(lambda n: n + used_bytes))


def forecast(
    schedule: Schedule,
    recording: Recording,
    frame: Estimate[int],
    card_usable_bytes: int,
    cluster_bytes: int,
    used_bytes: int = 0,
    since: datetime | None = None,
    past_last: bool = False,
    *,
    reserve_share: Fraction,
) -> CardForecast:
    """Return how far a card goes.

    Parameters
    ----------
    frame : bytes of one frame as a file, before clusters; > 0
    card_usable_bytes, cluster_bytes : of the card in the camera; the reserve is taken off already
    used_bytes : what stands on it at ``since``
    since : from when it is counted, on the camera clock; default the shoot's start
    past_last : date the full card even after the last date (to 20 years after the first), with the same pattern
    reserve_share : kept free on the card that ``card_needed_gb`` looks for
    """
    since = since or schedule.starts_at
    free_bytes = max(card_usable_bytes - used_bytes, 0)
    counts = counts_between(schedule, recording, since, schedule.ends_at)
    needed = _bytes_of(counts, recording, frame, cluster_bytes)
    dates, before = _windows_from(schedule, recording, since, past_last)
    fills = frame.map_falling(
        lambda size: _Filling(
            schedule, recording, FileSizes.of(recording, size, cluster_bytes), free_bytes, dates, before
        )
    )
    return CardForecast(
        full_at=fills.map(_Filling.full_at),
        frames_on_card=fills.map(_Filling.frames),
        needed_bytes=needed,
        card_needed_gb=smallest_card_gb(
            lambda cluster: FileSizes.of(recording, frame.high, cluster).total_bytes(counts), reserve_share
        ),
        lasts=needed.high <= free_bytes,
        lasts_expected=needed.expected <= free_bytes,
    )


def full_at(
    schedule: Schedule,
    recording: Recording,
    frame_bytes: int,
    card_usable_bytes: int,
    cluster_bytes: int,
    used_bytes: int = 0,
    since: datetime | None = None,
) -> datetime | None:
    """Return when a card is full within the shoot with frames of one size; what ``forecast`` tells, and only that."""
    dates, before = _windows_from(schedule, recording, since or schedule.starts_at, past_last=False)
    sizes = FileSizes.of(recording, frame_bytes, cluster_bytes)
    free_bytes = max(card_usable_bytes - used_bytes, 0)
    return _Filling(schedule, recording, sizes, free_bytes, dates, before).full_at()


def _windows_from(
    schedule: Schedule, recording: Recording, since: datetime, past_last: bool
) -> tuple[tuple[date, ...], Counts]:
    """Return the dates whose windows end after ``since``, and what the first of them had taken before."""
    dates = window_dates(schedule, past_last=past_last)
    dates = dates[first_window_ending_after(schedule, dates, since) :]
    if not dates:
        return dates, Counts()
    return dates, counts_in(recording, schedule.window.length_s, elapsed_in_window(schedule, dates[0], since))


def _bytes_of(counts: Counts, recording: Recording, frame: Estimate[int], cluster_bytes: int) -> Estimate[int]:
    return frame.map(lambda size: FileSizes.of(recording, size, cluster_bytes).total_bytes(counts))


@dataclass(frozen=True)
class _Filling:
    """A card being filled by windows that are all alike, at one frame size.

    dates : of the windows that may fill it, those that end after the count begins
    before : what the first of them had taken before the count begins
    """

    schedule: Schedule
    recording: Recording
    sizes: FileSizes
    free_bytes: int
    dates: tuple[date, ...]
    before: Counts

    @property
    def _budget_bytes(self) -> int:
        """Free space plus what the first window had taken: the count can then begin at that window's start."""
        return self.free_bytes + self.sizes.total_bytes(self.before)

    @property
    def window_s(self) -> int:
        return self.schedule.window.length_s

    def _window_bytes(self) -> int:
        return self.sizes.total_bytes(counts_in(self.recording, self.window_s))

    def full_at(self) -> datetime | None:
        """Return the instant of the first file that doesn't fit, or None."""
        per_window = self._window_bytes()
        if not per_window:
            return None
        windows, rest_bytes = divmod(self._budget_bytes, per_window)
        if windows >= len(self.dates):
            return None
        start = self.schedule.window_on(self.dates[windows])[0]
        offset_s = self._first_too_many_s(rest_bytes)
        # datetime holds microseconds; the part below is dropped, towards the early side.
        return start + timedelta(microseconds=int(offset_s * 1_000_000))

    def frames(self) -> int:
        """Return how many frames fit, the windows following each other without end."""
        per_window = self._window_bytes()
        if not per_window or not self.recording.burst_s:
            return self.free_bytes // self.sizes.frame_bytes
        windows, rest_bytes = divmod(self._budget_bytes, per_window)
        offset_s = self._first_too_many_s(rest_bytes)
        in_last = counts_in(self.recording, self.window_s, offset_s)
        whole = counts_in(self.recording, self.window_s).times(windows)
        left_bytes = rest_bytes - self.sizes.total_bytes(in_last)
        at_offset = 0
        # At one instant the order is still, burst, motion-triggered frame. The first that doesn't fit ends it.
        for kind, size in self._files_at(offset_s):
            if size > left_bytes:
                break
            left_bytes -= size
            at_offset += kind == "frame"
        return (whole + in_last - self.before).frames + at_offset

    def _files_at(self, offset_s: Fraction) -> list[tuple[str, int]]:
        at = self._counts_through(offset_s) - counts_in(self.recording, self.window_s, offset_s)
        return (
            [("frame", self.sizes.frame_bytes)] * at.stills
            + [("burst", self.sizes.burst_bytes)] * at.bursts
            + [("frame", self.sizes.frame_bytes)] * at.motion_frames
        )

    def _counts_through(self, offset_s: Fraction) -> Counts:
        """Return the counts to an offset from the window's start, files at the offset itself included."""
        interval_s, motion = self.recording.interval_s, self.recording.motion_frames_per_day
        ticks = 0 if interval_s is None else offset_s // interval_s + 1
        return Counts(
            stills=ticks if self.recording.stills else 0,
            bursts=ticks if self.recording.burst_s else 0,
            motion_frames=(2 * motion * offset_s + self.window_s) // (2 * self.window_s) if motion else 0,
        )

    def _first_too_many_s(self, rest_bytes: int) -> Fraction:
        """Return the offset of the first file that makes a window's bytes exceed ``rest_bytes`` (< a whole window)."""
        motion = self.recording.motion_frames_per_day
        ticks = max(self.recording.stills_in(self.window_s), self.recording.bursts_in(self.window_s))
        interval_s = self.recording.interval_s or Fraction(0)
        candidates = (
            self._first_over(rest_bytes, ticks, lambda k: k * interval_s),
            self._first_over(rest_bytes, motion, lambda j: Fraction((2 * j + 1) * self.window_s, 2 * motion)),
        )
        return min(offset_s for offset_s in candidates if offset_s is not None)

    def _first_over(self, rest_bytes: int, events: int, offset_of: Callable[[int], Fraction]) -> Fraction | None:
        low, high = 0, events
        while low < high:
            middle = (low + high) // 2
            if self.sizes.total_bytes(self._counts_through(offset_of(middle))) > rest_bytes:
                high = middle
            else:
                low = middle + 1
        return offset_of(low) if low < events else None
