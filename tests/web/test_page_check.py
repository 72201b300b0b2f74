"""The page ``/check``: hand-worked looks at a camera, readings that can't be, and what it offers to do."""

from __future__ import annotations

import re
from html import unescape
from urllib.parse import parse_qs

import pytest
from house import NOW

from webcalc.web.words.say import Say

#: 600 frames a day from 1 March 2027; files of ten whole exFAT clusters of 131,072 B on a card of which 63.36 GB count.
SHOOT = {
    "v": "1",
    "first": "2027-03-01",
    "last": "2027-08-31",
    "from": "08:00",
    "until": "18:00",
    "days": "1234567",
    "interval": "60s",
    "frame_mb": "1.31072",
    "card_gb": "64",
    "at": "2027-03-11T08:00",
}
#: 50 mW round the clock are 1.2 Wh a day, 12 Wh in the ten days to the look. At 25 °C nothing is lost to the cold.
BATTERY = {"cell": "li-ion", "battery_wh": "100", "standby_mw": "50", "frame_j": "0", "temp_c": "25"}
MADRID = {"tz": "Europe/Madrid"}
#: 19 % of 6,000 frames missing.
FOUND = {"found_frames": "4860", "found_gb": "6.37"}


@pytest.fixture
def ask(client):
    """Return a function from changes to the shoot (None takes a name out) to the body of the data."""

    def get(status=200, **changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        answered = client.get("/check.json", query_string=query)
        assert answered.status_code == status
        return answered.get_json()

    return get


@pytest.fixture
def page(client):
    """Return a function from changes to the page's text, tags kept."""

    def get(**changes):
        query = {name: text for name, text in {**SHOOT, **changes}.items() if text is not None}
        answered = client.get("/check", query_string=query)
        assert answered.status_code == 200
        return unescape(answered.get_data(as_text=True)).replace("\u00a0", " ")

    return get


def leaves(data):
    if isinstance(data, dict):
        return [leaf for part in data.values() for leaf in leaves(part)]
    return [data]


# -- a shortfall --------------------------------------------------------------------------------------------


def test_nineteen_per_cent_missing_names_hours_and_a_corrected_date(ask):
    """1,140 frames at one a minute are 19 h.

    6.37 GB as shown are 6.365 to 6.375; so a frame takes 1.3097 to 1.3117 MB. The high ends leave
    (63.36 − 6.375) GB / 1,311,729 B = 43,442 frames: 72 days of 600 and 242 minutes after the look. Noon is in time.
    """
    results = ask(**FOUND)["results"]
    assert results["expected"]["frames"] == 6_000
    assert results["missed_frames"] == 1_140
    assert results["missed_s"] == 19 * 3_600
    assert results["agrees"] is False
    assert results["interval_likely_s"] == 60
    assert {"stopped_early", "power_lost"} <= set(results["causes"])
    assert results["stories"] == sorted(results["stories"], key=lambda story: -story["fit"])
    assert results["frame_bytes"] == pytest.approx(6.37e9 / 4_860)
    assert results["full_at"]["earliest"] == "2027-05-22T12:02:00"
    assert (results["verdict"], results["return_by"]) == ("return_by", "2027-05-22")
    assert results["verdict_reasons"] == ["card_full"]


def test_the_shortfall_stands_on_the_page(page):
    text = page(**FOUND)
    assert "Come back by Sat 22 May 2027: the card is full after that." in text
    assert "1140 frames missing (19 %), 19 h of recording: look for the cause first. Likeliest: it" in text
    # 4,860 frames are eight days and an hour.
    assert "It stopped Tue 9 Mar 2027, 09:00; nothing read says why." in text
    assert "Look at the date of the last file" in text


def test_the_log_line(ask, page):
    line = (
        "Thu 11 Mar 2027, 08:00, Bridge: 4860 of 6000 frames; 1140 frames missing (19 %), 19 h of recording; "
        "6.37 GB used; clock 12 s slow. Come back by Sat 22 May 2027."
    )
    assert ask(**FOUND, name="Bridge", found_clock="-12")["results"]["log_line"] == line
    assert f'<input readonly value="{line}">' in page(**FOUND, name="Bridge", found_clock="-12")


def test_other_weekdays_are_named(page):
    """1 to 10 March are eight workdays."""
    text = page(found_frames="4800")
    assert "It records on other weekdays: Mon–Fri." in text
    assert "8 h a day." in text


def test_twice_the_interval_is_named(ask, page):
    assert ask(found_frames="3000")["results"]["interval_likely_s"] == 120
    assert "It takes a frame every 2 min." in page(found_frames="3000")


def test_as_planned(ask, page):
    results = ask(found_frames="6000")["results"]
    assert (results["missed_frames"], results["missed_s"], results["agrees"]) == (0, 0, True)
    assert results["causes"] == []
    assert "The frames are as planned." in page(found_frames="6000")


# -- battery and clock --------------------------------------------------------------------------------------


def test_true_drain_and_the_corrected_reserve_date(ask):
    """At the expected end of the cell's range: the drain is (1 − 0.55) / (12 Wh / usable), self-discharge aside.

    The usable energy is read from the battery page of the same plan.
    """
    results = ask(**BATTERY, found_battery="55", battery_shows="usable", battery_reserve="20")["results"]
    planned = 1 - results["expected"]["battery_left_share"]["expected"]
    assert results["drain_factor"] == pytest.approx(0.45 / planned, rel=0.05)
    # 45 % in ten days; from 54.5 to 20 % it takes another 7.6 days at that rate, to the 18th. The pessimistic end is
    # a little earlier: the battery may have given up to 95 % of what is printed, and may give only 80 % from now on.
    assert results["reserve_at"]["earliest"].startswith("2027-03-17")
    assert results["return_by"] == "2027-03-17"


def test_a_run_has_its_own_temperature(ask, page):
    """45 % of a battery read at 25 °C are more energy than the same share at -20 °C: the draw is that of a plan at 25.

    What is left is worth no more from now on than the cold leaves.
    """
    read = {"found_battery": "55", "battery_shows": "usable", "battery_reserve": "20"}
    warm, cold, both = (
        ask(**BATTERY | read | temps)["results"]
        for temps in ({}, {"temp_c": "-20"}, {"temp_c": "-20", "found_temp_c": "25"})
    )
    assert both["drain_factor"] == pytest.approx(warm["drain_factor"], rel=0.01)
    assert both["reserve_at"]["earliest"] < cold["reserve_at"]["earliest"] <= warm["reserve_at"]["earliest"]
    # At worst 45 % of 95 Wh in ten days, 4.3 Wh a day; left to the reserve 34.5 % (55 read to half a percent) of 32 Wh
    # (80 Wh, and 40 % of that in the cold): 2.6 days.
    assert both["reserve_at"]["earliest"].startswith("2027-03-13T2")
    assert "Taken as at -20 °C all the time" in page(**BATTERY | read | {"temp_c": "-20"}).replace("−", "-")


def test_a_battery_at_its_reserve_is_changed_now(ask, page):
    results = ask(**BATTERY, found_battery="20")["results"]
    assert (results["verdict"], results["verdict_reasons"]) == ("change", ["battery_reserve"])
    assert "Change the battery now" in page(**BATTERY, found_battery="20")


def test_rest_voltage_of_lead_acid(ask):
    """12.2 V are 60 % charged by the published table; of a usable half 20 % are left, of a usable 80 % half."""
    lead = {**BATTERY, "cell": "agm", "battery_wh": "500", "found_volts": "12.2"}
    left = ask(**lead)["results"]["found"]["battery_left_share"]
    assert left["low"] == pytest.approx(0.2)
    assert left["high"] == pytest.approx(0.5)
    # Two blocks in series.
    assert ask(**lead | {"battery_v": "24", "found_volts": "24.4"})["results"]["found"]["battery_left_share"] == left


#: Five minutes from seven to five on workdays in London, from 1 June 2026; invented.
LONDON = {
    **{"v": "1", "first": "2026-06-01", "last": "2027-07-01", "from": "07:00", "until": "17:00", "days": "12345"},
    **{"interval": "5min", "frame_mb": "2.1", "card_gb": "64", "cell": "lifepo4", "battery_wh": "500"},
    **{"standby_mw": "60", "frame_j": "6", "temp_c": "5", "battery_reserve": "20", "lat": "51.5", "lon": "-0.1"},
    **{"tz": "Europe/London", "visit_days": "12345", "margin": "3"},
}


def test_a_gauge_of_charge_is_no_gauge_of_usable_energy(ask):
    """60 mW for 105 d 2 h and 9,024 frames of 6 J took 166 Wh; with self-discharge 42 % of the charge are gone.

    Of a Li-ion battery about four fifths are usable, so a gauge of charge then shows 58 %, and the draw is as planned.
    """
    look = {**LONDON, "cell": "li-ion", "temp_c": "20", "at": "2026-09-14T09:00", "found_frames": "9024"}
    not_said = ask(**look, found_battery="58")["results"]
    charge = ask(**look, found_battery="58", battery_shows="charge")["results"]
    usable = ask(**look, found_battery="58", battery_shows="usable")["results"]
    assert charge["drain_factor"] == not_said["drain_factor"] == pytest.approx(1, abs=0.02)
    assert usable["drain_factor"] == pytest.approx(0.75, abs=0.02)
    assert not_said["reserve_at"]["earliest"] == charge["reserve_at"]["earliest"] < usable["reserve_at"]["earliest"]
    assert (not_said["asks"], charge["asks"], usable["asks"]) == (["battery_shows"], [], [])


def test_percent_and_rest_voltage_of_one_row_agree(ask):
    """11.75 V are 30 % of the charge in the published table."""
    look = {**LONDON, "cell": "agm", "at": "2026-07-14T09:00", "found_volts": "11.75"}
    both = ask(**look, found_battery="30")["results"]
    assert (both["doubts"], both["asks"]) == ([], [])
    assert (
        both["found"]["battery_left_share"]["expected"]
        == ask(**look)["results"]["found"]["battery_left_share"]["expected"]
    )
    assert ask(**look, found_battery="30", battery_shows="usable")["results"]["doubts"] == ["readings_disagree"]


def test_all_that_is_due_stands_in_one_list(ask, page):
    look = {**LONDON, "frame_mb": "5.0", "at": "2026-11-20T09:00", "found_frames": "12000", "found_gb": "63.6"}
    assert ask(**look, found_battery="18")["results"]["verdict_reasons"] == ["card_full", "battery_reserve"]
    text = page(**look, found_battery="18")
    assert "<dt>☐ Change the card<dd>now <small>the card is full" in text
    assert "<dt>☐ Change the battery<dd>now <small>the battery is at its reserve" in text


def test_gb_that_may_be_gib_count_as_gib_until_it_is_said(ask, page):
    """30.9 GiB are 33.18 GB. 15,800 frames of sixteen clusters, 2.097 MB, are 33.13 GB."""
    look = {**LONDON, "at": "2026-12-01T17:00", "found_gb": "30.9"}
    not_said, binary = ask(**look)["results"], ask(**look, gb_shows="binary")["results"]
    assert not_said["asks"] == ["gb_shows"] and "count in GiB" in page(**look)
    assert not_said["found"]["card_used_bytes"]["high"] == int(30.95 * 2**30)
    assert not_said["full_at"]["earliest"] == binary["full_at"]["earliest"]
    decimal = ask(**look, gb_shows="decimal")["results"]
    assert decimal["asks"] == [] and not_said["full_at"]["earliest"] < decimal["full_at"]["earliest"]


def test_a_clock_beside_a_change_of_summer_time(ask, page):
    """London's summer time ended on 25 October 2026: a clock set in June is an hour fast in November."""
    look = {**LONDON, "battery_wh": "5000", "card_gb": "512", "at": "2026-11-20T09:00"}
    text = page(**look, found_clock="0")
    assert "Since summer time ended on Sun 25 Oct 2026 it matters what you held the clock against." in text
    assert "Set it" not in text and "Leave it" not in text
    results = ask(**look, found_clock="0")["results"]
    assert (results["doubts"], results["asks"]) == (["clock_compared"], ["clock_by"])
    phone = page(**look, found_clock="0", clock_by="phone")
    assert "somebody set it since, or it follows summer time by itself" in phone and "it matters what" not in phone
    own = ask(**look, found_clock="0", clock_by="offset")["results"]
    assert own["doubts"] == [] and own["found"]["clock_error_s"] == 3600 and own["drift_s_per_day"] == 0
    fast = ask(**look, found_clock="3600", found_frames="14916")["results"]
    assert (fast["doubts"], fast["asks"], fast["stories"][0]["code"]) == ([], ["clock_by"], "clock_summer_time")
    assert "Settle the clock" in page(**look, found_clock="3600", found_frames="14916")
    told = page(**look, found_clock="3600", found_frames="14916", clock_by="phone")
    assert "Since summer time ended on Sun 25 Oct 2026 its clock is 1 h fast: by the site’s time it records" in told
    assert "1 h fast, 1 h fast" not in told and "it matters what" not in told
    assert "another offset from UTC" in page(**look, found_clock="-3600")


def test_what_it_should_show_stands_first_with_two_taps(ask, client):
    """The tap that all of it is so writes it into the link, and the judgement is that all is as planned."""
    look = {**LONDON, "at": "2026-09-14T09:00"}
    text = unescape(client.get("/check", query_string=look).get_data(as_text=True))
    assert text.index("What it should show now") < text.index("All of that is so") < text.index("Something differs")
    assert text.index("Something differs") < text.index("id=found_frames")
    changes = re.search(r'name=set value="([^"]*)">All of that is so', text)[1]
    so = {name: values[0] for name, values in parse_qs(changes).items()}
    assert so["found_frames"] == "9024" and so["found_clock"] == "0"
    results = ask(**{**look, **so})["results"]
    assert [story["code"] for story in results["stories"]] == ["as_planned"] and results["asks"] == []


def test_it_is_counted_from_a_visit_that_is_chosen(ask, client):
    """From noon of 30 September, when the clock is set, to 10:00 by it: 60 frames, 52 workdays of 120, and 36."""
    look = {**LONDON, "at": "2026-12-14T09:00"}
    text = unescape(client.get("/check", query_string=look).get_data(as_text=True)).replace("\u00a0", " ")
    assert "Counted from Mon 1 Jun 2026, 07:00. Was anybody there since?" in text
    since = re.search(r'set value="since=([^"]*)">As planned on ', text)[1]
    results = ask(**{**look, "since": since})["results"]
    assert since == "2026-09-30T12:00" and results["expected"]["frames"] == 60 + 52 * 120 + 36


def test_a_mount_test_leads_with_the_interval(ask, page):
    """Two hours of every five minutes are 24 frames, of every ten 12; a first file at eight is a late start."""
    look = {**LONDON, "at": "2026-06-01T09:00", "found_frames": "12"}
    results = ask(**look)["results"]
    first, second = results["stories"][:2]
    assert (first["code"], first["interval_s"], second["code"]) == ("other_interval", 600, "late_start")
    assert results["tells_apart"] == "first_at"
    assert "Look at the date of the first file: Mon 1 Jun 2026, 07:00 by the first" in page(**look)
    late = ask(**look, found_first_at="2026-06-01T08:00", found_last_at="2026-06-01T08:55")["results"]
    assert late["stories"][0]["code"] == "late_start"


def test_half_the_frames_are_never_left(page):
    """Nothing runs out, and half of 14,916 frames are missing: neither sentence nor notebook says to leave it."""
    look = {**LONDON, "battery_wh": "5000", "card_gb": "512", "at": "2026-11-20T09:00"}
    text = page(**look, found_frames="7400")
    assert "Leave it" not in text and text.count("Find the cause") >= 2


def test_numbers_that_rolled_over_with_more_frames_than_planned(ask):
    """From 9500 to 2741 are 3,241 files or 13,240; every three minutes on 66 workdays of ten hours give about those."""
    results = ask(**{**LONDON, "at": "2026-08-31T16:00"}, found_first="9500", found_last="2741")["results"]
    assert results["found"]["frames"] == 13_240 and results["missed_frames"] < 0
    assert {story["code"] for story in results["stories"][:2]} == {"other_interval", "rolled_over"}
    assert results["stories"][0]["interval_s"] in (180, None) and results["interval_likely_s"] == 180


def test_an_empty_battery_is_dated_by_its_stop(ask):
    """1.6 times the planned draw, stopped on 16 September; a fresh one reaches its reserve on 14 February."""
    results = ask(**LONDON, at="2026-11-20T09:00", found_frames="9329", found_battery="0")["results"]
    assert results["stories"][0]["code"] == "stopped_battery_empty"
    assert results["stories"][0]["at"].startswith("2026-09-16")
    assert results["drain_factor"] > 1.5 and results["return_by_if_all_new"] <= "2027-02-14"


def test_voltage_of_other_cells_tells_nothing(ask, page):
    results = ask(**BATTERY, found_volts="12.2")["results"]
    assert results["doubts"] == ["voltage_tells_nothing"]
    assert results["found"]["battery_left_share"]["expected"] is None
    assert "the voltage doesn't tell what is left" in page(**BATTERY, found_volts="12.2")


def test_clock_drift_and_its_range(ask):
    """±1.7 s a day over ten days; 25 s measured are 2.5 s a day."""
    results = ask(found_clock="25")["results"]
    assert results["expected"]["clock_error_s"] == {"low": -17, "expected": 0, "high": 17}
    assert results["drift_s_per_day"] == 2.5


# -- when ---------------------------------------------------------------------------------------------------


def test_blank_means_from_the_start_until_now_and_says_so(ask, page):
    """09:00 UTC is 10:00 in Madrid in March: a day and two hours, 720 frames."""
    results = ask(at=None, **MADRID)["results"]
    assert NOW.isoformat() == "2027-03-02T09:00:00+00:00"
    assert results["since"] == "2027-03-01T08:00:00+01:00"
    assert results["at"] == "2027-03-02T10:00:00+01:00"
    assert results["expected"]["frames"] == 720
    text = page(at=None, **MADRID)
    assert "from Mon 1 Mar 2027, 08:00 (the shoot's start) to Tue 2 Mar 2027, 10:00 (now), camera clock." in text
    assert "What it should show now" in text and "<dt>Frames<dd><details><summary>720" in text.replace("</dt>", "")


def test_summer_time_is_expected_of_the_clock_not_missed_frames(ask):
    """09:00 CEST on 1 April is 08:00 on a clock set in March: 31 whole days, and an hour slow."""
    results = ask(at="2027-04-01T09:00", found_clock="-3590", found_frames="18600", **MADRID)["results"]
    assert results["missed_frames"] == 0
    assert results["expected"]["clock_error_s"]["expected"] == -3_600
    assert results["drift_s_per_day"] == pytest.approx(10 / 31)


def test_a_visit_sets_the_clock(ask):
    """Since a visit in summer time the clock is right: from 9 to 9 o'clock are 600 frames."""
    results = ask(since="2027-04-01T09:00", at="2027-04-02T09:00", **MADRID)["results"]
    assert results["since"] == "2027-04-01T09:00:00+02:00"
    assert results["expected"]["clock_error_s"]["expected"] == 0
    assert results["expected"]["frames"] == 600


def test_after_the_last_day_it_is_over(ask, page):
    assert ask(at="2027-09-05T12:00")["results"]["verdict"] is None
    assert "The shoot is over: since Tue 31 Aug 2027, 18:00: fetch the camera." in page(at="2027-09-05T12:00")


def test_before_the_first_day_it_is_asked_about(ask):
    results = ask(at="2027-02-01T12:00")["results"]
    assert results["doubts"] == ["at_before_since"]
    assert (results["verdict"], results["return_by"], results["missed_frames"]) == (None, None, None)


# -- what can't be ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "doubt", "sentence"),
    [
        ({"found_frames": "900000"}, "more_than_seconds", "More frames than seconds have passed"),
        (
            {"found_frames": "30000", "settable": "30s,60s"},
            "more_than_shortest_interval",
            "More frames than every 30 s, day and night",
        ),
        ({"found_gb": "65"}, "more_than_card", "More is used than the 64 GB card holds."),
        ({"found_gb": "2", "used_gb": "3"}, "less_than_before", "Less is used than the 3 GB that were on the card"),
        ({"found_frames": "6000", "found_gb": "0.5"}, "smaller_than_clusters", "each takes at least 131 kB"),
        ({"found_gb": "7.9", "found_gib": "7.9"}, "used_twice", "Space used in GB and in GiB don't agree."),
        (
            {"found_frames": "600", "found_first": "1", "found_last": "700"},
            "numbers_disagree",
            "First and last frame number don't give the frames found",
        ),
        ({"since": "2027-01-01T08:00", "found_frames": "9"}, "since_before_start", "Which is right?"),
        ({"found_clock": "3600"}, "clock_set_wrong", "That is no drift"),
    ],
)
def test_what_cant_be_is_asked_about_and_not_computed_with(ask, page, typed, doubt, sentence):
    results = ask(**typed)["results"]
    assert results["doubts"] == [doubt]
    text = page(**typed)
    assert sentence in text
    assert ("in doubt" in text) == (doubt != "clock_set_wrong")
    assert results["frame_bytes"] is None
    if "found_frames" in typed:
        assert results["missed_frames"] is None


