"""Dark runs: days vary around a month's mean, and hang together; the chance that a battery with a panel meets one.

Daily clearness K (sun on the ground over sun above the air) lies between 0.05 and a highest value as a cut-off
exponential does (Bendt, Collares-Pereira and Rabl 1981, as in Duffie & Beckman section 2.9; from memory), its slope
solved so that the mean is the month's own. The normal scores of following days have a correlation of about 0.3 (Graham,
Hollands and Brunger 1988, from memory).

The chance is worked out, not drawn: the depth to which the battery is discharged, and the class of the last day's sky,
go from day to day as a Markov chain over a grid. Tests hold it to a seeded simulation.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from statistics import NormalDist

from webcalc.calc.formula import formula

#: Lowest clearness of a day (Bendt and others).
DARKEST = 0.05
#: A darker month has nothing but dark days: they don't vary.
_ALL_DARK = 0.06
#: Correlation of one day's normal score with the next one's.
DAY_TO_DAY = 0.3
#: Classes of sky by the share of a month's days that are darker, and the days that stand for each: finer where dark.
_EDGES = (0.0, 0.04, 0.15, 0.4, 0.7, 1.0)
_DAYS_OF_CLASS = (5, 4, 3, 2, 1)
#: Steps of the depth, from full to the reserve: so few that the chance is rather too high than too low.
_STEPS = 18
_MONTH_DAYS = 30
#: Less than this is nobody's winter.
_NOTHING = 1e-9


@formula(
    "brightest", "0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8", "Hollands and Huget 1983, D&B 2.9; from memory"
)
def brightest(mean: float) -> float:
    """Return the highest clearness of a day in a month of this mean clearness, 0.05 to 0.75."""
    return 0.6313 + 0.267 * mean - 11.9 * (mean - 0.75) ** 8


def _mean_of(slope: float, low: float, high: float) -> float:
    """Return the mean of a density e^(slope · K) between two values."""
    if abs(slope) < 1e-9:
        return (low + high) / 2
    less = math.exp(-abs(slope) * (high - low))
    part = 1 / abs(slope) - (high - low) * less / (1 - less)
    return low + part if slope < 0 else high - part


@lru_cache(maxsize=256)
def slope_of(mean: float) -> float:
    """Return the slope γ of the days' density e^(γ K), solved so that their mean is the month's.

    ``mean`` is 0.05 to 0.75, both excluded; the printed closed form for γ gives a mean that is too high below 0.3.
    """
    low, high = -400.0, 400.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _mean_of(middle, DARKEST, brightest(mean)) < mean else (low, middle)
    return (low + high) / 2


def clearness_of_day(mean: float, share: float) -> float:
    """Return the clearness below which this share (0 to 1) of a month's days lie."""
    if mean < _ALL_DARK:
        return mean
    slope, high = slope_of(mean), brightest(mean)
    if abs(slope) < 1e-9:
        return DARKEST + share * (high - DARKEST)
    return high + math.log(math.exp(slope * (DARKEST - high)) * (1 - share) + share) / slope


def spread_of_months(mean: float) -> float:
    """Return the standard deviation of a month's clearness from year to year, as its days alone make it.

    Days of this density, each with ``DAY_TO_DAY`` of the one before: a mean of 30 of them.
    """
    if mean < _ALL_DARK:
        return 0.0
    slope, span = abs(slope_of(mean)), brightest(mean) - DARKEST
    if slope * span < 1e-3:
        of_days = span**2 / 12
    else:
        of_days = slope**-2 - (span * math.exp(-slope * span / 2) / -math.expm1(-slope * span)) ** 2
    return math.sqrt(of_days * (1 + DAY_TO_DAY) / (1 - DAY_TO_DAY) / _MONTH_DAYS)


def diffuse_share_of_day(clearness: float, sunset_deg: float) -> float:
    """Return the share of a day's horizontal energy that comes from the whole sky: all of it on a dark day.

    Erbs, Klein and Duffie 1982, D&B eq. 2.11.4 (from memory).
    """
    k = clearness
    if sunset_deg < 81.4:
        return 1 - 0.2727 * k + 2.4495 * k**2 - 11.9514 * k**3 + 9.3879 * k**4 if k < 0.715 else 0.143
    return 1 + 0.2832 * k - 2.5557 * k**2 + 0.8448 * k**3 if k < 0.722 else 0.175


def shares_of_classes() -> tuple[tuple[float, ...], ...]:
    """Return the shares of darker days at which each class of sky is looked at."""
    return tuple(
        tuple(low + (high - low) * (n + 0.5) / count for n in range(count))
        for low, high, count in zip(_EDGES, _EDGES[1:], _DAYS_OF_CLASS, strict=False)
    )


