"""The sun against JPL DE421 (live, through skyfield), NREL's SPA, FAO-56 and stored hard cases.

The DE421 grid runs over every local date of 2026 and 2027. A day on which the sun's highest or lowest point comes
within a degree of the threshold is *grazing*: there the instant is ill-conditioned, and where it is beyond the
tolerance the altitude at it is checked instead. (Sunrise and sunset need this nowhere on the grid, twilights do.)
"""

from __future__ import annotations

import json
from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import cos, radians, tan
from pathlib import Path
from zoneinfo import ZoneInfo

import astral
import astral.sun
import pytest
from ephemeris import BODIES, TIMESCALE
from hypothesis import given, settings
from hypothesis import strategies as st
from skyfield import almanac
from skyfield.api import wgs84

from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import (
    CIVIL_DEG,
    PARALLAX_DEG,
    SUNRISE_DEG,
    DayEvents,
    altitude_deg,
    azimuth_deg,
    crossings,
)
from webcalc.calc.schedule.zone import load_zone

DATA = Path(__file__).parents[1] / "data"
DAY = timedelta(1)
FIRST, DAYS = date(2026, 1, 1), 730

#: Latitude, longitude, zone: every six degrees of latitude, with zones far from the sun's time and far from Greenwich.
GRID = [
    (-66, -65, "Antarctica/Palmer"),
    (-60, -45, "America/Argentina/Buenos_Aires"),
    (-54.8, -68.3, "America/Argentina/Ushuaia"),
    (-48, -72, "America/Santiago"),
    (-43.95, -176.6, "Pacific/Chatham"),
    (-36, 150, "Australia/Sydney"),
    (-30, 30, "Africa/Johannesburg"),
    (-24, -65, "America/Argentina/Salta"),
    (-14.28, -170.7, "Pacific/Pago_Pago"),
    (-12, 179.9, "Pacific/Fiji"),
    (-6, 107, "Asia/Jakarta"),
    (1.87, -157.4, "Pacific/Kiritimati"),
    (6, 3, "Africa/Lagos"),
    (12, -87, "America/Managua"),
    (18, -160, "Pacific/Honolulu"),
    (24, 77, "Asia/Kolkata"),
    (30, 31, "Africa/Cairo"),
    (33.6, -7.6, "Africa/Casablanca"),
    (39.5, 76, "Asia/Shanghai"),
    (42, -72, "America/New_York"),
    (48, 2, "Europe/Paris"),
    (51.5, -0.13, "Europe/London"),
    (60, 10, "Europe/Oslo"),
    (64.15, -21.94, "Atlantic/Reykjavik"),
    (64.5, -165.4, "America/Nome"),
    (66, 24, "Europe/Helsinki"),
]
HIGH_GRID = [
    (69.65, 18.96, "Europe/Oslo", 60),
    (-70, 10, "UTC", 60),
    (71.9, 25, "Europe/Oslo", 60),
    (75, 100, "Asia/Krasnoyarsk", 180),
    (78.22, 15.65, "Arctic/Longyearbyen", 180),
    (-77.85, 166.67, "Antarctica/McMurdo", 180),
    (85, 0, "UTC", 180),
]
TWILIGHT_GRID = [
    (lat, lon, key, altitude)
    for lat, lon, key in (GRID[2], GRID[8], GRID[11], GRID[18], GRID[21], GRID[23])
    for altitude in (CIVIL_DEG, -12.0, -18.0)
]
GRAZING_DEG = 1.0
ALTITUDE_TOLERANCE_DEG = 0.01


def stored(name: str) -> dict:
    return json.loads((DATA / name).read_text(encoding="utf-8"))


@dataclass
class Ephemeris:
    """JPL DE421 at one place: events and altitudes, topocentric, without refraction."""

    lat: float
    lon: float

    def __post_init__(self) -> None:
        self.observer = BODIES["earth"] + wgs84.latlon(self.lat, self.lon)

    def events(self, start: datetime, end: datetime, altitude: float) -> list[tuple[datetime, str]]:
        span = TIMESCALE.from_datetime(start), TIMESCALE.from_datetime(end)
        found = []
        for kind, find in (("rise", almanac.find_risings), ("set", almanac.find_settings)):
            times, real = find(self.observer, BODIES["sun"], *span, horizon_degrees=altitude)
            found += [(at, kind) for at, ok in zip(times.utc_datetime(), real, strict=True) if ok]
        return sorted(found)

    def altitude(self, at: datetime) -> float:
        return self.altitudes([at])[0]

    def altitudes(self, at: list[datetime]) -> list[float]:
        times = TIMESCALE.from_datetimes(at)
        return self.observer.at(times).observe(BODIES["sun"]).apparent().altaz()[0].degrees.tolist()

    def grazes(self, at: datetime, altitude: float, within: float = GRAZING_DEG) -> bool:
        """Whether a turning point of the sun within 13 h of ``at`` lies near the threshold."""
        heights = self.altitudes([at + timedelta(minutes=5 * n) for n in range(-156, 157)])
        turns = [b for a, b, c in zip(heights, heights[1:], heights[2:], strict=False) if (b - a) * (c - b) <= 0]
        return any(abs(turn - altitude) < within for turn in turns)


