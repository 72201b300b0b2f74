"""The first page, the list of link names, and opening a pasted link."""

from __future__ import annotations

from flask import Blueprint, render_template

start = Blueprint("start", __name__)


@start.get("/")
def home() -> str:
    """Say what this is for and lead to the questions."""
    return render_template("start.html")
