"""The page ``/call``: hand-worked promises, the ways beside them, what isn't known, and the summary as text."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs, urlsplit

import pytest

from webcalc.web.questions.call import mail_link, sms_link

#: 42 days of 10 h are 1,512,000 s. A clip of 60 s at 30 fps takes 1,800 frames: every 840 s, so every 10 min.
SHOOT = {
    "v": "1",
    "first": "2027-03-01",
    "shoot_days": "6 weeks",
    "clip": "1min",
    "from": "08:00",
    "until": "18:00",
    "days": "1234567",
    "fps": "30",
    "frame_mb": "1.31072",
}
#: 100 mW round the clock are 2.4 Wh a day; 80 % of a 60 Wh Li-ion battery at 25 °C last 19 days or a little more.
BATTERY = {"cell": "li-ion", "battery_wh": "60", "standby_mw": "100", "frame_j": "0", "temp_c": "25"}


@pytest.fixture
def ask(client):
    """Return a function from changes to the shoot (None takes a name out) to the body of the data."""

    def get(status=200, path="/call.json", **changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        answered = client.get(path, query_string=query)
        assert answered.status_code == status
        return answered.get_json()

    return get


@pytest.fixture
def page(client):
    """Return a function from changes to the page's text, tags kept."""

    def get(path="/call", **changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        return unescape(client.get(path, query_string=query).get_data(as_text=True)).replace("\u00a0", " ")

    return get


def test_three_fields_are_enough(client):
    """Opened for the first time: length, clip and weekdays, the usual values for the rest, which are said."""
    answered = client.get("/call.json", query_string={"shoot_days": "6 weeks", "clip": "1min", "days": "1234567"})
    results = answered.get_json()["results"]
    assert answered.get_json()["needs"] == []
    assert (results["first"], results["last"]) == ("2027-03-02", "2027-04-12")
    assert results["this"]["interval_s"] == 600
    shown = client.get("/call", query_string={"shoot_days": "6 weeks", "clip": "1min"}).get_data(as_text=True)
    words = re.sub("<[^>]+>", "", unescape(shown)).replace("\u00a0", " ")
    assert "Taken for now: every day, from 2 Mar 2027, 08:00–18:00, 30 fps, 1920x1080 px, usual JPEG files" in words


def test_the_wanted_clip_gives_the_interval(ask):
    """Frames: 60 a day every 10 min, 2,520 in all, 84 s; a month of 30.436875 days 84 x 30.436875 / 42 = 60.87375 s."""
    results = ask()["results"]
    assert (results["calendar_days"], results["recorded_days"]) == (42, 42)
    this = results["this"]
    assert (this["interval_s"], this["frames"], this["clip_s"]) == (600, 2520, 84)
    assert this["clip_s_per_month"] == 60.87375
    # 2,520 files of 40 clusters of 32,768 B on FAT32 are 3.3 GB
    assert this["card_needed_gb"] == 8
    assert results["smoother"]["interval_s"] == 300
    assert results["smoother"]["frames"] == 5040
    assert results["fewer_visits"]["interval_s"] == 900


def test_a_battery_that_isnt_known_blocks_nothing(ask, page):
    this = ask()["results"]["this"]
    assert (this["batteries"], this["visits"]) == (None, None)
    assert this["cards"] == 1
    shown = page()
    assert "Not known without the battery (its energy and what the camera draws)" in shown
    assert "10 min</p>" in shown


def test_a_battery_gives_visits(ask, page, client):
    """The same number of visits, cards and batteries as the page for visits says."""
    this = ask(**BATTERY, card_gb="32")["results"]["this"]
    totals = ask(path="/visits.json", **BATTERY, card_gb="32", interval="10min", clip=None)["results"]["totals"]
    assert this["visits"] == totals["visits"] >= 2
    assert (this["cards"], this["batteries"]) == (totals["cards"], totals["batteries"])
    count = this["visits"] - 1
    assert f"<th scope=row>Visits<td>{count}<td>" in page(**BATTERY, card_gb="32")


def test_fewer_visits_really_are_fewer(ask, page):
    """Where frames take most of the energy, a longer interval spares a visit."""
    load = {**BATTERY, "standby_mw": "1", "frame_j": "20"}
    results = ask(**load, shoot_days="1 year", clip="10min", card_gb="256")["results"]
    assert results["fewer_visits"]["visits"] < results["this"]["visits"]
    assert results["fewer_visits"]["interval_s"] > results["this"]["interval_s"]
    shown = page(**load, shoot_days="1 year", clip="10min", card_gb="256")
    assert "Fewer visits</button>" in shown
    assert "Longer</button>" in page()


def test_a_larger_battery_where_no_interval_helps(ask, page):
    """Standby takes all of it, 2.4 Wh a day, whatever the interval: 90 Wh last past the middle of the six weeks."""
    results = ask(**BATTERY)["results"]
    assert (results["this"]["visits"], results["fewer_visits"]["visits"]) == (3, 2)
    assert results["fewer_visits"]["interval_s"] == results["this"]["interval_s"]
    assert "Fewer visits: every 10 min with 90 Wh" in results["text"]


def test_each_way_leads_to_its_plan(ask, page, client):
    results = ask(**BATTERY)["results"]
    for name in ("this", "fewer_visits", "smoother"):
        way = results[name]
        plan = client.get(way["link"].replace("/plan?", "/plan.json?")).get_json()
        assert plan["results"]["clip"]["frames"] == way["frames"]
        assert plan["inputs"]["shoot_days"] == "42"
    changes = re.findall(r'formaction="?/plan"? name=set value="([^"]*)"', page(**BATTERY))
    assert [parse_qs(change)["interval"] for change in changes[:3]] == [["10min"], ["10min"], ["5min"]]
    assert parse_qs(changes[1])["battery_wh"] == ["90"]
    assert results["fewer_visits"]["larger"] == {"battery_wh": 90}
    assert "<th scope=row>With<td>as now<td>90 Wh<td>as now" in page(**BATTERY)


def test_a_plan_with_a_last_day_is_answered_too(ask, page):
    results = ask(shoot_days=None, last="2027-04-11")["results"]
    assert results["this"] == {**ask()["results"]["this"], "link": results["this"]["link"]}


def test_a_last_day_that_says_otherwise_is_said(ask, page):
    assert ask(last="2027-03-31")["results"]["calendar_days"] == 31
    shown = page(last="2027-03-31")
    assert "The plan ends Wed 31 Mar 2027, whatever the length says." in shown
    assert 'name=set value="last="' in shown


def test_short_shoots_have_no_clip_a_month(ask, page):
    assert ask(shoot_days="10")["results"]["this"]["clip_s_per_month"] is None
    assert "<th scope=row>A month<td>–" in page(shoot_days="10")


def test_the_interval_of_the_plan_is_passed_over(ask, page):
    assert ask(interval="1min")["results"]["this"]["interval_s"] == 600
    assert "The plan’s own interval, 1 min, isn’t looked at here." in page(interval="1min")
    assert ask(interval="1min", clip=None)["results"]["this"]["interval_s"] == 60


@pytest.mark.parametrize(
    ("changes", "needs"),
    [
        ({"shoot_days": None}, ["shoot_days"]),
        ({"clip": None}, ["clip"]),
        ({"shoot_days": None, "clip": None, "fps": None, "first": None}, ["shoot_days", "first", "clip", "fps"]),
    ],
)
def test_what_to_fill_in(ask, changes, needs):
    body = ask(**changes)
    assert body["needs"] == needs
    assert body["results"]["this"]["interval_s"] is None
    assert set(body["results"]["smoother"].values()) == {None}


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"stills": "no", "motion": "10"}, "No stills are taken in this plan"),
        ({"clip": "20h"}, "No interval that short can be set."),
        ({"days": "6", "shoot_days": "3"}, "Nothing is recorded: none of the weekdays lies between"),
    ],
)
def test_what_cant_be_promised(ask, page, changes, sentence):
    assert sentence in page(**changes)
    assert ask(**changes)["results"]["this"]["interval_s"] is None


