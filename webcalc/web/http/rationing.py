"""Rationed work: heavy questions wait for each other in a lane of their own, and the same one is worked out once.

Python runs one thread at a time, so four long questions side by side would leave a fifth of it to everybody else.
In a lane, one heavy question is at work and takes half at most; quick pages never stand in the lane.
"""

from __future__ import annotations

import hashlib
import threading
from collections import Counter, OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from dataclasses import dataclass, field
from datetime import datetime
from functools import wraps
from typing import Any, cast

from flask import Flask, Response, current_app, make_response, request
from flask.typing import ResponseReturnValue

from webcalc.web.http.arrival import inputs_of_request
from webcalc.web.http.errors import TooMuchWork

#: Pages whose work grows with the days of the shoot; the others are quick whatever is asked.
GROWING = frozenset({"daylight", "plan", "call", "sheet", "share", "visits", "sun", "solar"})
#: Pages that are always long.
LONG = frozenset({"run"})
#: Shoots up to this length are quick everywhere (0.1 s on a small computer).
QUICK_DAYS = 366
#: Requests that may wait for an answer of the lane: more would hold every thread of the server.
MOST_WAITING = 20
#: Different questions among them, each two or three seconds of work, and how long one waits for its turn.
MOST_DIFFERENT, PATIENCE_S = 8, 20
#: Different questions of one address among them, so that nobody fills the lane alone.
MOST_OF_ONE = 4
#: Answers that are kept while their minute lasts, and the longest of them.
_MOST_KEPT, _LONGEST_KEPT = 32, 1_000_000
_BUSY = "Many long questions are being worked out here just now. Ask again in half a minute; short ones go through."


@dataclass(frozen=True)
class _Answer:
    """An answer before headers, tightening and compression, which each request adds by itself."""

    body: bytes
    status: int
    headers: tuple[tuple[str, str], ...]

    def response(self) -> Response:
        """Return it as a response of its own."""
        return Response(self.body, self.status, list(self.headers))


@dataclass
class Lane:
    """One at work, a few waiting; equal questions share one answer."""

    turn: threading.Lock = field(default_factory=threading.Lock)
    guard: threading.Lock = field(default_factory=threading.Lock)
    waiting: int = 0
    asking: Counter[str] = field(default_factory=Counter)
    answers: OrderedDict[Hashable, Future[_Answer]] = field(default_factory=OrderedDict)

    def answer(self, key: Hashable, work: Callable[[], _Answer], client: str = "") -> _Answer:
        """Return the answer to a question, worked out here, awaited or kept. Raises TooMuchWork where it is full."""
        with self.guard:
            shared = self.answers.get(key)
            if shared is not None and shared.done():
                return shared.result()
            first = shared is None
            crowded = self.asking.total() >= MOST_DIFFERENT or self.asking[client] >= MOST_OF_ONE
            if self.waiting >= MOST_WAITING or (first and crowded):
                raise TooMuchWork(_BUSY, retry_after=30)
            if shared is None:
                shared = self.answers[key] = Future()
                self._forget_oldest()
            self.waiting += 1
            self.asking[client] += first
        try:
            if first:
                self._work_out(key, shared, work)
            return shared.result(2 * PATIENCE_S)
        except TimeoutError:
            raise TooMuchWork(_BUSY, retry_after=30) from None
        finally:
            with self.guard:
                self.waiting -= 1
                self.asking[client] -= first
                if not self.asking[client]:
                    del self.asking[client]

    def _work_out(self, key: Hashable, shared: Future[_Answer], work: Callable[[], _Answer]) -> None:
        keep = False
        try:
            if not self.turn.acquire(timeout=PATIENCE_S):
                raise TooMuchWork(_BUSY, retry_after=30)
            try:
                found = work()
            finally:
                self.turn.release()
            keep = len(found.body) <= _LONGEST_KEPT
            shared.set_result(found)
        except BaseException as problem:
            # Asked again, the same is too much again.
            keep = isinstance(problem, TooMuchWork) and problem.retry_after is None
            shared.set_exception(problem)
        finally:
            if not keep:
                with self.guard:
                    self.answers.pop(key, None)

    def _forget_oldest(self) -> None:
        done = [key for key, answer in self.answers.items() if answer.done()]
        for key in done[: max(0, len(self.answers) - _MOST_KEPT)]:
            del self.answers[key]


def is_heavy() -> bool:
    """Whether the current request may take long, told from its days alone."""
    if request.blueprint in LONG:
        return bool(request.values)
    if request.blueprint not in GROWING:
        return False
    now: datetime = current_app.config["NOW"]()
    inputs = inputs_of_request(now)
    if inputs.has("first", "last"):
        return bool((inputs.values["last"] - inputs.values["first"]).days >= QUICK_DAYS)
    # The length may be given by itself, or be worked out from the clip.
    return inputs.has("shoot_days") or inputs.has("clip")


def _key() -> Hashable:
    """Return all that an answer depends on; the clock counts by the minute, as pages write it."""
    now: datetime = current_app.config["NOW"]()
    form = hashlib.sha256(repr(list(request.form.items(multi=True))).encode()).digest()
    language = request.headers.get("Accept-Language", "")
    minute = now.replace(second=0, microsecond=0)
    return request.method, request.url, form, language, minute


def rationed(view: Callable[..., Any], lane: Lane) -> Callable[..., ResponseReturnValue]:
    """Return the view with its heavy questions in the lane."""

    @wraps(view)
    def ask(**arguments: Any) -> ResponseReturnValue:
        if not is_heavy():
            return cast(ResponseReturnValue, view(**arguments))

        def work() -> _Answer:
            response = make_response(view(**arguments))
            return _Answer(response.get_data(), response.status_code, tuple(response.headers.items()))

        return lane.answer(_key(), work, request.remote_addr or "").response()

    return ask


def install(app: Flask) -> None:
    """Put the views whose work grows into one lane."""
    lane = Lane()
    for endpoint, view in app.view_functions.items():
        if endpoint.partition(".")[0] in GROWING | LONG:
            app.view_functions[endpoint] = rationed(view, lane)
