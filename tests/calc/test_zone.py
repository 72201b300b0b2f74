"""Zones against dateutil.tz (live), the stored changes of 2026 and 2027, and the camera clock's arithmetic."""

from __future__ import annotations

import json
import zoneinfo
from datetime import UTC, date, datetime, time, timedelta
from importlib import resources
from pathlib import Path

import dateutil.tz
import pytest
import tzdata
from hypothesis import given
from hypothesis import strategies as st

import webcalc.calc.schedule.zone as zone_module
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.schedule.zone import (
    NOON_GAP_ASK_H,
    ClockChange,
    UnknownZone,
    ZoneRules,
    camera_minus_wall_min,
    camera_offset,
    camera_to_utc,
    clock_changes,
    load_zone,
    nearest_zones,
    noon_gap,
    noon_gap_h,
    offset_changes,
    utc_to_camera,
    zone_names,
    zone_rules_version,
)

ROWS = json.loads((Path(__file__).parents[1] / "data" / "sun_zones.json").read_text(encoding="utf-8"))["rows"]
HOUR = timedelta(hours=1)
DATEUTIL_ZONES = [
    "Europe/London",
    "America/New_York",
    "Australia/Sydney",
    "Africa/Casablanca",
    "America/Phoenix",
    "Australia/Lord_Howe",
]
LONDON = "Europe/London"


def utc(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=UTC)


@pytest.fixture
def fresh_rules(monkeypatch: pytest.MonkeyPatch):
    """Forget which copy of the rules is in use, before and after."""

    def forget() -> None:
        for cached in (zone_rules_version, zone_names, zone_module._loaded):
            cached.cache_clear()

    forget()
    yield monkeypatch
    monkeypatch.undo()
    zoneinfo.reset_tzpath()
    zoneinfo.ZoneInfo.clear_cache()
    forget()


@pytest.mark.parametrize("key", DATEUTIL_ZONES)
def test_offsets_agree_with_dateutil(key: str) -> None:
    """Hour by hour over 2026 to 2028; dateutil reads the tzdata package's file, as the system's may be older."""
    with resources.files(tzdata).joinpath("zoneinfo", *key.split("/")).open("rb") as rules:
        theirs = dateutil.tz.tzfile(rules)
    zone = load_zone(key)
    for n in range(3 * 366 * 24):
        at = utc(2026, 1, 1) + n * HOUR
        assert at.astimezone(zone).utcoffset() == at.astimezone(theirs).utcoffset(), at


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["zone"])
def test_stored_changes(row: dict) -> None:
    # Source: IANA tz database 2026f. Rules change: newer data may differ here, and then the rows need a new look.
    found = offset_changes(load_zone(row["zone"]), utc(2026, 1, 1), utc(2028, 1, 1))
    assert [
        {
            "utc": change.at_utc.strftime("%Y-%m-%dT%H:%MZ"),
            "offset_before_min": change.before / timedelta(minutes=1),
            "offset_after_min": change.after / timedelta(minutes=1),
        }
        for change in found
    ] == row["changes"]


def test_changes_at_the_ends_of_the_asked_span() -> None:
    zone, at = load_zone(LONDON), utc(2026, 3, 29, 1)
    second = timedelta(seconds=1)
    assert [change.at_utc for change in offset_changes(zone, at, at + second)] == [at]
    assert offset_changes(zone, at - HOUR, at) == ()
    assert offset_changes(zone, at + second, at + HOUR) == ()
    assert offset_changes(zone, at, at) == ()
    assert len(offset_changes(zone, at - second, at + second)) == 1


def test_two_changes_within_a_month() -> None:
    # Casablanca leaves summer time for Ramadan: 2023-03-19 and 2023-04-23 (IANA database).
    changes = offset_changes(load_zone("Africa/Casablanca"), utc(2023, 3, 1), utc(2023, 5, 1))
    assert [(change.at_utc, change.after - change.before) for change in changes] == [
        (utc(2023, 3, 19, 2), -HOUR),
        (utc(2023, 4, 23, 2), HOUR),
    ]


