"""The calendar of visits, read back by icalendar and by vobject and by eye, against RFC 5545."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from icalendar import Calendar
from test_page_visits import HALF_YEAR, MADRID, SHOOT

from webcalc.calc.schedule.zone import load_zone
from webcalc.web.handover.calendar_file import Entry, calendar_file, entry_uid

FULL = {**SHOOT, **MADRID, **HALF_YEAR, "clean": "45", "drift_max": "10min", "name": "North mast"}
NOW = datetime(2027, 3, 2, 9, tzinfo=UTC)


@pytest.fixture
def fetch(client):
    """Return a function from changes to the plan to the parsed calendar and its text."""

    def get(**changes):
        query = {name: text for name, text in {**FULL, **changes}.items() if text is not None}
        answered = client.get("/visits.ics", query_string=query)
        assert answered.status_code == 200
        assert answered.content_type == "text/calendar; charset=utf-8"
        assert answered.headers["Content-Disposition"].startswith("attachment; filename=")
        return Calendar.from_ical(answered.data), answered.data

    return get


def by_uid(calendar) -> dict[str, dict[str, object]]:
    return {str(event["UID"]): event for event in calendar.walk("VEVENT")}


def live(calendar) -> list:
    """Return the entries that aren't called off (RFC 5545, 3.8.1.11)."""
    return [event for event in calendar.walk("VEVENT") if event.get("STATUS") != "CANCELLED"]


def assert_valid(data: bytes) -> None:
    """Check what RFC 5545 asks of every line and every component."""
    assert data.endswith(b"\r\n")
    lines = data.split(b"\r\n")
    assert b"\n" not in b"".join(lines)
    assert max(len(line) for line in lines) <= 75  # section 3.1: octets without the line break
    data.decode("utf-8")
    for line in lines:
        line.decode("utf-8")  # a fold within a character would break one of its halves
    calendar = Calendar.from_ical(data)
    assert calendar["VERSION"] == "2.0"  # 3.6: PRODID and VERSION are required
    assert calendar["PRODID"]
    zones = {str(zone["TZID"]) for zone in calendar.walk("VTIMEZONE")}
    events = calendar.walk("VEVENT")
    assert len(by_uid(calendar)) == len(events)
    for event in events:
        assert event["UID"]
        assert event["DTSTAMP"].dt.tzinfo is not None  # 3.8.7.2: in UTC
        assert event["DTSTAMP"].dt.utcoffset() == timedelta(0)
        begin = event["DTSTART"]
        if isinstance(begin.dt, datetime) and "TZID" in begin.params:
            assert begin.params["TZID"] in zones  # 3.2.19: a TZID needs its VTIMEZONE
        if "DTEND" in event:
            assert type(event["DTEND"].dt) is type(begin.dt)  # 3.8.2.2
            assert event["DTEND"].dt > begin.dt
        for alarm in event.walk("VALARM"):
            assert alarm["ACTION"] == "DISPLAY"  # 3.6.6: then DESCRIPTION and TRIGGER are required
            assert alarm["DESCRIPTION"]
            # Six in the evening of the day before, by the entry's own clock.
            rings = (
                begin.dt.astimezone(UTC) + alarm["TRIGGER"].dt if begin.dt.tzinfo else begin.dt + alarm["TRIGGER"].dt
            )
            rings = rings.astimezone(begin.dt.tzinfo) if begin.dt.tzinfo else rings
            assert (rings.date(), rings.hour) == (begin.dt.date() - timedelta(1), 18)
    for zone in calendar.walk("VTIMEZONE"):
        rules = [*zone.walk("STANDARD"), *zone.walk("DAYLIGHT")]
        assert rules  # 3.6.5: at least one, with DTSTART, TZOFFSETFROM and TZOFFSETTO
        for rule in rules:
            assert rule["DTSTART"].dt.tzinfo is None
            assert {"TZOFFSETFROM", "TZOFFSETTO"} <= set(rule)


