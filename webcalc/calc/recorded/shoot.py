"""A shoot and a listing of its card: what was recorded, beside what was planned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from webcalc.calc.card import forecast as filling
from webcalc.calc.clip.interval import SETTABLE_INTERVALS_S
from webcalc.calc.estimate import Estimate
from webcalc.calc.recorded import files as listed
from webcalc.calc.recorded.files import File, Frames, frames_of
from webcalc.calc.recorded.gaps import Coverage, Gap, coverage, kept_interval_s, pattern_of
from webcalc.calc.recorded.stories import Hour, Told, hours_of, stories
from webcalc.calc.results import Results, key, ranged
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import figure, given, known, need, or_none, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True, eq=False)
class ShootRecorded:
    """What a listing tells of a shoot; the plan may be blank, then the listing's own pattern stands for it."""

    shoot: Shoot
    files: Sequence[File]

    @cached_property
    def frames(self) -> Frames:
        """The frames, in order of time."""
        return frames_of(self.files)

    @cached_property
    def kept_s(self) -> Fraction | None:
        """The interval that was kept; None where no single one was."""
        planned = or_none(self.shoot.interval_s)
        return kept_interval_s(self.frames, {*SETTABLE_INTERVALS_S, *({planned} if planned else ())})

    @cached_property
    def pattern(self) -> Schedule | None:
        """The hours and weekdays that the frames show; None where there is none."""
        return pattern_of(self.frames, self.kept_s) if self.kept_s else None

    @property
    def by_plan(self) -> bool:
        """Whether a plan stands beside it."""
        return known(self.shoot.schedule)

    @cached_property
    def schedule(self) -> Schedule | None:
        """The days that should have been recorded: planned, else as the frames show."""
        planned = self.shoot.schedule
        return planned if known(planned) else self.pattern

    @figure
    def until(self) -> datetime | None:
        """When the card was taken out, camera clock; None where it isn't said: then nothing after the last frame."""
        if not given(self.shoot.at):
            return None
        return need(self.shoot.daylight.camera_time(said(self.shoot.at)))

    @cached_property
    def coverage(self) -> Coverage | None:
        """What was recorded of what should have been; None where times or interval say nothing of it."""
        interval_s = self.kept_s or or_none(self.shoot.interval_s)
        if not self.frames.trusted or self.schedule is None or interval_s is None:
            return None
        return coverage(self.frames, self.schedule, interval_s, or_none(self.until))

    @cached_property
    def stories(self) -> tuple[Told, ...]:
        """What the frames point to, the best fit first; none without a plan."""
        planned, interval_s = self.shoot.schedule, self.shoot.interval_s
        if not self.frames.trusted or not known(planned) or not known(interval_s):
            return ()
        until = or_none(self.until) or self.frames.times[-1]
        filled = or_none(self.filled_share)
        return stories(self.frames, planned, interval_s, until, self.kept_s, self.pattern, filled)

    @cached_property
    def hours(self) -> dict[datetime, Hour]:
        """What each hour has, camera clock; nothing where times or interval say nothing of it."""
        interval_s = self.kept_s or or_none(self.shoot.interval_s)
        if not self.frames.trusted or self.schedule is None or interval_s is None:
            return {}
        until = or_none(self.until) or self.frames.times[-1]
        return hours_of(self.frames, self.schedule, interval_s, until)

    @figure
    def filled_share(self) -> float:
        """The share of the card's room that the listing's files take."""
        usable, files = need(self.shoot.card.usable_bytes, self.shoot.card.file_system)
        found = [file.bytes for file in self.frames.files if file.bytes is not None]
        cluster = files.cluster_bytes
        return sum(-(-size // cluster) * cluster for size in found) / usable if usable else 1.0

    @cached_property
    def frame_bytes(self) -> Estimate[int] | None:
        """What a frame takes, the range of daily means; None without sizes."""
        return listed.frame_bytes(self.frames.files)

    @figure
    def full_at(self) -> Estimate[datetime | None]:
        """When a new card, put in after the last frame, is full with such frames; camera clock."""
        schedule, usable, files = need(self.shoot.schedule, self.shoot.card.usable_bytes, self.shoot.card.file_system)
        frame, interval_s = self.frame_bytes, self.kept_s
        if frame is None or interval_s is None:
            return Estimate.exact(None)
        return filling.forecast(
            schedule,
            Recording(interval_s),
            frame,
            usable,
            files.cluster_bytes,
            since=self.frames.times[-1],
            reserve_share=Fraction(0),
        ).full_at.map(self.shoot.daylight.dated)


@dataclass(frozen=True)
class RecordedResults(Results):
    """What is really on the card."""

    frames: int = key("pictures in the listing, raw picture and copy counted once", 0)
    other_files: int = key("lines that are no picture", 0)
    first_at: datetime | None = key("time of the first frame, camera clock")
    last_at: datetime | None = key("time of the last frame, camera clock")
    times_trusted: bool = key("whether the times can be those of recording", False)
    stamp_s: int | None = key("the step of the times, seconds")
    interval_likely_s: Fraction | None = key("the interval that was kept, seconds; null where no single one was")
    from_: time | None = key("when a day's recording began, camera clock")
    until: time | None = key("when it ended, camera clock")
    by_plan: bool = key("whether gaps are told against the plan, not the frames' own pattern", False)
    gaps: tuple[Gap, ...] = key("frames missing in a row, in order", ())
    missing: int | None = key("frames missing in all")
    days_missing: tuple[date, ...] = key("days without a frame", ())
    days_late: tuple[date, ...] = key("days that began late", ())
    days_early: tuple[date, ...] = key("days that ended early", ())
    unplanned: int | None = key("frames outside the planned hours")
    rolled_over: int = key("how often the file numbers began again", 0)
    numbers_left_out: int = key("file numbers without a file: deleted, or not in the listing", 0)
    broken: int = key("files that are empty or far too small", 0)
    frame_bytes: Estimate[int] | None = ranged("a frame, bytes: mean, and the range of daily means")
    size_changed_on: date | None = key("date from which frames are of another size")
    size_factor: float | None = key("by how much they are larger (or smaller) from then on")
    card_full_at: Estimate[datetime | None] | None = ranged(
        "when a card put in after the last frame is full with such frames, camera clock", "earliest", "latest"
    )
    stories: tuple[Told, ...] = key("what the frames point to, the best fit first", ())


def recorded_results(room: ShootRecorded, other_files: int) -> RecordedResults:
    """Return the data; the empty answer for a listing without pictures."""
    frames = room.frames
    if not frames.files:
        return RecordedResults(other_files=other_files, by_plan=room.by_plan)
    found, hours, change = room.coverage, room.pattern, listed.size_change(frames.files) if frames.trusted else None
    return RecordedResults.of(
        found,
        room,
        frames=len(frames.files),
        other_files=other_files,
        first_at=frames.times[0],
        last_at=frames.times[-1],
        times_trusted=frames.trusted,
        stamp_s=frames.stamp_s,
        interval_likely_s=room.kept_s,
        from_=hours.window.start if hours else None,
        until=hours.window.end if hours else None,
        days_late=tuple(day.date for day in found.days if day.starts_late) if found else (),
        days_early=tuple(day.date for day in found.days if day.ends_early) if found else (),
        unplanned=len(found.unplanned) if found else None,
        rolled_over=listed.rollovers(frames.files),
        numbers_left_out=listed.numbers_left_out(frames.files),
        broken=len(listed.broken(frames.files)),
        size_changed_on=change.since if change else None,
        size_factor=change.factor if change else None,
        card_full_at=room.full_at,
    )
