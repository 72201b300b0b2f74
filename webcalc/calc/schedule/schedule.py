"""When the camera records: first and last date, daily window, weekdays, dates left out.

All times here are on the camera clock, which is a fixed offset from UTC and knows no summer time
(see ``zone.py`` for what that means on the wall clock). They are naive datetimes by design.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from functools import cached_property

ALL_WEEKDAYS = frozenset(range(1, 8))
DAY_S = 86_400
#: Mean month of the Gregorian calendar: 146,097 days in 400 years (ISO 8601).
MEAN_MONTH_DAYS = Fraction(146_097, 400 * 12)
#: Longest shoot that is computed; longer ones are refused at the form.
LONGEST_SHOOT_DAYS = 3_660
#: How far a pattern is carried on from the first date, to date what lasts longer than the shoot.
PAST_LAST_DAYS = 7_305


@dataclass(frozen=True)
class DailyWindow:
    """The working hours [start, end) on the camera clock, to the minute.

    ``end`` at or before ``start`` means that the window crosses midnight and belongs to the date
    it starts on. Equal times, 00:00–00:00 among them, mean 24 hours.
    """

    start: time
    end: time

    @cached_property
    def start_s(self) -> int:
        """Seconds from the date's midnight to the start."""
        return self.start.hour * 3600 + self.start.minute * 60

    @cached_property
    def length_s(self) -> int:
        """Length in seconds, 60 to 86,400."""
        end_s = self.end.hour * 3600 + self.end.minute * 60
        return (end_s - self.start_s) % DAY_S or DAY_S

    @property
    def crosses_midnight(self) -> bool:
        """Whether some of the window lies on the following date."""
        return self.start_s + self.length_s > DAY_S


@dataclass(frozen=True)
class Schedule:
    """The recorded days of a shoot, first and last date both included.

    Raises ValueError if ``last`` is before ``first``, if a weekday is not an ISO digit 1–7, if there is
    none, or if the shoot is longer than ``LONGEST_SHOOT_DAYS``.
    """

    first: date
    last: date
    window: DailyWindow
    weekdays: frozenset[int] = ALL_WEEKDAYS
    skipped: frozenset[date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise ValueError("last is before first")
        if not self.weekdays or not self.weekdays <= ALL_WEEKDAYS:
            raise ValueError("weekdays are ISO digits 1 to 7")
        if (self.last - self.first).days >= LONGEST_SHOOT_DAYS:
            raise ValueError("the shoot is longer than ten years")

    @cached_property
    def _hash(self) -> int:
        return hash((self.first, self.last, self.window, self.weekdays, self.skipped))

    def __hash__(self) -> int:
        """Return the hash of the fields, worked out once: searches look schedules up thousands of times."""
        return self._hash

    @property
    def calendar_days(self) -> int:
        """Days from first to last, both included."""
        return (self.last - self.first).days + 1

    def pattern_holds(self, day: date) -> bool:
        """Whether weekday and left-out dates allow recording on this date, first and last aside."""
        return day.isoweekday() in self.weekdays and day not in self.skipped

    def records_on(self, day: date) -> bool:
        """Whether a window starts on this date."""
        return self.first <= day <= self.last and self.pattern_holds(day)

    @cached_property
    def recorded_dates(self) -> tuple[date, ...]:
        """Every date on which a window starts, in order."""
        return tuple(map(date.fromordinal, self._ordinals(self.last.toordinal())))

    @cached_property
    def ordinals_past_last(self) -> Sequence[int]:
        """Ordinals of the dates on which a window starts, the pattern going on to 20 years after the first date."""
        return self._ordinals(min(date.max.toordinal() - 2, self.first.toordinal() + PAST_LAST_DAYS))

    @cached_property
    def dates_past_last(self) -> tuple[date, ...]:
        """The same dates."""
        return tuple(map(date.fromordinal, self.ordinals_past_last))

    def _ordinals(self, last: int) -> Sequence[int]:
        """Return the ordinals of the dates that the pattern allows from the first one to ``last``."""
        first = self.first.toordinal()
        if self.weekdays == ALL_WEEKDAYS and not self.skipped:
            return range(first, last + 1)
        offsets = [n - first for n in range(first, first + 7) if (n - 1) % 7 + 1 in self.weekdays]
        allowed = [week + offset for week in range(first, last + 1, 7) for offset in offsets]
        skipped = {day.toordinal() for day in self.skipped}
        stop = bisect_right(allowed, last)
        return [n for n in allowed[:stop] if n not in skipped] if skipped else allowed[:stop]

    @property
    def recorded_days(self) -> int:
        """Number of windows."""
        return len(self.recorded_dates)

    @property
    def recorded_s(self) -> int:
        """Recorded time over the whole shoot in seconds."""
        return self.recorded_days * self.window.length_s

    def window_on(self, day: date) -> tuple[datetime, datetime]:
        """Return start and end of the window that belongs to this date, on the camera clock."""
        start = datetime.combine(day, self.window.start)
        return start, start + timedelta(seconds=self.window.length_s)

    def window_start_days(self, since: datetime, *, past_last: bool = False) -> Iterator[date]:
        """Yield dates whose window ends after ``since``, in order; without end if ``past_last``.

        ``past_last`` goes on with the same pattern after the last date (to date a runtime
        that is longer than the shoot); it stops at the calendar's end or after 20 years.
        """
        day = max(self.first, since.date() - timedelta(1))
        stop = self.last if not past_last else min(date.max - timedelta(2), day + timedelta(PAST_LAST_DAYS))
        while day <= stop:
            if self.pattern_holds(day) and self.window_on(day)[1] > since:
                yield day
            day += timedelta(1)

    @cached_property
    def starts_at(self) -> datetime:
        """Start of the first date's window hours: when the camera is taken to be switched on."""
        return self.window_on(self.first)[0]

    @cached_property
    def ends_at(self) -> datetime:
        """End of the last date's window hours: when the camera is taken to be fetched."""
        return self.window_on(self.last)[1]
