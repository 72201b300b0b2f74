"""The list ``/run``: hand-counted drives, lines that are wrong, what to pack, the calendar, and anything pasted."""

from __future__ import annotations

import re
from collections import Counter
from datetime import timedelta
from html import unescape
from time import process_time
from urllib.parse import parse_qs, quote, urlencode, urlsplit

import icalendar
import pytest
from house import NOW
from hypothesis import given, settings
from hypothesis import strategies as st
from laws import plain_words
from markup import Markup
from strategies import NASTY

HOST = "http://10.0.0.5:8000"
#: Everything new on 1 March 2027; looked after every 20 days, 3 days early, on any day: 18 March at the latest.
PLAN = {
    "v": "1",
    "name": "North mast",
    "first": "2027-03-01",
    "last": "2027-05-31",
    "from": "08:00",
    "until": "18:00",
    "days": "1234567",
    "interval": "60s",
    "frame_mb": "1",
    "card_gb": "128",
    "margin": "3",
    "clean": "20",
}
#: 22 days, 3 early: 20 March, brought forward to 18 March.
SOUTH = {"name": "South gate", "clean": "22", "card_gb": "256"}
#: 30 days, 3 early: 28 March.
BRIDGE = {"name": "Bridge", "clean": "30"}
#: 50 mW round the clock are 1.2 Wh a day: 100 Wh last far beyond the shoot.
BATTERY = {"cell": "li-ion", "battery_wh": "200", "standby_mw": "50", "frame_j": "0", "temp_c": "25"}
MADRID = {"lat": "40.4167", "lon": "-3.7033", "tz": "Europe/Madrid", "light": "sun"}


def link(path="/plan", **changes):
    pairs = {name: text for name, text in {**PLAN, **changes}.items() if text is not None}
    return f"{HOST}{path}?{urlencode(pairs, quote_via=quote)}"


@pytest.fixture
def ask(client):
    """Return a function from lines to the body of the data, sent as a form."""

    def get(*lines, status=200, **more):
        answered = client.post("/run.json", data={"plan": "\r\n".join(lines), **more})
        assert answered.status_code == status
        return answered.get_json()

    return get


@pytest.fixture
def page(client):
    """Return a function from lines to the page's text, tags kept."""

    def get(*lines, **more):
        answered = client.get("/run", query_string=[*(("plan", line) for line in lines), *more.items()])
        assert answered.status_code == 200
        return unescape(answered.get_data(as_text=True)).replace("\u00a0", " ")

    return get


def stops(body):
    return [(stop["date"], [seen["name"] for seen in stop["cameras"]]) for stop in body["results"]["stops"]]


def test_drives_in_date_order(ask):
    """From 18 March 17 and 19 days on: 4 April and 6 April; the bridge 27 days after 28 March: 24 April."""
    body = ask(link(), link(**SOUTH), link(**BRIDGE))
    assert stops(body) == [
        ("2027-03-18", ["North mast", "South gate"]),
        ("2027-03-28", ["Bridge"]),
        ("2027-04-04", ["North mast", "South gate"]),
        ("2027-04-21", ["North mast", "South gate", "Bridge"]),
    ]
    first = body["results"]["stops"][0]
    assert [seen["due"] for seen in first["cameras"]] == ["2027-03-18", "2027-03-20"]
    assert first["cameras"][0]["reasons"] == ["cleaning"]
    assert [seen["line"] for seen in first["cameras"]] == [1, 2]
    # 8 weeks from 2 March, both counted, end on 26 April
    assert (body["results"]["since"], body["results"]["until"]) == ("2027-03-02", "2027-04-26")
    later = {camera["name"]: camera["date"] for camera in body["results"]["later"]}
    assert later == {"North mast": "2027-05-08", "South gate": "2027-05-10", "Bridge": "2027-05-18"}
    assert body["errors"] == {}


