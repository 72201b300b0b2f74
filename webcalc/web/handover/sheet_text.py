"""The crew sheet as plain text for messages: the link last and whole, nothing left out.

A text that is too long for one message is in parts, each with its number and the camera's name. Only the link may be
longer than a message: it can't be shortened.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from webcalc.web.handover.sheet import Sheet
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP

#: Longest text of one message, in characters.
LONGEST_TEXT = 1_200
#: What the number of a part takes, and a line's end.
_NUMBERED = len("(12/12) \n")
_SHORT_CAUTION = "Ladder, power lines, lightning: follow local codes; use licensed people where the law asks for them."


def sheet_text(sheet: Sheet, link: str) -> str:
    """Return the whole text, its parts one below the other. Its last line is the link."""
    return "\n\n".join(sheet_parts(sheet, link))


def sheet_parts(sheet: Sheet, link: str) -> list[str]:
    """Return the text as messages: one where it fits."""
    lines = [line for words in _lines(sheet) for line in words.replace(NBSP, " ").split("\n")]
    whole = "\n".join([sheet.title, *lines, link])
    if len(whole) <= LONGEST_TEXT:
        return [whole]
    room = LONGEST_TEXT - len(sheet.title) - _NUMBERED
    parts = [""]
    for piece in [*(piece for line in lines for piece in _pieces(line, room)), link]:
        longer = f"{parts[-1]}\n{piece}" if parts[-1] else piece
        if len(longer) <= room or not parts[-1]:
            parts[-1] = longer
        else:
            parts.append(piece)
    return [f"({n}/{len(parts)}) {sheet.title}\n{part}" for n, part in enumerate(parts, start=1)]


def _lines(sheet: Sheet) -> Iterator[str]:
    """Yield the lines below the title, in the order of the sheet: a message may get lost, so what warns is first."""
    yield from sheet.warnings
    if sheet.place:
        yield f"At {sheet.place}"
    yield f"Bring: {_joined(sheet.bring)}."
    yield _SHORT_CAUTION
    if sheet.settings:
        yield f"Set: {_joined(sheet.settings)}."
    if sheet.aim:
        yield f"Aim: {_joined(sheet.aim)}."
    if sheet.notes:
        yield f"Notes: {sheet.notes}"
    if sheet.expected:
        parts = (f"{one.when} {one.frames}, {one.card}" for one in sheet.expected)
        yield f"Expect {'; '.join(parts)}."
    yield f"Before you leave: {'; '.join(sheet.leaving)}."
    for fact in sheet.light:
        yield f"Sun: {fact.label}, {fact.value}."
    if sheet.visits:
        yield f"Visits: {'; '.join(f'{visit.label} ({visit.value})' for visit in sheet.visits)}."


def _joined(facts: Sequence[Fact]) -> str:
    return "; ".join(f"{fact.label} {fact.value}" for fact in facts)


def _pieces(line: str, room: int) -> Iterator[str]:
    """Yield a line in pieces that fit, broken between words where there are any."""
    while len(line) > room:
        end = line.rfind(" ", room // 2, room + 1)
        yield line[: end if end > 0 else room]
        line = line[end + 1 if end > 0 else room :]
    yield line
