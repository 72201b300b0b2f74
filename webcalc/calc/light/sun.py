"""Where the sun stands and when it crosses an altitude: with ``ephemeris.py`` the adapter around astral.

Taken from astral: the sun's declination, the equation of time and the refraction (the formulas of
the NOAA solar calculator, after Meeus, Astronomical Algorithms). Not taken: its event functions, which
raise on ordinary days, put events on the wrong date near midnight and lose minutes above 66 degrees.
The altitude here is that of ``astral.sun.elevation(..., with_refraction=False)`` at sea level, less the sun's
parallax, without its rounding to whole seconds and without its stop at 89.8 degrees; a test compares the two.
The parallax is small, but without it days near the polar circle get a sunrise that isn't there, or lose theirs.

Accuracy of sunrise and sunset against JPL DE421 over 2026 and 2027: 7 s to 66 degrees of latitude, 40 s to 85;
twilights 10 s, days on which the sun only grazes the threshold aside. Real horizon and air differ by a minute or more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import lru_cache
from math import acos, atan2, ceil, cos, degrees, floor, hypot, pi, radians, sin
from typing import Literal

from astral import refraction_at_zenith

from webcalc.calc.light.ephemeris import declination_and_hour, through_day
from webcalc.calc.light.place import Site

# Altitudes of the sun's centre, degrees. US Naval Observatory, "Rise, Set, and Twilight Definitions".
SUNRISE_DEG = -0.8333  # 34' refraction and 16' semi-diameter
CIVIL_DEG = -6.0
# How much lower the sun stands from the Earth's surface than from its centre, at the horizon: 8.794 arcseconds
# (IAU 1976 System of Astronomical Constants).
PARALLAX_DEG = 8.794 / 3600
# From here down astral's refraction shrinks, 23.8' where the sun rises; down to -1 degree the polynomial that it has
# above goes on as measured tables do (Bennett 1982: 37'). Coefficients in arcseconds, as in astral and NOAA's tables.
_ASTRAL_HOLDS_DEG, _REFRACTION_HOLDS_DEG = -0.575, -1.0
_LOW_REFRACTION = (1735.0, -518.2, 103.4, -12.79, 0.711)

State = Literal["normal", "always_above", "always_below"]

# Instants are floats inside this module, as in ``ephemeris.py``.
_DAY = timedelta(1)
_ORDINAL_1 = datetime(1, 1, 1, tzinfo=UTC)
#: Dates of one table: ten years and a little.
_CACHED_DAYS = 4_096
#: Tables of one site and altitude each: as many as one request asks for, and a few more.
_KEPT_TABLES = 16
# When a day is an ordinary one: its events are this far, in days, from the date's ends and from the
# neighbouring days' events, and the sun's height changes by more than this, as sine in radians of hour angle. Then the
# events move by less than a quarter of an hour a day, and none can come or go.
_CLEAR = 0.02
_STEEP = 0.15
_SMALL_STEP = 1e-5

# The sun's highest and lowest point aren't exactly on the meridian, as the declination changes meanwhile. Up to this
# latitude they differ from it by less than 0.0005 degrees; beyond it they are searched for.
_NEAR_POLE_DEG = 85.0
_COS_NEAR_POLE = cos(radians(_NEAR_POLE_DEG))
_STEP = 1 / 24
_CLOSE_ENOUGH = 1e-10  # sine of altitude; well below 0.1 s except when grazing
_CLOSE_ENOUGH_DAYS = 1e-8


@dataclass(frozen=True)
class DayEvents:
    """The crossings of one altitude on one local date.

    start_utc, end_utc : the local date's bounds, [start, end); equal where the date doesn't exist
    above_at_start : whether the sun is at or above the threshold as the date begins
    rises, sets : none, one or two instants in UTC each, in order
    """

    day: date
    threshold_deg: float
    start_utc: datetime
    end_utc: datetime
    above_at_start: bool
    rises: tuple[datetime, ...]
    sets: tuple[datetime, ...]

    @property
    def state(self) -> State:
        """``normal`` if there is any crossing, else on which side the sun stays."""
        if self.rises or self.sets:
            return "normal"
        return "always_above" if self.above_at_start else "always_below"

    @property
    def above(self) -> tuple[tuple[datetime, datetime], ...]:
        """The parts [start, end) of the date with the sun at or above the threshold."""
        starts = (self.start_utc, *self.rises) if self.above_at_start else self.rises
        ends = (*self.sets, self.end_utc) if len(self.sets) < len(starts) else self.sets
        return tuple((a, b) for a, b in zip(starts, ends, strict=True) if a < b)


def altitude_deg(site: Site, utc: datetime, refracted: bool = False) -> float:
    """Return the altitude of the sun's centre in degrees, -90 to 90.

    ``utc`` is aware (any zone). With ``refracted`` the mean refraction at sea level is added: what one
    sees, at any altitude; without it the value that the definitions of sunrise and twilight mean.
    """
    east, north, up = _direction(site, utc)
    altitude = degrees(atan2(up, hypot(east, north))) - PARALLAX_DEG * hypot(east, north)
    return altitude + _refraction_deg(altitude) if refracted else altitude


def _refraction_deg(altitude: float) -> float:
    if altitude > _ASTRAL_HOLDS_DEG:
        return refraction_at_zenith(90 - altitude)
    low = max(altitude, _REFRACTION_HOLDS_DEG)
    return sum(factor * low**n for n, factor in enumerate(_LOW_REFRACTION)) / 3600


def azimuth_deg(site: Site, utc: datetime) -> float:
    """Return the sun's azimuth in degrees from true north through east, 0 to below 360. ``utc`` is aware."""
    east, north, _ = _direction(site, utc)
    return degrees(atan2(east, north)) % 360


