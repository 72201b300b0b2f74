"""Kinds for time: durations, dates, clock times, weekdays, offsets, zones, light."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache

from webcalc.calc.schedule.zone import UnknownZone, load_zone, zone_names
from webcalc.web.link.kinds.basics import BadInput, Kind, plain
from webcalc.web.link.kinds.dates import read_date

UNIT_S = {"d": 86_400, "h": 3_600, "min": 60, "s": 1}
_SPELLINGS = {
    **{word: "s" for word in ("s", "sec", "secs", "second", "seconds")},
    **{word: "min" for word in ("min", "mins", "m", "minute", "minutes", "mn")},
    **{word: "h" for word in ("h", "hr", "hrs", "hour", "hours")},
    **{word: "d" for word in ("d", "day", "days")},
}
_PART = re.compile(r"\s*([0-9]{1,9})(?:[.,]([0-9]{1,9}))?\s*([a-zA-Z]*)\s*")
_COLONS = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{1,3}):([0-9]{2})(?:[.,]([0-9]{1,9}))?")


def duration_text(seconds: Fraction) -> str:
    """Write a duration with the largest unit that leaves a whole number, seconds otherwise."""
    sign, seconds = ("-" if seconds < 0 else ""), abs(seconds)
    if seconds:
        for unit, length in UNIT_S.items():
            if unit != "d" and seconds % length == 0:
                return f"{sign}{seconds // length}{unit}"
    return f"{sign}{plain(Decimal(seconds.numerator) / Decimal(seconds.denominator))}s"


@dataclass(frozen=True)
class Duration(Kind):
    """A length of time: ``45s``, ``2min``, ``1h30min``, ``m:ss`` or ``h:mm:ss``; a bare number is seconds."""

    low_s: Fraction
    high_s: Fraction
    #: What a bare number means, where that isn't seconds.
    bare: str = "s"

    def read(self, text: str) -> Fraction:
        """Return exact seconds."""
        seconds = self._seconds(text)
        if not self.low_s <= seconds <= self.high_s:
            raise BadInput(f"{{label}} must be between {duration_text(self.low_s)} and {duration_text(self.high_s)}")
        return seconds

    def write(self, value: Fraction) -> str:
        """Return the canonical text, such as ``90s`` or ``2min``."""
        return duration_text(value)

    def _seconds(self, text: str) -> Fraction:
        colons = _COLONS.fullmatch(text)
        if colons and int(colons[3]) < 60 and (colons[1] is None or int(colons[2]) < 60):
            whole = (int(colons[1] or 0) * 60 + int(colons[2])) * 60 + int(colons[3])
            return whole + Fraction(f"0.{colons[4] or 0}")
        total, position, parts = Fraction(0), 0, 0
        while position < len(text):
            match = _PART.match(text, position)
            unit = match and (_SPELLINGS.get(match[3].lower()) if match[3] else self.bare)
            if not match or not unit or (not match[3] and (parts or match.end() < len(text))):
                raise BadInput("{label} must be a length of time, like 45s, 2min or 1h30min")
            total += Fraction(f"{match[1]}.{match[2] or 0}") * UNIT_S[unit]
            position, parts = match.end(), parts + 1
        return total


@dataclass(frozen=True)
class Durations(Kind):
    """A list of durations, separated by commas or spaces."""

    each: Duration

    def read(self, text: str) -> tuple[Fraction, ...]:
        """Return the durations, shortest first, each once."""
        words = [word for word in re.split(r"[,;\s]+", text) if word]
        if not words:
            raise BadInput("{label} must be lengths of time, like 5s,30s,5min")
        if len(words) > 40:
            raise BadInput("{label} must be 40 lengths or fewer")
        return tuple(sorted({self.each.read(word) for word in words}))

    def write(self, value: Sequence[Fraction]) -> str:
        """Return the canonical list."""
        return ",".join(map(duration_text, value))


_CLOCK = re.compile(r"([0-9]{1,2})(?:[:.h]?([0-9]{2}))?\s*([ap])?\.?m?\.?", re.IGNORECASE)


def read_clock(text: str) -> time:
    """Return the time of ``8:00``, ``0800``, ``8 pm``; 24:00 is midnight."""
    match = _CLOCK.fullmatch(text)
    if match and (match[3] or not text.rstrip(".").lower().endswith("m")):
        hour, minute = int(match[1]), int(match[2] or 0)
        if match[3] and 1 <= hour <= 12:
            hour = hour % 12 + (12 if match[3].lower() == "p" else 0)
        elif match[3]:
            hour = 99
        if (hour, minute) == (24, 0):
            return time(0)
        if hour < 24 and minute < 60:
            return time(hour, minute)
    raise BadInput("{label} must be a time of day, like 08:00 or 5:30 pm")


class Clock(Kind):
    """A time of day to the minute."""

    input_type = "time"

    def read(self, text: str) -> time:
        """Return the time."""
        return read_clock(text)

    def write(self, value: time) -> str:
        """Return ``HH:MM``."""
        return value.strftime("%H:%M")


WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class Weekdays(Kind):
    """ISO weekday digits, 1 = Monday; ticked boxes send one each."""

    several = True
    options = tuple((str(n), name) for n, name in enumerate(WEEKDAYS, start=1))

    def read(self, text: str) -> frozenset[int]:
        """Return the digits as a set."""
        text = re.sub(r"[,\s]", "", text)
        if not re.fullmatch(r"[1-7]{1,7}", text):
            raise BadInput("{label} must be digits from 1 (Monday) to 7 (Sunday), like 12345")
        return frozenset(map(int, text))

    def write(self, value: frozenset[int]) -> str:
        """Return the digits in order."""
        return "".join(map(str, sorted(value)))


_OFFSET = re.compile(r"(?:UTC)?\s*([+\-−])?([0-9]{1,2})(?::?([0-9]{2}))?", re.IGNORECASE)


class UtcOffset(Kind):
    """A fixed offset from UTC, ``+01:00``."""

    def read(self, text: str) -> timedelta:
        """Return the offset, within 14 hours."""
        match = _OFFSET.fullmatch("+0" if text.upper() in ("Z", "UTC") else text)
        if not match or int(match[3] or 0) > 59 or int(match[2]) * 60 + int(match[3] or 0) > 14 * 60:
            raise BadInput("{label} must be an offset from UTC, like +01:00")
        size = timedelta(hours=int(match[2]), minutes=int(match[3] or 0))
        return -size if match[1] in ("-", "−") else size

    def write(self, value: timedelta) -> str:
        """Return ``+01:00``."""
        minutes = int(value.total_seconds() // 60)
        return f"{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"


@cache
def _zones_in_lower_case() -> dict[str, str]:
    return {name.lower(): name for name in zone_names()}


class Zone(Kind):
    """An IANA time zone name."""

    def read(self, text: str) -> str:
        """Return the name if the rules know it; spaces count as underscores, and letter case doesn't matter."""
        typed = text.replace(" ", "_")
        try:
            return load_zone(_zones_in_lower_case().get(typed.lower(), typed)).key
        except UnknownZone:
            raise BadInput("{label} must be an IANA name, like Europe/Madrid") from None


