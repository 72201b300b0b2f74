"""How the camera's daily window meets the light: frames in the light, dark ends, the longest window always light."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from functools import cached_property
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule, LightSpans, Span
from webcalc.calc.light.place import Site
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, DailyWindow, Schedule
from webcalc.calc.schedule.zone import camera_to_utc

_SECOND_US = 1_000_000
_MINUTE_US = 60 * _SECOND_US
_DAY_US = DAY_S * _SECOND_US
_MICROSECOND = timedelta(microseconds=1)
#: A camera clock's date and the site's local date can differ by this much at the worst (UTC-12 against UTC+14).
_DATES_APART = timedelta(2)


@dataclass(frozen=True)
class WindowLight:
    """The light in the window that starts on one date of the camera clock.

    start_utc, end_utc : the window
    light : its light spans, UTC
    frames, light_frames : stills in the window and those in the light; None where none are taken on an interval
    begins_dark, ends_dark : whether it is dark at its first and at its last moment
    """

    date: date
    start_utc: datetime
    end_utc: datetime
    light: tuple[Span, ...]
    frames: int | None
    light_frames: int | None

    @property
    def window_light_s(self) -> float:
        """Seconds of light in the window."""
        return sum(((end - start).total_seconds() for start, end in self.light), 0.0)

    @property
    def all_light(self) -> bool:
        """Whether all of the window is light."""
        return self.light == ((self.start_utc, self.end_utc),)

    @property
    def begins_dark(self) -> bool:
        """Whether the window starts in the dark."""
        return not self.light or self.light[0][0] > self.start_utc

    @property
    def ends_dark(self) -> bool:
        """Whether the window ends in the dark."""
        return not self.light or self.light[-1][1] < self.end_utc


@dataclass(frozen=True)
class ShootLight:
    """The light over the recorded days of a shoot, or of a stretch of it.

    days : one entry per recorded date, in order; never empty
    offset_on : offset from UTC that the camera clock keeps as each date's window begins
    spans : the light around these dates
    """

    days: tuple[WindowLight, ...]
    offset_on: Callable[[date], timedelta] = field(repr=False, compare=False)
    spans: LightSpans = field(repr=False, compare=False)

    @cached_property
    def always_light(self) -> DailyWindow | None:
        """The longest window on the camera clock, the same every day, that is light on every recorded date.

        Whole minutes, rounded inward; None if there isn't a minute. Equal times mean 24 hours.
        """
        return _always_light([day.date for day in self.days], self.offset_on, self.spans)

    @cached_property
    def frames(self) -> int | None:
        """Stills of all windows, None where none are taken on an interval."""
        return None if self.days[0].frames is None else sum(day.frames or 0 for day in self.days)

    @cached_property
    def light_frames(self) -> int | None:
        """Those of them that are taken in the light."""
        return None if self.days[0].light_frames is None else sum(day.light_frames or 0 for day in self.days)

    @property
    def frame_share(self) -> float | None:
        """Share of the frames that are in the light, 0 to 1; None without frames."""
        return self.light_frames / self.frames if self.frames and self.light_frames is not None else None

    @cached_property
    def time_share(self) -> float:
        """Share of the recorded time that is light, 0 to 1."""
        recorded_s = sum((day.end_utc - day.start_utc).total_seconds() for day in self.days)
        return min(1.0, sum(day.window_light_s for day in self.days) / recorded_s)

    @property
    def light_share(self) -> float:
        """Share of the frames, or, where none are taken on an interval, of the time that is light, 0 to 1."""
        return self.time_share if self.frame_share is None else self.frame_share

    @property
    def all_light(self) -> bool:
        """Whether every frame, or, where none are counted, all of the recorded time is in the light."""
        if self.frame_share is None:
            return all(day.all_light for day in self.days)
        return self.light_frames == self.frames

    @property
    def begin_dark(self) -> tuple[date, ...]:
        """Dates on which the window starts in the dark."""
        return tuple(day.date for day in self.days if day.begins_dark)

    @property
    def end_dark(self) -> tuple[date, ...]:
        """Dates on which the window ends in the dark."""
        return tuple(day.date for day in self.days if day.ends_dark)

    @property
    def worst_day(self) -> WindowLight:
        """The recorded day with the least light in its window, the first of equals."""
        return min(self.days, key=lambda day: day.window_light_s)


def shoot_light(
    schedule: Schedule,
    site: Site,
    zone: ZoneInfo,
    rule: LightRule,
    offset_on: Callable[[date], timedelta],
    recording: Recording | None = None,
    dates: Sequence[date] | None = None,
    spans: LightSpans | None = None,
) -> ShootLight | None:
    """Return the light in the windows of a shoot; None if no date is recorded.

    Parameters
    ----------
    offset_on : offset from UTC that the camera clock keeps as each date's window begins
    recording : what is taken; without it, or without an interval, only time is counted
    dates : a stretch of the recorded dates, in order; all of them if left out
    spans : the light around these dates or more, found before
    """
    days = schedule.recorded_dates if dates is None else tuple(dates)
    if not days:
        return None
    spans = spans or spans_around(days[0], days[-1], site, zone, rule)
    frames, step_us = None, Fraction(0)
    if recording is not None and recording.interval_s is not None and recording.stills:
        frames = recording.stills_in(schedule.window.length_s)
        step_us = Fraction(recording.interval_s) * _SECOND_US
    windows = []
    for day in days:
        start, end = (camera_to_utc(camera, offset_on(day)) for camera in schedule.window_on(day))
        light = spans.within(start, end)
        light_frames = None if frames is None else _frames_in_light(frames, step_us, start, light)
        windows.append(WindowLight(day, start, end, light, frames, light_frames))
    return ShootLight(tuple(windows), offset_on, spans)


def best_window(
    dates: Sequence[date],
    site: Site,
    zone: ZoneInfo,
    rule: LightRule,
    camera_offset: timedelta,
    spans: LightSpans | None = None,
) -> DailyWindow | None:
    """Return the longest fixed window on the camera clock that is light on each of these dates.

    For a stretch between two visits: pass its recorded dates, in order. Whole minutes, rounded inward; equal times
    mean 24 hours; None if no minute is light on all dates, or if there are no dates. ``spans``: the light around
    more dates than these, found before.
    """
    return (
        _always_light(dates, lambda _day: camera_offset, spans or spans_around(dates[0], dates[-1], site, zone, rule))
        if dates
        else None
    )


def spans_around(first: date, last: date, site: Site, zone: ZoneInfo, rule: LightRule) -> LightSpans:
    """Return all the light that the windows of the dates from first to last can meet."""
    # A window ends up to a day after the date it starts on.
    return LightSpans(site, zone, rule, first - _DATES_APART, last + _DATES_APART + timedelta(1))


def _frames_in_light(frames: int, step_us: Fraction, start: datetime, light: Iterable[Span]) -> int:
    """Return how many of a window's frames are in the light; one at instant t is if a span [a, b) holds t."""
    return sum(
        min(frames, _frames_before(span_end - start, step_us))
        - min(frames, _frames_before(span_start - start, step_us))
        for span_start, span_end in light
    )