def ours(lat: float, lon: float, zone: ZoneInfo, altitude: float) -> list[tuple[datetime, str, date]]:
    found = []
    for day in (FIRST + n * DAY for n in range(DAYS)):
        events = crossings(Site(lat, lon), zone, day, altitude)
        found += [(at, "rise", day) for at in events.rises] + [(at, "set", day) for at in events.sets]
    return sorted(found)


def compare(
    lat: float, lon: float, key: str, altitude: float, tolerance_s: float, record: Callable[[str, object], None]
) -> tuple[int, int]:
    """Every event of either side has its partner on the same local date, within the tolerance unless grazing.

    Returns how many events were excused: as grazing, and for midnight lying between the two instants.
    """
    zone, truth = load_zone(key), Ephemeris(lat, lon)
    computed = ours(lat, lon, zone, altitude)
    start = datetime(2026, 1, 1, tzinfo=zone).astimezone(UTC)
    expected = truth.events(start, datetime(2028, 1, 1, tzinfo=zone).astimezone(UTC), altitude)
    assert len(expected) > 180
    worst_s, grazing, at_midnight, partners = 0.0, 0, 0, set()
    instants = {kind: [event for event in computed if event[1] == kind] for kind in ("rise", "set")}
    for at, kind in expected:
        nth = bisect_left(instants[kind], (at, kind, FIRST))
        event = min(instants[kind][max(0, nth - 1) : nth + 1], key=lambda event: abs(event[0] - at))
        error_s = abs(event[0] - at).total_seconds()
        if error_s > 1800:
            assert truth.grazes(at, altitude, ALTITUDE_TOLERANCE_DEG), f"{kind} {at} is missing"
            continue
        partners.add(event)
        if event[2] != at.astimezone(zone).date():
            # Only where midnight itself lies between the two.
            midnight = datetime.combine(max(event[2], at.astimezone(zone).date()), time.min, zone)
            assert abs(midnight - at).total_seconds() <= min(tolerance_s, error_s), f"{kind} {at} is on the wrong date"
            at_midnight += 1
        if error_s > tolerance_s:
            assert truth.grazes(at, altitude), f"{kind} {at} is {error_s} s off"
            assert abs(truth.altitude(event[0]) - altitude) < ALTITUDE_TOLERANCE_DEG
            grazing += 1
        else:
            worst_s = max(worst_s, error_s)
    for event in set(computed) - partners:
        assert truth.grazes(event[0], altitude, ALTITUDE_TOLERANCE_DEG), f"{event} isn't real"
    record("worst_error_s", round(worst_s, 1))
    record("grazing", grazing)
    print(
        f"{lat:7} {altitude:8}: {len(expected)} events, worst {worst_s:.1f} s, "
        f"{grazing} grazing beyond {tolerance_s} s, {at_midnight} at midnight"
    )
    return grazing, at_midnight


@pytest.mark.parametrize(("lat", "lon", "key"), GRID)
def test_sunrise_and_sunset_agree_with_de421(
    lat: float, lon: float, key: str, record_property: Callable[[str, object], None]
) -> None:
    assert compare(lat, lon, key, SUNRISE_DEG, 10, record_property) == (0, 0)


@pytest.mark.parametrize(("lat", "lon", "key", "tolerance_s"), HIGH_GRID)
def test_high_latitudes_agree_with_de421(
    lat: float, lon: float, key: str, tolerance_s: int, record_property: Callable[[str, object], None]
) -> None:
    assert compare(lat, lon, key, SUNRISE_DEG, tolerance_s, record_property) == (0, 0)


@pytest.mark.parametrize(("lat", "lon", "key", "altitude"), TWILIGHT_GRID)
def test_twilight_agrees_with_de421(
    lat: float, lon: float, key: str, altitude: float, record_property: Callable[[str, object], None]
) -> None:
    grazing, at_midnight = compare(lat, lon, key, altitude, 10, record_property)
    assert grazing <= 4 and at_midnight == 0