def test_gb_and_gib_of_one_reading_agree(ask):
    """6.37 GB are 5.9325 GiB."""
    both = ask(found_gb="6.37", found_gib="5.93")["results"]
    assert both["doubts"] == []
    only = ask(found_gib="5.93")["results"]["found"]["card_used_bytes"]
    assert only["expected"] == int(5.93 * 2**30)


def test_recording_time_is_told_in_hours():
    """A recorded day of ten hours makes no day of 24."""
    written = [Say().hours(seconds).replace("\u00a0", " ") for seconds in (90, 3_600, 90_000, 94_510)]
    assert written == ["1 min 30 s", "1 h", "25 h", "≈26 h 15 min"]


def test_with_a_panel_the_draw_is_not_told(ask, page):
    solar = {**BATTERY, **MADRID, "lat": "40", "lon": "-3", "panel_w": "10", "sky": "mixed", "found_battery": "55"}
    assert ask(**solar)["results"]["drain_factor"] is None
    assert "load and sun can't be told apart" in page(**solar)


def test_numbers_count_across_9999(ask):
    """9,000 to 9,999 are 1,000 files, then 5,000."""
    assert ask(found_first="9000", found_last="5000")["results"]["found"]["frames"] == 6_000


# -- steps, blanks, wrong input -----------------------------------------------------------------------------


