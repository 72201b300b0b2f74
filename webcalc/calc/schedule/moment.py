"""What should be true of a shoot at an instant, as nobody can ask the camera."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from webcalc.calc.schedule.count import Counts, counts_between, recorded_time_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule


class Phase(StrEnum):
    """Where an instant lies in the shoot."""

    BEFORE = "before"
    RECORDING = "recording"
    BETWEEN = "between"
    OVER = "over"


@dataclass(frozen=True)
class Moment:
    """The shoot at ``at`` on the camera clock.

    counts : taken since the start
    recorded_s : recorded time until then
    done_share : that as a share of all recorded time, 0 to 1
    window_ends_at : end of the open window; None outside one
    next_window_at : start of the next window; None after the last
    """

    at: datetime
    phase: Phase
    counts: Counts
    recorded_s: float
    done_share: float
    window_ends_at: datetime | None
    next_window_at: datetime | None


def moment(schedule: Schedule, recording: Recording, at: datetime) -> Moment:
    """Return where the shoot stands at an instant on the camera clock."""
    begin = schedule.starts_at
    recorded = recorded_time_between(schedule, begin, at).total_seconds()
    window = _window_at(schedule, at)
    upcoming = _next_window(schedule, at)
    if window is not None:
        phase = Phase.RECORDING
    elif upcoming is None:
        phase = Phase.OVER
    else:
        phase = Phase.BETWEEN if recorded else Phase.BEFORE
    return Moment(
        at=at,
        phase=phase,
        counts=counts_between(schedule, recording, begin, at),
        recorded_s=recorded,
        done_share=recorded / schedule.recorded_s if schedule.recorded_s else 0.0,
        window_ends_at=window,
        next_window_at=upcoming,
    )


def _window_at(schedule: Schedule, at: datetime) -> datetime | None:
    """Return the end of the window that is open at ``at``, if any."""
    for day in schedule.window_start_days(at):
        start, end = schedule.window_on(day)
        return end if start <= at < end else None
    return None


def _next_window(schedule: Schedule, at: datetime) -> datetime | None:
    """Return the start of the first window that begins after ``at``."""
    for day in schedule.window_start_days(at):
        start = schedule.window_on(day)[0]
        if start > at:
            return start
    return None