@pytest.mark.parametrize(
    "row", stored("sun_rise_set.json")["rows"], ids=lambda row: f"{row['lat']} {row['local_date']}"
)
def test_hard_days(row: dict) -> None:
    # Source: computed with skyfield 1.55 and JPL DE421 (see the file's header).
    events = crossings(
        Site(row["lat"], row["lon"]), load_zone(row["tz"]), date.fromisoformat(row["local_date"]), SUNRISE_DEG
    )
    tolerance_s = 10 if abs(row["lat"]) < 65 else 60 if abs(row["lat"]) < 72 else 180
    found = sorted([(at, "rise") for at in events.rises] + [(at, "set") for at in events.sets])
    expected = [(datetime.fromisoformat(event["utc"]), event["event"]) for event in row["events"]]
    assert [kind for _, kind in found] == [kind for _, kind in expected]
    for (at, _), (wanted, _) in zip(found, expected, strict=True):
        assert abs(at - wanted).total_seconds() <= tolerance_s
    states = {"crosses": "normal", "polar day": "always_above", "polar night": "always_below"}
    assert events.state == states[row["state"]]


@pytest.mark.parametrize("row", stored("sun_twilight.json")["rows"], ids=lambda row: f"{row['lat']} {row['alt']}")
def test_twilight_rows(row: dict) -> None:
    # Source: computed with skyfield 1.55 and JPL DE421; altitudes by the US Naval Observatory's definitions.
    events = crossings(Site(row["lat"], row["lon"]), ZoneInfo("UTC"), date.fromisoformat(row["date"]), row["alt"])
    for found, expected in ((events.rises, row["dawn"]), (events.sets, row["dusk"])):
        assert len(found) == len(expected)
        for at, wanted in zip(found, expected, strict=True):
            assert abs(at - datetime.fromisoformat(wanted)).total_seconds() <= 10


def test_spa_position() -> None:
    # Source: NREL/TP-560-34302, A.5: e0 is the topocentric altitude without refraction.
    spa = stored("sun_spa.json")
    site = Site(spa["inputs"]["lat"], spa["inputs"]["lon"])
    at = datetime.fromisoformat(spa["inputs"]["utc"])
    assert altitude_deg(site, at) == pytest.approx(spa["published"]["e0_deg"], abs=0.005)
    assert azimuth_deg(site, at) == pytest.approx(spa["published"]["azimuth_deg"], abs=0.005)
    # The published refraction is that of 820 mbar; at sea level it is a fifth more: 0.003 degrees.
    assert altitude_deg(site, at, refracted=True) == pytest.approx(spa["published"]["e_deg"], abs=0.01)


def test_spa_sunrise_and_sunset() -> None:
    # The published sunset is that of the UTC date, which is the evening of 16 October at the site.
    spa = stored("sun_spa.json")
    site, zone = Site(spa["inputs"]["lat"], spa["inputs"]["lon"]), ZoneInfo("Etc/GMT+7")
    rises = crossings(site, zone, date(2003, 10, 17), SUNRISE_DEG).rises
    sets = crossings(site, zone, date(2003, 10, 16), SUNRISE_DEG).sets
    assert abs(rises[0] - datetime(2003, 10, 17, 13, 12, 43, tzinfo=UTC)) <= timedelta(seconds=5)
    assert abs(sets[0] - datetime(2003, 10, 17, 0, 20, 19, tzinfo=UTC)) <= timedelta(seconds=5)


@pytest.mark.parametrize("row", stored("sun_spa.json")["table_a2_1"], ids=lambda row: row["date"])
def test_spa_table_of_sunrises(row: dict) -> None:
    # Source: NREL/TP-560-34302, Table A2.1; UT.
    events = crossings(Site(row["lat"], row["lon"]), ZoneInfo("UTC"), date.fromisoformat(row["date"]), SUNRISE_DEG)
    for found, published in ((events.rises, row["sunrise"]), (events.sets, row["sunset"])):
        assert len(found) == 1
        wanted = datetime.fromisoformat(f"{row['date']}T{published}00+00:00")
        assert abs(found[0] - wanted) <= timedelta(seconds=5)


def day_hours(events: DayEvents) -> float:
    return sum((end - start) / timedelta(hours=1) for start, end in events.above)


@pytest.mark.parametrize(
    ("lat", "hours"), [(float(lat), hours) for lat, hours in stored("sun_fao56.json")["table_2_7"].items()]
)
def test_fao_daylight_hours(lat: float, hours: list[float]) -> None:
    """FAO-56 Table 2.7 counts from centre to centre without refraction, so the threshold is 0.

    Its declination (equation 24) is a single sine, off by up to a degree in autumn, and its values are rounded to
    0.1 h. One degree of declination is 2·tan(latitude)/15 h of day.
    """
    found = [day_hours(crossings(Site(lat, 0), ZoneInfo("UTC"), date(2026, month, 15), 0.0)) for month in range(1, 13)]
    tolerance_h = 0.06 + 1.05 * 2 * tan(radians(abs(lat))) / 15
    assert found == pytest.approx(hours, abs=tolerance_h)
    assert sum(found) / 12 == pytest.approx(sum(hours) / 12, abs=0.12)


