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