def crossings(site: Site, zone: tzinfo, day: date, threshold_deg: float) -> DayEvents:
    """Return when the sun's centre passes ``threshold_deg`` (without refraction) on the local date ``day``.

    The local date is that of ``zone``, 23 to 25 hours long where summer time changes. Every event is on exactly
    one date: those of consecutive dates neither overlap nor leave out any. Results are kept.
    """
    return sun_days(site, zone, threshold_deg).on(day)


@lru_cache(_KEPT_TABLES)
def sun_days(site: Site, zone: tzinfo, threshold_deg: float) -> SunDays:
    """Return the table of crossings of one altitude at one site: for many days of it."""
    return SunDays(site, zone, threshold_deg)


class SunDays:
    """The crossings of one altitude at one site, found day by day as they are asked for.

    Where the sun plainly rises and sets once a day, its times move on by nearly as much as the day before, so that one
    step of Newton's from there finds them. Any other day is searched between the sun's highest and lowest points; both
    ways agree within two milliseconds.
    """

    def __init__(self, site: Site, zone: tzinfo, threshold_deg: float) -> None:
        self._site, self._zone, self._threshold_deg = site, zone, threshold_deg
        self._sin, self._cos = sin(radians(site.latitude_deg)), cos(radians(site.latitude_deg))
        self._longitude = radians(site.longitude_deg)
        self._sin_threshold = sin(radians(threshold_deg + PARALLAX_DEG * cos(radians(threshold_deg))))
        self._found: dict[int, DayEvents] = {}
        #: For days with one rise and one set: both, and how much later they were than on the day before.
        self._times: dict[int, tuple[float, float, float, float]] = {}

    def on(self, day: date) -> DayEvents:
        """Return the crossings of one local date."""
        ordinal = day.toordinal()
        found = self._found.get(ordinal)
        if found is None:
            if len(self._found) >= _CACHED_DAYS:
                self._found.clear()
                self._times.clear()
            found = self._found[ordinal] = self._find(day, ordinal)
        return found

    def _find(self, day: date, ordinal: int) -> DayEvents:
        before = self._found.get(ordinal - 1)
        start_utc = before.end_utc if before else _midnight_utc(self._zone, day)
        end_utc = _midnight_utc(self._zone, day + _DAY)
        start, end = _to_days(start_utc), _to_days(end_utc)
        return self._ordinary(day, start_utc, end_utc, start, end) or self._search(day, start_utc, end_utc, start, end)

    def _ordinary(
        self, day: date, start_utc: datetime, end_utc: datetime, start: float, end: float
    ) -> DayEvents | None:
        """Return the crossings of a day on which the sun plainly rises once and sets once; None on any other."""
        ordinal = day.toordinal()
        before = self._times.get(ordinal - 1)
        guess = (before[0] + 1 + before[2], before[1] + 1 + before[3]) if before else self._guess(start, end)
        if guess is None:
            return None
        rises, sets = self._refined(guess[0], -1), self._refined(guess[1], 1)
        if rises is None or sets is None:
            return None
        first, last = (rises, sets) if rises < sets else (sets, rises)
        # Clear of the date's ends, and no neighbour day's event within it.
        if first - start < _CLEAR or end - last < _CLEAR or last - 1 + _CLEAR > start or first + 1 - _CLEAR < end:
            return None
        later = (rises - before[0] - 1, sets - before[1] - 1) if before else (0.0, 0.0)
        self._times[ordinal] = rises, sets, *later
        return DayEvents(
            day, self._threshold_deg, start_utc, end_utc, sets < rises, (_to_utc(rises),), (_to_utc(sets),)
        )

    def _guess(self, start: float, end: float) -> tuple[float, float] | None:
        """Return rise and set to some minutes, by the declination of the middle of the date; None where it has none."""
        if self._cos < _COS_NEAR_POLE:
            return None
        middle = (start + end) / 2
        declination, hour = declination_and_hour(self._longitude, middle)
        cos_hour = (self._sin_threshold - self._sin * sin(declination)) / (self._cos * cos(declination))
        if abs(cos_hour) >= 1:
            return None
        noon, half_day = middle - hour / (2 * pi), acos(cos_hour) / (2 * pi)
        rises, sets = noon - half_day, noon + half_day
        return rises - floor(rises - start), sets - floor(sets - start)

    def _refined(self, days: float, side: int) -> float | None:
        """Return the crossing near an instant, in the morning (``side`` -1) or the evening (1); None if it isn't clear.

        A step of Newton's squares what is left: after one of less than a second it is below a tenth of a millisecond.
        """
        for _ in range(4):
            ordinal = int(days)
            u = days - ordinal
            d0, d1, d2, d3, e0, e1, e2, e3 = through_day(ordinal)
            declination = d0 + u * (d1 + u * (d2 + u * d3))
            hour = 2 * pi * u - pi + self._longitude + e0 + u * (e1 + u * (e2 + u * e3))
            sin_declination, cos_declination = sin(declination), cos(declination)
            upright = self._cos * cos_declination
            steepness = upright * sin(hour)
            if abs(steepness) < _STEEP or steepness * side < 0:
                return None
            cos_hour = cos(hour)
            height = self._sin * sin_declination + upright * cos_hour - self._sin_threshold
            turn = 2 * pi + e1 + u * (2 * e2 + 3 * u * e3)
            across = self._sin * cos_declination - self._cos * sin_declination * cos_hour
            drift = (d1 + u * (2 * d2 + 3 * u * d3)) * across
            step = height / (steepness * turn - drift)
            days += step
            if abs(step) < _SMALL_STEP:
                return days
        return None

    def _height(self, days: float) -> float:
        """Return sine of altitude - sine of threshold at an instant."""
        declination, hour = declination_and_hour(self._longitude, days)
        return self._sin * sin(declination) + self._cos * cos(declination) * cos(hour) - self._sin_threshold

    def _search(self, day: date, start_utc: datetime, end_utc: datetime, start: float, end: float) -> DayEvents:
        """Return the crossings of any day: between the sun's highest and lowest points, wherever they are."""
        rises: list[float] = []
        sets: list[float] = []
        before, height_before = start, self._height(start)
        above_at_start = height_before >= 0
        for knot in _monotonic_knots(self._site, self._height, start, end):
            height_here = self._height(knot)
            if (height_before < 0) != (height_here < 0):
                instant = _root(self._height, before, height_before, knot, height_here)
                (rises if height_before < 0 else sets).append(instant)
            before, height_before = knot, height_here
        return DayEvents(
            day,
            self._threshold_deg,
            start_utc,
            end_utc,
            above_at_start,
            tuple(max(start_utc, _to_utc(instant)) for instant in rises),
            tuple(max(start_utc, _to_utc(instant)) for instant in sets),
        )


