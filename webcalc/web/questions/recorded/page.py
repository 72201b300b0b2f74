"""What is really on the card? A listing of its files beside the plan; nothing of it is kept."""

from __future__ import annotations

from datetime import datetime

from flask import Blueprint, current_app, jsonify, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.recorded.shoot import RecordedResults
from webcalc.web.http.arrival import local_today
from webcalc.web.http.page import Asked, Page, data_body
from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.listing import Listing, read_listing
from webcalc.web.questions.recorded.words import recorded_answer
from webcalc.web.words.answer import Answer
from webcalc.web.words.habits import say_for

recorded = Blueprint("recorded", __name__)

#: Longest listing that is shown again, in characters.
_SHOWN_AGAIN = 20_000
#: Which number of 01/03/2027 is the day: text in the form, meaning.
READINGS = {"day": True, "month": False}

RECORDED = Page(
    "recorded",
    "On the card",
    "What is really on the card?",
    (),
    lambda _asked: Answer(),
    parts=(),
    results=RecordedResults,
)


def _ask() -> Asked:
    """Read the plan of the address; when the card was taken out may be typed beside the listing."""
    now: datetime = current_app.config["NOW"]()
    pairs = list(request.args.items(multi=True))
    if "at" in request.form:
        pairs = [*(pair for pair in pairs if pair[0] != "at"), ("at", request.form["at"].strip())]
    inputs = read_inputs(pairs, local_today(now))
    return Asked(RECORDED, inputs, now, say_for(inputs, request.accept_languages))


def _listing(asked: Asked) -> Listing | None:
    text = request.form.get("listing", "").strip()
    if not text:
        return None
    return read_listing(text, local_today(asked.now), READINGS.get(request.form.get("reading", "")))


def _kept(text: str) -> str:
    """Return what was typed, to be shown again; nothing of a whole card's, which would be sent back for nothing."""
    return text if len(text) <= _SHOWN_AGAIN else ""


@recorded.route("/recorded", methods=["GET", "POST"])
def view() -> ResponseReturnValue:
    """Answer as a page; without a listing, ask for one."""
    asked = _ask()
    listing = _listing(asked)
    answer = recorded_answer(asked, listing)
    return render_template(
        "recorded.html",
        answer=answer,
        listing=listing,
        reading=request.form.get("reading", ""),
        text=_kept(request.form.get("listing", "")),
        at=asked.inputs.typed.get("at", ""),
        errors=dict(asked.inputs.errors),
        query=asked.inputs.query(),
    )


@recorded.route("/recorded.json", methods=["GET", "POST"])
def data() -> ResponseReturnValue:
    """Answer as data; 422 where there is no picture in the listing, or an input is wrong."""
    asked = _ask()
    listing = _listing(asked)
    answer = recorded_answer(asked, listing)
    body = {**data_body(asked, answer), "needs": [] if listing else ["listing"]}
    wrong = bool(asked.inputs.errors) or not listing or not listing.files
    return jsonify(body), 422 if wrong else 200
