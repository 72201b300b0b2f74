"""What a link says, as the shoot that the calculation package works on."""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from typing import Any

from webcalc.calc.shoot import Shoot
from webcalc.calc.typed import Typed
from webcalc.calc.unknown import wrong
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
