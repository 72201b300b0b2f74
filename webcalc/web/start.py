"""The first page, opening a pasted link, and the list of all names in a link."""

from __future__ import annotations

from flask import Blueprint, current_app, redirect, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.web.example import example_query
from webcalc.web.page import local_today
from webcalc.web.pasted import read_pasted
from webcalc.web.quantities import FORMAT_VERSION, QUANTITIES

start = Blueprint("start", __name__)


@start.get("/")
def home() -> str:
    """Say what this is for and lead to the questions."""
    return render_template("start.html", example=example_query(local_today(current_app.config["NOW"]())))


@start.get("/open")
def open_link() -> ResponseReturnValue:
    """Open a pasted plan here; a link to another host is read, never followed."""
    text = request.args.get("link", "").strip()
    plan = read_pasted(text, local_today(current_app.config["NOW"]())) if text else None
    if plan is not None:
        return redirect(f"/plan?{plan.query()}", 303)
    return render_template("open.html", text=text)


@start.get("/link")
def names() -> str:
    """List every name that a link can carry, from the table."""
    return render_template("link.html", quantities=QUANTITIES.values(), version=FORMAT_VERSION)
