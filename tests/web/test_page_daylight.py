"""The page ``/daylight``: stored hard days of JPL DE421, the zones' rules, hand-computed shoots, blanks, the picture.

Sunrise, sunset and twilight: computed with skyfield and JPL DE421 (``data/sun_rise_set.json``,
``data/sun_twilight.json``, and live for the count of frames).
Changes of the clock: IANA database 2026f (``data/sun_zones.json``).
"""

from __future__ import annotations

import json
import re
import time
from datetime import UTC, date, datetime, timedelta
from html import unescape
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from ephemeris import BODIES, TIMESCALE
from flask.testing import FlaskClient
from skyfield import almanac
from skyfield.api import wgs84

DATA = Path(__file__).parents[1] / "data"
USUAL = "v=1&from=08:00&until=18:00&days=1234567&interval=5min&light=sun"
MADRID = "&lat=40.4167&lon=-3.7033&tz=Europe/Madrid"
TROMSO = "&lat=69.65&lon=18.96&tz=Europe/Oslo"
KEYS = {
    "today",
    "site",
    "zone_proposals",
    "zone_rules",
    "zone_rules_origin",
    "noon_gap_h",
    "light_share",
    "light_time_share",
    "frames",
    "light_frames",
    "always_light",
    "begins_dark",
    "ends_dark",
    "camera_offset_min",
    "camera_minus_wall_min",
    "clock_changes",
    "key_days",
    "days",
}
DAY_KEYS = {
    "date",
    "recorded",
    "state",
    "sunrise",
    "sunset",
    "civil_dawn",
    "civil_dusk",
    "light",
    "light_from",
    "light_until",
    "window_light_s",
}


def rows(name: str) -> list[dict[str, Any]]:
    return json.loads((DATA / name).read_text())["rows"]


def ask(client: FlaskClient, query: str, path: str = "daylight") -> dict[str, Any]:
    reply = client.get(f"/{path}.json?{query}")
    assert reply.status_code == 200, reply.json
    return reply.json


def results(client: FlaskClient, query: str) -> dict[str, Any]:
    return ask(client, query)["results"]


def raw(client: FlaskClient, query: str, path: str = "daylight") -> str:
    reply = client.get(f"/{path}?{query}")
    assert reply.status_code == 200
    return reply.get_data(as_text=True)