def test_what_to_pack(ask, page):
    """A card each; the batteries aren't known, so no number is told."""
    body = ask(link(), link(**SOUTH), link(**BRIDGE))
    bring = body["results"]["stops"][0]["bring"]
    assert bring["cards"] == 2
    assert bring["batteries"] is None
    assert Counter(item["card_gb"] for item in bring["items"]) == {128: 1, 256: 1}
    totals = body["results"]["totals"]
    assert (totals["stops"], totals["cards"], totals["batteries"]) == (4, 8, None)
    shown = page(link(), link(**SOUTH))
    assert "bring 1 card of 128 GB, 1 card of 256 GB, batteries of 2 cameras not known" in shown
    assert "To pack<dd>3 cards of 128 GB, 3 cards of 256 GB, batteries of 6 cameras not known" in shown


def test_what_the_dates_dont_count_is_said(ask, page):
    lines = (link(**BATTERY), link(**SOUTH), link(**{**BRIDGE, "card_gb": None}))
    assert [(each["line"], each["what"]) for each in ask(*lines)["results"]["not_counted"]] == [
        (3, "card"),
        (2, "battery"),
        (3, "battery"),
    ]
    shown = page(*lines)
    assert "Not known: card of Bridge; battery of South gate, Bridge." in shown
    assert "They may need somebody sooner" in shown
    assert "Not known" not in page(link(**BATTERY))


def test_batteries_are_packed_where_they_are_known(ask, page):
    bodies = ask(link(**BATTERY), link(**{**BATTERY, "battery_wh": "100"}, **SOUTH))
    assert bodies["results"]["totals"]["batteries"] == 6
    shown = page(link(**BATTERY), link(**{**BATTERY, "battery_wh": "100"}, **SOUTH))
    assert "1 full battery of 200 Wh Li-ion, 1 full battery of 100 Wh Li-ion" in shown


def test_a_bad_line_is_told_by_its_number_and_the_rest_works(ask, page):
    lines = [
        "",
        "Please look at the north mast",
        link(),
        link(last="soon", name="A"),
        link(last=None, card_gb=None, name="B"),
        link(),
    ]
    lines += [link(card_gb=None, clean=None, name="C"), link(clean="3", margin="4", name="Too often")]
    body = ask(*lines)
    errors = {error["line"]: error["sentence"].replace("\u00a0", " ") for error in body["results"]["errors"]}
    assert errors.pop(8).startswith(
        "Too often: Impossible: the longest time between visits is over on Thu 4 Mar 2027, "
    )
    assert errors == {
        2: "There is no plan in this line.",
        4: "Last day must be a date, like 2027-03-01 or 1 Mar 2027.",
        5: "The plan lacks: Last day.",
        6: "This is the same plan as in line 3.",
        7: "Nothing in the plan calls for a visit: neither card nor battery is known, nor the days between.",
    }
    assert body["errors"]["line 2"] == "There is no plan in this line."
    assert stops(body)[0] == ("2027-03-18", ["North mast"])
    shown = page(*lines)
    assert "<li>Line 2: There is no plan in this line." in shown
    assert "<title>Error: Several cameras: 18 Mar 2027" in shown
    assert "is the next drive (Thu): North mast (clean and look, battery not known: maybe sooner)." in shown


def test_no_good_line_at_all(ask, page):
    assert ask("nothing", status=422)["results"]["stops"] == []
    assert ask(status=200)["needs"] == ["plan"]
    assert "Line 1: There is no plan in this line." in page("nothing")
    assert "class=figure" not in page("nothing")


def test_a_plan_from_anywhere_is_read_and_not_followed(ask):
    bare = link().partition("?")[2]
    for text in (link(), f"North: {link()} thanks", bare, f"/visits?{bare}", f"https://example.org/x?{bare}"):
        assert stops(ask(text))[0] == ("2027-03-18", ["North mast"]), text