def plan_links(text):
    """Return the changes that the page's buttons to the plan make."""
    return [parse_qs(found) for found in re.findall(r'formaction=/plan name=set value="([^"]*)"', text)]


def test_measured_values_can_be_carried_into_the_plan(page):
    """7.868 GB / 6,000 are 1,311.3 kB, carried as 1.312 MB; 45 % instead of 12 Wh scale the 50 mW."""
    read = {"found_frames": "6000", "found_gb": "7.868", **BATTERY, "found_battery": "55"}
    text = page(**read, battery_shows="usable")
    (changes,) = plan_links(text)
    assert changes["frame_mb"] == ["1.312"]
    # Until it is said what the gauge shows, that protects and makes no plan.
    assert plan_links(page(**read)) == [{"frame_mb": ["1.312"]}]
    assert 50 < float(changes["standby_mw"][0]) < 300
    assert "Use the measured frame size and draw from now on" in text


def test_a_draw_with_frames_missing_is_not_carried(page):
    """6.37 GB / 4,860 are 1,310.7 kB. A camera that was off for a while says too little of the draw."""
    (changes,) = plan_links(page(**FOUND, **BATTERY, found_battery="55"))
    assert changes == {"frame_mb": ["1.311"]}


@pytest.mark.parametrize(
    ("typed", "question"),
    [
        ({"found_frames": "4000", "found_gb": "60"}, "A frame would take 16.1 MB, planned 1.31 MB: is anything else"),
        ({**BATTERY, "found_battery": "98"}, "The battery has drained far less than planned"),
    ],
)
def test_what_is_far_from_the_plan_is_asked_about(page, typed, question):
    assert question in page(**typed)
    assert question not in page(**BATTERY, found_frames="6000", found_gb="7.868", found_battery="85")


