"""Error pages in plain words, as a page or as data."""

from __future__ import annotations

from http import HTTPStatus

from flask import Flask, Response, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException, TooManyRequests

from webcalc.web.http.outgoing import SECURITY_HEADERS

_SENTENCES = {
    400: "This address can't be read, or it names a computer that this server doesn't answer for.",
    404: "There is no such page here.",
    405: "This page can only be opened, not written to.",
    413: "That is more than this page can take.",
    414: "That link is too long.",
    429: "That is more work than this server does at once: ask for less, or again in a minute.",
    431: "That link is too long.",
    500: "Something went wrong here. Nothing was stored, so nothing is lost: go back and try again.",
    501: "This server doesn't take requests of that kind.",
}


class TooMuchWork(TooManyRequests):
    """A request that is refused for the work it takes; the description says how to shorten it."""


def answer_error(problem: HTTPException) -> ResponseReturnValue:
    """Answer an HTTP error with one sentence."""
    code = problem.code or 500
    plain = request.path.lower().rstrip("/")
    if code == 404 and plain != request.path and _is_page(plain):
        return redirect(f"{plain}?{request.query_string.decode()}".rstrip("?"), 301)
    sentence = _SENTENCES.get(code, problem.name)
    if isinstance(problem, TooMuchWork) and problem.description:
        sentence = problem.description
    if request.path.endswith(".json"):
        response: Response = jsonify(inputs={}, results=None, errors={"": sentence}, notes=[])
    else:
        response = Response(render_template("error.html", code=code, sentence=sentence), mimetype="text/html")
    response.status_code = code
    if isinstance(problem, TooMuchWork) and problem.retry_after is not None:
        response.headers["Retry-After"] = str(problem.retry_after)
    return response


def _is_page(path: str) -> bool:
    """Whether a page has this address: people type capitals, and phones write them at the start."""
    try:
        current_app.create_url_adapter(request).match(path, method="GET")
    except HTTPException:
        return False
    return True


def bare_answer(code: int) -> tuple[str, list[tuple[str, str]], bytes]:
    """Return status, headers and body of an error that is met before the app is asked."""
    sentence = _SENTENCES.get(code, _SENTENCES[500])
    page = (
        "<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>"
        f"<title>webcalc</title><h1>{sentence}</h1>"
    )
    headers = [("Content-Type", "text/html; charset=utf-8"), *SECURITY_HEADERS.items()]
    return f"{code} {HTTPStatus(code).phrase}", headers, page.encode()


def install(app: Flask) -> None:
    """Answer every HTTP error, a crash among them, through ``answer_error``."""
    app.register_error_handler(HTTPException, answer_error)