@pytest.mark.parametrize(
    ("key", "set_on", "offset_h"),
    [
        (LONDON, datetime(2026, 3, 28, 12), 0),
        (LONDON, datetime(2026, 3, 29, 0, 59), 0),
        (LONDON, datetime(2026, 3, 29, 1, 0), 1),  # left out: the clock goes from 01:00 to 02:00
        (LONDON, datetime(2026, 3, 29, 1, 59), 1),
        (LONDON, datetime(2026, 3, 29, 2, 0), 1),
        (LONDON, datetime(2026, 10, 25, 0, 59), 1),
        (LONDON, datetime(2026, 10, 25, 1, 30), 1),  # comes twice: the first is meant
        (LONDON, datetime(2026, 10, 25, 2, 0), 0),
        ("America/Phoenix", datetime(2026, 7, 1), -7),
    ],
)
def test_camera_keeps_the_offset_of_the_moment_it_was_set(key: str, set_on: datetime, offset_h: int) -> None:
    assert camera_offset(load_zone(key), set_on) == offset_h * HOUR


def shoot(first: date, last: date) -> Schedule:
    return Schedule(first, last, DailyWindow(time(8), time(18)))


def test_clock_set_before_summer_time_is_an_hour_behind_after_it() -> None:
    # Common practice, no source: a clock set before summer time changes is one hour off after it.
    zone, schedule = load_zone(LONDON), shoot(date(2026, 3, 1), date(2026, 11, 30))
    offset = camera_offset(zone, schedule.starts_at)
    assert clock_changes(zone, schedule, offset) == (
        ClockChange(date(2026, 3, 29), utc(2026, 3, 29, 1), 60, -60),
        ClockChange(date(2026, 10, 25), utc(2026, 10, 25, 1), -60, 0),
    )


def test_clock_set_in_summer_is_an_hour_ahead_in_winter() -> None:
    zone, schedule = load_zone("America/New_York"), shoot(date(2026, 9, 1), date(2026, 12, 1))
    changes = clock_changes(zone, schedule, camera_offset(zone, schedule.starts_at))
    assert [(change.date, change.shift_min, change.camera_minus_wall_min) for change in changes] == [
        (date(2026, 11, 1), -60, 60)
    ]


def test_clock_changes_only_within_the_shoot() -> None:
    zone = load_zone(LONDON)
    for first, last in ((date(2026, 3, 29), date(2026, 10, 24)), (date(2026, 1, 1), date(2026, 3, 28))):
        assert clock_changes(zone, shoot(first, last), timedelta(0)) == ()


def test_half_hour_change() -> None:
    # Lord Howe Island moves its clock by half an hour (IANA database).
    zone, schedule = load_zone("Australia/Lord_Howe"), shoot(date(2026, 9, 20), date(2026, 10, 20))
    changes = clock_changes(zone, schedule, camera_offset(zone, schedule.starts_at))
    assert [(change.shift_min, change.camera_minus_wall_min) for change in changes] == [(30, -30)]


@given(st.sampled_from(DATEUTIL_ZONES), st.datetimes(datetime(2026, 1, 1), datetime(2028, 12, 31)))
def test_camera_and_wall_agree_at_the_moment_of_setting(key: str, set_on: datetime) -> None:
    zone = load_zone(key)
    offset = camera_offset(zone, set_on)
    at = camera_to_utc(set_on, offset)
    assert utc_to_camera(at, offset) == set_on
    exists = at.astimezone(zone).replace(tzinfo=None) == set_on
    # In an hour that the wall clock leaves out, a clock set to it is behind by what was left out.
    assert camera_minus_wall_min(zone, offset, at) in ((0,) if exists else (0, 30, 60, -30, -60))
    if exists:
        assert camera_minus_wall_min(zone, offset, at) == 0


@pytest.mark.parametrize(
    ("older", "newer"),
    [("2025b", "2026f"), ("2025a", "2025b"), ("2025z", "2025za"), ("", "2025a"), ("unknown", "1996a")],
)
def test_releases_are_ordered(older: str, newer: str) -> None:
    assert zone_module._release_order(older) < zone_module._release_order(newer)


