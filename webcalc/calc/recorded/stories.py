"""What the recorded frames point to: each story is worked out forward and compared with what is there.

The comparison is that of frames by date and hour: ``fit`` is the share of frames, recorded or foretold, that are in
both.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from webcalc.calc.recorded.files import Frames
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.schedule.schedule import DailyWindow, Schedule

#: Stories that fit no better than the plan by this are no stories. Own choice.
_BETTER = 0.01
_HOUR, _SECOND = timedelta(hours=1), timedelta(seconds=1)


class Story(StrEnum):
    """What may have happened."""

    AS_PLANNED = "as_planned"
    STOPPED = "stopped"
    STOPPED_CARD_FULL = "stopped_card_full"
    OTHER_INTERVAL = "other_interval"
    OTHER_HOURS = "other_hours"
    OTHER_WEEKDAYS = "other_weekdays"
    LATE_START = "late_start"
    CLOCK_OFFSET = "clock_offset"
    CLOCK_SUMMER_TIME = "clock_summer_time"


@dataclass(frozen=True)
class Told:
    """A story, how well it fits (0 to 1), and the instant it begins or the interval or shift it tells of.

    at : when it stopped or began, camera clock; None where that is no part of it
    """

    code: Story
    fit: float
    at: datetime | None = None


@dataclass(frozen=True)
class _Model:
    """A shoot as it may have been: from when to when, at which interval, by how much the clock was off."""

    schedule: Schedule
    interval_s: Fraction
    begin: datetime
    end: datetime
    shift: timedelta = timedelta(0)
    shifted_from: date = date.min

    def by_hour(self) -> Counter[datetime]:
        """Return the frames of each hour."""
        found = Counter[datetime]()
        for day in self.schedule.recorded_dates:
            start, end = self.schedule.window_on(day)
            if day >= self.shifted_from:
                start, end = start + self.shift, end + self.shift
            hour = start.replace(minute=0)
            while hour < end:
                a, b = max(hour, start, self.begin), min(hour + _HOUR, end, self.end)
                if b > a:
                    through_s, before_s = ((at - start) // _SECOND for at in (b, a))
                    found[hour] += frames_in(through_s, self.interval_s) - frames_in(before_s, self.interval_s)
                hour += _HOUR
        return found


class Hour(StrEnum):
    """What an hour of a day has."""

    RECORDED = "recorded"
    MISSING = "missing"
    UNPLANNED = "unplanned"


def hours_of(frames: Frames, schedule: Schedule, interval_s: Fraction, until: datetime) -> dict[datetime, Hour]:
    """Return what each hour has in which frames are or should be, by the hour's beginning; camera clock.

    An hour with less than half of its frames counts as missing.
    """
    recorded = frames.by_hour
    planned = _Model(schedule, interval_s, datetime.min, until + _SECOND).by_hour()
    found = {hour: Hour.UNPLANNED for hour in recorded if not planned[hour]}
    for hour, count in planned.items():
        if count:
            found[hour] = Hour.MISSING if 2 * recorded[hour] < count else Hour.RECORDED
    return found


def _fit(foretold: Counter[datetime], recorded: Counter[datetime]) -> float:
    both = sum(min(count, recorded[hour]) for hour, count in foretold.items())
    either = foretold.total() + recorded.total() - both
    return both / either if either else 1.0


def stories(
    frames: Frames,
    planned: Schedule,
    interval_s: Fraction,
    until: datetime,
    kept_s: Fraction | None,
    found: Schedule | None,
    filled_share: float | None = None,
) -> tuple[Told, ...]:
    """Return the stories that fit, the best first; the plan itself is always among them.

    Parameters
    ----------
    frames : with times that are trusted
    planned, interval_s : what was planned, camera clock
    until : when the card was taken out
    kept_s, found : the interval and the pattern that the frames show
    filled_share : share of the card that is filled; None where the card isn't known
    """
    recorded = frames.by_hour
    plan = _Model(planned, interval_s, datetime.min, until)
    by_plan = Told(Story.AS_PLANNED, _fit(plan.by_hour(), recorded))
    told = [by_plan]
    for code, model, at in _models(plan, frames, kept_s, found, filled_share):
        fit = _fit(model.by_hour(), recorded)
        if fit > by_plan.fit + _BETTER:
            told.append(Told(code, fit, at))
    return tuple(sorted(told, key=lambda story: -story.fit))


def _models(
    plan: _Model, frames: Frames, kept_s: Fraction | None, found: Schedule | None, filled_share: float | None
) -> Iterator[tuple[Story, _Model, datetime | None]]:
    first, last = frames.times[0], frames.times[-1]
    full = filled_share is not None and filled_share >= 0.97
    yield Story.STOPPED_CARD_FULL if full else Story.STOPPED, replace(plan, end=last + _SECOND), last
    yield Story.LATE_START, replace(plan, begin=first), first
    if kept_s is not None and kept_s != plan.interval_s:
        yield Story.OTHER_INTERVAL, replace(plan, interval_s=kept_s), None
    if found is None:
        return
    hours, days = found.window, found.weekdays
    if days != plan.schedule.weekdays:
        yield Story.OTHER_WEEKDAYS, replace(plan, schedule=replace(plan.schedule, weekdays=days)), None
    apart_s = _apart_s(hours, plan.schedule.window)
    if apart_s and abs(hours.length_s - plan.schedule.window.length_s) <= 2 * float(plan.interval_s):
        yield Story.CLOCK_OFFSET, replace(plan, shift=timedelta(seconds=apart_s)), None
    if hours != plan.schedule.window:
        yield Story.OTHER_HOURS, replace(plan, schedule=replace(plan.schedule, window=hours)), None
    for hour in (-1, 1):
        for day in _turns(frames, hour):
            at = datetime.combine(day, datetime.min.time())
            yield Story.CLOCK_SUMMER_TIME, replace(plan, shift=hour * _HOUR, shifted_from=day), at


def _apart_s(found: DailyWindow, planned: DailyWindow) -> int:
    """Return by how much hours begin later than planned, the short way round the clock."""
    return (found.start_s - planned.start_s + 43_200) % 86_400 - 43_200


def _turns(frames: Frames, hours: int) -> Iterator[date]:
    """Yield Sundays from which the first frame of a day comes an hour later or earlier than before."""
    first_of: dict[date, datetime] = {}
    for at in frames.times:
        first_of.setdefault(at.date(), at)
    days = sorted(first_of)
    for before, after in pairwise(days):
        a, b = first_of[before], first_of[after]
        turned = (b - a) - (after - before)
        if abs(turned - hours * _HOUR) < timedelta(minutes=10):
            yield after
