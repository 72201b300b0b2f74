"""Time zones: which rules are used, when they change the clock, and what that does to a camera's clock.

A camera clock keeps the offset from UTC that it had when it was set. The rules come from the IANA database, of
which two copies may be at hand: the operating system's, often old, and the tzdata package's. The newer is used.
Offsets are whole minutes in every zone since 1972.
"""

from __future__ import annotations

import re
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache, lru_cache
from importlib import resources
from importlib.resources.abc import Traversable
from math import asin, cos, radians, sin, sqrt
from pathlib import Path
from typing import Literal
from zoneinfo import ZoneInfo

import tzdata

from webcalc.calc.formula import DEFINITION, formula
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.schedule import Schedule

#: Difference of clock noon and solar noon from which one should ask whether the zone is right (common practice: the
#: widest in civil use is about 3 h, in western China).
NOON_GAP_ASK_H = 2.5
EARTH_RADIUS_KM = 6371.0
_SCAN_STEP = timedelta(days=1)
_KEPT_YEARS = 256
_SECOND = timedelta(seconds=1)
_RELEASE = re.compile(r"(\d{4})([a-z]+)")


class UnknownZone(ValueError):
    """A name that isn't in the IANA database."""


@dataclass(frozen=True)
class ZoneRules:
    """The copy of the IANA database in use: its release, such as ``2026f``, and where it was found."""

    version: str
    origin: Literal["system", "package"]


@dataclass(frozen=True)
class OffsetChange:
    """A change of a zone's offset from UTC: the first instant with the new one, and both offsets."""

    at_utc: datetime
    before: timedelta
    after: timedelta


@dataclass(frozen=True)
class ClockChange:
    """A change of the wall clock that the camera's clock doesn't follow.

    date : the site's local date once it has happened
    shift_min : by how much the wall clock is moved, minutes; positive is forward
    camera_minus_wall_min : camera clock minus wall clock from then on; negative: the camera is behind
    """

    date: date
    at_utc: datetime
    shift_min: int
    camera_minus_wall_min: int


@dataclass(frozen=True)
class ZoneProposal(Results):
    """A zone to ask about."""

    zone: str = field(metadata=meaning("IANA name"))
    distance_km: float = field(metadata=meaning("to its main place, kilometres"))


def _package(*names: str) -> Traversable:
    return resources.files(tzdata).joinpath(*names)


def _release_order(version: str) -> tuple[int, int, str]:
    """Order IANA releases: 2025b < 2026a < 2026z < 2026za. What isn't a release comes before all."""
    match = _RELEASE.fullmatch(version)
    return (int(match[1]), len(match[2]), match[2]) if match else (0, 0, "")


def _system_version() -> str:
    """Return the release of the operating system's copy, "" if there is none or it doesn't say."""
    for folder in zoneinfo.TZPATH:
        for name, pattern in (("tzdata.zi", r"# version (\S+)"), ("+VERSION", r"(\S+)")):
            try:
                with Path(folder, name).open(encoding="ascii", errors="replace") as lines:
                    match = re.match(pattern, lines.readline())
            except OSError:
                continue
            if match:
                return match[1]
    return ""


@cache
def zone_rules_version() -> ZoneRules:
    """Return which copy of the rules is in use: the newer one, the package's if equal or unclear."""
    system = _system_version()
    if _release_order(system) > _release_order(tzdata.IANA_VERSION):
        return ZoneRules(system, "system")
    return ZoneRules(tzdata.IANA_VERSION, "package")


@cache
def zone_names() -> tuple[str, ...]:
    """Return the names that ``load_zone`` takes, in alphabetical order, links to older names included."""
    names = set(_package("zones").read_text(encoding="ascii").split())
    if zone_rules_version().origin == "system":
        names |= zoneinfo.available_timezones()
    return tuple(sorted(names - {"Factory", "localtime"}))


@cache
def _links() -> dict[str, str]:
    table = _package("zoneinfo", "tzdata.zi").read_text(encoding="utf-8")
    return {line.split()[2]: line.split()[1] for line in table.splitlines() if line.startswith("L ")}


