"""The page ``/visits``: hand-worked dates, what to bring, impossible plans and their ways out, rhythms, windows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from urllib.parse import parse_qsl, urlsplit

import pytest

#: 600 frames on each weekday of June 2026, of forty whole FAT32 clusters; 3.96 GB of the card count: 3,021 frames.
SHOOT = {
    "v": "1",
    "first": "2026-06-01",
    "last": "2026-06-26",
    "from": "08:00",
    "until": "18:00",
    "days": "12345",
    "interval": "60s",
    "fps": "30",
    "frame_mb": "1.31072",
    "card_gb": "4",
    "visit_days": "12345",
}
FRAME_BYTES = 40 * 32_768
#: 50 mW round the clock are 1.2 Wh a day; at 25 °C nothing is lost to the cold.
BATTERY = {"cell": "li-ion", "battery_wh": "100", "standby_mw": "50", "frame_j": "0", "temp_c": "25"}
MADRID = {"lat": "40.4167", "lon": "-3.7033", "tz": "Europe/Madrid", "light": "sun"}
HALF_YEAR = {"first": "2027-03-01", "last": "2027-08-31", "card_gb": "64", "interval": "5min"}


@pytest.fixture
def ask(client):
    """Return a function from changes to the shoot (None takes a name out) to the results."""

    def get(status=200, what="results", **changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        answered = client.get("/visits.json", query_string=query)
        assert answered.status_code == status
        return answered.get_json()[what]

    return get


@pytest.fixture
def read(client):
    """Return a function from changes to the shoot to a page's text, without the spaces that don't break."""

    def get(path="/visits", **changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        return client.get(path, query_string=query).get_data(as_text=True).replace("\u00a0", " ")

    return get


def test_the_visits_of_a_working_june_by_hand(ask):
    """Without a place visits come at noon. The first card ends on Monday the 8th, 08:21, so Friday the 5th it is.

    From there 360 frames of that day and four days of 600 leave 261: it ends on Friday the 12th at 12:21, after noon.
    The same again a week later, and on the last day itself; the camera is fetched on Monday.
    """
    results = ask()
    assert [visit["date"] for visit in results["visits"]] == [
        *("2026-06-05", "2026-06-12", "2026-06-19", "2026-06-26", "2026-06-29"),
    ]
    assert [visit["frames"] for visit in results["visits"]] == [2_640, 3_000, 3_000, 3_000, 360]
    first, *_middle, last = results["visits"]
    assert first["reasons"] == ["card_full"]
    assert first["before"] == "2026-06-08T08:21:00"
    assert first["slot"] is None
    used = 2_640 * FRAME_BYTES
    assert first["card_used_bytes"] == {"low": used, "expected": used, "high": used}
    assert first["battery_left_share"] == {"low": None, "expected": None, "high": None}
    unknown = dict.fromkeys(("batteries", "battery_wh", "cells", "cell"))
    assert first["bring"] == {"cards": 1, "card_gb": 4, **unknown}
    assert last["reasons"] == ["last_day"]
    assert last["bring"]["cards"] == 0
    assert results["totals"] == {"visits": 5, "cards": 5, "batteries": None, "km": None}
    assert results["impossible"] is None


def test_margin_skipped_dates_and_driving(ask):
    # Three days before Sunday the 7th, the last day in time, is Thursday; that one is left out here.
    results = ask(margin="3", visit_skip="2026-06-04", visit_km="80.5")
    assert results["visits"][0]["date"] == "2026-06-03"
    assert results["totals"]["km"] == pytest.approx(80.5 * len(results["visits"]))


def test_battery_and_card_together(ask):
    results = ask(**BATTERY, clean="10")
    first = results["visits"][0]
    # 96 hours and four of 1.2 Wh a day are 5 Wh; Li-ion gives 80 % of 100 Wh, and loses some by itself.
    assert first["battery_left_share"]["expected"] == pytest.approx(
        1 - (5 + 100 * 0.025 * 100 / 730.485) / 80, abs=1e-6
    )
    assert first["bring"]["batteries"] == 1
    assert first["bring"]["battery_wh"] == 100
    assert results["totals"]["batteries"] == results["totals"]["cards"] == 5


def test_what_is_not_renewed_is_not_brought(ask):
    results = ask(**BATTERY, renew="card,clock")
    assert results["visits"][0]["bring"]["batteries"] == 0
    assert results["totals"]["batteries"] == 1


def test_cells_are_brought_by_their_number(ask, read):
    cells = {"cell": "LR6", "cells": "8", "standby_mw": "5", "frame_j": "1", "temp_c": "20"}
    assert ask(**cells)["visits"][0]["bring"]["cells"] == 8
    assert "8 fresh cells" in read(**cells)


def test_slots_are_daylight_at_the_site(ask):
    """Madrid, 8 June 2026: sunrise 04:44:38, sunset 19:43:22 UTC, computed with skyfield 1.55 and JPL DE421."""
    visit = ask(**MADRID, card_gb="64", clean="7")["visits"][0]
    begin, end = (datetime.fromisoformat(visit["slot"][name]) for name in ("from", "until"))
    assert begin.utcoffset() == timedelta(hours=2)
    assert begin == datetime(2026, 6, 8, 4, 45, tzinfo=UTC)
    assert end == datetime(2026, 6, 8, 19, 43, tzinfo=UTC)


def test_a_slot_ends_before_it_would_be_too_late(ask):
    visit = next(visit for visit in ask(**MADRID, visit_days="1")["visits"] if visit["date"] == "2026-06-08")
    assert visit["slot"]["until"] == visit["before"] == "2026-06-08T08:21:00+02:00"


def test_the_clock_is_set_after_summer_time_begins(ask):
    """Madrid changes on Sunday 28 March 2027 (IANA database): Monday is the first visiting day."""
    results = ask(**MADRID, **HALF_YEAR, drift_max="10min")
    first = results["visits"][0]
    assert (first["date"], first["reasons"]) == ("2027-03-29", ["clock"])
    assert first["clock_error_s"]["low"] < -3_600 < first["clock_error_s"]["high"]
    assert first["slot"]["from"].endswith("+02:00")


def test_a_slot_isnt_cut_by_a_change_of_summer_time_ahead(ask):
    """The battery asks for Friday the 26th, two days before the change; that is nothing to be there before."""
    results = ask(**MADRID, **HALF_YEAR, **{**BATTERY, "battery_wh": "53"}, drift_max="10min")
    first, second = results["visits"][:2]
    assert (first["date"], first["reasons"]) == ("2027-03-26", ["battery_reserve"])
    assert first["before"] > "2027-03-28T03"
    assert (second["date"], second["reasons"]) == ("2027-03-29", ["clock"])


def test_a_clock_that_is_kept_needs_no_setting(ask):
    results = ask(**MADRID, **HALF_YEAR, drift_max="10min", clock="+01:00")
    assert [visit["reasons"] for visit in results["visits"]] == [["last_day"]]
    assert results["visits"][0]["slot"]["from"].endswith("+02:00")


def test_no_visit_is_needed(ask, read):
    assert ask(card_gb="64")["totals"] == {"visits": 1, "cards": 1, "batteries": None, "km": None}
    # With the battery unknown that is not said.
    assert "no visit" not in read(card_gb="64")
    assert "Battery not known" not in read(card_gb="64", power="mains")
    assert "no visit" in read(card_gb="64", power="mains")


@pytest.mark.parametrize(
    "changes",
    [
        {"card_gb": "1", "margin": "3"},
        {"card_gb": "4", "margin": "30"},
        {**BATTERY, "card_gb": "64", "battery_wh": "4", "margin": "3"},
        {**BATTERY, "card_gb": None, "cell": "FR6", "battery_wh": None, "cells": "1", "margin": "3", "temp_c": "20"},
        {"card_gb": "64", "clean": "3", "margin": "3"},
        {"card_gb": "4", "visit_days": "3", "visit_skip": "2026-06-03,2026-06-10"},
        {"renew": "battery"},
        {**BATTERY, "renew": "clock", "battery_wh": "10"},
    ],
)
def test_an_impossible_plan_says_why_and_each_way_out_works(client, ask, changes):
    results = ask(**changes)
    assert results["impossible"].startswith("Impossible: ")
    assert results["impossible"].endswith(".")
    assert results["totals"]["visits"] is None
    assert results["changes"]
    for change in results["changes"]:
        link = urlsplit(change["link"])
        changed = client.get(link.path + ".json", query_string=parse_qsl(link.query)).get_json()
        assert changed["errors"] == {}
        assert changed["results"]["impossible"] is None, change
        assert changed["results"]["visits"][-1]["reasons"] == ["last_day"]


def test_a_smaller_margin_is_the_largest_that_works(ask):
    """The card lasts to Wednesday the 3rd, 08:21 with 1,200 frames and 2 % of a third day: arrival on Tuesday."""
    results = ask(card_gb="1.6", visit_days="1234567", margin="5")
    words = [change["words"].replace("\u00a0", " ") for change in results["changes"]]
    assert "No margin" in words
    assert "on Wed 3 Jun 2026, 08:0" in results["impossible"].replace("\u00a0", " ")


def test_what_nothing_makes_possible_says_so(read):
    text = read(card_gb="0.1", interval="1s", settable="1s", frame_mb="1000")
    assert "Impossible" in text
    assert "No single change" in text


def test_what_is_missing_is_asked_for(ask, read):
    assert ask(what="needs", last=None, interval=None, card_gb=None) == ["last", "interval"]
    assert ask(what="needs", card_gb=None) == ["card_gb", "battery_wh", "clean"]
    assert ask(card_gb=None)["visits"] == []
    assert "One of these is enough" in read(card_gb=None)
    assert ask(card_gb=None, clean="7")["totals"] == {"visits": 4, "cards": None, "batteries": None, "km": None}


def test_what_is_not_counted_is_said(read):
    text = read(**MADRID, **HALF_YEAR)
    assert "Not known: battery (needs Battery energy" in text
    assert "somebody may be needed sooner" in text
    assert "The wall clock changes on Sun 28 Mar 2027" in text
    assert "Light isn't known" not in text.replace("&#39;", "'")
    assert "visits are taken at noon" in read()
    # A place is there: only the sun's least height is missing.
    told = read(**{**MADRID, "light": None}, **HALF_YEAR).replace("&#39;", "'")
    assert "Light isn't known (needs Light enough): visits are taken at noon." in told


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("margin", "-1", "Margin must be a number, like 12"),
        ("clean", "0", "Longest between visits must be between 1 and 3660 days"),
        ("visit_days", "89", "Visiting days must be digits from 1 (Monday) to 7 (Sunday), like 12345"),
        ("renew", "lens", "A visit renews must be some of card, battery, clock, or none"),
        ("drift_max", "soon", "Clock error accepted must be a length of time, like 45s, 2min or 1h30min"),
    ],
)
def test_wrong_inputs_give_a_sentence_and_no_dates(ask, name, text, sentence):
    errors = ask(status=422, what="errors", **{name: text})
    assert list(errors) == [name]
    if name != "margin":
        assert errors[name] == sentence
    assert ask(status=422, **{name: text})["visits"] == []


def test_rhythms_by_hand(ask):
    rows = ask(card_gb="8")["rhythms"]
    assert [row["rhythm"] for row in rows[::3]] == ["weekly", "fortnightly", "monthly", "two-monthly", "none"]
    by = {(row["rhythm"], row["interval_s"]): row for row in rows}
    assert sorted({row["interval_s"] for row in rows}) == [30, 60, 120]
    weekly = by["weekly", 60]
    # The first stretch is the fullest, from Monday at eight to noon a week later: 3,240 frames, 4.25 GB. 20 days of 600
    # frames are 400 s of clip.
    assert weekly["visits"] == 3
    assert weekly["card_lasts"] is True
    assert weekly["holds"] is None  # the battery isn't known
    assert weekly["card_gb"] == 8
    assert weekly["clip_s"] == 400
    assert by["weekly", 30]["holds"] is False  # 6,480 frames, 8.5 GB
    assert by["none", 60]["card_gb"] == 16  # 12,000 × 1,310,720 B = 15.73 GB of 15.84
    assert by["none", 60]["battery_lasts"] is None
    assert next(row for row in ask(card_gb="4")["rhythms"] if row["interval_s"] == 60)["holds"] is False


def test_a_rhythms_battery(ask):
    rows = ask(**{**BATTERY, "battery_wh": "20", "card_gb": "64"})["rhythms"]
    by = {row["rhythm"]: row for row in rows if row["interval_s"] == 60}
    # 20 Wh give 16, of which 20 % are kept: 12.8 Wh last ten days of 1.2 Wh, not the whole month.
    assert by["weekly"]["battery_lasts"] is True
    assert by["weekly"]["battery_wh_needed"] is None
    assert by["none"]["battery_lasts"] is False
    span_h = 25 * 24 + 10
    given_share = 0.8 * 0.8 - 0.03 * span_h / 730.485  # self-discharge of 3 % a month at the pessimistic end
    assert by["none"]["battery_wh_needed"] == pytest.approx(0.05 * span_h / given_share, rel=1e-9)


def test_the_windows_between_visits(ask, read):
    results = ask(**MADRID, **HALF_YEAR, clean="60")
    stretches = results["stretches"]
    assert stretches[0]["first"] == "2027-03-01"
    assert sum(stretch["recorded_days"] for stretch in stretches) == 132
    fixed, total = results["fixed_window"], sum(s["recorded_days"] * s["window"]["length_s"] for s in stretches)
    assert results["light_gained_share"] == pytest.approx(total / (132 * fixed["length_s"]) - 1)
    assert results["light_gained_share"] > 0
    assert all(stretch["window"]["length_s"] >= fixed["length_s"] for stretch in stretches)
    assert "Longest light window" in read("/visits/all", **MADRID, **HALF_YEAR, clean="60")


def test_a_long_list_is_cut_and_stands_in_full_elsewhere(ask, read):
    changes = {**MADRID, **HALF_YEAR, "clean": "10"}
    every = len(ask(**changes)["visits"])
    assert every > 15
    short, full = read(**changes), read("/visits/all", **changes)
    assert short.count("<dt>") < every < full.count("<dt>")
    assert f"All {every} visits" in short
    assert f"All {every} visits" not in full
    assert "/visits/all" in short


def test_cautions_stand_with_the_tables_numbers(read):
    text = read()
    for words in ("Ladder", "10 ft (3 m)", "20 ft (6.1 m)", "30 min", "below 0 °C", "at the sun", "Follow local codes"):
        assert words in text


def test_more_visits_than_anybody_makes(ask, read):
    results = ask(last="2028-06-26", card_gb="64", clean="1", visit_days="1234567")
    assert "more than 400 visits" in results["impossible"]
    assert [change["words"] for change in results["changes"]] == ["Up to 2\u00a0days between visits"]
    assert "Impossible" in read(last="2028-06-26", card_gb="64", clean="1", visit_days="1234567")


def test_rhythms_look_at_summer_time_as_the_list_does(ask):
    """Two years in London, ten minutes of error accepted, no drift: only changes of summer time call for visits."""
    query = {
        **{"first": "2026-06-01", "last": "2028-05-31", "battery_wh": "20000", "standby_mw": "10", "frame_j": "1"},
        **{"temp_c": "20", "card_gb": "512", "drift": "0", "drift_max": "10min", "margin": None, "interval": "1h"},
        **{"lat": "51.5", "lon": "-0.1", "tz": "Europe/London", "light": "sun", "visit_days": None},
    }
    found = ask(**query)
    assert [visit["reasons"] for visit in found["visits"]] == [["clock"]] * 4 + [["last_day"]]
    by = {row["rhythm"]: row["holds"] for row in found["rhythms"] if row["interval_s"] == 3600}
    # A change is on a Sunday and corrected on that day or the next; rhythms that begin on a Monday come six days late.
    assert by["none"] is False
    assert by["two-monthly"] is False


#: Three months, all typed that visits rest on but card and battery.
BARE = (
    "first=2027-06-01&last=2027-08-31&interval=5min&from=08:00&until=18:00&days=1234567&fps=25&kept=100&temp_c=20"
    "&battery_reserve=20&margin=3&visit_days=12345&drift=1.7&renew=card,battery,clock"
)


def test_what_the_camera_has_not_is_not_asked_for(client):
    """On mains with what is recorded sent away nothing runs out: that is known, and no visit is."""

    def answer(absent: str):
        return client.get(f"/visits.json?v=1&{BARE}{absent}").get_json()

    assert answer("&power=mains&kept_on=sent")["needs"] == []
    assert answer("&power=mains&kept_on=sent")["verdict"]["state"] == "holds"
    assert "no visit" in client.get(f"/visits?v=1&{BARE}&power=mains&kept_on=sent").text
    assert answer("&power=mains")["needs"] == ["card_gb", "clean"]
    assert answer("&kept_on=sent")["needs"] == ["battery_wh", "clean"]


def test_a_battery_that_contradicts_itself_carries_no_rhythm(client):
    battery = "&battery_wh=20000&battery_mah=100&battery_v=3.6&standby_mw=50&frame_j=2"
    query = f"v=1&{BARE}{battery}&card_gb=64&size=1920x1080&picture=standard&name=A"
    rows = client.get(f"/visits.json?{query}").get_json()["results"]["rhythms"]
    assert rows
    assert {(row["battery_lasts"], row["holds"]) for row in rows} == {(None, None)}
    run = client.get("/run.json", query_string={"plan": f"/plan?{query}"}).get_json()["results"]
    assert [one["what"] for one in run["not_counted"]] == ["battery"]
