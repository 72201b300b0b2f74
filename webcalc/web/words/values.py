"""One typed value in words, for summaries of what a page is using."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any

from webcalc.calc.schedule.length import ShootLength
from webcalc.web.link.kinds.basics import FAHRENHEIT, FEET, MILES, Choices, Number
from webcalc.web.link.kinds.months import Months
from webcalc.web.link.kinds.times import Duration, Weekdays
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import NBSP, Say

#: Quantities with two units are written as the reader is used to.
_IN_WORDS = {FAHRENHEIT: Say.temperature, FEET: Say.metres, MILES: Say.kilometres}


def value_words(name: str, value: Any, say: Say) -> str:
    """Return a value as it reads in a sentence, with its unit."""
    quantity = QUANTITIES[name]
    if isinstance(quantity.kind, Weekdays):
        return say.weekdays(value)
    if isinstance(quantity.kind, Duration):
        return say.length(value) if isinstance(value, Fraction) else str(value)
    if isinstance(value, datetime):
        return say.instant(value)
    if isinstance(value, date):
        return say.day(value, weekday=False)
    if isinstance(value, time):
        return say.clock_end(value) if name == "until" else say.clock(value)
    if isinstance(value, timedelta):
        return say.offset(value)
    if isinstance(value, ShootLength):
        return say.shoot_length(value)
    if name == "did":
        return f"{say.number(len(value))}, the last {say.instant(value[-1].at)}"
    if name == "skip":
        return say.count(len(value), "day") + " left out"
    if isinstance(quantity.kind, Number) and quantity.kind.other in _IN_WORDS:
        return _IN_WORDS[quantity.kind.other](say, value)
    if isinstance(quantity.kind, Months):
        ends = " to ".join(dict.fromkeys(say.figures(float(end)) for end in (min(value), max(value))))
        return f"{ends}{NBSP}{quantity.unit}"
    if isinstance(quantity.kind, Choices) and value:
        *others, last = (words for option, words in quantity.kind.options if option in value)
        return f"{', '.join(others)} and {last}" if others else last
    text = quantity.write(value)
    if quantity.kind.lines:
        return say.count(len(text), "character")
    words = dict(quantity.kind.options).get(text, text)
    return f"{words}{NBSP}{quantity.unit}" if quantity.unit else words
