"""What was typed twice of battery and load, and differs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.energy import Pack, RatedFrom, rated_wh
from webcalc.calc.power.load import CONTRADICTION_RATIO
from webcalc.calc.results import Results, meaning


@dataclass(frozen=True)
class Clash(Results):
    """Two typed things that can't both be right."""

    quantity: str = field(metadata=meaning("its name with unit"))
    used: float = field(metadata=meaning("the value used"))
    other: float = field(metadata=meaning("the other one"))
    way: str = field(metadata=meaning("where the other one comes from"))


def pack_clashes(pack: Pack, rated: Estimate[float]) -> Iterator[Clash]:
    """Yield where what goes after the energy in use tells another energy."""
    others = {}
    if pack.rated_from is RatedFrom.WH and pack.mah is not None:
        others[RatedFrom.MAH] = rated_wh(replace(pack, wh=None))
    if pack.rated_from in (RatedFrom.WH, RatedFrom.MAH):
        others[RatedFrom.CELLS] = rated_wh(replace(pack, wh=None, mah=None))
    for way, other in others.items():
        if other is not None and (
            other.low > rated.high * CONTRADICTION_RATIO or other.high * CONTRADICTION_RATIO < rated.low
        ):
            yield Clash("rated_wh", rated.expected, other.expected, str(way))
