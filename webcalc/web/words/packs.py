"""How many batteries, said so that nobody packs too few: cells by the set, with how many make one."""

from __future__ import annotations

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import or_none
from webcalc.web.words.say import Say
from webcalc.web.words.values import value_words


def packs_words(shoot: Shoot, say: Say, count: int) -> str:
    """Return so many batteries as a plan counts them: "7 sets of 8 LR6 alkaline AA", "3 batteries"."""
    cells, spares = or_none(shoot.battery.cells_in_set), or_none(shoot.spares)
    more = f" and {say.count(spares, 'spare')}" if spares else ""
    if not cells:
        return say.count(count, "battery", "batteries") + more
    kind = value_words("cell", shoot.cell, say) if or_none(shoot.cell) else "cells"
    return f"{say.count(count, 'set')} of {say.number(cells)} {kind}{more}"
