"""What the page of several cameras was asked: plans, a line each, and how drives are put together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from flask import current_app, request

from webcalc.calc.unknown import known
from webcalc.web.http.arrival import inputs_of_request
from webcalc.web.link.inputs import write_query
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.quantity import Quantity, number, whole
from webcalc.web.link.to_shoot import shoot_of

#: How far the list looks ahead: text in the link, words.
AHEAD = (("14", "2 weeks"), ("56", "8 weeks"), ("6mo", "6 months"), ("120mo", "to the end"))
#: The fields beside the plans; they are this page's own, and no part of a plan.
FIELDS = {
    field.name: field
    for field in (
        Quantity("ahead", "Look ahead", QUANTITIES["shoot_days"].kind, usual="56"),
        Quantity("early", "Days early", whole(0, 60), hint="at most; empty: each plan’s margin"),
        Quantity("near", "One drive reaches", number("1", "20000", "km"), hint="km between cameras; empty: 500"),
    )
}
#: What is taken while how far isn't known.
USUAL_AHEAD = FIELDS["ahead"].read(FIELDS["ahead"].usual)
#: Asks what coming early saves.
COMPARE = "compare"


@dataclass(frozen=True)
class Asked:
    """What was typed: plans line by line and the other fields; their values, and what is wrong with them."""

    lines: Sequence[str]
    texts: Mapping[str, str]
    values: Mapping[str, Any]
    wrong: Mapping[str, str]
    compare: bool

    def query(self) -> str:
        pairs = [("plan", line) for line in self.lines]
        pairs += [(name, text) for name, text in self.texts.items() if text != FIELDS[name].usual]
        return write_query([*pairs, (COMPARE, "yes")] if self.compare else pairs)


def ask() -> Asked:
    """Read the request; a new link for one camera takes the place of the old one."""
    values = request.values
    lines = [line.strip() for text in values.getlist("plan") for line in (text.splitlines() or [""])]
    while lines and not lines[-1]:
        lines.pop()
    if not values.getlist("plan"):
        lines = _plan_that_came_along()
    new, line = values.get("new", "").strip(), line_number("line")
    if new and 0 < line <= len(lines):
        lines[line - 1] = " ".join(new.split())
    texts = {name: values.get(name, "").strip() or field.usual for name, field in FIELDS.items()}
    read: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for name, field in FIELDS.items():
        try:
            read[name] = field.read(texts[name]) if texts[name] else None
        except BadInput as problem:
            wrong[name] = f"{problem}."
    return Asked(lines, texts, read, wrong, bool(values.get(COMPARE)))


def line_number(name: str) -> int:
    """Return the line that a field of the request names; 0 where it names none."""
    text = request.values.get(name, "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _plan_that_came_along() -> list[str]:
    """Return the plan that a page of one camera handed over, if its days are known."""
    if not request.args:
        return []
    inputs = inputs_of_request(current_app.config["NOW"]())
    return [f"{request.host_url}plan?{inputs.handed_out()}"] if known(shoot_of(inputs).schedule) else []
