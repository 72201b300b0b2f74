"""The crew sheet as plain text for a message: at most 1,200 characters, the link last.

The link is never shortened. Lines are taken by their weight as long as they fit beside it, notes are cut; where the
link alone is longer than a message, the text is the link.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from webcalc.web.handover.sheet import Sheet
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP

LONGEST_TEXT = 1_200
#: Notes shorter than this say too little to be worth their place, unless that is all of them.
_LEAST_NOTES = 60
_SHORT_CAUTION = "Ladder, power lines, lightning: follow local codes; use licensed people where the law asks for them."


def sheet_text(sheet: Sheet, link: str) -> str:
    """Return the text. Its last line is the link, whole."""
    room = LONGEST_TEXT - len(link)
    taken: dict[int, str] = {}
    for place, line in sorted(enumerate(_lines(sheet)), key=lambda numbered: _WEIGHTS.index(numbered[1][0])):
        kind, words = line
        words = words.replace(NBSP, " ")
        if kind == "notes":
            words = _cut(words, room - 1)
        if words and len(words) + 1 <= room:
            taken[place] = words
            room -= len(words) + 1
    return "\n".join([*(taken[place] for place in sorted(taken)), link])


#: Kinds of lines, the weightiest first.
_WEIGHTS = (
    *("warning", "title", "set", "place", "aim", "expected"),
    *("bring", "notes", "visits", "light", "leaving", "caution"),
)


def _lines(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Yield kind and words of each line in the order of reading."""
    yield "title", sheet.title
    for warning in sheet.warnings:
        yield "warning", warning
    if sheet.place:
        yield "place", f"At {sheet.place}"
    if sheet.settings:
        yield "set", f"Set: {_joined(sheet.settings)}."
    if sheet.aim:
        yield "aim", f"Aim: {_joined(sheet.aim)}."
    yield "bring", f"Bring: {_joined(sheet.bring)}."
    if sheet.notes:
        yield "notes", f"Notes: {sheet.notes}"
    if sheet.expected:
        parts = (f"{one.when} {one.frames}, {one.card}" for one in sheet.expected)
        yield "expected", f"Expect {'; '.join(parts)}."
    if sheet.visits:
        yield "visits", f"Visits: {'; '.join(f'{visit.label} ({visit.value})' for visit in sheet.visits)}."
    for fact in sheet.light:
        yield "light", f"Sun: {fact.label}, {fact.value}."
    yield "leaving", f"Before you leave: {'; '.join(sheet.leaving)}."
    yield "caution", _SHORT_CAUTION


def _joined(facts: Sequence[Fact]) -> str:
    return "; ".join(f"{fact.label} {fact.value}" for fact in facts)


def _cut(words: str, room: int) -> str:
    """Return words that fit, cut with an ellipsis; nothing where too little would be left."""
    if len(words) <= room:
        return words
    return f"{words[: room - 1].rstrip()}…" if room >= _LEAST_NOTES else ""