@cache
def names_of_zone(key: str) -> frozenset[str]:
    """Return every name of a zone, its own included: the database has links for older and for merged names.

    Source: ``tzdata.zi`` of the IANA database in the tzdata package.
    """
    target = _links().get(key, key)
    return frozenset({target, *(name for name, other in _links().items() if other == target)})


@cache
def _loaded(key: str) -> ZoneInfo:
    if zone_rules_version().origin == "system":
        return ZoneInfo(key)
    with _package("zoneinfo", *key.split("/")).open("rb") as rules:
        return ZoneInfo.from_file(rules, key)


def load_zone(key: str) -> ZoneInfo:
    """Return the zone of this IANA name, by the newer copy of the rules; the same object every time.

    Raises UnknownZone. Letters count as they are written: the database's own form only.
    """
    if key not in zone_names():
        raise UnknownZone(key)
    return _loaded(key)


def _offset_at(zone: ZoneInfo, utc: datetime) -> timedelta:
    offset = utc.astimezone(zone).utcoffset()
    assert offset is not None  # noqa: S101 - for the type checker: a ZoneInfo always has one
    return offset


def offset_changes(zone: ZoneInfo, start_utc: datetime, end_utc: datetime) -> tuple[OffsetChange, ...]:
    """Return all changes of offset from ``start_utc`` (included) to ``end_utc`` (excluded), in order.

    Both are aware and in UTC. Looks at every day, so that two changes in a month are seen, and dates each to
    the second.
    """
    years = range(start_utc.year, end_utc.year + 1)
    return tuple(
        change for year in years for change in _changes_of_year(zone, year) if start_utc <= change.at_utc < end_utc
    )


@lru_cache(maxsize=_KEPT_YEARS)
def _changes_of_year(zone: ZoneInfo, year: int) -> tuple[OffsetChange, ...]:
    """Return the changes of offset in one year in UTC; the calendar's first and last days aside."""
    low = datetime(year, 1, 1, tzinfo=UTC) - _SECOND if year > 1 else datetime(1, 1, 2, tzinfo=UTC)
    end = datetime(year, 12, 31, 23, 59, 59, tzinfo=UTC) if year < 9999 else datetime(year, 12, 30, tzinfo=UTC)
    changes = []
    before = _offset_at(zone, low)
    while low < end:
        high = min(low + _SCAN_STEP, end)
        after = _offset_at(zone, high)
        if after != before:
            at = _change_between(zone, low, high, before)
            after = _offset_at(zone, at)
            changes.append(OffsetChange(at, before, after))
            high = at
        low, before = high, after
    return tuple(changes)


def _change_between(zone: ZoneInfo, low: datetime, high: datetime, before: timedelta) -> datetime:
    """Return the first second in (low, high] whose offset isn't ``before``."""
    span_s = int((high - low) / _SECOND)
    same, other = 0, span_s
    while other - same > 1:
        middle = (same + other) // 2
        if _offset_at(zone, low + middle * _SECOND) == before:
            same = middle
        else:
            other = middle
    return low + other * _SECOND


def camera_offset(zone: ZoneInfo, set_on: datetime) -> timedelta:
    """Return the offset from UTC that a camera clock keeps which was set to local time at ``set_on``.

    ``set_on`` is naive, on the site's wall clock. Within the hour that the clock leaves out in spring, the offset after
    the change is taken (the wall clock had moved already when anybody could read it); within the hour
    that comes twice in autumn, the first one's, before the change.
    """
    local = set_on.replace(tzinfo=zone)
    exists = local.astimezone(UTC).astimezone(zone).replace(tzinfo=None) == set_on
    offset = local.replace(fold=0 if exists else 1).utcoffset()
    assert offset is not None  # noqa: S101 - for the type checker: a ZoneInfo always has one
    return offset


def camera_to_utc(camera: datetime, offset: timedelta) -> datetime:
    """Return the instant at which a camera clock with this offset reads ``camera`` (naive)."""
    return (camera - offset).replace(tzinfo=UTC)


def utc_to_camera(utc: datetime, offset: timedelta) -> datetime:
    """Return what a camera clock with this offset reads (naive) at an instant (aware)."""
    return utc.astimezone(UTC).replace(tzinfo=None) + offset