@lru_cache(maxsize=1)
def _turns() -> tuple[tuple[float, ...], ...]:
    """Return the chance of each class of sky after each, from the correlation of the normal scores."""
    normal, spread, looked = NormalDist(), math.sqrt(1 - DAY_TO_DAY**2), 24
    borders = [normal.inv_cdf(edge) for edge in _EDGES[1:-1]]
    rows = []
    for low, high in pairwise(_EDGES):
        row = [0.0] * (len(_EDGES) - 1)
        for n in range(looked):
            score = normal.inv_cdf(low + (high - low) * (n + 0.5) / looked)
            below = [0.0, *(normal.cdf((border - DAY_TO_DAY * score) / spread) for border in borders), 1.0]
            for k in range(len(row)):
                row[k] += (below[k + 1] - below[k]) / looked
        rows.append(tuple(row))
    return tuple(rows)


@lru_cache(maxsize=1)
def _turns_to() -> tuple[tuple[float, ...], ...]:
    """Return the same the other way round: for each class of sky the chances to come to it."""
    return tuple(zip(*_turns(), strict=True))


#: A day as the chain needs it: what is drawn in Wh, and what a day of each class of sky brings, in Wh.
Day = tuple[float, tuple[tuple[float, ...], ...]]
#: How the depth moves on a day of a class of sky: by so many steps, with these weights.
_Moves = tuple[tuple[int, float], ...]


def reserve_chance(days: Sequence[Day], room_wh: float, years: int = 1, year_days: int = 365) -> float:
    """Return the share of years in which a battery that begins full comes to its reserve.

    Parameters
    ----------
    days : in order; days that are alike are best the same object
    room_wh : from full to the reserve; > 0
    years : a longer shoot is told year by year, each going on from where the last one ended; where it has more years
        than there are days, the last whole year stands for those that follow
    """
    chain, found = _Chain(room_wh), []
    for n, day in enumerate(days):
        if n and n % year_days == 0:
            found.append(chain.touched)
            chain.go_on()
        chain.pass_day(day)
    found.append(chain.touched)
    return math.fsum((*found, (years - len(found)) * found[-1])) / years


class _Chain:
    """The chances of each depth and class of sky, on the evening of a day."""

    def __init__(self, room_wh: float) -> None:
        self.room_wh = room_wh
        self.touched = 0.0
        self.widths = [high - low for low, high in pairwise(_EDGES)]
        self.at = [[width, *[0.0] * (_STEPS - 1)] for width in self.widths]
        self.moves: dict[int, tuple[float, list[_Moves]]] = {}

    def go_on(self) -> None:
        """Begin another year: what had come to the reserve stands next to it."""
        for chances, width in zip(self.at, self.widths, strict=True):
            chances[_STEPS - 1] += self.touched * width
        self.touched = 0.0

    def _moves_of(self, day: Day) -> tuple[float, list[_Moves]]:
        found = self.moves.get(id(day))
        if found is None:
            load_wh, harvests = day
            # The lowest state is that before noon's harvest: half a day's load is drawn by then.
            step_wh = max(self.room_wh - load_wh / 2, load_wh * 1e-6, 1e-9) / _STEPS
            moves = [_moves([(load_wh - wh) / step_wh for wh in of_class]) for of_class in harvests]
            found = self.moves[id(day)] = (load_wh / 2 / step_wh, moves)
        return found

    def pass_day(self, day: Day) -> None:
        """Go on by a day."""
        floor, moves = self._moves_of(day)
        if floor >= _STEPS:
            # Half a day's load is more than there is.
            self.touched, self.at = 1.0, [[0.0] * _STEPS for _ in self.at]
            return
        lowest, beyond = int(floor), floor - int(floor)
        floor_step, touched = lowest + 1 if beyond else lowest, self.touched
        after = []
        before = list(zip(*self.at, strict=True))
        while before and sum(before[-1]) < _NOTHING:
            before.pop()
        for row, of_sky in zip(_turns_to(), moves, strict=True):
            a, b, c, d, e = row
            weights = [a * v + b * w + c * x + d * y + e * z for v, w, x, y, z in before]
            chances, filled = [0.0] * (_STEPS + 1), 0.0
            for by, part in of_sky:
                kept = max(0, floor_step - by)
                left = max(kept, _STEPS - by)
                filled += part * sum(weights[:kept])
                touched += part * sum(weights[left:])
                for to, chance in enumerate(weights[kept:left], kept + by):
                    chances[to] += part * chance
            # The sun filled it: it stands at what is drawn from noon to evening.
            chances[lowest] += filled * (1 - beyond)
            chances[lowest + 1] += filled * beyond
            touched += chances.pop()
            after.append(chances)
        self.touched, self.at = touched, after


def _moves(steps: Sequence[float]) -> _Moves:
    """Return the moves by whole steps that stand for these, each as likely as the others."""
    found: dict[int, float] = {}
    for step in steps:
        whole = math.floor(step)
        # Whatever fills the battery fills it: no more than all of its steps.
        if whole < -_STEPS:
            whole, step = -_STEPS, -float(_STEPS)
        found[whole] = found.get(whole, 0.0) + (1 - step + whole) / len(steps)
        found[whole + 1] = found.get(whole + 1, 0.0) + (step - whole) / len(steps)
    return tuple((by, part) for by, part in sorted(found.items()) if part)