def test_the_calendar_holds_visits_days_and_changes(client, fetch):
    calendar, data = fetch()
    assert_valid(data)
    events = live(calendar)
    visits = client.get("/visits.json", query_string=FULL).get_json()["results"]["visits"]
    timed = [event for event in events if isinstance(event["DTSTART"].dt, datetime)]
    assert [event["DTSTART"].dt.isoformat() for event in timed] == [visit["slot"]["from"] for visit in visits]
    # An hour at the camera, own choice; the light lasts longer on these days.
    assert {event["DTEND"].dt - event["DTSTART"].dt for event in timed} == {timedelta(hours=1)}
    for event in events:
        # 3.8.1.6: latitude and longitude in degrees, 3.8.1.7 and 3.8.4.6: place and address.
        assert (event["GEO"].latitude, event["GEO"].longitude) == (40.4167, -3.7033)
        assert "40.41670, -3.70330" in str(event["LOCATION"])
        assert str(event["URL"]).startswith("http://localhost/visits?v=1")
    assert {event["DTSTART"].params["TZID"] for event in timed} == {"Europe/Madrid"}
    assert all(len(event.walk("VALARM")) == 1 for event in timed)
    days = {str(event["SUMMARY"]): event["DTSTART"].dt for event in events if event not in timed}
    assert days == {
        "North mast: first day": date(2027, 3, 1),
        "North mast: last day": date(2027, 8, 31),
        "North mast: wall clock goes forward 1\u00a0h; the camera clock doesn't": date(2027, 3, 28),
    }
    unknown = "; battery not known: maybe sooner"
    assert str(timed[0]["SUMMARY"]) == f"North mast: visit 1 of {len(timed) - 1} (set the clock){unknown}"
    assert "Bring 1\u00a0card of 64\u00a0GB" in str(timed[0]["DESCRIPTION"])
    assert str(timed[-1]["SUMMARY"]) == f"North mast: fetch the camera{unknown}"
    assert "somebody may be needed sooner" in str(timed[0]["DESCRIPTION"])


def test_importing_again_updates(fetch):
    """A plan that changes a little keeps its UIDs; SEQUENCE and DTSTAMP tell which is newer."""
    before, after = by_uid(fetch()[0]), by_uid(fetch(clean="44", margin="1")[0])
    assert set(before) & set(after)
    moved = [uid for uid in set(before) & set(after) if before[uid]["DTSTART"].dt != after[uid]["DTSTART"].dt]
    assert moved
    assert {int(event["SEQUENCE"]) for event in before.values()} == {
        (NOW - datetime(2020, 1, 1, tzinfo=UTC)).days * 1440 + 540
    }
    assert {event["DTSTAMP"].dt for event in before.values()} == {NOW}
    later = calendar_file([("North mast", Entry("visit", 1, "x", date(2027, 3, 1)))], "x", NOW + timedelta(hours=1), [])
    event = next(iter(Calendar.from_ical(later).walk("VEVENT")))
    assert int(event["SEQUENCE"]) > int(before[str(event["UID"])]["SEQUENCE"])


def test_a_shorter_list_calls_off_what_it_no_longer_needs(fetch):
    """3.8.1.11: STATUS:CANCELLED; 3.7.2: the method is PUBLISH. A longer plan's UIDs are told again or called off."""
    longer, shorter = fetch(clean="10")[0], fetch(clean="45")[0]
    kept, cancelled = live(shorter), [event for event in shorter.walk("VEVENT") if "STATUS" in event]
    assert shorter["METHOD"] == "PUBLISH"
    gone = {str(event["UID"]) for event in live(longer)} - {str(event["UID"]) for event in kept}
    assert 3 < len(gone) <= 20
    assert gone <= {str(event["UID"]) for event in cancelled}
    assert len(cancelled) == 20
    assert all(event["STATUS"] == "CANCELLED" and not event.walk("VALARM") for event in cancelled)


def test_another_library_reads_the_same(fetch):
    """vobject, which shares no code with what writes the file."""
    calendar, data = fetch()
    other = vobject.readOne(data.decode())
    told = {event.uid.value: event for event in other.vevent_list}
    assert set(told) == set(by_uid(calendar))
    for uid, event in by_uid(calendar).items():
        there = told[uid]
        assert there.summary.value == str(event["SUMMARY"])
        assert there.dtstart.value == event["DTSTART"].dt
        assert there.sequence.value == str(event["SEQUENCE"])
        assert [alarm.trigger.value for alarm in there.contents.get("valarm", [])] == [
            alarm["TRIGGER"].dt for alarm in event.walk("VALARM")
        ]
    assert other.method.value == "PUBLISH"


def test_the_calendars_name_is_escaped(fetch):
    """3.3.11: a comma, a semicolon and a backslash in a text have a backslash before them."""
    data = fetch(name="North; mast, 2\\b")[1]
    assert b"X-WR-CALNAME:North\\; mast\\, 2\\\\b\r\n" in data


def test_the_alarm_rings_at_six_over_a_change_of_the_clock():
    """Summer time begins on 28 March 2027 at 2 in Madrid (Directive 2000/84/EC): from six to nine 14 h, not 15."""
    zone = load_zone("Europe/Madrid")
    entry = Entry("visit", 1, "x", datetime(2027, 3, 28, 9, tzinfo=zone), rings=True)
    event = Calendar.from_ical(calendar_file([("c", entry)], "x", NOW, [zone])).walk("VALARM")[0]
    assert event["TRIGGER"].dt == timedelta(hours=-14)


