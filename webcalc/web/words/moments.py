"""The pages that aren't among the six main ones, found by the moment they are for."""

from __future__ import annotations

from dataclasses import dataclass

from flask import Blueprint, abort, current_app, render_template, request

from webcalc.web.http.arrival import inputs_of_request

#: Address of a group -> its title.
MOMENTS = {"before": "Before you go", "mast": "At the mast", "desk": "Back at the desk"}


@dataclass(frozen=True)
class Entry:
    """An address outside the pages that a group lists too: a view of its own, without the quantities' form."""

    name: str
    title: str
    question: str
    moment: str


#: Listed after the pages of the same moment.
ENTRIES: tuple[Entry, ...] = (
    Entry("recorded", "On the card", "What is really on the card?", "desk"),
    Entry("run", "Several cameras", "Which cameras need a visit next?", "desk"),
)

moments = Blueprint("moments", __name__)


@moments.get("/<any(before,mast,desk):moment>")
def group(moment: str) -> str:
    """List the pages of one moment by their questions; each carries the plan on."""
    listed = (*current_app.jinja_env.globals["pages"], *ENTRIES)  # type: ignore[misc]
    pages = [page for page in listed if page.moment == moment]  # type: ignore[union-attr]
    if not pages:
        abort(404)
    inputs = inputs_of_request(current_app.config["NOW"]())
    return render_template(
        "group.html",
        title=MOMENTS[moment],
        group=pages,
        carried=inputs.query(),
        moment=moment,
        has_plan=bool(request.args),
    )