def test_a_camera_without_a_name_is_told_by_its_line(ask):
    assert stops(ask("", link(name=None)))[0] == ("2027-03-18", ["Camera of line 2"])


def test_the_last_visit_counts_where_it_is_known(ask):
    """20 days less 3 after 10 March."""
    assert stops(ask(link(since="2027-03-10T11:00")))[0] == ("2027-03-27", ["North mast"])


def test_visits_before_today_are_taken_as_made(client, ask):
    """Begun on 1 February, seen on 18 February: 17 days later it is 7 March."""
    assert stops(ask(link(first="2027-02-01")))[0] == ("2027-03-07", ["North mast"])


@pytest.mark.parametrize(
    ("ahead", "until", "count"), [("14", "2027-03-15", 0), ("1 month", "2027-04-01", 1), ("120mo", "2037-03-01", 6)]
)
def test_how_far_to_look(ask, ahead, until, count):
    """18 March, 4 and 21 April, 8 and 25 May, and the camera fetched at the end."""
    body = ask(link(), ahead=ahead)
    assert body["results"]["until"] == until
    assert len(body["results"]["stops"]) == count


def test_a_shoot_that_is_over_is_named(ask, page):
    done = link(first="2026-03-01", last="2026-06-30", name="Old quay")
    assert ask(done, link())["results"]["over"] == [{"line": 1, "name": "Old quay"}]
    assert "The shoot is over, and the camera taken as fetched: Old quay." in page(done, link())


def test_no_drive_soon(page):
    shown = page(link(), ahead="14")
    # The battery isn't known, so nobody says that no drive is needed.
    assert "Not known yet</p>" in shown
    assert "whether a drive is needed to Mon 15 Mar 2027." in shown
    assert "No drive</p>" in page(link(power="mains"), ahead="14")
    assert "North mast<dd>Thu 18 Mar 2027" in shown


def test_a_look_ahead_that_is_none(ask):
    assert ask(link(), ahead="soon", status=422)["errors"] == {
        "": "Look ahead must be days, weeks or months, like 42, 6 weeks or 3 months."
    }


def test_a_hundred_cameras_and_no_more(ask):
    lines = [link(name=f"Camera {n}") for n in range(102)]
    body = ask(*lines, ahead="1 month")
    assert [error["line"] for error in body["results"]["errors"]] == [101, 102]
    assert len(body["results"]["stops"][0]["cameras"]) == 100


def test_forty_cameras_for_two_years_are_quick(client):
    """A bound that a slow machine keeps too; some three seconds of work were measured."""
    lines = [
        link(name=f"Camera {n}", first=f"2027-03-{1 + n % 28:02}", last="2029-02-28", clean=None, days="12345")
        + "&"
        + urlencode({**BATTERY, **MADRID, "standby_mw": str(100 + n), "frame_j": "8"})
        for n in range(40)
    ]
    begun = process_time()
    answered = client.post("/run.json", data={"plan": "\n".join(lines), "ahead": "120mo"})
    assert process_time() - begun < 20
    results = answered.get_json()["results"]
    assert results["errors"] == []
    assert sum(len(stop["cameras"]) for stop in results["stops"]) > 400


# -- how drives are put together --------------------------------------------------------------------------------


def two_years(**more):
    """Six cameras that are each due by the battery, at different times."""
    return [
        link(name=f"Camera {n}", first="2027-03-01", last="2029-02-28", clean=None, days="12345")
        + "&"
        + urlencode({**BATTERY, **MADRID, "standby_mw": str(60 + 23 * n), "frame_j": "8", **more})
        for n in range(6)
    ]


