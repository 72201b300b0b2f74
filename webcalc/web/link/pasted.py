"""A plan found in pasted text: a link from any host, a bare query, a message with a link in it, a crew sheet's file."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from urllib.parse import parse_qsl

from webcalc.serving import MOST_BYTES
from webcalc.web.link.inputs import CHANGES_NAME, VERSION_NAME, Inputs, read_inputs, write_query
from webcalc.web.link.quantities import FORMAT_VERSION, QUANTITIES

#: Longest text that is looked through, in characters.
LONGEST_PASTE = MOST_BYTES
#: How the crew sheet's file carries the plan; the value stands in quotes, or without where it needs none.
PLAN_META = "webcalc-plan"
_META = re.compile(rf"""<meta name=["']?{PLAN_META}["']? content=(?:"([^"]*)"|'([^']*)'|([^\s>]+))""")
#: Where a link ends inside a page's source.
_ENDS = re.compile(r"""["<>]""")
_SENTENCE_END = ".,;:!?)]}>'\""
#: How much of names that aren't known is handed on, to be told.
_MOST_UNKNOWN = 8


@dataclass(frozen=True)
class Pasted:
    """A plan as it was found, and the query that says all of it here: what can't be read too, to be told."""

    inputs: Inputs
    query: str


def _candidates(text: str) -> Iterator[str]:
    """Yield what may be the plan's query, the likeliest first.

    A sheet's file names its plan. A message has its link last, after words that anybody may have typed.
    """
    for found in _META.findall(text):
        yield html.unescape("".join(found))
    # One pass over the words: a pattern that tries every beginning takes minutes for a long one.
    for word in reversed(text.split()):
        link = _ENDS.split(word[word.find("://") + 1 :], maxsplit=1)[0] if "://" in word else word
        before, mark, query = link.partition("?")
        found = query.partition("#")[0] if mark else before
        if "=" in found:
            yield html.unescape(found) if "&amp;" in found else found


def _pairs_of(text: str) -> list[tuple[str, str]] | None:
    """Return the pairs of the first query that names a quantity; one with a format version goes before."""
    second = None
    for query in _candidates(text):
        pairs = parse_qsl(query.rstrip(_SENTENCE_END), keep_blank_values=True)
        names = {name for name, _ in pairs}
        if VERSION_NAME in names and len(names) > 1:
            return pairs
        if second is None and names & {*QUANTITIES, VERSION_NAME}:
            second = pairs
    return second


def read_pasted(text: str, today: date) -> Pasted | None:
    """Return the plan in a pasted text; None where there is none. No link is ever followed."""
    pairs = _pairs_of(text[:LONGEST_PASTE])
    if pairs is None:
        return None
    plan = read_inputs(pairs, today)
    known = [(name, value) for name, value in parse_qsl(plan.query()) if name != VERSION_NAME]
    version = next((value for name, value in pairs if name == VERSION_NAME), str(FORMAT_VERSION))
    others = [(name, value) for name, value in pairs if name not in (*QUANTITIES, VERSION_NAME, CHANGES_NAME)]
    told = [(name[:40], value[:40]) for name, value in others[:_MOST_UNKNOWN]]
    return Pasted(plan, str(write_query([(VERSION_NAME, version[:40]), *known, *told])))
