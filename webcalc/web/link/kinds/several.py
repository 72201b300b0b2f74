"""Kinds of several parts: a value for each month of the year, and an entry for each visit made so far."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from webcalc.calc.visits.done import MOST_ENTRIES, NAMED, THINGS, Entry, log_of
from webcalc.web.link.kinds.basics import BadInput, Kind, Number
from webcalc.web.link.kinds.times import Instant

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


#: An entry in which nothing was renewed.
NOTHING = "none"
#: How much of an entry that can't be read is shown again.
_SHOWN = 40


@dataclass(frozen=True)
class VisitLog(Kind):
    """Entries like ``2026-08-20T10:00,card,battery,frames:5667``; ``named`` are the kinds of what has a value."""

    named: Mapping[str, Kind]
    instant: Instant = field(default_factory=Instant)

    several = True
    joint = "/"
    longest_text = 12_000

    def read(self, text: str) -> tuple[Entry, ...]:
        """Return the entries that can be read, in order of time."""
        return log_of(found for found in map(self._entry, self._texts(text)) if isinstance(found, Entry))

    def left_out(self, text: str) -> Sequence[str]:
        """Return a sentence for each entry that can't be read: it costs only itself."""
        entries = [(each, self._entry(each)) for each in self._texts(text)]
        bad = [
            f"The visit “{each[:_SHOWN]}” in the link can’t be read and was left out: {found}."
            for each, found in entries
            if isinstance(found, BadInput)
        ]
        if len({found.at for _each, found in entries if isinstance(found, Entry)}) > MOST_ENTRIES:
            bad.append(f"A log holds {MOST_ENTRIES} visits: older ones that nothing counts from were left out.")
        return bad

    def write(self, value: Sequence[Entry]) -> str:
        """Return the canonical text."""
        return self.joint.join(map(self._written, value))

    def _texts(self, text: str) -> list[str]:
        return [each.strip() for each in text.split(self.joint) if each.strip()]

    def _entry(self, text: str) -> Entry | BadInput:
        at, *words = (part.strip() for part in text.split(","))
        renewed: set[str] = set()
        values: dict[str, Any] = {}
        part = at
        try:
            when = self.instant.read(at)
            for part in filter(None, words):
                self._note(part, renewed, values)
        except BadInput as problem:
            return BadInput(str(problem).replace("{label}", f"“{part[:_SHOWN]}”"))
        return Entry(when, frozenset(renewed), **values)

    def _note(self, word: str, renewed: set[str], values: dict[str, Any]) -> None:
        """Note one word of an entry: a thing that was renewed, or a name with its value."""
        name, colon, value = word.partition(":")
        name = name.strip().lower()
        key = "from_" if name == "from" else name
        if colon and key in NAMED:
            values[key] = self.named[key].read(value.strip())
        elif not colon and key in THINGS:
            renewed.add(key)
        elif colon or key != NOTHING:
            raise BadInput("{label} isn’t known there")

    def _written(self, entry: Entry) -> str:
        parts = [thing for thing in THINGS if thing in entry.renewed] or [NOTHING]
        for name in NAMED:
            value: Any = getattr(entry, name)
            if value is not None:
                parts.append(f"{name.rstrip('_')}:{self.named[name].write(value)}")
        return ",".join([self.instant.write(entry.at), *parts])
