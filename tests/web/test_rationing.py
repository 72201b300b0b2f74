"""Long questions wait for each other, short ones for nobody, and nothing takes more work than it may."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from urllib.parse import urlencode

import pytest
from examples import FULL
from flask import Flask
from flask.testing import FlaskClient
from house import HOST, make_app
from live import get, serving

from webcalc.web.http import rationing
from webcalc.web.http.errors import TooMuchWork
from webcalc.web.http.rationing import Lane, _Answer

#: Ten years, every day, with a card and a battery that last a day or two: visits without end.
TEN_YEARS = {**FULL, "last": "2037-02-20", "days": "1234567", "skip": "", "battery_wh": "5", "card_gb": "2"}


def heavy_query(number: int = 0, **changes: str) -> str:
    return urlencode({**TEN_YEARS, **changes, "name": f"Camera {number}"})


def run_list(cameras: int, **changes: str) -> dict[str, str]:
    lines = (urlencode({**TEN_YEARS, **changes, "name": f"c{n}", "interval": f"{300 + n}s"}) for n in range(cameras))
    return {"plan": "\n".join(lines), "ahead": "120mo"}


# -- a ceiling ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", ["/run", "/run.json"])
def test_a_list_without_end_is_refused_with_the_way_to_shorten_it(client: FlaskClient, path: str) -> None:
    begin = time.thread_time()
    reply = client.post(path, data=run_list(40), base_url=f"http://{HOST}")
    if reply.status_code == 303:
        reply = client.get(reply.location, base_url=f"http://{HOST}")
    assert reply.status_code == 429
    assert time.thread_time() - begin < 6, "a third of what it took without a ceiling, on a slow computer"
    said = reply.get_data(as_text=True)
    assert "Look ahead less far, or take fewer cameras" in said
    assert reply.headers["Content-Security-Policy"]


def test_the_same_list_shortened_is_answered(client: FlaskClient) -> None:
    reply = client.post("/run.json", data={**run_list(40), "ahead": "14"}, base_url=f"http://{HOST}")
    assert reply.status_code == 200
    reply = client.post(
        "/run.json", data=run_list(20, battery_wh="100", card_gb="64", last="2029-02-20"), base_url=f"http://{HOST}"
    )
    assert reply.status_code == 200, "twenty cameras for two years, to the end"


# -- the lane -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "heavy"),
    [
        ("/clip?" + urlencode(TEN_YEARS), False),
        ("/visits?" + urlencode(TEN_YEARS), True),
        ("/visits.json?" + urlencode(TEN_YEARS), True),
        ("/visits?" + urlencode(FULL), False),
        ("/visits", False),
        ("/run", False),
        ("/run?plan=x", True),
        ("/daylight?v=1&first=2027-01-01&shoot_days=6mo", True),
        ("/interval", False),
        ("/", False),
    ],
)
def test_which_questions_stand_in_the_lane(app: Flask, path: str, heavy: bool) -> None:
    with app.test_request_context(path, base_url=f"http://{HOST}"):
        assert rationing.is_heavy() is heavy


def test_every_name_in_the_lists_is_a_page(app: Flask) -> None:
    assert set(app.blueprints) >= rationing.GROWING | rationing.LONG


def answer_of(text: str) -> _Answer:
    return _Answer(text.encode(), 200, ())


def test_equal_questions_are_worked_out_once() -> None:
    lane, worked, ready = Lane(), [], threading.Event()

    def work() -> _Answer:
        worked.append(1)
        ready.wait(5)
        return answer_of("x")

    with ThreadPoolExecutor(8) as crew:
        asked = [crew.submit(lane.answer, "key", work) for _ in range(8)]
        time.sleep(0.1)
        ready.set()
        assert {answer.result().body for answer in asked} == {b"x"}
    assert lane.answer("key", work).body == b"x"
    assert worked == [1]
    assert lane.waiting == 0


def test_different_questions_go_one_by_one() -> None:
    lane, side_by_side, most = Lane(), [], []

    def work() -> _Answer:
        side_by_side.append(1)
        most.append(len(side_by_side))
        time.sleep(0.02)
        side_by_side.pop()
        return answer_of("x")

    with ThreadPoolExecutor(6) as crew:
        for answer in [crew.submit(lane.answer, n, work, f"client {n}") for n in range(6)]:
            answer.result()
    assert max(most) == 1


@pytest.mark.parametrize("limit", ["MOST_WAITING", "MOST_DIFFERENT"])
def test_a_full_lane_is_a_sentence(monkeypatch: pytest.MonkeyPatch, limit: str) -> None:
    monkeypatch.setattr(rationing, limit, 2)
    lane, ready = Lane(), threading.Event()

    def work() -> _Answer:
        ready.wait(5)
        return answer_of("x")

    with ThreadPoolExecutor(2) as crew:
        held = [crew.submit(lane.answer, n, work) for n in range(2)]
        time.sleep(0.1)
        with pytest.raises(TooMuchWork, match="Ask again"):
            lane.answer("third", work)
        ready.set()
        for answer in held:
            answer.result()
    assert lane.answer("third", work).body == b"x"


def test_nobody_fills_the_lane_alone() -> None:
    lane, ready = Lane(), threading.Event()

    def work() -> _Answer:
        ready.wait(5)
        return answer_of("x")

    with ThreadPoolExecutor(rationing.MOST_OF_ONE + 2) as crew:
        held = [crew.submit(lane.answer, n, work, "10.0.0.1") for n in range(rationing.MOST_OF_ONE)]
        time.sleep(0.1)
        with pytest.raises(TooMuchWork):
            lane.answer("one more", work, "10.0.0.1")
        held += [crew.submit(lane.answer, 0, work, "10.0.0.1"), crew.submit(lane.answer, "other", work, "10.0.0.2")]
        time.sleep(0.1)
        ready.set()
        assert {answer.result().body for answer in held} == {b"x"}, "equal ones, and those of others, are taken"
    assert lane.answer("one more", work, "10.0.0.1").body == b"x"
    assert not lane.asking


def test_a_turn_that_never_comes_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rationing, "PATIENCE_S", 0.05)
    lane = Lane()
    with lane.turn, pytest.raises(TooMuchWork):
        lane.answer("key", lambda: answer_of("x"))
    assert lane.answer("key", lambda: answer_of("x")).body == b"x", "the refusal isn't kept"


def test_a_failure_is_passed_on_and_not_kept() -> None:
    lane = Lane()

    def fail() -> _Answer:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        lane.answer("key", fail)
    assert lane.answer("key", lambda: answer_of("x")).body == b"x"


def test_what_is_too_much_is_so_when_asked_again() -> None:
    lane, worked = Lane(), []

    def refuse() -> _Answer:
        worked.append(1)
        raise TooMuchWork("Ask for less.")

    for _ in range(3):
        with pytest.raises(TooMuchWork, match="Ask for less"):
            lane.answer("key", refuse)
    assert worked == [1]


def test_few_answers_are_kept() -> None:
    lane = Lane()
    for number in range(100):
        lane.answer(number, lambda: answer_of("x"))
    assert len(lane.answers) <= 33


def test_an_answer_from_the_lane_is_like_any_other() -> None:
    """Same bytes twice, own headers each time, and the next minute a new one; language, host and form count too."""
    client, path = make_app().test_client(), f"/daylight?{heavy_query()}"
    first, second = (client.get(path, base_url=f"http://{HOST}") for _ in range(2))
    assert first.status_code == second.status_code == 200
    assert first.data == second.data
    assert sorted(first.headers) == sorted(second.headers)
    packed = client.get(path, base_url=f"http://{HOST}", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["Content-Encoding"] == "gzip"
    other = client.get(path, base_url="http://localhost")
    assert b"http://localhost/" in other.data
    assert HOST.encode() not in other.data


def test_a_form_is_answered_beside_heavy_questions() -> None:
    with serving(make_app()) as server, ThreadPoolExecutor(6) as crew:
        port = server.effective_port
        heavy = [crew.submit(get, port, f"/visits?{heavy_query(n // 2, last='2028-06-30')}") for n in range(4)]
        time.sleep(0.2)
        longest, rounds, began = 0.0, 0, time.monotonic()
        while not all(answer.done() for answer in heavy):
            begin = time.monotonic()
            assert get(port, "/clip")[0] == 200
            longest, rounds = max(longest, time.monotonic() - begin), rounds + 1
        assert rounds > 3, "the questions must have been heavy"
        # A busy machine is slow with both.
        assert longest < max(1, (time.monotonic() - began) / 3)
        assert {answer.result()[0] for answer in heavy} == {200}