def test_what_coming_early_saves(ask):
    trade = ask(*two_years(), ahead="6mo", compare="yes")["results"]["trade"]
    assert [one["early_days"] for one in trade] == [0, 3, 7, 14, 28]
    drives, visits = ([one[name] for one in trade] for name in ("drives", "camera_visits"))
    # Whoever may come earlier never needs more drives; whoever comes only when it is due makes the fewest visits.
    assert drives == sorted(drives, reverse=True)
    assert drives[-1] < drives[0]
    assert visits[0] == min(visits)
    # What is asked for is what was compared.
    for one in trade:
        assert len(ask(*two_years(), ahead="6mo", early=str(one["early_days"]))["results"]["stops"]) == one["drives"]
    assert ask(*two_years())["results"]["trade"] == []


def test_how_far_one_drive_reaches(ask):
    """0.97° of longitude at 51.5° N are 67 km: by hand, 111.2 km a degree times the cosine of the latitude."""
    plans = [link(name=name, site=site, clean="20") for name, site in (("L", "51.5,0"), ("R", "51.5,-0.97"))]
    apart = ask(*plans, near="60", ahead="6mo")["results"]["stops"]
    assert {len(stop["cameras"]) for stop in apart} == {1}
    assert {len(stop["cameras"]) for stop in ask(*plans, near="70", ahead="6mo")["results"]["stops"]} == {2}


def test_what_is_wrong_beside_the_plans_is_said_at_its_field(ask, page):
    assert "Days early must be" in ask(link(), early="many", status=422)["errors"][""]
    shown = page(link(), near="here", early="2")
    assert "id=near-e>One drive reaches must be" in shown
    assert "<option value=14 selected>2 weeks" in page(link(), ahead="14").replace('"', "")
    assert re.search(r"name=early value=\"?2\b", shown)


def test_one_camera_s_link_is_replaced(client):
    """The others stay as they were, and the list gets an address again."""
    old = [link(), link(**SOUTH)]
    sent = client.post("/run", data={"plan": "\n".join(old), "line": "1", "new": link(name="New mast"), "ahead": "14"})
    assert parse_qs(urlsplit(sent.location).query)["plan"] == [link(name="New mast"), link(**SOUTH)]
    for line in ("9", "0", "-1", "0000019", "x"):
        untouched = client.post("/run", data={"plan": "\n".join(old), "line": line, "new": link(name="New mast")})
        assert parse_qs(urlsplit(untouched.location).query)["plan"] == old


def test_each_drive_has_a_list_to_tick_and_every_camera_a_line(page):
    shown = plain_words(page(*two_years(), ahead="6mo"))
    assert shown.count("To tick:") == 3
    packed = shown.partition("To tick:")[2].partition("To tick:")[0]
    assert "Pack " in packed
    assert re.search(r"Camera \d, \d\d:\d\d–\d\d:\d\d CES?T: battery; 1 card of 128 GB, 1 full battery", packed)
    at_a_glance = shown.partition("All cameras, the worst first")[2]
    assert all(f"Camera {n}" in at_a_glance for n in range(6))


# -- addresses ------------------------------------------------------------------------------------------------


def test_a_short_list_gets_an_address(client, page):
    sent = client.post("/run", data={"plan": f"{link()}\r\n{link(**SOUTH)}", "ahead": "14"})
    assert sent.status_code == 303
    query = parse_qs(urlsplit(sent.location).query)
    assert query == {"plan": [link(), link(**SOUTH)], "ahead": ["14"]}
    shown = client.get(sent.location)
    assert "Not known yet" in shown.get_data(as_text=True)
    assert link(**SOUTH) in unescape(shown.get_data(as_text=True))


def test_a_long_list_stays_in_its_form(client):
    lines = "\n".join(link(name=f"Camera {n}") for n in range(40))
    sent = client.post("/run", data={"plan": lines})
    assert sent.status_code == 200
    assert "Camera 39 (clean and look, battery not known: maybe sooner)" in sent.get_data(as_text=True)


