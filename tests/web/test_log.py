"""The log of visits in a link: read, written, tapped, undone; and what counts from it on each page.

Cases worked by hand: Mon-Fri 08:00-18:00, one frame every 5 minutes, 120 frames a recorded day. 2 March 2026 is a
Monday. 2 MB take 62 clusters of 32 KiB.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from html import unescape
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from house import SITE_WEEK

from webcalc.web.http.app import create_app
from webcalc.web.link.inputs import read_inputs

SHOOT = SITE_WEEK | {"first": "2026-03-02", "last": "2026-12-18", "temp_c": "10", "tz": "Europe/Berlin"}
ON_CARD = 62 * 32_768
NOW = datetime(2026, 6, 10, 7, 30, tzinfo=UTC)  # 09:30 in Berlin
RENEWED = "2026-06-01T12:00,card,battery,clock"


@pytest.fixture
def client():
    return create_app({"NOW": lambda: NOW}).test_client()


@pytest.fixture
def ask(client):
    def get(page, **changes):
        body = client.get(f"/{page}.json", query_string={**SHOOT, **changes}).get_json()
        assert body["errors"] == {}
        return body

    return get


def did_in(link: str) -> str:
    return parse_qs(urlsplit(link).query).get("did", [""])[0]


def test_entries_are_joined_in_order_of_time(client):
    pairs = [
        ("v", "1"),
        ("did", "2026-08-20T10:00,battery,card,frames:5667,gb:12.1"),
        ("did", "2026-04-01T09:00,none,battery:58,clock:-40/2026-08-20T10:00,clock,interval:10min,from:07:00"),
    ]
    read = read_inputs(pairs, NOW.date())
    assert read.errors == {} and read.left_out == ()
    assert read.canonical["did"] == (
        "2026-04-01T09:00,none,battery:58,clock:-40"
        "/2026-08-20T10:00,card,battery,clock,frames:5667,gb:12.1,interval:10min,from:07:00"
    )


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        ("2026-13-01T10:00,card", "2026-13-01"),
        ("2026-08-20,card", "must be a date and time"),
        ("2026-08-20T10:00,crad", "isn’t known there"),
        ("2026-08-20T10:00,battery:158", "between 0 and 100"),
        ("soon", "must be a date"),
    ],
)
def test_a_bad_entry_costs_only_itself(ask, bad, says):
    body = ask("plan", did=f"{bad}/{RENEWED}")
    assert did_in(body["link"]) == RENEWED
    assert any("left out" in note and says in note for note in body["notes"])


def test_a_log_keeps_what_counts_when_it_is_full():
    renewals = "2025-01-01T10:00,card,battery,clock,card_gb:128"
    looks = [f"2025-{2 + n // 28:02}-{1 + n % 28:02}T10:00,none" for n in range(70)]
    read = read_inputs([("v", "1"), ("did", "/".join([renewals, *looks]))], NOW.date())
    kept = read.canonical["did"].split("/")
    assert len(kept) == 60 and kept[0] == renewals and kept[-1] == looks[-1]
    assert any("60 visits" in sentence for sentence in read.left_out)


@pytest.mark.parametrize("noted", [{"did": RENEWED}, {"since": "2026-06-01T12:00"}])
def test_card_and_battery_count_from_their_renewal(ask, noted):
    """From Monday 1 June, 12:00, to Wednesday 10 June, 09:30: 72 + 6 · 120 + 18 frames."""
    frames = 72 + 6 * 120 + 18
    today = ask("plan", **noted, on="2026-06-10T09:30")["results"]["today"]
    assert today["card_used_bytes"]["expected"] == frames * ON_CARD
    look = ask("check", **noted, at="2026-06-10T09:30")["results"]
    assert look["expected"]["frames"] == frames
    assert look["expected"]["card_used_bytes"] == today["card_used_bytes"]
    assert look["expected"]["battery_left_share"] == today["battery_left_share"]
    assert today["battery_left_share"]["low"] > 0.8
    visits = ask("visits", **noted)["results"]["visits"]
    assert visits[0]["date"] > "2026-06-10"
    assert today["next_visit_on"] == visits[0]["date"]


def test_each_thing_counts_from_its_own_renewal(ask):
    """The card alone on 1 June; the battery runs from the shoot's start."""
    untouched = ask("plan", on="2026-06-10T09:30")["results"]["today"]
    today = ask("plan", did="2026-06-01T12:00,card", on="2026-06-10T09:30")["results"]["today"]
    assert today["battery_left_share"] == untouched["battery_left_share"]
    # The clock wasn't set either: it is still that of March, an hour behind.
    assert today["card_used_bytes"]["expected"] == (84 + 6 * 120 + 6) * ON_CARD


def test_the_later_of_log_and_since_counts(ask):
    later = ask("plan", did=RENEWED, since="2026-04-01T10:00", on="2026-06-10T09:30")["results"]["today"]
    assert later == ask("plan", did=RENEWED, on="2026-06-10T09:30")["results"]["today"]
    other = ask("plan", did="2026-04-01T10:00,card,battery,clock", since="2026-06-01T12:00", on="2026-06-10T09:30")
    assert other["results"]["today"] == later


def test_what_was_done_after_the_moment_does_not_count(ask):
    before = ask("plan", on="2026-05-20T10:00")["results"]["today"]
    assert ask("plan", did=RENEWED, on="2026-05-20T10:00")["results"]["today"] == before
    assert (
        ask("plan", did=RENEWED, on="2026-05-29")["results"]["today"]
        == ask("plan", on="2026-05-29")["results"]["today"]
    )


