"""Values into words and figures: the one place for rounding, units and the way dates are written.

A rounded value says so with "≈" where the rounding could matter to somebody. Dates can't be misread (3 Mar 2027). The
spaces inside figures don't break.

How a reader wants them (units, hours of the day, decimal mark) stands in the link, else in the browser's language. Only
the writing follows habits. What a link says never does: a bare number is always in the unit of its name.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

from werkzeug.datastructures import LanguageAccept

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.link.inputs import Inputs
from webcalc.web.link.kinds.basics import KILOMETRES_A_MILE, METRES_A_FOOT
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.link.kinds.times import WEEKDAYS
from webcalc.web.link.quantities import QUANTITIES

NBSP = "\u00a0"
Real = int | float | Decimal | Fraction
UNKNOWN = "not known"


def _decimal(value: Real) -> Decimal:
    if isinstance(value, Fraction):
        return Decimal(value.numerator) / Decimal(value.denominator)
    return Decimal(repr(value)) if isinstance(value, float) else Decimal(value)


@dataclass(frozen=True)
class Say:
    """How this reader wants values written; ``say_for`` finds out."""

    imperial: bool = False
    twelve_hours: bool = False
    comma: bool = False

    def number(self, value: Real | None, decimals: int = 0) -> str:
        """Write a number with spaces between thousands and at most so many decimals."""
        if value is None:
            return UNKNOWN
        exact = _decimal(value)
        rounded = exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
        whole, _point, part = format(abs(rounded), "f").partition(".")
        groups = f"{int(whole):,}".replace(",", NBSP) if len(whole) > 4 else whole
        part = part.rstrip("0")
        sign = "−" if rounded < 0 else ""
        return f"{sign}{groups}{',' if self.comma else '.'}{part}" if part else f"{sign}{groups}"

    def figures(self, value: Real | None, figures: int = 3) -> str:
        """Write a number to so many significant figures, never fewer than its whole part."""
        if value is None:
            return UNKNOWN
        size = abs(float(value))
        if not size:
            return "0"
        return self.number(value, max(0, figures - 1 - math.floor(math.log10(size))))

    def unit(self, value: Real | None, unit: str, figures: int = 3) -> str:
        """Write a number with its unit."""
        return UNKNOWN if value is None else f"{self.figures(value, figures)}{NBSP}{unit}"

    def count(self, value: int | None, one: str, many: str | None = None) -> str:
        """Write a whole number of things."""
        if value is None:
            return UNKNOWN
        return f"{self.number(value)}{NBSP}{one if value == 1 else many or one + 's'}"

    def percent(self, share: Real | None) -> str:
        """Write a share of one in percent, never rounding up to 100 or down to 0."""
        if share is None:
            return UNKNOWN
        percent = float(share) * 100
        if 99 < percent < 100 or 0 < percent < 1:
            return self.number(math.floor(percent * 10) / 10 if percent > 99 else percent, 1) + f"{NBSP}%"
        return f"{self.number(percent)}{NBSP}%"

    def size(self, count_bytes: Real | None, figures: int = 3) -> str:
        """Write bytes in decimal units (IEC 80000-13)."""
        if count_bytes is None:
            return UNKNOWN
        size = float(count_bytes)
        for unit, length in (("TB", 1e12), ("GB", 1e9), ("MB", 1e6), ("kB", 1e3)):
            if abs(size) >= length:
                return self.unit(size / length, unit, figures)
        return f"{self.number(size)}{NBSP}B"

    def length(self, seconds: Real | None) -> str:
        """Write a length of time by its two largest units: 45 s, 2 min, 1 h 30 min, 12 d 3 h."""
        if seconds is None:
            return UNKNOWN
        exact = Fraction(seconds)
        if exact < 0:
            return "−" + self.length(-exact)
        if exact < 60:
            return f"{self.number(exact, 2 if exact < 10 else 1)}{NBSP}s"
        units = (("d", 86_400), ("h", 3_600), ("min", 60), ("s", 1))
        large = next(n for n, (_name, size) in enumerate(units) if exact >= size)
        name, size = units[large]
        small_name, small = units[large + 1]
        steps = round(exact / small)
        whole, rest = divmod(steps, size // small)
        rounded = "" if Fraction(steps * small) == exact else "≈"
        return f"{rounded}{whole}{NBSP}{name}" + (f" {rest}{NBSP}{small_name}" if rest else "")

    def shoot_length(self, length: ShootLength) -> str:
        """Write a shoot's length as it is said: 3 months, 6 weeks, 10 days."""
        weeks, odd_days = divmod(length.days, 7)
        days = self.count(length.days, "day") if odd_days or not weeks else self.count(weeks, "week")
        months = [self.count(length.months, "month")] if length.months else []
        return " and ".join([*months, days] if length.days else months)

    def minutes(self, seconds: Real) -> str:
        """Write a length of time cut to whole minutes."""
        return self.length(int(seconds) // 60 * 60) if seconds >= 60 else f"{self.number(0)}{NBSP}min"

    def hours(self, seconds: Real | None) -> str:
        """Write recording time in hours and minutes, however many hours: its days have no 24 of them."""
        if seconds is None or seconds < 3_600:
            return self.length(seconds)
        hours, minutes = divmod(round(Fraction(seconds) / 60), 60)
        rounded = "" if Fraction(seconds) % 60 == 0 else "≈"
        return f"{rounded}{self.number(hours)}{NBSP}h" + (f" {minutes}{NBSP}min" if minutes else "")

    def clip(self, seconds: Real | None) -> str:
        """Write a clip's length to the second: 1 h 2 min 5 s; a short one to a tenth."""
        if seconds is None:
            return UNKNOWN
        exact = Fraction(seconds)
        if exact < 60:
            return f"{self.number(exact, 1)}{NBSP}s"
        whole = round(exact)
        parts = ((whole // 3600, "h"), (whole // 60 % 60, "min"), (whole % 60, "s"))
        text = " ".join(f"{self.number(count)}{NBSP}{unit}" for count, unit in parts if count)
        return text if exact == whole else f"≈{text}"

    def clip_brief(self, seconds: Real | None) -> str:
        """Write a clip's length in a narrow table: m:ss, above an hour h:mm:ss, short ones in seconds."""
        if seconds is None or seconds < 60:
            return self.clip(seconds)
        whole = round(Fraction(seconds))
        minutes, rest = divmod(whole, 60)
        text = f"{minutes}:{rest:02}" if minutes < 60 else f"{minutes // 60}:{minutes % 60:02}:{rest:02}"
        return text if whole == seconds else f"≈{text}"

    def day(self, value: date | None, weekday: bool = True) -> str:
        """Write a date: Wed 3 Mar 2027."""
        if value is None:
            return UNKNOWN
        text = f"{value.day}{NBSP}{MONTHS[value.month - 1]}{NBSP}{value.year}"
        return f"{WEEKDAYS[value.weekday()]}{NBSP}{text}" if weekday else text

    def days(self, first: date, last: date) -> str:
        """Write a stretch of dates without weekdays; a single one by itself."""
        one = self.day(first, weekday=False)
        return one if first == last else f"{one} to {self.day(last, weekday=False)}"

    def clock(self, value: time | datetime | None) -> str:
        """Write a time of day to the minute."""
        if value is None:
            return UNKNOWN
        if self.twelve_hours:
            return f"{value.hour % 12 or 12}:{value.minute:02}{NBSP}{'am' if value.hour < 12 else 'pm'}"
        return f"{value.hour:02}:{value.minute:02}"

    def clock_nearest(self, value: datetime) -> str:
        """Write an instant's time of day to the nearest minute, as sun tables do; never past its own midnight."""
        nearest = value + timedelta(seconds=30)
        return self.clock(nearest if nearest.date() == value.date() else value)

    def clock_end(self, value: time) -> str:
        """Write the end of a window: midnight as 24:00."""
        if value == time(0):
            return "midnight" if self.twelve_hours else "24:00"
        return self.clock(value)

    def instant(self, value: datetime | None) -> str:
        """Write a date and time, cut to the minute."""
        return UNKNOWN if value is None else f"{self.day(value.date())}, {self.clock(value)}"

    def offset(self, value: timedelta) -> str:
        """Write an offset from UTC."""
        minutes = int(value.total_seconds() // 60)
        return f"UTC{'−' if minutes < 0 else '+'}{abs(minutes) // 60:02}:{abs(minutes) % 60:02}"

    def weekdays(self, days: frozenset[int]) -> str:
        """Write weekdays: every day, Mon–Fri, or a list."""
        digits = sorted(days)
        if len(digits) == 7:
            return "every day"
        if len(digits) > 2 and digits[-1] - digits[0] == len(digits) - 1:
            return f"{WEEKDAYS[digits[0] - 1]}–{WEEKDAYS[digits[-1] - 1]}"
        return ", ".join(WEEKDAYS[digit - 1] for digit in digits)

    def temperature(self, celsius: Real | None) -> str:
        """Write a temperature."""
        if celsius is None:
            return UNKNOWN
        if self.imperial:
            return f"{self.number(_decimal(celsius) * 9 / 5 + 32, 1)}{NBSP}°F"
        return f"{self.number(celsius, 1)}{NBSP}°C"

    def metres(self, metres: Real | None) -> str:
        """Write a distance at the site to three figures."""
        if metres is not None and self.imperial:
            return self.unit(_decimal(metres) / METRES_A_FOOT, "ft")
        return self.unit(metres, "m")

    def kilometres(self, kilometres: Real | None) -> str:
        """Write a way by road to three figures."""
        if kilometres is not None and self.imperial:
            return self.unit(_decimal(kilometres) / KILOMETRES_A_MILE, "mi")
        return self.unit(kilometres, "km")

    @property
    def metres_name(self) -> str:
        """Return the unit of distances at the site, for the head of a column."""
        return "Feet" if self.imperial else "Metres"

    def metres_number(self, metres: Real, figures: int = 3) -> str:
        """Write a distance at the site without its unit, under a head that names it."""
        return self.figures(_decimal(metres) / METRES_A_FOOT if self.imperial else metres, figures)

    def px_per_metre(self, px_per_m: Real | None) -> str:
        """Write how finely a picture shows what is at a distance."""
        if px_per_m is not None and self.imperial:
            return self.unit(_decimal(px_per_m) * METRES_A_FOOT, "px/ft")
        return self.unit(px_per_m, "px/m")

    def reach(self, metres: Real | None) -> str:
        """Write a far limit, where None is infinity."""
        return "∞" if metres is None else self.metres(metres)

    def degrees(self, degrees: Real | None) -> str:
        """Write an angle to a tenth of a degree, small ones to two figures."""
        if degrees is None:
            return UNKNOWN
        return (self.number(degrees, 1) if abs(degrees) >= 1 else self.figures(degrees, 2)) + "°"

    def exposure(self, seconds: Real | None) -> str:
        """Write an exposure time: parts of a second below a quarter of one, else seconds."""
        if seconds is None:
            return UNKNOWN
        if not 0 < seconds < Fraction(1, 4):
            return self.brief(seconds)
        parts = 1 / Fraction(seconds)
        whole = round(parts) if parts >= 10 else round(parts, 1)
        return f"{'' if math.isclose(whole, parts) else '≈'}1/{self.number(whole, 1)}{NBSP}s"

    def brief(self, seconds: Real | None) -> str:
        """Write a time that may be very short: two figures below ten seconds, else by its largest units."""
        if seconds is None or not 0 < seconds < 10:
            return self.length(seconds)
        text = self.figures(Fraction(seconds), 2)
        shown = float(text.replace(",", "."))
        return f"{'' if math.isclose(shown, seconds) else '≈'}{text}{NBSP}s"


#: Languages and regions whose people write a decimal comma; from memory of the CLDR's number patterns.
_COMMA_LANGUAGES = frozenset(
    {
        *("af", "be", "bg", "bs", "ca", "cs", "da", "de", "el", "es", "et", "eu", "fi", "fr", "gl", "hr", "hu", "hy"),
        *("id", "is", "it", "ka", "kk", "lt", "lv", "mk", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl"),
        *("sq", "sr", "sv", "tr", "uk", "uz", "vi"),
    }
)
#: 419 is Latin America (UN M49).
_POINT_REGIONS = frozenset({"CH", "LI", "MX", "GT", "HN", "NI", "PA", "PE", "PR", "SV", "DO", "CU", "US", "419"})
#: Regions where most people use degrees Fahrenheit and feet, and the clock with am and pm; CLDR, from memory.
_FEET_REGIONS = frozenset({"US", "LR", "PR"})
_TWELVE_HOUR_REGIONS = frozenset({"US", "CA", "AU", "NZ", "IN", "PH", "PK", "EG", "SA", "CO"})


def say_for(inputs: Inputs, languages: LanguageAccept) -> Say:
    """Return how this reader wants values written."""
    language, _, region = (languages.best or "").partition("-")
    region = region.rpartition("-")[2].upper()
    units, style = inputs.get("units"), inputs.get("write")
    english = language.lower() == "en"
    return Say(
        imperial=units == "imperial" if units else region in _FEET_REGIONS,
        twelve_hours=style == "12-point" if style else english and region in _TWELVE_HOUR_REGIONS,
        comma=style == "24-comma" if style else language.lower() in _COMMA_LANGUAGES and region not in _POINT_REGIONS,
    )


#: The three ways of writing times and decimals, by name in the link, in the order in which the switch goes round.
_STYLES = ("24-point", "24-comma", "12-point")


def switches(say: Say) -> list[tuple[dict[str, str], str]]:
    """Return the two switches as (change to the link, words of what one gets)."""
    units = "metric" if say.imperial else "imperial"
    style = "12-point" if say.twelve_hours else "24-comma" if say.comma else "24-point"
    following = _STYLES[(_STYLES.index(style) + 1) % len(_STYLES)]
    options = {**dict(QUANTITIES["units"].kind.options), **dict(QUANTITIES["write"].kind.options)}
    return [({"units": units}, options[units]), ({"write": following}, options[following])]