def test_other_cameras_have_other_uids(fetch):
    assert not set(by_uid(fetch()[0])) & set(by_uid(fetch(name="South mast")[0]))
    assert not set(by_uid(fetch(name=None)[0])) & set(by_uid(fetch(name=None, lat="40.5")[0]))
    assert entry_uid("a", "visit", 1) != entry_uid("a", "visit", 2) != entry_uid("a", "fetch", 2)


@pytest.mark.parametrize(
    "name",
    [
        'a;b,c\\d:e"f',
        "BEGIN:VEVENT",
        "x\r\nEND:VCALENDAR",
        "ü" * 60,
        "👩\u200d🔧" * 20,
        "<script>alert(1)</script>",
        "../../etc/passwd",
    ],
)
def test_a_hostile_name_stays_a_name(fetch, name):
    calendar, data = fetch(name=name)
    assert_valid(data)
    kept = name.replace("\r\n", "")
    assert len(calendar.walk("VEVENT")) == len(fetch()[0].walk("VEVENT"))
    assert str(calendar.walk("VEVENT")[0]["SUMMARY"]) == f"{kept}: first day"


@settings(max_examples=100, deadline=None)
@given(
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=200),
    st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300),
)
def test_any_words_come_back(summary, description):
    entry = Entry("visit", 1, summary, date(2027, 3, 1), description=description, rings=True)
    data = calendar_file([("camera", entry)], summary, NOW, [])
    event = Calendar.from_ical(data).walk("VEVENT")[0]
    assert str(event["SUMMARY"]) == summary
    assert str(event.get("DESCRIPTION", "")) == description
    assert max(len(line) for line in data.split(b"\r\n")) <= 75


def test_without_a_zone_times_float(fetch):
    calendar, data = fetch(tz=None)
    assert_valid(data)
    assert not calendar.walk("VTIMEZONE")
    timed = [event["DTSTART"].dt for event in calendar.walk("VEVENT") if isinstance(event["DTSTART"].dt, datetime)]
    assert timed
    assert all(at.tzinfo is None and at.hour == 12 for at in timed)


@pytest.mark.parametrize(
    "key", ["Europe/London", "America/New_York", "Australia/Sydney", "Africa/Casablanca", "America/Phoenix"]
)
def test_the_zones_rules_tell_the_right_offset(key):
    """Every six hours of 2026 and 2027, the offset by the VTIMEZONE's rules as RFC 5545, section 3.6.5, reads them."""
    zone = load_zone(key)
    entries = [
        ("c", Entry("visit", n, "x", datetime(year, 1, 2, 9, tzinfo=zone))) for n, year in enumerate((2026, 2028))
    ]
    calendar = Calendar.from_ical(calendar_file(entries, "x", NOW, [zone]))
    component = calendar.walk("VTIMEZONE")[0]
    rules = sorted(
        (rule["DTSTART"].dt - rule["TZOFFSETFROM"].td, rule["TZOFFSETTO"].td)
        for rule in (*component.walk("STANDARD"), *component.walk("DAYLIGHT"))
    )
    at = datetime(2026, 1, 2)
    while at < datetime(2028, 1, 2):
        told = [offset for begins, offset in rules if begins <= at][-1]
        assert (
            told == at.replace(tzinfo=UTC).astimezone(ZoneInfo(key) if key != "Africa/Casablanca" else zone).utcoffset()
        )
        at += timedelta(hours=6)


@pytest.mark.parametrize(
    "changes",
    [
        {"card_gb": "0.1"},
        {"margin": "x"},
        {"last": None, "card_gb": None},
        {"card_gb": None, "clean": None, "drift_max": None},
    ],
)
def test_without_a_plan_there_is_no_calendar(client, changes):
    query = {name: text for name, text in {**FULL, **changes}.items() if text is not None}
    answered = client.get("/visits.ics", query_string=query)
    assert answered.status_code == 422
    assert answered.mimetype == "text/plain"
    assert "no plan of visits" in answered.get_data(as_text=True)


def test_a_noted_visit_keeps_its_entry(fetch):
    """Of the visit noted nothing is told any more: it stays as it was imported; the next one is the second."""
    before, after = fetch()[0], fetch(did="2027-03-02T09:00,card,battery,clock")[0]
    first = next(event for event in live(before) if "visit 1 of" in str(event["SUMMARY"]))
    assert str(first["UID"]) not in by_uid(after)
    assert any("visit 2 of" in str(event["SUMMARY"]) for event in live(after))