def page(client: FlaskClient, query: str, path: str = "daylight") -> str:
    return unescape(re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", raw(client, query, path)))).replace("\xa0", " ")


def picture(client: FlaskClient, query: str) -> ElementTree.Element:
    """Return the page's picture, read by HTML's rule that a value may stand without quotes."""
    found = re.search(r"<svg .*?</svg>", raw(client, query), re.DOTALL)
    assert found
    quoted = re.sub(r"=([\w#%.-]+)(?=[\s/>])", r'="\1"', found[0])
    return ElementTree.fromstring(quoted)  # noqa: S314 - our own page


def instants(texts: list[str]) -> list[datetime]:
    return [datetime.fromisoformat(text) for text in texts]


# -- against the outside ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", rows("sun_rise_set.json"), ids=lambda row: f"{row['tz']} {row['local_date']}")
def test_hard_days(client: FlaskClient, row: dict[str, Any]) -> None:
    place = f"&lat={row['lat']}&lon={row['lon']}&tz={row['tz']}"
    found = results(client, f"{USUAL}{place}&first={row['local_date']}&last={row['local_date']}")
    (day,) = found["days"]
    assert day["state"] == {"crosses": "normal"}.get(row["state"], row["state"].replace(" ", "_"))
    tolerance_s = 10 if abs(row["lat"]) < 65 else 60 if abs(row["lat"]) < 72 else 180
    for key, kind in (("sunrise", "rise"), ("sunset", "set")):
        wanted = [datetime.fromisoformat(event["utc"]) for event in row["events"] if event["event"] == kind]
        got = instants(day[key])
        assert len(got) == len(wanted)
        for one, other in zip(got, wanted, strict=True):
            assert abs((one - other).total_seconds()) <= tolerance_s
            assert one.date().isoformat() == row["local_date"]  # with the offset of the site's own zone


@pytest.mark.parametrize(
    "row", [row for row in rows("sun_twilight.json") if row["alt"] == -6], ids=lambda row: row["date"]
)
def test_civil_twilight(client: FlaskClient, row: dict[str, Any]) -> None:
    place = f"&lat={row['lat']}&lon={row['lon']}&tz=Etc/UTC"
    (day,) = results(client, f"{USUAL}{place}&first={row['date']}&last={row['date']}")["days"]
    for key, wanted in (("civil_dawn", row["dawn"]), ("civil_dusk", row["dusk"])):
        for one, other in zip(instants(day[key]), instants(wanted), strict=True):
            assert abs((one - other).total_seconds()) <= 10


@pytest.mark.parametrize("row", rows("sun_zones.json"), ids=lambda row: row["zone"])
def test_clock_changes(client: FlaskClient, row: dict[str, Any]) -> None:
    query = f"{USUAL}&lat=20&lon=0&tz={row['zone']}&first=2026-01-01&last=2027-12-31"
    found = results(client, query)
    assert found["zone_rules"] >= "2026f"
    changes = found["clock_changes"]
    assert [datetime.fromisoformat(change["at"]) for change in changes] == [
        datetime.fromisoformat(change["utc"]) for change in row["changes"]
    ]
    offset_min = found["camera_offset_min"]
    for change, wanted in zip(changes, row["changes"], strict=True):
        after = wanted["offset_after_min"]
        assert change["shift_min"] == after - wanted["offset_before_min"]
        assert change["camera_minus_wall_min"] == offset_min - after
        local = datetime.fromisoformat(wanted["utc"]) + timedelta(minutes=after)
        assert change["date"] == local.date().isoformat()


def test_frames_in_the_light_against_de421(client: FlaskClient) -> None:
    """Ten days of frames every minute at Oslo, each looked up between sunrise and sunset by skyfield."""
    first, days = date(2026, 12, 14), 10
    sun_up = almanac.sunrise_sunset(BODIES, wgs84.latlon(59.91, 10.75))
    start = datetime(2026, 12, 14, tzinfo=UTC)
    times, up = almanac.find_discrete(
        TIMESCALE.from_datetime(start), TIMESCALE.from_datetime(start + timedelta(days)), sun_up
    )
    events = list(zip(times.utc_datetime(), up, strict=True))
    frames = [start + timedelta(n, minutes=7 * 60 + m) for n in range(days) for m in range(600)]  # 08:00 in UTC+1
    light = sum(any(rise <= at < fall for (rise, u), (fall, _) in pairwise(events) if u) for at in frames)
    query = "v=1&from=08:00&until=18:00&days=1234567&interval=60s&light=sun&lat=59.91&lon=10.75&tz=Europe/Oslo"
    found = results(client, f"{query}&first={first}&last={first + timedelta(days - 1)}")
    assert found["frames"] == len(frames)
    # Sunrise and sunset agree within 7 s, so a frame can fall on the other side of one now and then.
    assert abs(found["light_frames"] - light) <= 3
    assert 0.5 < found["light_share"] < 0.7


# -- by hand ----------------------------------------------------------------------------------------------------


def test_summer_time_moves_the_window(client: FlaskClient) -> None:
    """Spain moves its clocks on 28 March 2027; a camera set on 22 March keeps UTC+1 and is an hour behind."""
    query = f"{USUAL}{MADRID}&first=2027-03-22&last=2027-04-04"
    found = results(client, query)
    assert found["camera_offset_min"] == 60
    assert found["camera_minus_wall_min"] == 0
    assert found["clock_changes"] == [
        {
            "date": "2027-03-28",
            "at": "2027-03-28T03:00:00+02:00",
            "shift_min": 60,
            "camera_minus_wall_min": -60,
            "wall_from": "09:00",
            "wall_until": "19:00",
            "recorded_days": 8,
            "dark_days": 0,
        }
    ]
    words = page(client, query)
    assert "From Sun 28 Mar 2027 the camera clock is 1 h behind the wall clock" in words
    assert "09:00 – 19:00 on site, all light" in words


def test_a_clock_set_in_summer_is_ahead_in_winter(client: FlaskClient) -> None:
    query = f"{USUAL}{MADRID}&first=2027-10-25&last=2027-11-07"
    (change,) = results(client, query)["clock_changes"]
    assert (change["date"], change["shift_min"], change["camera_minus_wall_min"]) == ("2027-10-31", -60, 60)
    assert (change["wall_from"], change["wall_until"]) == ("07:00", "17:00")
    # The window is then 07:00 to 17:00 on the wall clock; sunrise at Madrid is 07:38 to 07:46 in those days.
    assert change["dark_days"] == change["recorded_days"] == 8
    assert "partly dark on 8 of 8 days" in page(client, query)


def test_a_clock_that_was_set_wrong_from_the_start(client: FlaskClient) -> None:
    query = f"{USUAL}{MADRID}&first=2027-05-03&last=2027-05-09&clock=%2B01:00"
    found = results(client, query)
    assert found["camera_minus_wall_min"] == -60
    assert found["clock_changes"] == []
    assert "From Mon 3 May 2027 the camera clock is 1 h behind the wall clock" in page(client, query)


def test_every_calendar_date_is_listed(client: FlaskClient) -> None:
    """Monday 1 to Sunday 14 March 2027 on weekdays without the 3rd: nine recorded days."""
    query = f"v=1&from=08:00&until=18:00&days=12345&skip=2027-03-03&light=sun{MADRID}&first=2027-03-01&last=2027-03-14"
    found = results(client, query)
    assert [day["date"] for day in found["days"]] == [f"2027-03-{n:02}" for n in range(1, 15)]
    recorded = [int(day["date"][-2:]) for day in found["days"] if day["recorded"]]
    assert recorded == [1, 2, 4, 5, 8, 9, 10, 11, 12]
    assert all((day["window_light_s"] is None) != day["recorded"] for day in found["days"])
    assert all(set(day) == DAY_KEYS for day in found["days"])
    # Sunrise at Madrid is before 08:00 and sunset after 19:00 then: ten hours of light in every window.
    assert {day["window_light_s"] for day in found["days"] if day["recorded"]} == {36_000}
    # No interval is known, so time is counted, not frames.
    assert found["frames"] is None
    assert found["light_share"] == found["light_time_share"] == 1


def test_dark_days_and_the_window_that_is_always_light(client: FlaskClient) -> None:
    query = f"{USUAL}{MADRID}&first=2027-11-01&last=2028-04-30"
    found = results(client, query)
    days = found["days"]
    recount = [day for day in days if day["window_light_s"] < 36_000]
    assert 0 < found["light_share"] < 1
    (begin,), (end,) = found["begins_dark"], found["ends_dark"]
    dark = {day["date"] for day in recount}
    in_runs = [day["date"] for day in days if begin["first"] <= day["date"] <= begin["last"]]
    assert len(in_runs) == begin["days"]
    either = set(in_runs) | {day["date"] for day in days if end["first"] <= day["date"] <= end["last"]}
    assert dark == either
    assert begin["longest_dark_s"] > 0 < end["longest_dark_s"]
    assert min(day["window_light_s"] for day in days) == found["key_days"][-1]["window_light_s"]
    assert found["key_days"][-1]["what"] == "worst"

    always = found["always_light"]
    query = query.replace("08:00", always["from"]).replace("18:00", always["until"])
    again = results(client, query)
    assert again["light_share"] == again["light_time_share"] == 1
    assert again["begins_dark"] == again["ends_dark"] == []
    assert again["always_light"] == always
    # A minute more at either end is dark on some day.
    for name, edge in (("from", -1), ("until", 1)):
        clock = datetime.fromisoformat(f"2027-01-01T{always[name]}") + timedelta(minutes=edge)
        longer = results(client, query.replace(f"{name}={always[name]}", f"{name}={clock:%H:%M}"))
        assert longer["light_time_share"] < 1


def test_light_rules(client: FlaskClient) -> None:
    """Half an hour inside takes half an hour off either end; civil twilight adds to both."""
    query = f"v=1&from=00:00&until=00:00&days=1234567{MADRID}&first=2027-06-01&last=2027-06-01&light="
    days = {rule: results(client, query + rule)["days"][0] for rule in ("sun", "civil", "30min")}
    sun = days["sun"]
    assert [sun["light_from"]] == sun["sunrise"]
    assert [sun["light_until"]] == sun["sunset"]
    assert [days["civil"]["light_from"]] == sun["civil_dawn"]
    assert days["civil"]["light_until"] == sun["civil_dusk"][0]
    inside = instants(
        [sun["light_from"], days["30min"]["light_from"], days["30min"]["light_until"], sun["light_until"]]
    )
    assert abs(inside[1] - inside[0] - timedelta(minutes=30)) <= timedelta(seconds=1)
    assert abs(inside[3] - inside[2] - timedelta(minutes=30)) <= timedelta(seconds=1)
    assert sun["window_light_s"] - days["30min"]["window_light_s"] == pytest.approx(3_600, abs=1)


def test_a_night_window_is_not_light(client: FlaskClient) -> None:
    query = f"v=1&from=22:00&until=04:00&days=1234567&interval=60s&light=sun{MADRID}&first=2027-01-01&last=2027-01-31"
    found = results(client, query)
    assert found["light_share"] == found["light_frames"] == 0
    assert found["frames"] == 31 * 360
    assert found["begins_dark"] == [
        {"first": "2027-01-01", "last": "2027-01-31", "days": 31, "longest_dark_s": 6 * 3_600}
    ]
    assert "0 % light" in page(client, query)


# -- polar day and night ----------------------------------------------------------------------------------------


def test_polar_night_is_a_state(client: FlaskClient) -> None:
    query = f"{USUAL}{TROMSO}&first=2027-12-10&last=2027-12-16"
    found = results(client, query)
    assert {day["state"] for day in found["days"]} == {"polar_night"}
    assert all(day["sunrise"] == day["sunset"] == [] for day in found["days"])
    assert all(day["light_from"] is day["light_until"] is None for day in found["days"])
    assert found["light_share"] == 0
    assert found["always_light"] is None
    words = page(client, query)
    assert "down all day" in words
    assert "No minute of the day is light on every recorded day" in words


def test_polar_day_is_a_state(client: FlaskClient) -> None:
    query = f"{USUAL}{TROMSO}&first=2027-06-10&last=2027-06-16"
    found = results(client, query)
    assert {day["state"] for day in found["days"]} == {"polar_day"}
    assert found["days"][0]["light_from"] == "2027-06-10T00:00:00+02:00"
    assert found["days"][0]["light_until"] == "2027-06-11T00:00:00+02:00"
    always = found["always_light"]
    assert always["from"] == always["until"]  # 24 hours
    assert "up all day" in page(client, query)


# -- what is missing, and what is wrong -------------------------------------------------------------------------


def test_nothing_typed(client: FlaskClient) -> None:
    found = ask(client, "")
    assert set(found["results"]) == KEYS
    # A place brings its zone along.
    assert found["needs"] == ["site"]
    assert found["results"]["days"] is found["results"]["light_share"] is None


def test_a_missing_zone_is_asked_for(client: FlaskClient) -> None:
    query = f"{USUAL}&lat=40.4167&lon=-3.7033&first=2027-03-01&last=2027-03-07"
    found = ask(client, query)
    assert set(found["results"]) == KEYS
    assert found["needs"] == ["tz"]
    proposals = found["results"]["zone_proposals"]
    assert proposals[0]["zone"] == "Europe/Madrid"
    assert proposals[0]["distance_km"] < 5
    given = ("site", "zone_proposals", "zone_rules", "zone_rules_origin")
    assert all(found["results"][key] is None for key in KEYS.difference(given))
    assert found["results"]["site"]["zone"] is None
    words = page(client, query)
    assert "Use Europe/Madrid, as in Madrid" in words
    assert "<svg" not in raw(client, query)


def test_the_quick_check_without_a_last_day(client: FlaskClient) -> None:
    """The tests' clock stands at 2 March 2027, 09:00 UTC."""
    query = f"{USUAL}{MADRID}&first=2027-03-08"
    found = ask(client, query)
    assert found["needs"] == ["last"]
    assert found["results"]["days"] is None
    assert found["results"]["today"] == "2027-03-02"
    today, first = found["results"]["key_days"]
    assert (today["what"], today["date"], first["what"], first["date"]) == (
        "today",
        "2027-03-02",
        "first",
        "2027-03-08",
    )
    assert today["window_light_s"] == first["window_light_s"] == 36_000
    words = page(client, query)
    assert "is light enough today, Tue 2 Mar 2027" in words
    assert "In the window: 10 h of 10 h" in words


def test_today_is_the_date_at_the_site(client: FlaskClient) -> None:
    """At 09:00 UTC it is 23:00 of the same day in UTC+14, and 22:00 of the day before in UTC-11."""
    assert results(client, f"{USUAL}&lat=1.9&lon=-157.4&tz=Pacific/Kiritimati")["today"] == "2027-03-02"
    assert results(client, f"{USUAL}&lat=-14.3&lon=-170.7&tz=Pacific/Pago_Pago")["today"] == "2027-03-01"


def test_a_zone_far_from_the_sun_is_asked_about(client: FlaskClient) -> None:
    query = f"{USUAL}&lat=39.5&lon=76&tz=Asia/Shanghai&first=2027-03-01&last=2027-03-07"
    found = ask(client, query)
    assert found["results"]["noon_gap_h"] == pytest.approx(8 - 76 / 15)
    words = page(client, query)
    assert "Is Asia/Shanghai the right zone?" in words
    assert "2.9 h apart" in words
    assert any("76" in working["numbers"] for working in found["working"])
    assert "the right zone?" not in page(client, f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-07")


def test_a_city_says_how_good_it_is(client: FlaskClient) -> None:
    query = f"{USUAL}&place=Madrid&first=2027-03-01&last=2027-03-07"
    found = results(client, query)
    assert found["site"]["by_city"] is True
    assert found["site"]["zone"] == "Europe/Madrid"
    assert "some kilometres" in page(client, query)
    assert "some kilometres" not in page(client, f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-07")


def test_two_places_are_pointed_out(client: FlaskClient) -> None:
    found = ask(client, f"{USUAL}{MADRID}&place=Oslo&first=2027-03-01&last=2027-03-07")
    assert found["results"]["site"]["lat_deg"] == 40.4167
    assert any("more than one way" in note for note in found["notes"])


def test_no_recorded_day(client: FlaskClient) -> None:
    query = f"v=1&from=08:00&until=18:00&days=7&light=sun{MADRID}&first=2027-03-01&last=2027-03-05"
    found = results(client, query)
    assert found["light_share"] is found["always_light"] is None
    assert [day["recorded"] for day in found["days"]] == [False] * 5
    assert "Nothing is recorded" in page(client, query)


@pytest.mark.parametrize(
    ("name", "text"),
    [("lat", "91"), ("tz", "Mars/Olympus"), ("light", "moon"), ("last", "2020-01-01"), ("place", "Xyzzy")],
)
def test_wrong_input_is_a_sentence(client: FlaskClient, name: str, text: str) -> None:
    pairs = dict(pair.split("=") for pair in f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-07".split("&"))
    pairs[name] = text
    query = "&".join(f"{key}={value}" for key, value in pairs.items())
    for path in ("daylight", "daylight/days"):
        reply = client.get(f"/{path}.json?{query}")
        assert reply.status_code == 422
        assert set(reply.json["errors"]) == {name}
        assert set(reply.json["results"]) == KEYS
        assert reply.json["errors"][name] in page(client, query, path)


def test_cautions_and_limits_are_shown(client: FlaskClient) -> None:
    words = page(client, f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-07")
    assert "off by a minute or more even under ideal conditions (USNO)" in words
    assert "Never look at the sun through a lens" in words
    assert "sea level" in words
    assert re.search(r"rules 20\d\d[a-z]", words)


# -- the picture and the table of all days ----------------------------------------------------------------------


def bars(path: str) -> list[tuple[float, float, float]]:
    """Return x, top and bottom of each upright line of a path of M, m and v."""
    found, x, y = [], 0.0, 0.0
    for command, text in re.findall(r"([Mmv])([^Mmv]*)", path):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", text)]
        if command == "v":
            found.append((x, y, y + numbers[0]))
            y += numbers[0]
        elif command == "M":
            x, y = numbers
        else:
            x, y = x + numbers[0], y + numbers[1]
    return found


def test_the_picture_shows_the_days(client: FlaskClient) -> None:
    """Seven days, one column each, six units an hour: the white bars are sunrise to sunset on the wall clock."""
    query = f"{USUAL}{MADRID}&first=2027-03-25&last=2027-03-31"
    days = results(client, query)["days"]
    paths = [path for path in picture(client, query).iter("path")]
    white = bars(paths[2].attrib["d"])
    assert len(white) == 7
    for (_x, top, bottom), day in zip(white, days, strict=True):
        rise, fall = instants([*day["sunrise"], *day["sunset"]])
        assert top == pytest.approx(rise.hour * 6 + rise.minute / 10, abs=0.6)
        assert bottom == pytest.approx(fall.hour * 6 + fall.minute / 10, abs=0.6)
    gaps = {round(b[0] - a[0], 1) for a, b in pairwise(white)}
    assert len(gaps) == 1
    # The window steps from 08:00 to 09:00 on the wall clock after three of the seven days.
    width = gaps.pop()
    edges = paths[-2].attrib["d"]
    assert edges.startswith(f"M11 48h{3 * width:.0f}v6h{4 * width:.0f}")


def test_a_window_over_midnight_is_not_drawn_as_its_opposite(client: FlaskClient) -> None:
    """The bars beside the picture stand over the recorded hours: 20:00 to 24:00 and 00:00 to 08:00."""
    query = f"v=1&days=1234567&light=sun{MADRID}&first=2027-06-10&last=2027-06-20&from="
    night, day = (
        [*picture(client, query + hours).iter("path")][-1].attrib["d"]
        for hours in ("20:00&until=08:00", "08:00&until=20:00")
    )
    assert night.startswith("M10 0V48M10 120V144")
    assert day.startswith("M10 48V120M")
    assert "over midnight" in page(client, query + "20:00&until=08:00")


def test_a_night_between_two_light_ends_is_not_all_light(client: FlaskClient) -> None:
    """Madrid in June: light at 20:00 and at 08:00, dark between; only frames in the light count."""
    query = f"v=1{MADRID}&first=2026-06-10&last=2026-06-20&from=20:00&until=08:00&days=1234567&interval=60s&light=sun"
    found = results(client, query)
    assert (found["frames"], found["begins_dark"], found["ends_dark"]) == (7_920, [], [])
    assert 0.2 < found["light_share"] < 0.3
    words = page(client, query)
    assert "All in the light" not in words
    assert "is dark between on 11 of 11 days" in words
    assert "light on every day" not in page(client, f"{query}&fps=25", "plan")


def test_sunsets_after_midnight_are_the_latest(client: FlaskClient) -> None:
    """Reykjavik in June: the sun sets from about 23:25 to a few minutes past midnight (recounted from the days)."""
    query = (
        "v=1&lat=64.15&lon=-21.95&tz=Atlantic/Reykjavik&first=2026-06-01&last=2026-06-30&from=08:00&until=18:00"
        "&days=1234567&light=sun"
    )
    clocks = [each[11:16] for day in results(client, query)["days"] for each in day["sunset"]]
    evening, night = min(c for c in clocks if c > "12"), max(c for c in clocks if c < "12")
    minute = r"Sunset (\d\d):(\d\d) – (\d\d):(\d\d)"
    words = page(client, query)
    first_h, first_min, last_h, last_min = map(int, re.search(minute, words).groups())
    assert abs(first_h * 60 + first_min - int(evening[:2]) * 60 - int(evening[3:])) <= 1
    assert abs(last_h * 60 + last_min - int(night[:2]) * 60 - int(night[3:])) <= 1
    assert "Sunset 00:00 – 23:59" not in words


def test_the_picture_of_a_polar_year(client: FlaskClient) -> None:
    query = f"{USUAL}{TROMSO}&first=2027-01-01&last=2027-12-31"
    svg = picture(client, query)
    white = bars(list(svg.iter("path"))[2].attrib["d"])
    heights = [bottom - top for _x, top, bottom in white]
    assert max(heights) == 144  # the sun is up from midnight to midnight
    columns = {x for x, _top, _bottom in white}
    assert len(columns) < 53  # and in some weeks there is no bar at all
    assert all(0 <= top < bottom <= 144 for _x, top, bottom in white)


@pytest.mark.parametrize(("last", "most"), [("2027-03-31", 12_500), ("2027-08-31", 13_000), ("2029-02-28", 17_500)])
def test_the_page_stays_small(client: FlaskClient, last: str, most: int) -> None:
    assert len(raw(client, f"{USUAL}{MADRID}&fps=30&first=2027-03-01&last={last}").encode()) <= most


def test_all_days_have_a_page_of_their_own(client: FlaskClient) -> None:
    query = f"{USUAL}{MADRID}&first=2027-03-01&last=2028-02-29"
    assert "All 366 days as a table" in page(client, query)
    assert raw(client, query, "daylight/days").count("<tr>") == 1 + 366
    assert ask(client, query, "daylight/days")["results"] == results(client, query)


def test_a_short_shoot_has_them_on_the_page(client: FlaskClient) -> None:
    query = f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-05"
    html = raw(client, query)
    assert html.count("<tr>") == 1 + 5
    assert "days as a table" not in html


def test_printed_to_the_nearest_minute(client: FlaskClient) -> None:
    """The minute nearest to the instant in the data, as sun tables print it."""
    query = f"{USUAL}{MADRID}&first=2027-03-01&last=2027-03-05"
    words = page(client, query)
    for day in results(client, query)["days"]:
        for instant in instants([*day["sunrise"], *day["sunset"]]):
            assert f"{instant + timedelta(seconds=30):%H:%M}" in words


@pytest.mark.parametrize(
    "query", ["&first=2027-01-01&last=2036-12-31", "&first=9989-12-25&last=9999-12-31", "&first=0001-01-01"]
)
def test_the_longest_and_the_furthest_shoots_answer(client: FlaskClient, query: str) -> None:
    began = time.monotonic()
    reply = client.get(f"/daylight?{USUAL}{MADRID}{query}")
    assert reply.status_code == 200
    assert time.monotonic() - began < 30  # only a runaway fails here; the benchmark measures
