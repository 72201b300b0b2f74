"""What the current request says of a plan, and what has to be told of how it arrived."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from urllib.parse import parse_qsl

from flask import request

from webcalc.calc.schedule.zone import UnknownZone, load_zone
from webcalc.web.link.inputs import CHANGES_NAME, NOTHING, VERSION_NAME, Inputs
from webcalc.web.link.mending import mended_words, read_arrived


def inputs_of_request(
    now: datetime, without_usual: frozenset[str] = frozenset(), usual_alone: Mapping[str, str] = NOTHING
) -> Inputs:
    """Return what the current request says of a plan."""
    came, query = list(request.args.items(multi=True)), request.query_string.decode(errors="replace")
    return read_arrived(query, local_today(now), without_usual, usual_alone, came)


def unknown_notes(inputs: Inputs) -> list[str]:
    """Return a sentence for what was mended in the link, and for what can't be read there and isn't a wrong value."""
    found = [*filter(None, [mended_words(inputs)]), *inputs.left_out]
    for name in inputs.unknown:
        version = name.removeprefix(f"{VERSION_NAME}=")
        if version != name:
            found.append(f"The link has format version “{version[:40]}”, not known here; what is known was read.")
        else:
            found.append(f"“{name[:40]}” in the link is not known to this version and was left out.")
    return found


def local_today(now: datetime) -> date:
    """Return today's date in the zone the link names, else by this computer's own clock."""
    try:
        return now.astimezone(load_zone(_typed_zone())).date()
    except UnknownZone:
        return now.astimezone().date()


def _typed_zone() -> str:
    """Return the zone's name as the query has it, changes to the rest of the query first."""
    for changes in request.args.getlist(CHANGES_NAME):
        for name, text in parse_qsl(changes):
            if name == "tz":
                return text.strip()
    return request.args.get("tz", "").strip()
