"""A kind for what was done so far: one entry for each visit, joined by ``/``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from webcalc.calc.visits.log import MOST_ENTRIES, NAMED, THINGS, Entry, log_of
from webcalc.web.link.kinds.basics import BadInput, Kind
from webcalc.web.link.kinds.times import Instant

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
