"""Error pages in plain words, as a page or as data."""

from __future__ import annotations

from flask import Flask, Response, jsonify, render_template, request
from werkzeug.exceptions import HTTPException

_SENTENCES = {
    400: "This address can't be read, or it names a computer that this server doesn't answer for.",
    404: "There is no such page here.",
    405: "This page can only be opened, not written to.",
    413: "That is more than this page can take.",
    414: "That link is too long.",
    431: "That link is too long.",
    500: "Something went wrong here. Nothing was stored, so nothing is lost: go back and try again.",
}


def _wants_data() -> bool:
    return request.path.endswith(".json")


def answer_error(problem: HTTPException) -> tuple[str | Response, int]:
    """Answer an HTTP error with one sentence."""
    code = problem.code or 500
    sentence = _SENTENCES.get(code, problem.name)
    if _wants_data():
        return jsonify(inputs={}, results=None, errors={"": sentence}, notes=[]), code
    return render_template("error.html", code=code, sentence=sentence), code


def install(app: Flask) -> None:
    """Answer every HTTP error, a crash among them, through ``answer_error``."""
    app.register_error_handler(HTTPException, answer_error)
