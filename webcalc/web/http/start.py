"""The first page, the example, the groups of pages, a pasted link, and all names in a link."""

from __future__ import annotations

import re
from datetime import date, timedelta

from flask import Blueprint, current_app, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.serving import MOST_BYTES
from webcalc.web.http.arrival import inputs_of_request, local_today
from webcalc.web.http.data import data_keys
from webcalc.web.http.forms import build_form
from webcalc.web.link.inputs import VERSION_NAME, Inputs, read_inputs, write_query
from webcalc.web.link.pasted import decode_file, read_pasted
from webcalc.web.link.quantities import FORMAT_VERSION, QUANTITIES
from webcalc.web.questions.pages import ENTRIES, LINKED, MOMENTS, PAGES
from webcalc.web.words.say import Say, say_for

start = Blueprint("start", __name__)

#: An invented shoot to look around with. No real place, client or camera stands behind it.
_SHOOT = {
    "name": "Footbridge, north mast",
    "from": "07:30",
    "until": "17:30",
    "days": "12345",
    "interval": "5min",
    "fps": "25",
    "clip": "1min",
    "kept": "80",
    "size": "3840x2160",
    "picture": "standard",
    "card_gb": "128",
    "cell": "lifepo4",
    "battery_wh": "230",
    "standby_mw": "60",
    "frame_j": "12",
    "temp_c": "0",
    "battery_reserve": "20",
    "lat": "47.48",
    "lon": "8.21",
    "tz": "Europe/Zurich",
    "light": "sun",
}
_LENGTH = timedelta(days=181)


def example_shoot(today: date) -> Inputs:
    """Return the example, beginning on the Monday after ``today`` and running for half a year."""
    first = today + timedelta(days=8 - today.isoweekday())
    last = first + _LENGTH
    pairs = {VERSION_NAME: str(FORMAT_VERSION), "first": first.isoformat(), "last": last.isoformat(), **_SHOOT}
    return read_inputs(pairs.items(), today)


def example_query(today: date) -> str:
    """Return the example as a canonical query."""
    return example_shoot(today).query()


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


@start.get("/<any(before,mast,desk):moment>")
def group(moment: str) -> str:
    """List the pages of one moment by their questions; each carries the plan on."""
    listed = (*PAGES, *ENTRIES)
    inputs = inputs_of_request(current_app.config["NOW"]())
    return render_template(
        "group.html",
        title=MOMENTS[moment],
        group=[page for page in listed if page.moment == moment],
        carried=inputs.query(),
        moment=moment,
        has_plan=bool(request.args),
    )
