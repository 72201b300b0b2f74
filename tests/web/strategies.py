"""Hypothesis strategies for the values of every kind of quantity, and for texts that are no value at all."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy

from webcalc.calc.light.place import Spot, find_place
from webcalc.calc.schedule.length import ShootLength
from webcalc.calc.schedule.zone import zone_names
from webcalc.calc.visits.done import THINGS, Entry, log_of
from webcalc.web.link.kinds import basics as kinds
from webcalc.web.link.kinds import dates as kinds_date
from webcalc.web.link.kinds import optics as kinds_optics
from webcalc.web.link.kinds import places as kinds_place
from webcalc.web.link.kinds import several as kinds_several
from webcalc.web.link.kinds import times as kinds_time
from webcalc.web.link.kinds.basics import Kind
from webcalc.web.link.kinds.places import PlaceField
from webcalc.web.link.quantities import QUANTITIES

_DAYS = st.dates(date(kinds_date.FIRST_YEAR, 1, 1), date(kinds_date.LAST_YEAR, 12, 31))
_CLOCKS = st.builds(time, st.integers(0, 23), st.integers(0, 59))
_INSTANTS = st.builds(datetime.combine, _DAYS, _CLOCKS)
_MONTHS = st.integers(1, 60)
_LENGTHS = st.builds(ShootLength, _MONTHS) | st.builds(ShootLength, st.just(0) | _MONTHS, st.integers(1, 1800))
_MICRO = 1_000_000


def _decimals(low: int | Decimal, high: int | Decimal, places: int) -> SearchStrategy[Decimal]:
    return st.decimals(low, high, places=places, allow_nan=False, allow_infinity=False)


def _number(kind: kinds.Number) -> SearchStrategy[Any]:
    return st.integers(int(kind.low), int(kind.high)) if kind.whole else _decimals(kind.low, kind.high, 6)


def _duration(kind: kinds_time.Duration) -> SearchStrategy[Fraction]:
    low, high = math.ceil(kind.low_s * _MICRO), math.floor(kind.high_s * _MICRO)
    exact = st.integers(low, high).map(lambda micro: Fraction(micro, _MICRO))
    whole = st.integers(-(-low // _MICRO), high // _MICRO).map(Fraction)
    return exact | whole


def _words(kind: kinds.Words | kinds.Lines) -> SearchStrategy[str]:
    return st.text(max_size=min(kind.longest, 200)).map(kind.read).filter(bool)


#: A few of the list: east, west, north, south and the equator.
CITIES = (
    "London, England",
    "Reykjavik, Iceland",
    "Wellington, New Zealand",
    "Abu Dhabi, United Arab Emirates",
    "Quito, Ecuador",
)


#: Strategy for the values of each kind, its own or that of the kind it is made from. A new kind may need one here.
_OF_KIND: dict[type[Kind], Callable[[Any], SearchStrategy[Any]]] = {
    kinds.Number: _number,
    kinds.Choice: lambda kind: st.sampled_from([name for name, _words in kind.options if name]),
    kinds.Choices: lambda kind: st.frozensets(st.sampled_from([name for name, _words in kind.options])),
    kinds.Words: _words,
    kinds.Lines: _words,
    kinds.FrameRate: lambda _kind: st.sampled_from(list(kinds.FRAME_RATES.values())),
    kinds.PictureSize: lambda _kind: st.tuples(st.integers(16, 20_000), st.integers(16, 20_000)),
    kinds_place.Coordinate: lambda kind: _decimals(-kind.most_deg, kind.most_deg, 6),
    kinds_place.GeoUri: lambda _kind: st.tuples(_decimals(-90, 90, 6), _decimals(-180, 180, 6)),
    kinds_place.City: lambda _kind: st.sampled_from(CITIES).map(find_place),
    kinds_optics.SizeInMm: lambda kind: st.tuples(*[_decimals(kind.low, kind.high, 4)] * 2),
    kinds_optics.Pixel: lambda _kind: st.tuples(*[_decimals(0, 20_000, 4)] * 2),
    kinds_date.Length: lambda _kind: _LENGTHS,
    kinds_time.Duration: _duration,
    kinds_time.Durations: lambda kind: st.sets(_duration(kind.each), min_size=1, max_size=40).map(
        lambda found: tuple(sorted(found))
    ),
    PlaceField: lambda _kind: st.builds(
        Spot, _decimals(-90, 90, 6), _decimals(-180, 180, 6), st.sampled_from(["", "Lyon, France", "’s-Hertogenbosch"])
    ),
    kinds_date.Day: lambda _kind: _DAYS,
    kinds_date.Days: lambda kind: st.frozensets(_DAYS, min_size=1, max_size=kind.most),
    kinds_time.Clock: lambda _kind: _CLOCKS,
    kinds_time.Weekdays: lambda _kind: st.frozensets(st.integers(1, 7), min_size=1),
    kinds_time.UtcOffset: lambda _kind: st.integers(-840, 840).map(lambda minutes: timedelta(minutes=minutes)),
    kinds_time.Zone: lambda _kind: st.sampled_from(zone_names()),
    kinds_time.Moment: lambda _kind: _DAYS | _INSTANTS,
    kinds_time.Instant: lambda _kind: _INSTANTS,
    kinds_time.LightRule: lambda _kind: (
        st.sampled_from(["sun", "civil"]) | st.integers(0, 6 * 60).map(lambda minutes: Fraction(60 * minutes))
    ),
}

_ENTRIES = st.builds(
    Entry,
    _INSTANTS,
    st.frozensets(st.sampled_from(THINGS)),
    frames=st.none() | st.integers(0, 10**8),
    gb=st.none() | _decimals(0, 100_000, 3),
    battery=st.none() | _decimals(0, 100, 1),
    clock=st.none() | _decimals(-1_000_000, 1_000_000, 1),
    card_gb=st.none() | _decimals(1, 100_000, 1),
    battery_wh=st.none() | _decimals(1, 100_000, 1),
    interval=st.none() | st.integers(1, 86_400).map(Fraction),
    from_=st.none() | _CLOCKS,
    until=st.none() | _CLOCKS,
)
_OF_KIND[kinds_several.Months] = lambda kind: st.tuples(*[_number(kind.each)] * 12)
_OF_KIND[kinds_several.VisitLog] = lambda _kind: st.lists(_ENTRIES, min_size=1, max_size=5).map(log_of)


def values_of(name: str) -> SearchStrategy[Any]:
    """Return a strategy for the values of a quantity."""
    kind = QUANTITIES[name].kind
    for ancestor in type(kind).__mro__:
        if ancestor in _OF_KIND:
            return _OF_KIND[ancestor](kind)
    # A kind without a strategy is tried with what its hint shows; a test asks for a strategy.
    shown = [QUANTITIES[name].usual, *QUANTITIES[name].hint.replace(";", " ").split(), "1", "1,1"]
    return st.sampled_from([value for text in shown for value in _read(kind, text)])


def _read(kind: Kind, text: str) -> list[Any]:
    try:
        return [kind.read(text.rstrip(","))]
    except kinds.BadInput:
        return []


def has_strategy(name: str) -> bool:
    """Whether the quantity's kind has a strategy."""
    return any(ancestor in _OF_KIND for ancestor in type(QUANTITIES[name].kind).__mro__)