def test_one_camera_is_opened(client):
    opened = client.post("/run", data={"plan": f"\n{link()}", "open": "2"})
    assert opened.status_code == 303
    assert urlsplit(opened.location).path == "/visits"
    assert parse_qs(urlsplit(opened.location).query)["name"] == ["North mast"]
    for wrong in ("9", "0", "²", "9" * 5_000, "1"):
        assert client.get("/run", query_string={"plan": f"\n{link()}", "open": wrong}).status_code in (200, 303)


def test_a_plan_comes_along_from_the_menu(client):
    shown = client.get("/run", query_string={"v": "1", "set": link().partition("?")[2]}).get_data(as_text=True)
    assert "18 Mar 2027</p>" in shown.replace("\u00a0", " ")
    assert "class=figure" not in client.get("/run", query_string={"v": "1", "set": "name=A"}).get_data(as_text=True)


def test_it_is_in_the_menu(client):
    assert "Which cameras need a visit next?" in client.get("/desk").get_data(as_text=True)


def test_the_page_is_small(client):
    assert len(client.get("/run").data) < 3_000


# -- calendar -------------------------------------------------------------------------------------------------


def events_of(client, lines, **also):
    """Return the calendar's entries, those that are called off apart."""
    data = client.post("/run.ics", data={"plan": "\n".join(lines), **also}).data
    events = icalendar.Calendar.from_ical(data).walk("VEVENT")
    called_off = [event for event in events if event.get("STATUS") == "CANCELLED"]
    return [event for event in events if event not in called_off], called_off


def test_one_more_camera_leaves_the_entries_of_the_others(client):
    """Far away, it is a drive of its own: everything else keeps UID and day."""
    here = [link(**MADRID), link(**BRIDGE)]
    far = link(**{**BRIDGE, "name": "Far away", "lat": "51.5", "lon": "-0.1", "tz": "Europe/London"})
    (before, _), (after, _) = (events_of(client, lines, ahead="6mo") for lines in (here, [*here, far]))
    days = {str(event["uid"]): event.decoded("dtstart") for event in after}
    assert len(before) >= 3 and len(after) > len(before)
    assert all(days[str(event["uid"])] == event.decoded("dtstart") for event in before)


def test_what_joins_another_drive_is_called_off(client):
    """A camera's own drives become stops of another one's: an entry in each calendar must not stand twice."""
    alone, _ = events_of(client, [link(**BRIDGE)], ahead="120mo")
    together, called_off = events_of(client, [link(), link(**BRIDGE)], ahead="120mo")
    kept = {str(event["uid"]) for event in together}
    gone = {str(event["uid"]) for event in alone} - kept
    assert gone and gone <= {str(event["uid"]) for event in called_off}
    assert not kept & {str(event["uid"]) for event in called_off}


def test_the_calendar_has_one_entry_a_drive(client, ask):
    lines = "\n".join([link(**MADRID), link(**MADRID, **SOUTH), link(**BRIDGE)])
    file = icalendar.Calendar.from_ical(client.post("/run.ics", data={"plan": lines}).data)
    events = [part for part in file.walk("VEVENT") if part.get("STATUS") != "CANCELLED"]
    body = client.post("/run.json", data={"plan": lines}).get_json()
    assert len(events) == len(body["results"]["stops"])
    for event, stop in zip(events, body["results"]["stops"], strict=True):
        assert str(event["summary"]) == "Visit " + ", ".join(seen["name"] for seen in stop["cameras"])
        begin = event.decoded("dtstart")
        if stop["slot"]:
            assert begin.isoformat() == stop["slot"]["from"]
            # An hour for each camera.
            assert event.decoded("dtend") - begin == timedelta(hours=len(stop["cameras"]))
            assert event["dtstart"].params["tzid"] == "Europe/Madrid"
        else:
            assert begin.isoformat() == stop["date"]
    assert {event["dtstart"].params.get("tzid") for event in events} == {"Europe/Madrid", None}
    assert len({str(event["uid"]) for event in events}) == len(events)
    assert "Bring 1 card of 128 GB, 1 card of 256 GB" in str(events[0]["description"]).replace("\u00a0", " ")
    assert [str(zone["tzid"]) for zone in file.walk("VTIMEZONE")] == ["Europe/Madrid"]


