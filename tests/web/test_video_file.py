"""One video file instead of stills: what it takes, and where that shows; by hand.

A new file each day and at 4 GiB is common practice, no source; 4 GiB - 1 is FAT32's largest file (Microsoft, FAT32 File
System Specification 1.03).
"""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from webcalc.web.link.quantities import QUANTITIES

#: Ten days of 600 frames; 150 MB a minute at 25 fps are 100,000 bytes a frame, 60 MB a day.
VIDEO = {
    **{"first": "2027-03-01", "last": "2027-03-10", "from": "08:00", "until": "18:00", "days": "1234567"},
    **{"interval": "60s", "fps": "25", "recorded_as": "video", "video_mb_min": "150", "card_gb": "64"},
}


def data(client: FlaskClient, page: str, **query: str) -> dict[str, Any]:
    return client.get(f"/{page}.json", query_string={"v": "1", **query}).get_json()


def words(client: FlaskClient, page: str, **query: str) -> str:
    return client.get(f"/{page}", query_string={"v": "1", **query}).get_data(as_text=True).replace("\u00a0", " ")


def test_frames_share_the_files_bytes(client: FlaskClient) -> None:
    found = data(client, "storage", **VIDEO)["results"]
    assert found["frame_bytes"] == {"low": 100_000, "expected": 100_000, "high": 100_000}
    assert found["needed_bytes"]["high"] == 10 * 60_000_000
    assert found["cluster_cost_share"] == 0
    assert found["files"] == 10 and found["numbers_roll_over_at"] is None
    # As stills of the same size each takes a cluster of 128 KiB.
    stills = data(client, "storage", **{**VIDEO, "recorded_as": "", "frame_mb": "0.1"})["results"]
    assert stills["needed_bytes"]["high"] == 6000 * 131_072
    # What stills would take says nothing of a video file.
    blank = data(client, "storage", **{**VIDEO, "video_mb_min": "", "frame_mb": "2"})
    assert blank["needs"] == ["video_mb_min"] and blank["results"]["frame_bytes"]["expected"] is None


def test_a_bit_rate_is_megabytes_a_minute() -> None:
    """20 Mbit/s for 60 s are 1,200 Mbit, 150 MB."""
    quantity = QUANTITIES["video_mb_min"]
    assert quantity.write(quantity.read("20 Mbit/s")) == "150" == quantity.write(quantity.read("150 MB a minute"))


def test_a_new_file_at_4_gib(client: FlaskClient) -> None:
    """18,000 MB a minute at 25 fps are 12 MB a frame; 3,600 a day make 43.2 GB, in eleven files of 4.29 GB."""
    found = data(client, "storage", **{**VIDEO, "video_mb_min": "18000", "interval": "10s"})["results"]
    assert found["files"] == 10 * 11
    assert "a new one each day and at 4 GiB" in words(client, "storage", **VIDEO)


def test_the_card_is_full_when_the_bytes_are(client: FlaskClient) -> None:
    """0.25 GB less 1 % are 2475 frames: four days and 75 frames; the next one is at 9:15 on the fifth."""
    full = data(client, "storage", **{**VIDEO, "card_gb": "0.25"})["results"]["full_at"]
    assert full["earliest"].startswith("2027-03-05T09:15")
    visits = words(client, "visits", **{**VIDEO, "card_gb": "0.25", "power": "mains"})
    assert "4 Mar" in visits or "5 Mar" in visits


def test_the_rate_is_fixed_and_thinning_is_coding_anew(client: FlaskClient) -> None:
    clip = words(client, "clip", **VIDEO, clip="60s")
    assert "the rate is set before" in clip and "coding it anew" in clip
    assert "coding it anew" not in words(client, "clip", **{**VIDEO, "recorded_as": ""}, clip="60s")
    assert "one video file" in words(client, "sheet", **VIDEO)


def test_a_look_measures_the_file(client: FlaskClient) -> None:
    """600 frames in 66 MB are 110,000 bytes each: 165 MB a minute at 25 fps."""
    look = {
        "since": "2027-03-01T08:00",
        "at": "2027-03-01T19:00",
        "found_frames": "600",
        "found_gb": "0.066",
        "gb_shows": "decimal",
    }
    page = words(client, "check", **VIDEO, **look, tz="Europe/Madrid")
    assert "its length in seconds × 25" in page
    assert "video_mb_min=165" in page and "frame_mb=" not in page


@pytest.mark.parametrize("name", ["fps", "video_mb_min", "recorded_as"])
def test_wrong_input_leaves_the_card_unknown(client: FlaskClient, name: str) -> None:
    found = data(client, "storage", **{**VIDEO, name: "??"})
    assert name in found["errors"] and found["results"]["needed_bytes"]["high"] is None
