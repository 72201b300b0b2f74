"""Kinds for dates: one, several, a shoot's length, and its last day, which may be told by the length."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.link.kinds.basics import BadInput, Kind, Reading

_WEEK, _YEAR = 7, 12
#: Spelling -> (months, days). A lone "m" could be a minute, so it isn't taken for a month.
_UNITS: dict[str, tuple[int, int]] = {
    **dict.fromkeys(("", "d", "day", "days"), (0, 1)),
    **dict.fromkeys(("w", "wk", "wks", "week", "weeks"), (0, _WEEK)),
    **dict.fromkeys(("mo", "month", "months"), (1, 0)),
    **dict.fromkeys(("y", "yr", "yrs", "year", "years"), (_YEAR, 0)),
}
_PART = re.compile(r"([0-9]{1,5})\s*([a-z]*)(?:\s*(?:,|and\b)\s*|\s*)", re.IGNORECASE)


class Length(Kind):
    """Calendar days. Weeks are seven days; months and years are those of the calendar, from the first day on."""

    def read(self, text: str) -> ShootLength:
        """Return months and days."""
        months = days = position = 0
        while position < len(text):
            part = _PART.match(text, position)
            unit = _UNITS.get(part[2].lower()) if part else None
            # A number without a unit means days, and then stands alone.
            if not part or unit is None or (not part[2] and part.span() != (0, len(text))):
                raise BadInput("{label} must be days, weeks or months, like 42, 6 weeks or 3 months")
            months += int(part[1]) * unit[0]
            days += int(part[1]) * unit[1]
            position = part.end()
        try:
            return ShootLength(months, days)
        except ValueError:
            raise BadInput("{label} must be between one day and ten years") from None

    def shown(self, value: ShootLength) -> str:
        """Return the length as people write it; it reads back to the same."""
        parts = [(value.months, "month"), (value.days, "day")]
        return " ".join(f"{n} {unit}{'' if n == 1 else 's'}" for n, unit in parts if n)

    def write(self, value: ShootLength) -> str:
        """Return ``42``, ``3mo`` or ``3mo14d``."""
        if not value.months:
            return str(value.days)
        return f"{value.months}mo" + (f"{value.days}d" if value.days else "")


MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_ISO = re.compile(r"([0-9]{4})([-/.])([0-9]{1,2})\2([0-9]{1,2})")
_WORDS = re.compile(r"([0-9]{1,2})(?:\.|st|nd|rd|th)?[\s\-]+([A-Za-z]{3})[a-z]*\.?,?[\s\-]+([0-9]{4})")
_MONTH_FIRST = re.compile(r"([A-Za-z]{3})[a-z]*\.?\s+([0-9]{1,2})(?:st|nd|rd|th)?,?\s+([0-9]{4})")
_YEAR_LAST = re.compile(r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})")
FIRST_YEAR, LAST_YEAR = 1990, 2100


def read_date(text: str) -> date:
    """Return the date of ``2027-03-01``, ``1 Mar 2027`` or ``Mar 1, 2027``.

    ``31/05/2027`` can be no other day; ``03/04/2027`` can, and is asked about.
    """
    found = sorted({day for parts in _parts(text) if (day := _date(*parts))})
    if not found:
        if any(True for _ in _parts(text)):
            raise BadInput(f"{{label}}: there is no such date as {text}")
        raise BadInput("{label} must be a date, like 2027-03-01 or 1 Mar 2027")
    if len(found) > 1:
        readings = [Reading(f"{day.day} {MONTHS[day.month - 1]} {day.year}", day.isoformat()) for day in found]
        raise BadInput(f"{{label}}: {text} can be read in two ways", readings)
    if not FIRST_YEAR <= found[0].year <= LAST_YEAR:
        raise BadInput(f"{{label}} must be between the years {FIRST_YEAR} and {LAST_YEAR}")
    return found[0]


def _parts(text: str) -> Iterator[tuple[int, int, int]]:
    """Yield every year, month and day that a text may mean, be there such a date or not."""
    if match := _ISO.fullmatch(text):
        yield int(match[1]), int(match[3]), int(match[4])
    elif match := _YEAR_LAST.fullmatch(text):
        one, other, year = int(match[1]), int(match[3]), int(match[4])
        yield year, other, one
        yield year, one, other
    elif (match := _WORDS.fullmatch(text)) and match[2].title() in MONTHS:
        yield int(match[3]), MONTHS.index(match[2].title()) + 1, int(match[1])
    elif (match := _MONTH_FIRST.fullmatch(text)) and match[1].title() in MONTHS:
        yield int(match[3]), MONTHS.index(match[1].title()) + 1, int(match[2])


def _date(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


class Day(Kind):
    """A calendar date."""

    input_type = "date"

    def read(self, text: str) -> date:
        """Return the date."""
        return read_date(text)

    def write(self, value: date) -> str:
        """Return the ISO date."""
        return value.isoformat()


class Days(Kind):
    """Dates, separated by commas; ``first/last`` (an ISO 8601 interval) stands for all dates from one to the other."""

    most = 200
    #: Fewer days in a row are written one by one, as in every link from before stretches were written.
    _least_stretch = 4

    def read(self, text: str) -> frozenset[date]:
        """Return the set of dates."""
        found: set[date] = set()
        for part in (part.strip() for part in re.split(r"[,;\n]", text)):
            if not part:
                continue
            start, _slash, end = part.partition("/")
            first = read_date(start.strip())
            last = read_date(end.strip()) if end.strip() else first
            if not 0 <= (last - first).days < self.most:
                raise BadInput(f"{{label}}: {part} must run forward and be shorter than {self.most} days")
            found.update(first + timedelta(n) for n in range((last - first).days + 1))
        if not found:
            raise BadInput("{label} must be dates, like 2027-03-01 or 1 Mar 2027")
        if len(found) > self.most:
            raise BadInput(f"{{label}} must be {self.most} dates or fewer")
        return frozenset(found)

    def write(self, value: frozenset[date]) -> str:
        """Return ISO dates in order, long stretches by their first and last day."""
        stretches: list[list[date]] = []
        for day in sorted(value):
            if stretches and day - stretches[-1][-1] == timedelta(1):
                stretches[-1].append(day)
            else:
                stretches.append([day])
        return ",".join(
            f"{days[0]}/{days[-1]}" if len(days) >= self._least_stretch else ",".join(map(str, days))
            for days in stretches
        )


class LastDay(Day):
    """The last day; the shoot's length tells it too: ``6 months``. A text field, so that both can be typed."""

    input_type = "text"

    def read(self, text: str) -> date | ShootLength:  # type: ignore[override]
        """Return the date, or the length where one with a unit was typed."""
        if re.search(r"[0-9]\s*[a-zA-Z]", text) and not any(True for _ in _parts(text)):
            try:
                return Length().read(text)
            except BadInput:
                raise BadInput("{label} must be a date or a length, like 2027-03-01 or 6 months") from None
        return super().read(text)

    def write(self, value: date | ShootLength) -> str:
        """Return the ISO date; a length is written by its own name."""
        return Length().write(value) if isinstance(value, ShootLength) else super().write(value)