def test_a_later_calendar_moves_the_same_entries(app, client):
    """A drive keeps its number, whatever day the file is made on."""
    lines = {"plan": "\n".join([link(), link(**BRIDGE)])}
    now = client.post("/run.ics", data=lines).data
    app.config["NOW"] = lambda: NOW.replace(month=3, day=20)
    try:
        later = client.post("/run.ics", data=lines).data
    finally:
        app.config["NOW"] = lambda: NOW
    by_day = [
        {
            event.decoded("dtstart"): str(event["uid"])
            for event in icalendar.Calendar.from_ical(each).walk("VEVENT")
            if event.get("STATUS") != "CANCELLED"
        }
        for each in (now, later)
    ]
    shared = by_day[0].keys() & by_day[1].keys()
    assert len(shared) >= 3
    assert all(by_day[0][day] == by_day[1][day] for day in shared)


def test_no_drive_no_calendar(client):
    answered = client.get("/run.ics")
    assert answered.status_code == 422
    assert "There is no drive" in answered.get_data(as_text=True)


# -- anything -------------------------------------------------------------------------------------------------

_QUERIES = st.dictionaries(st.sampled_from(list(PLAN)), st.sampled_from(NASTY) | st.text(max_size=8), max_size=4)
_LINES = (
    st.text(max_size=60)
    | st.sampled_from([text[:200] for text in NASTY])
    | _QUERIES.map(lambda changes: link(**changes))
    | st.sampled_from([link(), link(**BATTERY, **MADRID), link(burst="30s"), link(stills="no", burst="9s")])
)


@given(st.lists(_LINES, max_size=6), st.sampled_from(["", "14", "6mo", "soon", "0", "9" * 20]), st.booleans())
@settings(max_examples=80, deadline=None)
def test_anything_pasted_is_answered(app, lines, ahead, as_post):
    client, text = app.test_client(), "\n".join(lines)
    fields = {"plan": text, "ahead": ahead}
    for path in ("/run", "/run.json", "/run.ics"):
        answered = client.post(path, data=fields) if as_post else client.get(path, query_string=fields)
        assert answered.status_code in (200, 303, 422)
        if path == "/run" and answered.status_code == 200:
            assert Markup(answered.get_data(as_text=True)).faults == []


def test_markup_is_escaped(client):
    shown = client.get("/run", query_string={"plan": ["</textarea><script>x</script>", link(name="<i>A")]})
    source = shown.get_data(as_text=True)
    assert "<script>" not in source
    assert "<i>A" not in source
    assert re.search(r"&lt;i&gt;A", source)


def test_far_cameras_are_no_single_drive(ask):
    """London, Sydney and New York, due on one date: three drives of it."""
    sites = {
        "London": {"lat": "51.5", "lon": "-0.13", "tz": "Europe/London"},
        "Sydney": {"lat": "-33.87", "lon": "151.21", "tz": "Australia/Sydney"},
        "New York": {"lat": "40.71", "lon": "-74.01", "tz": "America/New_York"},
    }
    lines = [link(name=name, **site, light="sun") for name, site in sites.items()]
    first = [stop for stop in stops(ask(*lines)) if stop[0] == "2027-03-18"]
    assert first == [("2027-03-18", [name]) for name in sites]