def _midnight_utc(zone: tzinfo, day: date) -> datetime:
    return datetime.combine(day, time.min, zone).astimezone(UTC)


def _to_days(utc: datetime) -> float:
    return utc.toordinal() + (utc.hour * 3600 + utc.minute * 60 + utc.second + utc.microsecond / 1e6) / 86_400


def _to_utc(days: float) -> datetime:
    """Round down to the millisecond, so that an event stays on the date in which it was found."""
    ordinal = floor(days)
    milliseconds = floor((days - ordinal) * 86_400_000)
    return _ORDINAL_1 + timedelta(ordinal - 1, 0, 0, milliseconds)


def _direction(site: Site, utc: datetime) -> tuple[float, float, float]:
    """Return the unit vector to the sun: east, north, up."""
    declination, hour = declination_and_hour(radians(site.longitude_deg), _to_days(utc.astimezone(UTC)))
    latitude = radians(site.latitude_deg)
    towards_equator = cos(declination) * cos(hour)
    return (
        -cos(declination) * sin(hour),
        sin(declination) * cos(latitude) - towards_equator * sin(latitude),
        sin(declination) * sin(latitude) + towards_equator * cos(latitude),
    )


def _meridian_passages(site: Site, start: float, end: float) -> Iterator[float]:
    """Yield the instants in (start, end) at which the sun is due south or due north, to some seconds."""
    longitude = radians(site.longitude_deg)
    half_turns = ceil(declination_and_hour(longitude, start)[1] / pi + 2 * int(start)) - 2
    while True:
        equation = through_day(int(start))[4]
        passage = (pi * (half_turns + 1) - longitude - equation) / (2 * pi)
        if passage >= end:
            return
        if passage > start:
            yield passage
        half_turns += 1