def _frames_before(elapsed: timedelta, step_us: Fraction) -> int:
    """Return how many of the instants 0, step, 2·step … lie before ``elapsed`` (>= 0)."""
    return -(-(elapsed // _MICROSECOND) * step_us.denominator // step_us.numerator)


def _always_light(
    dates: Sequence[date], offset_on: Callable[[date], timedelta], spans: LightSpans
) -> DailyWindow | None:
    """Intersect the light of all dates, each seen from its own midnight on the camera clock.

    A window starts within 24 h of that midnight and lasts at most 24 h, so two days are looked at.
    """
    common = [(0, 2 * _DAY_US)]
    for day in dates:
        midnight = camera_to_utc(datetime.combine(day, time.min), offset_on(day))
        light = [
            ((start - midnight) // _MICROSECOND, (end - midnight) // _MICROSECOND)
            for start, end in spans.within(midnight, midnight + timedelta(2))
        ]
        common = [(max(a, c), min(b, d)) for a, b in common for c, d in light if max(a, c) < min(b, d)]
        if not common:
            return None
    minutes = [(-(-start // _MINUTE_US), end // _MINUTE_US) for start, end in common]
    day_min = DAY_S // 60
    lengths = [(min(until - since, day_min), -since) for since, until in minutes if since < day_min]
    length, minus_since = max(lengths, default=(0, 0))
    if length < 1:
        return None
    return DailyWindow(_clock(-minus_since), _clock(-minus_since + length))


def _clock(minutes: int) -> time:
    return time(minutes // 60 % 24, minutes % 60)
