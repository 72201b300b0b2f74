"""The kind of what has a value for each month of the year, January first: ``20,27,33,…``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from webcalc.web.link.kinds.basics import BadInput, Kind, Number

_MONTHS = 12
#: A blank before a unit parts no numbers.
_BEFORE_UNIT = re.compile(r"\s+(?=[^\s\d.,;+−-])")


@dataclass(frozen=True)
class Months(Kind):
    """Twelve numbers; ``one_for_all``: one alone stands for every month.

    Between them stand blanks, semicolons or commas; where blanks or semicolons do, a comma may be a decimal one.
    """

    each: Number
    one_for_all: bool = False

    def read(self, text: str) -> tuple[Decimal, ...]:
        """Return the twelve values."""
        text = _BEFORE_UNIT.sub("", text)
        by_blanks = [word for part in re.split(r"[;\s]+", text) if (word := part.strip(","))]
        for words in (by_blanks, [word for word in re.split(r"[,;\s]+", text) if word]):
            if len(words) == _MONTHS:
                return tuple(map(self._read_one, words))
        if self.one_for_all and len(by_blanks) == 1 and by_blanks[0].count(",") < 2:
            return (self._read_one(by_blanks[0]),) * _MONTHS
        one = "one number or " if self.one_for_all else ""
        raise BadInput(f"{{label}} must be {one}twelve numbers, January first, like {self._example()}")

    def write(self, value: tuple[Decimal, ...]) -> str:
        """Return the numbers with commas between them; one where it stands for all."""
        texts = [self.each.write(each) for each in value]
        return texts[0] if self.one_for_all and len(set(texts)) == 1 else ",".join(texts)

    def _read_one(self, word: str) -> Decimal:
        try:
            return Decimal(self.each.read(word))
        except BadInput as problem:
            raise BadInput(f"{problem}; this is {word}") from None

    def _example(self) -> str:
        return ",".join(self.each.write(self.each.high * n / 20) for n in (4, 6, 8, 9, 10, 11, 11, 10, 9, 7, 5, 4))