def test_a_plan_that_cant_be_visited_says_so(ask, page):
    load = {**BATTERY, "battery_wh": "1"}
    this = ask(**load)["results"]["this"]
    assert (this["visits"], this["batteries"]) == (None, None)
    assert "With this card and battery no plan of visits works." in page(**load)


@pytest.mark.parametrize("lacking", [{"frame_mb": None}, {"frame_mb": "900"}])
def test_a_card_that_isnt_known_is_named(ask, page, lacking):
    """A frame's size isn't known, or no card sold is large enough."""
    assert ask(**lacking)["results"]["this"]["card_needed_gb"] is None
    assert "Not known without the card (" in page(**lacking)
    assert "Not known without the card (" not in page(**lacking, kept_on="sent")
    assert "Not known without the card (" not in page()


@pytest.mark.parametrize("name", ["shoot_days", "clip", "days", "skip", "kept", "from"])
def test_wrong_input_gives_no_figure(ask, name):
    body = ask(422, **{name: "?!"})
    assert name in body["errors"]
    assert body["results"]["this"]["interval_s"] is None


def test_a_wrong_visiting_day_leaves_the_rest(ask):
    this = ask(422, **BATTERY, visit_days="89")["results"]["this"]
    assert this["interval_s"] == 600
    assert (this["visits"], this["batteries"]) == (None, None)