class LightRule(Kind):
    """Light enough from sunrise to sunset, in civil twilight, or so many minutes inside sunrise and sunset."""

    options = (
        ("sun", "sunrise to sunset"),
        ("civil", "civil twilight too"),
        ("30min", "30 min inside"),
        ("1h", "1 h inside"),
        ("2h", "2 h inside"),
    )

    def read(self, text: str) -> str | Fraction:
        """Return ``sun``, ``civil`` or seconds inside sunrise and sunset."""
        if text.lower() in ("sun", "civil"):
            return text.lower()
        try:
            margin_s = Duration(Fraction(0), Fraction(6 * 3600), bare="min").read(text)
        except BadInput:
            margin_s = None
        if margin_s is None or margin_s % 60:
            raise BadInput("{label} must be sun, civil, or minutes inside sunrise and sunset, like 30min")
        return margin_s

    def write(self, value: str | Fraction) -> str:
        """Return the word or the duration."""
        return value if isinstance(value, str) else duration_text(value)


#: An offset from UTC behind a time of day, which the times of a link don't carry.
_BEHIND_TIME = re.compile(r"[0-9]\s*(?:[+\u2212-][0-9]{1,2}:?(?:[0-9]{2})?|[Zz])$")


class Moment(Kind):
    """A date, or a date and a time of day, at the site."""

    _iso = re.compile(r"([0-9]{4}-[0-9]{1,2}-[0-9]{1,2})(?:[T ]+(.+))?")
    _words = re.compile(r"([0-9]{1,2}\.?\s+[A-Za-z]+\.?,?\s+[0-9]{4})(?:[, ]+(.+))?")

    def read(self, text: str) -> date | datetime:
        """Return a date where no time of day is typed, else a naive local instant to the minute."""
        match = self._iso.fullmatch(text) or self._words.fullmatch(text)
        if not match:
            raise BadInput("{label} must be a date, or a date and time, like 2027-03-01T14:30")
        day = read_date(match[1])
        if not match[2]:
            return day
        if _BEHIND_TIME.search(match[2]):
            raise BadInput("{label} must be site time, without an offset, like 2027-03-01T14:30")
        clock = match[2].removesuffix(":00") if match[2].count(":") == 2 else match[2]
        return datetime.combine(day, read_clock(clock))

    def write(self, value: date | datetime) -> str:
        """Return ``2027-03-01`` or ``2027-03-01T14:30``."""
        return value.strftime("%Y-%m-%dT%H:%M") if isinstance(value, datetime) else value.isoformat()


class Instant(Moment):
    """A date and a time of day at the site; both are needed."""

    input_type = "datetime-local"

    def read(self, text: str) -> datetime:
        """Return a naive local instant to the minute."""
        value = super().read(text)
        if not isinstance(value, datetime):
            raise BadInput("{label} must be a date and time, like 2027-03-01T14:30")
        return value