@pytest.mark.parametrize("row", stored("sun_fao56.json")["examples"], ids=lambda row: row["source"])
def test_fao_examples(row: dict) -> None:
    day = date(2026, 1, 1) + (row["day_of_year"] - 1) * DAY
    assert day_hours(crossings(Site(row["lat"], 0), ZoneInfo("UTC"), day, 0.0)) == pytest.approx(
        row["n_hours"], abs=0.1
    )


sites = st.builds(
    Site,
    st.floats(-89.7, 89.7, allow_subnormal=False),
    st.floats(-180, 180, allow_subnormal=False),
)
seconds_of_century = st.integers(0, 80 * 365 * 86_400).map(lambda s: datetime(1970, 1, 1, tzinfo=UTC) + timedelta(0, s))


@given(sites, seconds_of_century)
def test_altitude_is_that_of_astral(site: Site, at: datetime) -> None:
    # astral stops at 89.8 degrees of latitude and counts in whole seconds.
    observer = astral.Observer(site.latitude_deg, site.longitude_deg, 0)
    expected = astral.sun.elevation(observer, at, with_refraction=False)
    # astral's altitude is that seen from the centre of the Earth.
    expected -= PARALLAX_DEG * cos(radians(expected))
    # Near the zenith and the nadir astral's arc cosine loses digits.
    assert altitude_deg(site, at) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(("lat", "lon"), [(90, 0), (-90, 0), (0, 180), (0, -180), (89.99, 77)])
def test_ends_of_the_earth(lat: float, lon: float) -> None:
    truth, at = Ephemeris(lat, lon), datetime(2026, 5, 3, 9, 30, tzinfo=UTC)
    assert altitude_deg(Site(lat, lon), at) == pytest.approx(truth.altitude(at), abs=0.02)
    year = [crossings(Site(lat, lon), ZoneInfo("UTC"), FIRST + n * DAY, SUNRISE_DEG) for n in range(365)]
    events = sum(len(day.rises) + len(day.sets) for day in year)
    assert events == (730 if lat == 0 else pytest.approx(2, abs=10 if abs(lat) < 90 else 0))


@settings(max_examples=60, deadline=None)
@given(
    st.builds(Site, st.floats(-90, 90), st.floats(-180, 180)),
    st.sampled_from(
        ["UTC", "Europe/London", "Pacific/Kiritimati", "Africa/Casablanca", "America/Santiago", "Asia/Beirut"]
    ),
    st.dates(date(2026, 1, 1), date(2035, 12, 31)),
    st.sampled_from([SUNRISE_DEG, CIVIL_DEG, -12.0, -18.0, 0.0, 10.0]),
)
def test_dates_join_without_gap_and_events_alternate(site: Site, key: str, day: date, threshold: float) -> None:
    zone = load_zone(key)
    today, tomorrow = (crossings(site, zone, d, threshold) for d in (day, day + DAY))
    assert today.end_utc == tomorrow.start_utc
    assert len(today.rises) <= 2 and len(today.sets) <= 2
    above = today.above_at_start
    for at, rising in sorted([(at, True) for at in today.rises] + [(at, False) for at in today.sets]):
        assert today.start_utc <= at < today.end_utc
        assert rising != above
        above = rising
        # The instant is rounded down to a millisecond, in which the sun moves less than 5e-6 degrees.
        assert altitude_deg(site, at) == pytest.approx(threshold, abs=1e-5)
    assert above == tomorrow.above_at_start
    assert (today.state == "normal") == bool(today.rises or today.sets)


def test_days_that_do_not_exist_or_start_late() -> None:
    # Apia left out 30 December 2011 (IANA database); Beirut's clock skips midnight on the last Sunday of March.
    apia = crossings(Site(-13.8, -171.8), load_zone("Pacific/Apia"), date(2011, 12, 30), SUNRISE_DEG)
    assert apia.start_utc == apia.end_utc and apia.rises == apia.sets == apia.above == ()
    beirut = crossings(Site(33.9, 35.5), load_zone("Asia/Beirut"), date(2026, 3, 29), SUNRISE_DEG)
    assert beirut.end_utc - beirut.start_utc == timedelta(hours=23)
    assert len(beirut.rises) == len(beirut.sets) == 1
