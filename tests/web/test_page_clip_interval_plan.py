"""The pages ``/clip``, ``/interval`` and ``/plan``: cases worked by hand, blanks, and what may not be worked out.

1 to 10 March 2027, every day, 08:00-18:00, one frame a minute: 6,000 frames, 200 s at 30 fps. Ten hours at one a
minute are 600 frames and 20 s: common practice, no source.
"""

from fractions import Fraction

import pytest
from laws import plain_words

SHOOT = {
    "v": "1",
    "first": "2027-03-01",
    "last": "2027-03-10",
    "from": "08:00",
    "until": "18:00",
    "days": "1234567",
    "interval": "60s",
    "fps": "30",
}


@pytest.fixture
def ask(client):
    """Return a function from a page and changed names to the whole answer as data."""

    def get(page, status=200, **changes):
        query = {name: value for name, value in {**SHOOT, **changes}.items() if value is not None}
        answered = client.get(f"/{page}.json", query_string=query)
        assert answered.status_code == status
        return answered.get_json()

    return get


def test_clip_by_hand(ask):
    found = ask("clip", clip="50s", kept="90", clip_mbps="40")["results"]
    assert (found["recorded_days"], found["recorded_s"], found["frames"]) == (10, 360_000, 6_000)
    assert (found["kept_frames"], found["clip_s"], found["timecode"]) == (5_400, 180, "00:03:00:00")
    assert (found["speed_up"], found["clip_s_per_recorded_day"]) == (1_800, 18)
    # 1,500 frames wanted of 5,400: every third leaves 1,800, of which 300 are too many.
    assert found["thinning"] == {
        "frames_wanted": 1_500,
        "keep_every": 3,
        "frames_left": 1_800,
        "frames_to_trim": 300,
        "frames_missing": 0,
    }
    assert found["file_bytes"] == 50 * 40_000_000 // 8


def test_a_clip_that_is_too_short_is_told(ask, client):
    found = ask("clip", clip="5min")["results"]
    assert found["thinning"]["frames_missing"] == 9_000 - 6_000
    assert "Too short" in client.get("/clip", query_string={**SHOOT, "clip": "5min"}).get_data(as_text=True)


def test_without_stills_there_is_no_clip(ask, client):
    bursts = {"stills": "no", "burst": "3s", "burst_mbps": "20"}
    found = ask("clip", **bursts)["results"]
    assert (found["frames"], found["kept_frames"], found["clip_s"], found["thinning"]) == (0, 0, 0, None)
    assert "No stills are taken" in client.get("/clip", query_string={**SHOOT, **bursts}).get_data(as_text=True)
    assert any("No stills" in note for note in ask("interval", clip="60s", **bursts)["notes"])
    plan = client.get("/plan", query_string={**SHOOT, "clip": "60s", **bursts}).get_data(as_text=True)
    assert "too short" in plan


@pytest.mark.parametrize("page", ["clip", "interval", "plan"])
def test_nothing_is_worked_out_around_a_wrong_share(ask, page):
    found = ask(page, status=422, kept="most", clip="60s", card_gb="64", frame_mb="1", tz="Europe/Madrid")["results"]
    clip = found["clip"] if page == "plan" else found
    assert clip["clip_s"] is None
    if page == "plan":
        assert found["today"]["clip_s"] is None


def test_interval_by_hand(ask):
    # 360,000 s over 60 s x 30 frames are 200 s: 3 min are settable, 200 frames a day, 2,000 in all, 66 2/3 s.
    found = ask("interval", interval=None, clip="60s")["results"]
    assert (found["frames_wanted"], found["interval_exact_s"], found["interval_s"]) == (1_800, 200, 180)
    assert found["clip_s"] == pytest.approx(2_000 / 30)
    assert [choice["interval_s"] for choice in found["choices"]] == [60, 120, 180, 300, 600, 900]


def test_interval_without_a_wish_shows_the_plans_own(ask):
    answer = ask("interval")
    assert answer["needs"] == ["clip"]
    assert (answer["results"]["interval_s"], answer["results"]["clip_s"]) == (60, 200)
    assert {choice["interval_s"]: choice["frames"] for choice in answer["results"]["choices"]}[120] == 3_000


