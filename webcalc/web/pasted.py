"""A plan found in pasted text: a link from any host, a bare query, or a message with a link in it."""

from __future__ import annotations

import re
from datetime import date
from urllib.parse import parse_qsl, urlsplit

from webcalc.web.inputs import VERSION_NAME, Inputs, read_inputs
from webcalc.web.quantities import QUANTITIES

#: Longest text that is looked through.
LONGEST_PASTE = 16_000
_LINK = re.compile(r"[a-z][a-z0-9+.\-]*://\S+", re.IGNORECASE)
_BARE_QUERY = re.compile(r"\S*?\?(\S+)|(\S+=\S+)")


def _query_of(text: str) -> str | None:
    """Return the query of the first link in the text that names a quantity, else of a bare query."""
    candidates = [urlsplit(link).query for link in _LINK.findall(text)]
    candidates += [match[1] or match[2] for match in _BARE_QUERY.finditer(text)]
    for query in candidates:
        names = {name for name, _ in parse_qsl(query, keep_blank_values=True)}
        if names & {*QUANTITIES, VERSION_NAME}:
            return query
    return None


def read_pasted(text: str, today: date) -> Inputs | None:
    """Return the plan in a pasted text; None where there is none. No link is ever followed."""
    try:
        query = _query_of(text[:LONGEST_PASTE])
    except ValueError:  # urlsplit on a malformed host
        return None
    if query is None:
        return None
    return read_inputs(parse_qsl(query.rstrip(".,;)>\"'"), keep_blank_values=True), today)
