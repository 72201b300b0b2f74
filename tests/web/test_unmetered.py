"""A camera of which only the kind is known, on every page; and what the battery allows where nothing is known."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from flask.testing import FlaskClient
from laws import plain_words

#: Six months, ten hours a day, a frame every half hour; invented.
HALF_YEAR = (
    "v=1&first=2027-03-01&last=2027-08-31&from=08:00&until=18:00&days=1234567&interval=30min&temp_c=20"
    "&card_gb=64&frame_mb=2&lat=40.4&lon=-3.7&tz=Europe/Madrid&battery_reserve=20"
)
EIGHT_LR6 = HALF_YEAR + "&cell=LR6&cells=8&battery_v=6"


def data(client: FlaskClient, page: str, query: str) -> dict[str, Any]:
    return client.get(f"/{page}.json?{query}").get_json()


def words(client: FlaskClient, page: str, query: str) -> str:
    return plain_words(client.get(f"/{page}?{query}").get_data(as_text=True))


def test_eight_cells_for_six_months(client: FlaskClient) -> None:
    """8 LR6 at their weakest: 8 x 1.76 Ah x 1.5 V, half of it usable, a fifth kept back, 0.5 % a month lost (from
    memory, as in the cell table): over 183 d 10 h: 1.77 mW, 0.296 mA.

    What must not be passed is rounded down."""
    found = data(client, "battery", EIGHT_LR6)["results"]["allowed_mean_mw"]
    rated = 8 * 2.2 * 0.8 * 1.5
    assert found["low"] == pytest.approx(1000 * (rated * 0.5 * 0.8 / (183 * 24 + 10) - rated * 0.005 / 730.485))
    assert "if the camera averages under 1.7 mW (0.29 mA at 6 V, frames included)" in words(client, "plan", EIGHT_LR6)
    shown = words(client, "battery", EIGHT_LR6)
    assert "Under 1.7 mW on average it lasts to Tue 31 Aug 2027 (0.29 mA at 6 V, frames included)" in shown
    assert "not known" in shown.lower()
    assert "An hour at a USB or bench meter with a frame every 30 min" in words(client, "battery", EIGHT_LR6)


def test_cells_alone_are_answered_backwards(client: FlaskClient) -> None:
    """The same hand sum over whole days, while no end is known: 8.448 Wh and 21.12 Wh."""
    found = data(client, "battery", "v=1&cell=LR6&cells=8&temp_c=20&battery_reserve=20")["results"]
    means = {each["days"]: each["mean_mw"]["low"] for each in found["allowed_by_days"]}
    for days in (30, 91, 182, 365):
        assert means[days] == pytest.approx(1000 * (8.448 / (days * 24) - 21.12 * 0.005 / 730.485))
    shown = words(client, "battery", "cell=LR6&cells=8")
    assert "Under 11 mW on average it lasts 30 days" in shown
    assert "4 in series" in words(client, "battery", "cell=LR6&cells=8&series=4")
    assert "182 days under 1.7 mW" in shown


def test_the_kind_goes_through_the_whole_shoot(client: FlaskClient) -> None:
    query = EIGHT_LR6 + "&camera_kind=sleeper"
    earliest = datetime.fromisoformat(data(client, "battery", query)["results"]["reserve_at"]["earliest"]).date()
    assert earliest < date(2027, 8, 31)
    for page in ("plan", "visits", "call", "check"):
        assert data(client, page, query)["verdict"]["parts"]["battery"] == "doubtful", page
    visits = data(client, "visits", query)["results"]["visits"]
    assert date.fromisoformat(visits[0]["date"]) <= earliest
    assert "5 sets of 8 LR6 alkaline AA" in words(client, "call", query + "&fps=25")
    assert "Sets of 8 in all 5" in words(client, "visits", query)
    for page in ("plan", "visits", "call", "check"):
        assert "that of its kind, from memory" in words(client, page, query + "&fps=25"), page
    assert "5 sets of 8 LR6 alkaline AA for all visits" in words(client, "sheet", query)
    sheet = words(client, "sheet", query)
    assert "small, sleeps between frames" in sheet or "battery" in sheet.lower()
    assert "all from memory" in words(client, "battery", query)


def test_a_wider_range_never_goes_later(client: FlaskClient) -> None:
    """The kind's pessimistic end is the draws of that end, typed."""
    by_kind = data(client, "visits", EIGHT_LR6 + "&camera_kind=sleeper")["results"]
    by_draws = data(client, "visits", EIGHT_LR6 + "&standby_mw=5&frame_j=12")["results"]
    assert [each["date"] for each in by_kind["visits"]] == [each["date"] for each in by_draws["visits"]]


def test_a_kind_that_cannot_be_read_is_named(client: FlaskClient) -> None:
    found = data(client, "battery", EIGHT_LR6 + "&camera_kind=toaster")
    assert "camera_kind" in found["errors"] and found["needs"] == ["camera_kind"]
    assert found["results"]["lasts"] is None


def test_what_narrows_it_most_is_said(client: FlaskClient) -> None:
    often = EIGHT_LR6.replace("interval=30min", "interval=5min")
    assert "Energy per frame narrows the answer most" in words(client, "battery", often + "&camera_kind=board_switched")
    assert "Standby draw narrows the answer most" in words(client, "battery", often + "&camera_kind=network")