# -- as text --------------------------------------------------------------------------------------------------


def test_the_summary_is_sent_by_a_second_tap(ask, page):
    text = ask(**BATTERY, name="North mast")["results"]["text"]
    assert text.startswith(
        "North mast: Mon 1 Mar 2027 to Sun 11 Apr 2027, every day, 08:00-18:00. A frame every 10 min"
    )
    assert "clip 1:24 at 30 fps, 1:01 a month." in text
    link = urlsplit(text.rpartition(" ")[2])
    assert link.path == "/plan"
    assert parse_qs(link.query)["interval"] == ["10min"]
    assert len(text) <= 1200
    assert text.isascii()
    (message,) = re.findall(r'href="(sms:[^"]*)"', page(**BATTERY, name="North mast"))
    assert parse_qs(urlsplit(message).query)["body"] == [text]


def test_the_summary_by_mail_and_to_copy(page, ask):
    text = ask(path="/call/text.json", name='A & "B"')["results"]["text"]
    shown = page(path="/call/text", name='A & "B"')
    assert f'<input readonly value="{text}">' in shown
    (mail,) = re.findall(r'href="(mailto:[^"]*)"', shown)
    assert parse_qs(urlsplit(mail).query) == {"subject": ['A & "B"'], "body": [text]}


def test_a_link_that_opens_only_nearby_is_said(client):
    assert "has localhost in it and opens only near this computer" in client.get(
        "/call/text", query_string=SHOOT
    ).get_data(as_text=True)


def test_the_summary_opens_the_same_plan(client, ask):
    body = ask(**BATTERY)
    opened = client.get("/open", query_string={"link": body["results"]["text"]})
    assert opened.status_code == 303
    plan = client.get(opened.location.replace("/plan?", "/plan.json?")).get_json()
    assert plan["results"]["clip"]["frames"] == body["results"]["this"]["frames"]


def test_links_that_carry_text_are_encoded_whole():
    """RFC 5724 and RFC 6068: everything but unreserved characters is percent-encoded."""
    text = 'é&?=#%\r\n"<b>'
    assert sms_link(text) == "sms:?&body=%C3%A9%26%3F%3D%23%25%0D%0A%22%3Cb%3E"
    assert mail_link("a b", text).startswith("mailto:?subject=a%20b&body=%C3%A9%26%3F")
    assert parse_qs(urlsplit(sms_link(text)).query)["body"] == [text]
