"""One quantity as people type it and links carry it."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from webcalc.web.link.kinds.basics import BadInput, Choice, Kind, Lines, Number, OtherUnit, Words
from webcalc.web.link.kinds.writing import SIZES, tidy

#: Behind a text that may mean two things, until somebody has chosen: a link carries the question with it.
OPEN_MARK = "?"


@dataclass(frozen=True)
class Quantity:
    """One quantity as people type it and links carry it.

    usual : text that stands in an empty form; never assumed in a link that carries a format version
    """

    name: str
    label: str
    kind: Kind
    unit: str = ""
    hint: str = ""
    usual: str = ""

    def read(self, text: str) -> Any:
        """Return the value; raise BadInput with a sentence that names the label."""
        try:
            return self.kind.read(text if isinstance(self.kind, Words | Lines) else tidy(text))
        except BadInput as problem:
            raise BadInput(str(problem).replace("{label}", self.label), problem.readings) from None

    def asked(self, text: str, imperial: bool) -> BadInput | None:
        """Return the question about a text that a person has just typed, where it may mean two things."""
        readings = self.kind.doubts(text if isinstance(self.kind, Words | Lines) else tidy(text), imperial)
        if not readings:
            return None
        ways = " or ".join(reading.words for reading in readings)
        return BadInput(f"{self.label}: {text} can be read in two ways, as {ways}", readings)

    def still_asked(self, text: str) -> BadInput | None:
        """Return the question that a text in a link carries along by its mark, unless something else is wrong."""
        if not text.endswith(OPEN_MARK):
            return None
        try:
            self.read(text.removesuffix(OPEN_MARK))
        except BadInput:
            return None
        return self.asked(text.removesuffix(OPEN_MARK), imperial=True)

    def write(self, value: Any) -> str:
        """Return the canonical text."""
        return self.kind.write(value)


def number(low: str, high: str, *units: str, other: OtherUnit | None = None) -> Number:
    """Return the kind of a number between two limits, in the first of these units."""
    return Number(Decimal(low), Decimal(high), units, other=other, sizes=SIZES.get(units[0], ()) if units else ())


def whole(low: int, high: int, *units: str) -> Number:
    """Return the kind of a whole number between two limits."""
    return Number(Decimal(low), Decimal(high), units, whole=True)


def one_of(blank: str, **options: str) -> Choice:
    """Return the kind of one of these words; ``blank`` is what an empty field says."""
    return Choice((("", blank), *options.items()))
