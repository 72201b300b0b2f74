"""The kind of a shoot's length: ``42``, ``6 weeks``, ``3 months``, ``1 year 2 weeks``."""

from __future__ import annotations

import re

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.link.kinds.basics import BadInput, Kind

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
