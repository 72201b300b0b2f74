"""Blanks that were worked out are said, in the same words on every page."""

import pytest

PLAN = {"v": "1", "first": "2027-03-01", "from": "08:00", "until": "18:00", "days": "1234567", "fps": "30"}


@pytest.mark.parametrize("page", ["clip", "storage"])
@pytest.mark.parametrize(
    ("given", "words"),
    [
        # 600 frames a day at 30 fps are 20 s: common practice, no source
        (
            {"interval": "60s", "clip": "60s", "frame_mb": "1", "card_gb": "8"},
            "The last day was left empty. Worked out from the wanted clip: Wed 3 Mar 2027.",
        ),
        (
            {"last": "2027-03-03", "clip": "60s", "frame_mb": "1", "card_gb": "8"},
            "The interval was left empty. Worked out from the wanted clip: 1 min.",
        ),
        # 7.92e9 B over 1,015,808 B are 7,796 frames: 12 days and a bit
        (
            {"interval": "60s", "frame_mb": "1", "card_gb": "8"},
            "The last day was left empty. Worked out from the card: Fri 12 Mar 2027, the last day it holds whole.",
        ),
    ],
)
def test_what_was_worked_out(client, page, given, words):
    notes = client.get(f"/{page}.json", query_string={**PLAN, **given}).get_json()["notes"]
    assert words in [note.replace("\u00a0", " ") for note in notes]


def test_card_too_small_for_a_day(client):
    notes = client.get("/storage.json", query_string={**PLAN, "interval": "1s", "frame_mb": "1", "card_gb": "8"})
    assert any("not even the first day fits" in note for note in notes.get_json()["notes"])


def test_clip_that_takes_too_long(client):
    query = {**PLAN, "days": "1", "interval": "24h", "clip": "10h", "frame_mb": "1", "card_gb": "8"}
    notes = client.get("/storage.json", query_string=query).get_json()["notes"]
    assert any("more than ten years" in note for note in notes)


@pytest.mark.parametrize("page", ["clip", "storage", "battery", "interval", "visits"])
def test_the_length_gives_the_last_day(client, page):
    """Before clip and card, which would give other days."""
    query = {**PLAN, "shoot_days": "6 weeks", "interval": "60s", "clip": "60s", "frame_mb": "1", "card_gb": "8"}
    body = client.get(f"/{page}.json", query_string=query).get_json()
    words = (
        "The last day was left empty. Worked out from the shoot length: Sun 11 Apr 2027, 6 weeks from the first day."
    )
    if page not in ("battery", "visits"):
        assert words in [note.replace("\u00a0", " ") for note in body["notes"]]
    assert body["inputs"]["shoot_days"] == "42"
    assert "last" not in body["needs"]
    assert "shoot_days=42" in body["link"]


def test_a_length_is_the_same_shoot_as_its_last_day(client):
    """On every figure of the plan, and of the card when it is the card that is short."""
    for page in ("plan", "storage", "clip", "interval"):
        query = {**PLAN, "interval": "60s", "frame_mb": "1", "card_gb": "8"}
        by_length = client.get(f"/{page}.json", query_string={**query, "shoot_days": "3 months"}).get_json()
        by_date = client.get(f"/{page}.json", query_string={**query, "last": "2027-05-31"}).get_json()
        assert by_length["results"] == by_date["results"], page


def test_the_last_day_goes_before_the_length(client):
    query = {**PLAN, "interval": "60s", "last": "2027-03-31", "shoot_days": "6 weeks"}
    body = client.get("/clip.json", query_string=query).get_json()
    assert body["results"]["last"] == "2027-03-31"
    notes = [note.replace("\u00a0", " ") for note in body["notes"]]
    assert "Of last day (Wed 31 Mar 2027) and shoot length (6 weeks), the last day counts." in notes
    query["shoot_days"] = "1 month"
    assert client.get("/clip.json", query_string=query).get_json()["notes"] == []


@pytest.mark.parametrize(
    ("given", "needs"), [({"shoot_days": "soon"}, ["shoot_days"]), ({"shoot_days": "42", "first": ""}, ["first"])]
)
def test_a_length_that_gives_no_last_day(client, given, needs):
    """Nothing else is tried instead: the clip would give another day."""
    body = client.get("/clip.json", query_string={**PLAN, "interval": "60s", "clip": "60s", **given}).get_json()
    assert body["results"]["last"] is None
    assert body["needs"] == needs