def texts_of(name: str) -> SearchStrategy[str]:
    """Return a strategy for good texts of a quantity, as a link has them."""
    return values_of(name).map(QUANTITIES[name].write)


#: Texts that number and date parsers are known to stumble over.
NASTY = (
    "",
    " ",
    "nan",
    "inf",
    "-inf",
    "1e400",
    "1e-400",
    "1_000",
    "0x10",
    "٣",
    "１２",
    "½",
    "−",
    "-",
    "+",
    ".",
    ",",
    "1,000",
    "1.000.000,5",
    "-0",
    "00000000000000000001",
    "999999999999999999999",
    "😀",
    "\x00",
    "\u202e",
    "\u00a0",
    "<script>alert(1)</script>",
    "\"'><b>&amp;",
    "{{7*7}}",
    "%s%n",
    "../../etc/passwd",
    "2027-02-30",
    "0000-00-00",
    "9999-12-31",
    "2027-03-01/2027-02-01",
    "24:00",
    "24:01",
    "13 pm",
    "0s",
    "1:99",
    "geo:91,0",
    "90°60'N",
    "1x1",
    "8",
    "x" * 10_000,
    "1" * 10_000,
    "1:" * 3_000,
    " " * 3_000,
)
nonsense = st.sampled_from(NASTY) | st.text(max_size=40)
