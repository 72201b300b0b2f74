"""What the daylight page works out, before any words: the days, the dark ones, the camera clock's stretches."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule, day_light, light_days
from webcalc.calc.light.days import ClockStretch, DarkRun, SunDay
from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import CIVIL_DEG, DayEvents, crossings
from webcalc.calc.light.window import ShootLight, WindowLight, shoot_light
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.schedule.zone import camera_minus_wall_min, camera_offset, camera_to_utc, clock_changes, noon_gap_h
from webcalc.web.http.page import Asked

_DAY = timedelta(1)


class DaylightCase:
    """Everything about one request; parts that can't be known yet are None or empty."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.shoot = asked.old
        self.place = asked.old.place
        self.schedule = asked.old.schedule

    @property
    def known(self) -> tuple[Site, ZoneInfo, LightRule] | None:
        """Return site, zone and rule; None while one is missing, and then nothing is computed."""
        site, zone, rule = self.place.site, self.place.zone, self.place.light_rule
        return (site, zone, rule) if site and zone and rule else None

    @property
    def today(self) -> date | None:
        """Return today's date at the site."""
        return self.asked.now.astimezone(self.place.zone).date() if self.place.zone else None

    @cached_property
    def camera_offset(self) -> timedelta | None:
        """Return the camera clock's offset; without a last day already, as the clock is set on the first."""
        if self.place.camera_offset is not None or self.place.zone is None or self.shoot.window is None:
            return self.place.camera_offset
        first = self.asked.inputs.get("first") or self.today
        return camera_offset(self.place.zone, datetime.combine(first, self.shoot.window.start))

    @property
    def light(self) -> ShootLight | None:
        """Return the light over the recorded days."""
        return self.shoot.light if self.known else None

    @cached_property
    def _windows(self) -> dict[date, WindowLight]:
        return {window.date: window for window in self.light.days} if self.light else {}

    def civil(self, day: date) -> DayEvents:
        """Return when civil twilight begins and ends on a local date."""
        assert self.known  # noqa: S101 - callers have looked
        site, zone, _rule = self.known
        return crossings(site, zone, day, CIVIL_DEG)

    def day(self, day: date) -> SunDay:
        """Return one date, of the shoot or not."""
        assert self.known  # noqa: S101 - callers have looked
        site, zone, rule = self.known
        window = self._windows.get(day)
        if window is None and self.shoot.window and self.camera_offset is not None:
            alone = Schedule(day, day, self.shoot.window)
            found = shoot_light(alone, site, zone, rule, self.camera_offset, self.shoot.recording)
            window = found.days[0] if found else None
        return SunDay(day_light(site, zone, day, rule), self.civil(day), window, day in self._windows)

    @cached_property
    def days(self) -> tuple[SunDay, ...]:
        """Return every calendar date from first to last; only recorded ones have a window."""
        if not (self.known and self.schedule):
            return ()
        suns = light_days(*self.known[:2], self.schedule.first, self.schedule.last, self.known[2])
        return tuple(
            SunDay(sun, self.civil(sun.date), self._windows.get(sun.date), sun.date in self._windows) for sun in suns
        )

    @cached_property
    def key_days(self) -> list[tuple[str, SunDay]]:
        """Return today, first, last and worst day, as far as they are known."""
        if not self.known:
            return []
        found = [("today", self.today), ("first", self.asked.inputs.get("first")), ("last", self.shoot.last)]
        if self.light:
            found.append(("worst", self.light.worst_day.date))
        return [(what, self.day(day)) for what, day in found if day]

    @cached_property
    def begin_dark(self) -> list[DarkRun]:
        """Return the stretches of recorded days whose window starts in the dark."""
        return dark_runs(
            self.light.days if self.light else (),
            lambda window: window.begins_dark,
            lambda window: (window.light[0][0] if window.light else window.end_utc) - window.start_utc,
        )

    @cached_property
    def end_dark(self) -> list[DarkRun]:
        """Return the stretches of recorded days whose window ends in the dark."""
        return dark_runs(
            self.light.days if self.light else (),
            lambda window: window.ends_dark,
            lambda window: window.end_utc - (window.light[-1][1] if window.light else window.start_utc),
        )

    @cached_property
    def clock_stretches(self) -> list[ClockStretch]:
        """Return how camera clock and wall clock stand to each other over the shoot, in order."""
        zone, schedule, offset = self.place.zone, self.schedule, self.camera_offset
        if zone is None or schedule is None or offset is None:
            return []
        start = camera_to_utc(schedule.starts_at, offset)
        begins = [(start.astimezone(zone).date(), start, 0, camera_minus_wall_min(zone, offset, start))]
        for change in clock_changes(zone, schedule, offset):
            if change.at_utc > start:
                begins.append((change.date, change.at_utc, change.shift_min, change.camera_minus_wall_min))
        ends = [*(begin[1] for begin in begins[1:]), datetime.max.replace(tzinfo=UTC)]
        windows = self.light.days if self.light else ()
        return [
            ClockStretch(
                *begin,
                moved(schedule.window, -begin[3]),
                tuple(window for window in windows if begin[1] <= window.start_utc < end),
            )
            for begin, end in zip(begins, ends, strict=True)
        ]

    @property
    def noon_gap_h(self) -> float | None:
        """Return the hours between clock noon and mean solar noon on the first day."""
        return noon_gap_h(self.place.zone, self.known[0].longitude_deg, self.first_noon) if self.known else None

    @property
    def first_noon(self) -> datetime:
        """Return noon of the first day, or of today, as an instant."""
        first = self.asked.inputs.get("first") or self.today
        return datetime.combine(first, time(12), self.place.zone).astimezone(UTC)


def moved(window: DailyWindow, minutes: int) -> DailyWindow:
    """Return a window with both its ends moved on the clock."""
    start, end = (
        (datetime.combine(date(2000, 1, 2), edge) + timedelta(minutes=minutes)).time()
        for edge in (window.start, window.end)
    )
    return DailyWindow(start, end)


def dark_runs(
    windows: Iterable[WindowLight], dark: Callable[[WindowLight], bool], how_long: Callable[[WindowLight], timedelta]
) -> list[DarkRun]:
    """Group the recorded days that are dark at an end: days in a row among the recorded ones are one run."""
    runs: list[DarkRun] = []
    in_run = False
    for window in windows:
        if dark(window):
            dark_s = how_long(window).total_seconds()
            before = runs.pop() if in_run else DarkRun(window.date, window.date, 0, 0.0)
            runs.append(DarkRun(before.first, window.date, before.days + 1, max(before.most_s, dark_s)))
        in_run = dark(window)
    return runs


def state_runs(days: Sequence[SunDay], state: str) -> list[tuple[date, date]]:
    """Return the stretches of calendar dates on which the sun stays up, or down."""
    dates = [day.date for day in days if day.sun.state == state]
    if not dates:
        return []
    breaks = [(a, b) for a, b in pairwise(dates) if b - a > _DAY]
    return list(zip([dates[0], *(b for _, b in breaks)], [*(a for a, _ in breaks), dates[-1]], strict=True))