def test_blanks_are_named_and_unknown_stays_unknown(ask):
    body = ask(last=None, card_gb=None)
    assert body["needs"] == ["last"]
    assert set(map(str, leaves(body["results"]))) <= {"None", "[]"}
    assert ask(at=None)["needs"] == ["at"]
    nothing = ask(card_gb=None)["results"]
    assert nothing["verdict"] is None
    assert nothing["full_at"]["earliest"] is None


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        ("found_frames", "many", "Frames found must be a number, like 12"),
        ("found_frames", "12.5", "Frames found must be a whole number"),
        ("found_battery", "101", "Battery reads must be between 0 and 100 %"),
        ("found_first", "0", "First frame number must be between 1 and 9999"),
        ("since", "2027-03-01", "Running since must be a date and time, like 2027-03-01T14:30"),
    ],
)
def test_wrong_input_is_named_and_nothing_is_computed(ask, name, text, sentence):
    body = ask(422, **{name: text})
    assert body["errors"] == {name: sentence}
    assert body["results"]["expected"]["frames"] is None


def test_the_mast_comes_first(client):
    """Frames, space, battery and clock stand first in the form, which is folded under the answer."""
    text = client.get("/check", query_string=SHOOT).get_data(as_text=True)
    places = [
        text.index(f"id={name}") for name in ("found_frames", "found_gb", "found_battery", "found_clock", "since")
    ]
    assert places == sorted(places)
    assert text.index("id=answer") < text.index("<details") < places[0]


def test_a_reading_of_no_growth_tells_no_size(client):
    """Frames below the last digit: no size from it, and no division by nothing."""
    query = "first=2027-02-28&last=2027-08-27&card_gb=1000&at=2027-03-02T13:00&found_frames=1200&found_gb=0"
    data = client.get(f"/check.json?{query}").get_json()["results"]
    assert data["frame_bytes"] is None
    assert data["missed_frames"] == 300
    assert client.get(f"/check?{query}").status_code == 200