def _monotonic_knots(site: Site, height: Callable[[float], float], start: float, end: float) -> list[float]:
    """Return instants after ``start``, ``end`` last; between neighbours the sun only climbs or only sinks."""
    if abs(site.latitude_deg) <= _NEAR_POLE_DEG:
        return [*_meridian_passages(site, start, end), end]
    # One step beyond either end, so that an extreme just inside has a neighbour on both sides.
    steps = ceil((end - start) / _STEP)
    grid = [start + n * _STEP for n in range(-1, steps + 2)]
    heights = [height(knot) for knot in grid]
    knots = [*grid, end]
    for n in range(1, len(grid) - 1):
        left, here, right = heights[n - 1 : n + 2]
        if left <= here >= right:
            knots.append(_highest(height, grid[n - 1], grid[n + 1]))
        elif left >= here <= right:
            knots.append(_highest(lambda days: -height(days), grid[n - 1], grid[n + 1]))
    return sorted(knot for knot in knots if start < knot <= end)


def _highest(function: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function with one peak in [low, high] is highest, by thirds."""
    while high - low > 1e-6:
        third = (high - low) / 3
        if function(low + third) < function(high - third):
            low += third
        else:
            high -= third
    return (low + high) / 2


def _root(function: Callable[[float], float], a: float, fa: float, b: float, fb: float) -> float:
    """Return the crossing between ``a`` and ``b``: false position (Illinois), by bisection should that crawl."""
    kept = 0
    for step in range(100):
        x = a - fa * (b - a) / (fb - fa) if step < 20 else (a + b) / 2
        fx = function(x)
        if abs(fx) < _CLOSE_ENOUGH or b - a < _CLOSE_ENOUGH_DAYS:
            break
        if (fx < 0) == (fa < 0):
            a, fa = x, fx
            fb, kept = (fb / 2 if kept == 1 else fb), 1
        else:
            b, fb = x, fx
            fa, kept = (fa / 2 if kept == -1 else fa), -1
    return x