@pytest.mark.parametrize(
    ("days", "usual"),
    # About a minute for a week to a month, two to five minutes for longer: common practice, no source.
    # Ten hours a day: 600 frames at one a minute; 300, 200, 120 at one each 2, 3, 5 minutes; 30 frames are a second.
    [(6, []), (7, [(60, 140)]), (31, [(60, 620)]), (32, [(120, 320), (180, Fraction(640, 3)), (300, 128)])],
)
def test_dates_alone_tell_what_is_usual(ask, client, days, usual):
    dates = {"last": None, "shoot_days": str(days), "interval": None}
    found = ask("interval", **dates)["results"]
    assert found["interval_s"] is None
    got = [(each["interval_s"], each["clip_s"]) for each in found["usual"]]
    assert got == [(seconds, pytest.approx(float(clip))) for seconds, clip in usual]
    query = {name: value for name, value in {**SHOOT, **dates}.items() if value is not None}
    told = client.get("/interval", query_string=query).get_data(as_text=True)
    assert ("usual for a shoot of this length" in told) == bool(usual)


def test_an_own_list_of_intervals_is_kept_to(ask):
    found = ask("interval", interval=None, clip="60s", settable="45s,4min")["results"]
    assert [choice["interval_s"] for choice in found["choices"]] == [45, 240]
    assert found["interval_s"] == 45


def test_today_leaves_a_card_unknown_that_takes_bursts_of_unknown_size(ask):
    at = {"on": "2027-03-02T12:00", "frame_mb": "1", "card_gb": "64", "burst": "3s"}
    today = ask("plan", **at)["results"]["today"]
    assert today["card_used_bytes"] == {"low": None, "expected": None, "high": None}
    known = ask("plan", **at, burst_mbps="8")["results"]["today"]
    # 600 + 240 frames of 1 MB in 128 KiB clusters (8) and as many bursts of 3,000,000 B (23).
    assert known["card_used_bytes"]["expected"] == 840 * (8 + 23) * 131_072


def test_what_runs_out_first(ask):
    # 6,000 frames of 2 MB in 32 KiB clusters (62) are 12.19e9 B; an 8 GB card takes 7.92e9 B: 3,898 frames.
    found = ask("plan", frame_mb="2", card_gb="8", battery_wh="500", standby_mw="10", frame_j="1", temp_c="20")[
        "results"
    ]
    assert found["first_to_run_out"]["what"] == "card"
    # Six whole days are 3,600 frames; frame 299 of the seventh no longer fits: 08:00 + 298 min.
    assert found["first_to_run_out"]["at"].startswith("2027-03-07T12:58:00")
    assert ask("plan", frame_mb="2", card_gb="16")["results"]["first_to_run_out"] == {"what": None, "at": None}


def test_bursts_of_unknown_size_leave_the_card_unknown_everywhere(ask, client):
    """They would count as nothing, and every date would be too late."""
    bursts = {"frame_mb": "1", "card_gb": "64", "burst": "3s", "clean": "5", "tz": "Europe/Madrid"}
    assert ask("visits", **bursts)["needs"] == ["burst_mbps"]
    assert ask("storage", **bursts)["needs"] == ["burst_mbps"]
    found = ask("check", at="2027-03-03T12:00", **bursts)["results"]
    assert found["expected"]["frames"] == 2 * (600 + 600 + 240)
    assert found["expected"]["card_used_bytes"]["high"] is None
    assert "needs Burst bit rate" in client.get("/plan", query_string={**SHOOT, **bursts}).get_data(as_text=True)


@pytest.mark.parametrize(
    ("page", "figure", "taken"),
    [
        ("battery", "Under 11 mW", ("8 × LR6 alkaline AA", "every 5 min")),
        ("visits", "2 visits", ("64 GB card", "50 Wh", "small, sleeps between frames")),
        ("check", "12 Mar 2027", ("looked at Tue 2 Mar 2027, 12:00", "64 GB card", "50 Wh")),
        ("call", "Every 5 min", ("30 days", "clip 2 min")),
    ],
)
def test_a_page_opened_with_nothing_answers_and_says_what_it_takes(client, page, figure, taken):
    reply = client.get(f"/{page}").get_data(as_text=True)
    rests = plain_words(reply).partition("Taken for now:")[2]
    assert figure in plain_words(reply)
    assert all(each in rests for each in taken)
    # With a version a blank stays blank.
    assert "not known" in plain_words(client.get(f"/{page}?v=1").get_data(as_text=True)).lower()
    assert figure not in plain_words(client.get(f"/{page}?v=1").get_data(as_text=True))


def test_a_page_opened_with_nothing_takes_thirty_days(client):
    """Thirty days of ten hours at one a minute: 18,000 frames, 600 s at 30 fps. With a version a blank stays blank."""
    assert client.get("/clip.json").get_json()["results"]["clip_s"] == 600
    assert "30 days" in client.get("/clip").get_data(as_text=True).replace("\u00a0", " ")
    assert client.get("/clip.json?v=1").get_json()["results"]["clip_s"] is None
    assert client.get("/clip.json?fps=30").get_json()["results"]["clip_s"] is None