def test_done_as_planned_is_one_tap(client):
    page = client.get("/check", query_string=SHOOT).get_data(as_text=True)
    assert "formaction=/did name=tick value=planned" in page and "Only looked" in page
    found = {"found_frames": "9000", "found_gb": "18.3", "found_battery": "55", "found_clock": "-3"}
    answer = client.get("/did", query_string={**SHOOT, **found, "tick": "planned"})
    assert answer.status_code == 303
    link = answer.headers["Location"]
    assert did_in(link) == "2026-06-10T09:30,card,battery,clock,frames:9000,gb:18.3,battery:55,clock:-3"
    assert "found_" not in link and "tick" not in link
    after = client.get(link).get_data(as_text=True)
    assert "Undo" in after and 'value="did=&amp;found_frames=9000' in after.replace("&found", "&amp;found")


def test_only_what_is_renewed_by_plan_is_noted(client):
    link = client.get("/did", query_string={**SHOOT, "renew": "card", "tick": "planned"}).headers["Location"]
    assert did_in(link) == "2026-06-10T09:30,card"


def test_ticks_and_looks(client):
    link = client.get("/did", query_string={**SHOOT, "tick": ["battery", "clean"]}).headers["Location"]
    assert did_in(link) == "2026-06-10T09:30,battery,clean"
    link = client.get("/did", query_string={**SHOOT, "tick": "looked"}).headers["Location"]
    assert did_in(link) == "2026-06-10T09:30,none"


def test_a_wrong_reading_is_not_lost_by_a_tap(client):
    link = client.get("/did", query_string={**SHOOT, "found_gb": "much", "tick": "planned"}).headers["Location"]
    assert link.startswith("/check?") and "found_gb=much" in link and "did" not in parse_qs(urlsplit(link).query)


def test_a_missed_visit_is_said_and_due_today(ask, client):
    """99 % of 32 GB hold 15,593 frames: 270 on 1 April, 51 days of 300, 23 on Friday 12 June, until 08:46.

    A visit at noon is in time on 11 June; three days before that is Monday 8 June.
    """
    begun, late = "2026-04-01T09:00,card,battery,clock,interval:2min", "2026-06-09T10:00,card"
    assert ask("visits", did=begun, on="2026-06-05")["results"]["visits"][0]["date"] == "2026-06-08"
    assert ask("visits", did=begun)["results"]["visits"][0]["date"] == "2026-06-10"

    def page(**asked):
        return client.get("/visits", query_string={**SHOOT, **asked}).get_data(as_text=True)

    assert "not noted yet" in page(did=begun) and "not noted yet" not in page(did=begun, on="2026-06-05")
    # Whoever only looked, or changed the battery, left it full: once, beside the visit that renewed the card.
    made = page(did=f"{begun}/2026-06-09T08:00,battery/{late}")
    assert made.count("made") == 1 and "not noted yet" not in made


def test_what_the_log_changed_is_told_and_counted(ask, client):
    body = ask("plan", did="2026-04-01T09:00,card,battery_wh:100,card_gb:64")
    assert any("64" in note and "100" in note for note in body["notes"])
    plain = ask("plan", did="2026-04-01T09:00,card", battery_wh="100", card_gb="64")
    assert body["results"]["today"] == plain["results"]["today"]
    assert body["verdict"] == plain["verdict"]


# -- two links of one shoot -----------------------------------------------------------------------------------

MINE, YOURS = "2026-04-01T10:00,card,battery", "2026-05-04T11:00,card,battery,frames:2880"


def link_of(**changes):
    return f"http://10.0.0.5:8000/plan?{urlencode({**SHOOT, **changes})}"


def test_logs_of_two_links_are_put_together_where_they_are_opened(client):
    sent = client.post("/open", data={"link": f"Old: {link_of(did=MINE)}\nNew: {link_of(did=YOURS)} bye"})
    assert did_in(sent.location) == f"{MINE}/{YOURS}"
    assert "put together" in client.get(sent.location).get_data(as_text=True)
    # What was read or typed at one look makes it no other shoot.
    look = {"found_frames": "12", "found_temp_c": "20", "clock_by": "phone"}
    looked = client.post("/open", data={"link": f"{link_of(did=MINE, **look)}\nNew: {link_of(did=YOURS)}"})
    assert did_in(looked.location) == f"{MINE}/{YOURS}"
    # Another shoot's log is not this one's.
    other = client.post("/open", data={"link": f"{link_of(did=MINE, interval='10min')}\nNew: {link_of(did=YOURS)}"})
    assert did_in(other.location) == YOURS


def test_two_lines_of_one_shoot_are_one_camera_with_both_logs(client):
    """After 1 April the card of 32 GB is due before what 4 May renewed."""
    body = client.post("/run.json", data={"plan": f"{link_of(did=MINE)}\n{link_of(did=YOURS)}"}).get_json()["results"]
    assert [error["sentence"] for error in body["errors"]] == [
        "This is the same plan as in line 1. What their logs have was put together."
    ]
    alone = client.post("/run.json", data={"plan": link_of(did=f"{MINE}/{YOURS}")}).get_json()["results"]
    assert (body["stops"], body["later"]) == (alone["stops"], alone["later"])


def test_code_and_message_have_only_what_counts_now_and_say_so(client):
    page = unescape(client.get("/share", query_string={**SHOOT, "did": f"{MINE}/{YOURS}"}).get_data(as_text=True))
    assert "have the last renewal of each thing only" in page
    links = re.findall(r"http://localhost/sheet\?[^\s\"<>]+", page)
    logs = {did_in(each) for each in links}
    assert logs == {f"{MINE}/{YOURS}", "2026-05-04T11:00,card,battery"}
    short = unescape(
        client.get("/share", query_string={**SHOOT, "did": "2026-05-04T11:00,card,battery"}).get_data(as_text=True)
    )
    assert "last renewal of each thing only" not in short
