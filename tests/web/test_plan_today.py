"""The part "today" of ``/plan``: card, next visit, and the same numbers as the check on site; cases worked by hand.

2 March 2026 is a Monday; Mon-Fri, 08:00-18:00, one frame a minute: 600 frames a recorded day.
"""

from datetime import date

import pytest

SHOOT = {
    "v": "1",
    "first": "2026-03-02",
    "last": "2026-09-27",
    "from": "08:00",
    "until": "18:00",
    "days": "12345",
    "interval": "1min",
    "fps": "30",
    "frame_mb": "2",
    "card_gb": "16",
    "tz": "Europe/Berlin",
    "visit_days": "12345",
    "margin": "3",
}
#: 2 MB take 62 clusters of 32 KiB.
ON_CARD = 62 * 32768


@pytest.fixture
def ask(client):
    """Return a function from a page and changed names to (results, page as text)."""

    def get(page="plan", **changes):
        query = {name: value for name, value in {**SHOOT, **changes}.items() if value is not None}
        answered = client.get(f"/{page}.json", query_string=query)
        assert answered.status_code == 200, answered.get_json()["errors"]
        return answered.get_json()["results"], client.get(f"/{page}", query_string=query).get_data(as_text=True)

    return get


def test_reserve_does_not_stop_the_camera(ask):
    """With 20 % kept free by the plan the card goes on filling: 12 days of 600 frames are 14.6 GB, above 12.7 GB."""
    today = ask(card_reserve="20", on="2026-03-17T19:00")[0]["today"]
    assert today["frames"] == 7200
    assert today["card_used_bytes"] == dict.fromkeys(("low", "expected", "high"), 7200 * ON_CARD)


def test_full_card_takes_no_more(ask):
    today = ask(card_reserve="20", on="2026-06-01")[0]["today"]
    assert today["card_used_bytes"] == dict.fromkeys(("low", "expected", "high"), 16_000_000_000)


@pytest.mark.parametrize("moment", ["2026-03-10T12:34", "2026-03-31T09:00", "2026-07-04T12:00"])
@pytest.mark.parametrize("reserve", [None, "25"])
def test_same_numbers_as_the_check(ask, moment, reserve):
    """A shoot that nobody has visited: both pages look at the same moment."""
    battery = {"battery_wh": "400", "cell": "li-ion", "standby_mw": "20", "frame_j": "3", "temp_c": "10"}
    today = ask(on=moment, card_reserve=reserve, **battery)[0]["today"]
    expected = ask("check", at=moment, card_reserve=reserve, **battery)[0]["expected"]
    assert {name: today[name] for name in ("frames", "card_used_bytes", "battery_left_share")} == {
        name: expected[name] for name in ("frames", "card_used_bytes", "battery_left_share")
    }


def test_next_visit_is_that_of_the_visits_page(ask):
    visits = [date.fromisoformat(visit["date"]) for visit in ask("visits")[0]["visits"]]
    results, page = ask(on="2026-03-10T12:00")
    coming = min(day for day in visits if day >= date(2026, 3, 10))
    assert results["today"]["next_visit_on"] == coming.isoformat()
    assert results["today"]["days_to_next_visit"] == (coming - date(2026, 3, 10)).days
    assert "Next visit" in page


def test_day_of_a_visit_is_no_day_away(ask):
    visit = ask("visits")[0]["visits"][0]["date"]
    today = ask(on=f"{visit}T10:00")[0]["today"]
    assert (today["next_visit_on"], today["days_to_next_visit"]) == (visit, 0)


def test_after_a_planned_visit_says_what_it_counts_from(ask):
    assert "as if no visit had changed" not in ask(on="2026-03-03T12:00")[1]
    assert "as if no visit had changed" in ask(on="2026-06-03T12:00")[1]


def test_no_visit_where_nothing_calls_for_one(ask):
    """Neither card nor battery is known, and the clock has no zone to go wrong by."""
    today = ask(card_gb=None, frame_mb=None, tz=None, visit_days=None, margin=None, on="2026-03-10T12:00")[0]["today"]
    assert (today["next_visit_on"], today["days_to_next_visit"]) == (None, None)
