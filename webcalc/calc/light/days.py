"""The days of a shoot one by one: sun and window on each, the dark ones in runs, how the camera clock stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import DayLight, DayState
from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import CIVIL_DEG, DayEvents, crossings
from webcalc.calc.light.window import WindowLight
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.schedule import DAY_S, DailyWindow, Schedule
from webcalc.calc.schedule.zone import camera_minus_wall_min, camera_to_utc, clock_changes, offset_changes

_DAY = timedelta(1)


@dataclass(frozen=True)
class SunDay:
    """One local date: sun and light, civil twilight, and its window.

    window : the light in the window that starts on this date of the camera clock, as if it recorded; None while the
        hours aren't known
    recorded : whether it does record
    """

    site: Site
    zone: ZoneInfo
    sun: DayLight
    window: WindowLight | None
    recorded: bool

    @property
    def date(self) -> date:
        """The local date."""
        return self.sun.date

    @cached_property
    def civil(self) -> DayEvents:
        """Civil twilight, worked out where it is asked for: of most days nobody does."""
        return crossings(self.site, self.zone, self.date, CIVIL_DEG)


@dataclass(frozen=True)
class DarkRun(Results):
    """Recorded days in a row that begin, or end, in the dark."""

    first: date = field(metadata=meaning("its first date"))
    last: date = field(metadata=meaning("its last date"))
    days: int = field(metadata=meaning("recorded days in it"))
    longest_dark_s: float = field(metadata=meaning("the longest dark at that end, seconds"))


@dataclass(frozen=True)
class ClockStretch:
    """A part of the shoot in which the camera clock stands in one relation to the wall clock.

    since, since_utc : its first date at the site, and the instant
    shift_min : how far the wall clock was moved at its start; 0 for the first stretch
    camera_minus_wall_min : negative where the camera is behind
    wall : the window on the wall clock
    windows : the recorded ones that start in it
    """

    since: date
    since_utc: datetime
    shift_min: int
    camera_minus_wall_min: int
    wall: DailyWindow
    windows: tuple[WindowLight, ...]

    @property
    def dark_days(self) -> int:
        """Recorded days on which some of the window is dark, be it at its ends or between."""
        return sum(not window.all_light for window in self.windows)


def clock_stretches(
    zone: ZoneInfo, schedule: Schedule, offset: timedelta, windows: Sequence[WindowLight]
) -> tuple[ClockStretch, ...]:
    """Return how camera clock and wall clock stand to each other over the shoot, in order."""
    start = camera_to_utc(schedule.starts_at, offset)
    begins = [(start.astimezone(zone).date(), start, 0, camera_minus_wall_min(zone, offset, start))]
    for change in clock_changes(zone, schedule, offset):
        if change.at_utc > start:
            begins.append((change.date, change.at_utc, change.shift_min, change.camera_minus_wall_min))
    ends = [*(begin[1] for begin in begins[1:]), datetime.max.replace(tzinfo=UTC)]
    return tuple(
        ClockStretch(
            *begin,
            moved(schedule.window, -begin[3]),
            tuple(window for window in windows if begin[1] <= window.start_utc < end),
        )
        for begin, end in zip(begins, ends, strict=True)
    )


@dataclass(frozen=True)
class ClockSetting:
    """What the camera is set to by a phone on the site's time: ``minus`` is taken off what the phone shows.

    since : the site's date from which that holds
    """

    since: date
    minus: timedelta


def clock_settings(
    zone: ZoneInfo, offset: timedelta, schedule: Schedule, now: datetime, kept: bool
) -> tuple[ClockSetting, ...]:
    """Return by what the camera is set from now (aware) to the shoot's end, a stretch for each other difference.

    ``kept``: the camera stays at this offset on purpose. Otherwise it is the site's when the shoot begins, and who sets
    it later sets it by the site's clock.
    """
    start, end = (camera_to_utc(at, offset) for at in (schedule.starts_at, schedule.ends_at))
    if now >= start and not kept:
        return (ClockSetting(now.astimezone(zone).date(), timedelta(0)),)
    changes = offset_changes(zone, now, end if kept else start) if now < end else ()
    found = [ClockSetting(now.astimezone(zone).date(), (now.astimezone(zone).utcoffset() or timedelta(0)) - offset)]
    for change in changes:
        if change.after - offset != found[-1].minus:
            found.append(ClockSetting(change.at_utc.astimezone(zone).date(), change.after - offset))
    return tuple(found)


def moved(window: DailyWindow, minutes: int) -> DailyWindow:
    """Return a window with both its ends moved on the clock."""
    start, end = (
        (datetime.combine(date(2000, 1, 2), edge) + timedelta(minutes=minutes)).time()
        for edge in (window.start, window.end)
    )
    return DailyWindow(start, end)


def _runs(windows: Iterable[WindowLight], dark: Callable[[WindowLight], timedelta]) -> tuple[DarkRun, ...]:
    """Group the recorded days on which ``dark`` is above 0: days in a row among the recorded ones are one run."""
    runs: list[DarkRun] = []
    in_run = False
    for window in windows:
        dark_s = dark(window).total_seconds()
        if dark_s > 0:
            before = runs.pop() if in_run else DarkRun(window.date, window.date, 0, 0.0)
            runs.append(DarkRun(before.first, window.date, before.days + 1, max(before.longest_dark_s, dark_s)))
        in_run = dark_s > 0
    return tuple(runs)


def begin_dark(windows: Iterable[WindowLight]) -> tuple[DarkRun, ...]:
    """Return the runs of recorded days whose window starts in the dark."""
    return _runs(windows, lambda one: (one.light[0][0] if one.light else one.end_utc) - one.start_utc)


def end_dark(windows: Iterable[WindowLight]) -> tuple[DarkRun, ...]:
    """Return the runs of recorded days whose window ends in the dark."""
    return _runs(windows, lambda one: one.end_utc - (one.light[-1][1] if one.light else one.start_utc))


def dark_between(windows: Iterable[WindowLight]) -> tuple[DarkRun, ...]:
    """Return the runs of recorded days on which it is dark between two light parts of the window."""
    return _runs(
        windows, lambda one: sum((later[0] - before[1] for before, later in pairwise(one.light)), timedelta(0))
    )


def state_runs(days: Sequence[SunDay], state: DayState) -> list[tuple[date, date]]:
    """Return the stretches of calendar dates on which the sun stays up, or down."""
    dates = [day.date for day in days if day.sun.state == state]
    if not dates:
        return []
    breaks = [(a, b) for a, b in pairwise(dates) if b - a > _DAY]
    return list(zip([dates[0], *(b for _, b in breaks)], [*(a for a, _ in breaks), dates[-1]], strict=True))


def clock_extremes(instants: Sequence[datetime]) -> tuple[datetime, datetime] | None:
    """Return the earliest and the latest of instants by their wall clocks, counted on from noon; None for none.

    Sunsets after midnight are then later than those before it, and sunrises before midnight earlier than those after.
    """
    if not instants:
        return None

    def since_noon_s(instant: datetime) -> float:
        return (instant.hour * 3600 + instant.minute * 60 + instant.second - DAY_S // 2) % DAY_S

    return min(instants, key=since_noon_s), max(instants, key=since_noon_s)


def noon_of(first: date, zone: ZoneInfo) -> datetime:
    """Return noon of a date at the site as an instant."""
    return datetime.combine(first, time(12), zone).astimezone(UTC)