def camera_minus_wall_min(zone: ZoneInfo, offset: timedelta, utc: datetime) -> int:
    """Return the camera clock minus the wall clock at an instant, minutes; negative: the camera is behind."""
    return _minutes(offset - _offset_at(zone, utc))


def clock_changes(zone: ZoneInfo, schedule: Schedule, camera_offset: timedelta) -> tuple[ClockChange, ...]:
    """Return the changes of the wall clock during the shoot, from its first window's start to its last one's end."""
    start = camera_to_utc(schedule.starts_at, camera_offset)
    end = camera_to_utc(schedule.ends_at, camera_offset)
    return tuple(
        ClockChange(
            change.at_utc.astimezone(zone).date(),
            change.at_utc,
            _minutes(change.after - change.before),
            _minutes(camera_offset - change.after),
        )
        for change in offset_changes(zone, start, end)
    )


def _minutes(span: timedelta) -> int:
    return round(span / timedelta(minutes=1))


@formula(
    "gap_h",
    "min((offset_h - longitude_deg / 15) % 24, (longitude_deg / 15 - offset_h) % 24)",
    "the mean sun moves 15 degrees an hour; " + DEFINITION,
)
def noon_gap(offset_h: float, longitude_deg: float) -> float:
    """Return the hours, 0 to 12, between clock noon and mean solar noon at an offset from UTC.

    True solar noon is up to 17 minutes from the mean one (equation of time).
    """
    apart = (offset_h - longitude_deg / 15) % 24
    return min(apart, (longitude_deg / 15 - offset_h) % 24)


def noon_gap_h(zone: ZoneInfo, longitude_deg: float, at_utc: datetime) -> float:
    """Return ``noon_gap`` for a zone at an instant; from ``NOON_GAP_ASK_H`` on, ask whether the zone is right."""
    return noon_gap(_offset_at(zone, at_utc) / timedelta(hours=1), longitude_deg)


def nearest_zones(latitude_deg: float, longitude_deg: float, n: int = 3) -> tuple[ZoneProposal, ...]:
    """Return the ``n`` zones whose principal place is nearest by great circle, nearest first.

    A proposal to ask about, never a finding: zones end at borders, not half way between cities.
    Source: ``zone.tab`` of the IANA database in the tzdata package (one place per zone and country).
    """
    proposals = [
        ZoneProposal(key, great_circle_km(latitude_deg, longitude_deg, latitude, longitude))
        for key, latitude, longitude in _zone_places()
    ]
    return tuple(sorted(proposals, key=lambda proposal: (proposal.distance_km, proposal.zone))[:n])


@cache
def _zone_places() -> tuple[tuple[str, float, float], ...]:
    return tuple(_read_zone_tab(_package("zoneinfo", "zone.tab").read_text(encoding="utf-8")))


def _read_zone_tab(table: str) -> Iterator[tuple[str, float, float]]:
    """Yield name, latitude and longitude; coordinates are ISO 6709, ±DDMM±DDDMM or ±DDMMSS±DDDMMSS."""
    for line in table.splitlines():
        if line and not line.startswith("#"):
            _, coordinates, key, *_ = line.split("\t")
            match = re.fullmatch(r"([+-])(\d\d)(\d\d)(\d\d)?([+-])(\d{3})(\d\d)(\d\d)?", coordinates)
            assert match, coordinates  # noqa: S101 - the database's own documented format
            yield key, _degrees(*match.groups("0")[:4]), _degrees(*match.groups("0")[4:])


def _degrees(sign: str, degrees: str, minutes: str, seconds: str) -> float:
    size = int(degrees) + int(minutes) / 60 + int(seconds) / 3600
    return -size if sign == "-" else size


def great_circle_km(latitude_1: float, longitude_1: float, latitude_2: float, longitude_2: float) -> float:
    """Haversine on a sphere."""
    phi_1, phi_2 = radians(latitude_1), radians(latitude_2)
    across = sin(radians(longitude_2 - longitude_1) / 2) ** 2 * cos(phi_1) * cos(phi_2)
    half_chord = sqrt(sin((phi_2 - phi_1) / 2) ** 2 + across)
    return 2 * EARTH_RADIUS_KM * asin(min(1.0, half_chord))
