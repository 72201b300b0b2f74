"""Two links of one shoot whose logs differ: one plan with everything that was noted in either."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from webcalc.calc.onsite.shoot import READINGS
from webcalc.calc.visits.log import log_of
from webcalc.web.link.inputs import Inputs

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
