"""What a link says, as the shoot that the calculation package works on; and two links of one shoot as one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import datetime
from typing import Any

from webcalc.calc.onsite.shoot import READINGS
from webcalc.calc.shoot import Shoot
from webcalc.calc.typed import Typed
from webcalc.calc.unknown import wrong
from webcalc.calc.visits.done import log_of
from webcalc.web.link.inputs import Inputs


def shoot_of(inputs: Inputs, now: datetime | None = None, **instead: Any) -> Shoot:
    """Return the shoot as it runs by ``now``; a wrong text is a quantity that isn't known.

    ``instead`` are values in place of typed ones.

    Of a link that isn't whole nothing is known: a value may have been cut short, and a blank isn't one.
    """
    return Shoot(**{**_typed(inputs), **instead}, instant=now).running


def _typed(inputs: Inputs) -> dict[str, Any]:
    found = {}
    for each in fields(Typed):
        name = each.name.rstrip("_")
        if name in inputs.errors or inputs.wrong_sum is not None:
            found[each.name] = wrong(name)
        elif name in inputs.values:
            found[each.name] = inputs.values[name]
    return found


#: What may be another in two links of one shoot: what was done, and what somebody looks at or finds just now.
_JUST_NOW = {"did", "since", "on", "at", *READINGS, "found_temp_c", "clock_by"}
#: What was mended by it, by name; see ``mending``.
UNITED = "logs"


def shoot_told(inputs: Inputs) -> Mapping[str, str]:
    """Return what says which shoot it is: all but its log and what is read at the moment."""
    return {name: text for name, text in inputs.canonical.items() if name not in _JUST_NOW}


def united(one: Inputs, other: Inputs) -> Inputs:
    """Return the first with the log of both; as it is where the other adds nothing, is another shoot or doubtful."""
    if other.wrong_sum is not None or other.errors or one.wrong_sum is not None or shoot_told(one) != shoot_told(other):
        return one
    values = dict(one.values)
    log = log_of((*one.get("did", ()), *other.get("did", ())))
    since = [inputs.values["since"] for inputs in (one, other) if "since" in inputs.values]
    if log:
        values["did"] = log
    if since:
        values["since"] = max(since)
    if values == one.values:
        return one
    return replace(one, values=values, mended=tuple(dict.fromkeys((*one.mended, UNITED))))