@pytest.mark.parametrize("file", ["tzdata.zi", "+VERSION"])
@pytest.mark.parametrize(
    ("version", "expected"),
    [("1999a", ZoneRules(tzdata.IANA_VERSION, "package")), ("2999a", ZoneRules("2999a", "system"))],
)
def test_the_newer_copy_is_used(
    fresh_rules: pytest.MonkeyPatch, tmp_path: Path, file: str, version: str, expected: ZoneRules
) -> None:
    """An invented system copy in which London is Phoenix tells the two apart."""
    (tmp_path / file).write_text(f"# version {version}\n" if file == "tzdata.zi" else f"{version}\n")
    (tmp_path / "Europe").mkdir()
    phoenix = resources.files(tzdata).joinpath("zoneinfo", "America", "Phoenix").read_bytes()
    (tmp_path / "Europe" / "London").write_bytes(phoenix)
    zoneinfo.ZoneInfo.clear_cache()
    zoneinfo.reset_tzpath([str(tmp_path)])
    assert zone_rules_version() == expected
    offset = load_zone(LONDON).utcoffset(datetime(2026, 1, 1))
    assert offset == (-7 * HOUR if expected.origin == "system" else 0 * HOUR)
    # A name that only the package has still loads.
    assert load_zone("Asia/Tokyo").utcoffset(datetime(2026, 1, 1)) == 9 * HOUR


def test_without_a_system_copy_the_package_is_used(fresh_rules: pytest.MonkeyPatch) -> None:
    zoneinfo.reset_tzpath([])
    assert zone_rules_version() == ZoneRules(tzdata.IANA_VERSION, "package")


@pytest.mark.parametrize(
    "key", ["", "Nowhere", "../etc/passwd", "/etc/passwd", "Europe", "europe/london", "Europe/London\0"]
)
def test_unknown_zone(key: str) -> None:
    with pytest.raises(UnknownZone):
        load_zone(key)


def test_every_name_loads_and_is_kept() -> None:
    assert len(zone_names()) > 400
    for key in zone_names():
        assert load_zone(key).key == key
        assert load_zone(key) is load_zone(key)


@pytest.mark.parametrize(
    ("lat", "lon", "key"),
    [
        (64.1, -21.9, "Atlantic/Reykjavik"),
        (51.5, -0.1, LONDON),
        (-33.9, 151.2, "Australia/Sydney"),
        (-17.0, -179.9, "Pacific/Fiji"),  # across the 180th meridian
        (78.2, 15.6, "Arctic/Longyearbyen"),
    ],
)
def test_nearest_zone(lat: float, lon: float, key: str) -> None:
    proposals = nearest_zones(lat, lon)
    assert proposals[0].zone == key
    assert len(proposals) == 3
    distances = [proposal.distance_km for proposal in proposals]
    assert distances == sorted(distances)


def test_distance_of_a_proposal() -> None:
    # A quarter of the way round the Earth, 10,000 km by the metre's first definition.
    pole = nearest_zones(90, 0, 400)
    quito = next(proposal for proposal in pole if proposal.zone == "America/Guayaquil")
    assert quito.distance_km == pytest.approx(10_000 * (1 + (2 + 10 / 60) / 90), rel=0.002)


def test_noon_gap_where_the_zone_is_far_from_the_sun() -> None:
    # Kashgar, 76° E, keeps UTC+8: 8 - 76/15 = 2.93 h. Kiritimati, 157.4° W, keeps UTC+14, half an hour from the sun.
    at = utc(2026, 1, 1)
    assert noon_gap_h(load_zone("Asia/Shanghai"), 76, at) == pytest.approx(8 - 76 / 15)
    assert noon_gap_h(load_zone("Asia/Shanghai"), 76, at) > NOON_GAP_ASK_H
    assert noon_gap_h(load_zone("Pacific/Kiritimati"), -157.4, at) == pytest.approx(14 - 24 + 157.4 / 15)
    assert noon_gap_h(load_zone(LONDON), -0.1, at) < 0.1


@given(st.floats(-12, 14), st.floats(-180, 180))
def test_noon_gap_is_at_most_half_a_day(offset_h: float, longitude_deg: float) -> None:
    gap_h = noon_gap(offset_h, longitude_deg)
    assert 0 <= gap_h <= 12
    assert noon_gap(offset_h + 1e-6, longitude_deg) == pytest.approx(gap_h, abs=1e-5)
