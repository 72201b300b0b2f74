"""The written formula with the user's own numbers in it, for the page and for the data.

The expression comes from beside the formula's function; the unit of each number comes from the parameter's name.
Nothing about a formula is written here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from webcalc.calc.formula import Working
from webcalc.web.words.say import NBSP, Say

#: Ending of a parameter's name, and the unit to print. Longest endings first.
_UNITS = (
    ("_bits_per_s", "bit/s"),
    ("_bytes_per_s", "B/s"),
    ("_mb_per_s", "MB/s"),
    ("_mj_per_m2", "MJ/m²"),
    ("_kwh_m2", "kWh/m²"),
    ("_px_per_interval", "px"),
    ("_px_per_s", "px/s"),
    ("_px_per_m", "px/m"),
    ("_m_per_s", "m/s"),
    ("_m_s", "m/s"),
    ("_s_per_day", "s a day"),
    ("_bytes", "B"),
    ("_mwh", "mWh"),
    ("_mah", "mAh"),
    ("_deg", "°"),
    ("_ppm", "ppm"),
    ("_wh", "Wh"),
    ("_ah", "Ah"),
    ("_ma", "mA"),
    ("_mw", "mW"),
    ("_gb", "GB"),
    ("_mb", "MB"),
    ("_px", "px"),
    ("_mm", "mm"),
    ("_ft", "ft"),
    ("_kv", "kV"),
    ("_w", "W"),
    ("_j", "J"),
    ("_v", "V"),
    ("_a", "A"),
    ("_c", "°C"),
    ("_s", "s"),
    ("_h", "h"),
    ("_m", "m"),
)
#: Names that are a unit and nothing else.
_BARE = {
    "bits_per_s": "bit rate",
    "bytes_per_s": "rate",
    "px_per_m": "resolution",
    "px_per_s": "speed",
    "px_per_interval": "step",
}
_WORDS = {"ceil": "round up", "floor": "round down", "sqrt": "√"}
_TOKEN = re.compile(r"\*\*|[A-Za-z_][A-Za-z_0-9]*|\*|/|-|[0-9.]+")
_SIGNS = {"**": "^", "*": " × ", "/": " ÷ ", "-": "−"}


@dataclass(frozen=True)
class Shown:
    """A working as text: ``what`` = ``symbols`` = ``numbers`` = ``result``, and where the formula comes from."""

    what: str
    symbols: str
    numbers: str
    result: str
    source: str


@cache
def split_unit(name: str) -> tuple[str, str]:
    """Return a parameter's words and the unit that its name ends in."""
    if name.endswith("_share"):
        return name.removesuffix("_share").replace("_", " ") + " share", "%"
    for ending, unit in _UNITS:
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " "), unit
        if name == ending[1:]:
            return _BARE.get(name, name), unit
    return name.replace("_", " "), ""


def show(working: Working, say: Say) -> Shown:
    """Put a working into text."""
    values = working.values

    def symbols(match: re.Match[str]) -> str:
        token = match[0]
        if token in values:
            return split_unit(token)[0]
        return _SIGNS.get(token) or _WORDS.get(token) or token.removesuffix("_deg")

    def numbers(match: re.Match[str]) -> str:
        token = match[0]
        if token in values:
            return _value(token, values[token], say)
        return symbols(match)

    expression = re.sub(r"\s*([*/])\s*", r"\1", working.formula.expression).replace("* *", "**")
    return Shown(
        split_unit(working.formula.result)[0],
        _TOKEN.sub(symbols, expression),
        _TOKEN.sub(numbers, expression),
        _value(working.formula.result, working.result, say),
        working.formula.source,
    )


def _value(name: str, value: Any, say: Say) -> str:
    unit = split_unit(name)[1]
    if isinstance(value, bool) or value is None:
        return {None: "none", True: "yes", False: "no"}[value]
    if isinstance(value, int | float | Decimal | Fraction):
        text = _figures(value * 100 if unit == "%" else value, say)
        if unit == "°":
            return text + unit
        return f"{text}{NBSP}{unit}" if unit else text
    if isinstance(value, timedelta):
        return say.length(Fraction(value / timedelta(microseconds=1)) / 1_000_000)
    if isinstance(value, datetime):
        return say.instant(value)
    if isinstance(value, date):
        return say.day(value)
    return str(value)


def _figures(value: int | float | Decimal | Fraction, say: Say) -> str:
    """Write whole numbers whole, a frame rate's fraction as one, and the rest to five figures."""
    if isinstance(value, Fraction) and value.denominator == 1001:
        return f"{value.numerator}/1001"
    exact = Fraction(value)
    if exact.denominator == 1:
        return say.number(exact)
    text = say.figures(exact, 5)
    back = Fraction(text.replace(NBSP, "").replace("−", "-").replace(",", "."))
    return text if back == exact or abs(back - exact) < abs(exact) * Fraction(1, 10**12) else f"≈{text}"
