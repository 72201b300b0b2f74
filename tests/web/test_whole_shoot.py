"""The picture of the whole shoot: what it draws is what the page's data say, and what isn't known isn't drawn."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

PLAN = (
    "v=1&first=2027-03-01&last=2027-08-31&from=08:00&until=18:00&days=1234567&interval=1min&frame_mb=2&card_gb=64"
    "&battery_wh=200&cell=li-ion&standby_mw=20&frame_j=3&temp_c=20&battery_reserve=20&margin=3"
    "&lat=40.4167&lon=-3.7033&tz=Europe/Madrid&light=sun&visit_days=1234567"
)


def figure(client: FlaskClient, path: str, title: str) -> str:
    page = client.get(path).get_data(as_text=True)
    (found,) = (
        drawn for drawn in re.findall(r"<figure>(.*?)</figure>", page, re.DOTALL) if f">{title}, in words<" in drawn
    )
    return str(found)


def test_visits_are_marked_and_told(client: FlaskClient) -> None:
    drawn = figure(client, f"/plan?{PLAN}&on=2027-05-01T12:00", "The whole shoot")
    visits = client.get(f"/visits.json?{PLAN}").get_json()["results"]["visits"]
    assert drawn.count("<circle") == len(visits) - 1 > 1
    assert all(row in drawn for row in ("Light", "Card", "Battery", "Visits", "now"))
    # Half of the shoot's 184 days is 92; 1 May at noon is day 61.5: 56 + 280 · 61.5 / 184.
    assert "M150 " in drawn
    assert drawn.count("<circle") == len(re.search(r"Visits: (.*?)\.<", drawn)[1].split(", "))


@pytest.mark.parametrize(("left_out", "row"), [("standby_mw=20", "Battery"), ("frame_mb=2", "Card"), ("tz=", "Light")])
def test_what_is_not_known_has_no_row(client: FlaskClient, left_out: str, row: str) -> None:
    query = "&".join(part for part in PLAN.split("&") if not part.startswith(left_out))
    drawn = figure(client, f"/plan?{query}", "The whole shoot")
    assert f">{row}</text>" not in drawn
    assert f"{row}:" not in drawn
    if row != "Light":
        assert f"Not known: {row.lower()}" in drawn and "somebody may be needed sooner" in drawn


def test_nothing_is_drawn_where_nothing_is_recorded(client: FlaskClient) -> None:
    page = client.get(f"/plan?{PLAN}&skip=2027-03-01/2027-08-31").get_data(as_text=True)
    assert "Records nothing" in page and "The whole shoot" not in page


def test_a_wrong_interval_draws_no_course(client: FlaskClient) -> None:
    page = client.get(f"/plan?{PLAN.replace('interval=1min', 'interval=often')}").get_data(as_text=True)
    assert ">Card</text>" not in page


@pytest.mark.parametrize(("page", "at"), [("battery", "reserve_at"), ("storage", "full_at")])
def test_the_limit_is_dated_at_its_place(client: FlaskClient, page: str, at: str) -> None:
    earliest = client.get(f"/{page}.json?{PLAN}").get_json()["results"][at]["earliest"]
    drawn = figure(client, f"/{page}?{PLAN}", "If nobody goes there")
    day = int(earliest[8:10])
    assert re.search(rf">{day}\u00a0[A-Z][a-z]{{2}}</text>", drawn)
