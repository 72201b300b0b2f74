"""The first page, opening a pasted link, and the list of all names in a link."""

from __future__ import annotations

import re

from flask import Blueprint, current_app, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.serving import MOST_BYTES
from webcalc.web.http.arrival import local_today
from webcalc.web.http.example import example_query
from webcalc.web.http.forms import build_form
from webcalc.web.link.inputs import VERSION_NAME, read_inputs, write_query
from webcalc.web.link.pasted import decode_file, read_pasted
from webcalc.web.link.quantities import FORMAT_VERSION, QUANTITIES
from webcalc.web.questions.pages import LINKED, PAGES
from webcalc.web.words.habits import say_for
from webcalc.web.words.keys import data_keys
from webcalc.web.words.say import Say

start = Blueprint("start", __name__)

#: What the first page asks for, in this order.
ASKED = ("first", "shoot_days", "last", "days", "from", "until", "clip", "card_gb", "cells", "cell", "site")
#: Weekdays to choose from there, as they stand in a link; others are added where a plan has them.
WEEKDAYS = (("1234567", "every day"), ("12345", "Monday to Friday"), ("123456", "Monday to Saturday"))
#: How much of a text without a plan is shown again.
SHOWN_AGAIN = 2_000
#: A link to several cameras, whose plans are links themselves.
_SEVERAL = re.compile(r"/run\?((?:plan|ahead)=[^\s\"'<>]+)")


@start.get("/")
def home() -> str:
    """Ask for the shoot once, and lead to the questions; a plan in the address stands in the blanks."""
    today = local_today(current_app.config["NOW"]())
    inputs = read_inputs(request.args.items(multi=True), today)
    ends = inputs.has("last")
    asked = [name for name in ASKED if name != ("shoot_days" if ends else "last")]
    form = build_form(asked, inputs, say_for(inputs, request.accept_languages).imperial)
    weekdays = dict(WEEKDAYS)
    if inputs.has("days"):
        weekdays.setdefault(form.days.canonical, Say().weekdays(inputs.values["days"]))
    carried = ((name, inputs.canonical.get(name, text)) for name, text in inputs.typed.items() if name not in asked)
    return render_template(
        "start.html",
        form=form,
        ends=ends,
        weekdays=weekdays.items(),
        plan=f"?{inputs.query()}" if VERSION_NAME in request.args else "",
        carried=write_query(carried),
        example=example_query(today),
    )


@start.route("/open", methods=["GET", "POST"])
def open_link() -> ResponseReturnValue:
    """Open a pasted plan or a crew sheet's file here; a link to another host is read, never followed.

    Nothing is stored, so a page elsewhere that sends its form here gains nothing. Longer texts than an address can be
    come by POST.
    """
    text = request.values.get("link", "").strip()
    sheet = request.files.get("file")
    if not text and sheet is not None:
        text = decode_file(sheet.stream.read(MOST_BYTES)).strip()
    several = _SEVERAL.search(text)
    if several:
        return redirect(f"/run?{several[1]}", 303)
    found = read_pasted(text, local_today(current_app.config["NOW"]()), LINKED) if text else None
    if found is not None:
        return redirect(f"/{found.page or 'plan'}?{found.query}", 303)
    return render_template("open.html", text=text[:SHOWN_AGAIN], wrong=bool(text) or request.method == "POST")


@start.get("/link")
def names() -> str:
    """List every name that a link can carry, from the table."""
    return render_template(
        "link.html",
        quantities=QUANTITIES.values(),
        version=FORMAT_VERSION,
        data=[(page.name, page.question, data_keys(page.results)) for page in PAGES],
    )