def test_a_drive_across_a_zone_tells_each_zones_hours(ask, page):
    """Badajoz (Spain) and Elvas (Portugal), 17 km apart: the shared light ends at one instant, told by both clocks."""
    spain = link(name="Badajoz", lat="38.88", lon="-6.97", tz="Europe/Madrid", light="sun")
    portugal = link(name="Elvas", lat="38.88", lon="-7.16", tz="Europe/Lisbon", light="sun")
    (first, *_) = ask(spain, portugal)["results"]["stops"]
    assert [seen["name"] for seen in first["cameras"]] == ["Badajoz", "Elvas"]
    begin, end = first["slot"]["from"], first["slot"]["until"]
    assert begin[-6:] == end[-6:] == "+01:00"
    hours = re.search(
        r"(\d\d):(\d\d)–(\d\d):(\d\d) Europe/Madrid, (\d\d):(\d\d)–(\d\d):(\d\d) Europe/Lisbon", page(spain, portugal)
    )
    told = [int(hours[n]) * 60 + int(hours[n + 1]) for n in (1, 3, 5, 7)]
    assert [told[0] - told[2], told[1] - told[3]] == [60, 60]


def test_cells_and_batteries_are_packed_by_type(ask, page):
    power = {"standby_mw": "1", "frame_j": "0", "temp_c": "20", "battery_wh": None}
    small = link(name="Small", cell="LR6", cells="24", **power)
    large = link(name="Large", cell="LR20", cells="4", **power)
    lead = link(name="Lead", cell="agm", **{**power, "battery_wh": "240"})
    items = ask(small, large, lead, ahead="20")["results"]["totals"]["items"]
    assert [(item["what"], item["count"], item["cell"]) for item in items if item["what"] != "card"] == [
        ("cell", 24, "LR6"),
        ("cell", 4, "LR20"),
        ("battery", 1, "agm"),
    ]
    shown = page(small, large, lead, ahead="20")
    assert (
        "24 fresh cells LR6 alkaline AA, 4 fresh cells LR20 alkaline D, 1 full battery of 240 Wh lead-acid AGM" in shown
    )


def test_every_camera_has_its_verdict_the_worst_first(ask):
    known = link(**BATTERY)
    full = link(name="Full", card_gb="16", **BATTERY)
    cameras = ask(known, link(**SOUTH), full)["results"]["cameras"]
    assert [(each["name"], each["verdict"]["state"]) for each in cameras] == [
        ("Full", "fails"),
        ("South gate", "unknown"),
        ("North mast", "holds"),
    ]
    assert cameras[1]["verdict"]["unknown"] == ["battery"]


def test_a_camera_without_a_place_is_taken_along_and_named(page):
    placed, roof = link(**MADRID), link(name="Roof")
    assert "Place not known: Roof." in page(placed, roof)
    assert "Place not known" not in page(placed, link(**SOUTH, **MADRID))


def test_a_camera_that_records_nothing_is_a_camera_too(ask, page):
    """It needs no drive, and somebody has to look at its plan: it stands first among the verdicts."""
    idle = link(name="Idle", stills="no")
    results = ask(link(), idle)["results"]
    assert [(each["line"], each["name"]) for each in results["records_nothing"]] == [(2, "Idle")]
    assert results["cameras"][0]["name"] == "Idle" and results["cameras"][0]["verdict"]["state"] == "fails"
    assert "Nothing is recorded" in results["errors"][0]["sentence"]
    text = page(link(), idle)
    assert "<dt>Idle<dd>records nothing" in text.replace("</dt>", "")


def test_a_camera_that_runs_since_tomorrow_is_asked_about(client, page):
    """It is 2 March, 10:00 in Madrid."""
    words = "Wed 3 Mar 2027, 08:00 is still to come: card and battery count as new from then on. Is that meant?"
    ahead, by_now = ({**MADRID, "since": since} for since in ("2027-03-03T08:00", "2027-03-02T10:00"))
    assert words in page(link(**ahead)) and "still to come" not in page(link(**by_now))
    for path in ("/plan", "/visits", "/check"):
        told = {
            since["since"]: client.get(link(path, **since).removeprefix(HOST)).get_data(as_text=True)
            for since in (ahead, by_now)
        }
        assert ["still to come" in text for text in told.values()] == [True, False], path
