"""What a page answers: the figure, the sentence, blocks of facts, tables and pictures, the working, the data.

A page's ``answer`` function fills one ``Answer``; the template ``page.html`` and the ``.json`` view render every page
from it, so that no page has a template of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from markupsafe import Markup

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import Working
from webcalc.calc.unknown import united

#: Tones of a sentence: an answer that holds, one that doesn't, one to look at, one to decide; "" is plain.
HOLDS, FAILS, LOOK, ASK = "holds", "fails", "look", "ask"


def unknown_names(*figures: object) -> list[str]:
    """Return the names of all quantities that these figures lack."""
    lacking = united(*figures)
    return list(lacking.names) if lacking is not None else []


def span(say_end: Callable[[Any], str], estimate: Estimate[Any]) -> tuple[str, str]:
    """Return the expected value and the range in words; no range where there is none."""
    low, expected, high = (say_end(end) for end in (estimate.low, estimate.expected, estimate.high))
    return expected, "" if low == high else f"{low} to {high}"


def spread(say_end: Callable[[Any], str], estimate: Estimate[Any] | None) -> str:
    """Return the expected value with its range in brackets, where it has one; empty where nothing is known."""
    if estimate is None:
        return ""
    expected, ends = span(say_end, estimate)
    return f"{expected} ({ends})" if ends else expected


@dataclass(frozen=True)
class Fact:
    """One labelled value.

    more : a range or a condition, in small print
    how : how it comes about, formulas or sentences; a tap on the value opens them
    href : the page that the label leads to, where that is another one
    """

    label: str
    value: str
    more: str = ""
    how: Sequence[Working | str] = ()
    href: str = ""


@dataclass(frozen=True)
class Facts:
    """A list of facts under a heading."""

    rows: Sequence[Fact]
    title: str = ""
    kind: str = "facts"


@dataclass(frozen=True)
class Row:
    """A table row; ``marked`` is the chosen one; ``href`` makes the first cell a link."""

    cells: Sequence[str]
    marked: bool = False
    href: str = ""


@dataclass(frozen=True)
class Table:
    """A table with a caption; ``folded`` puts it behind its caption; ``head_links``: where its heads lead, or ""."""

    title: str
    head: Sequence[str]
    rows: Sequence[Row]
    note: str = ""
    folded: bool = False
    head_links: Sequence[str] = ()
    #: Whether its caption is only heard, for a table that is the answer itself.
    bare: bool = False
    kind: str = "table"


@dataclass(frozen=True)
class Picture:
    """A server-drawn SVG and the same in words."""

    title: str
    svg: Markup
    text: str
    kind: str = "picture"


@dataclass(frozen=True)
class Text:
    """A sentence with a tone, and perhaps a link to the step it proposes."""

    words: str
    tone: str = ""
    href: str = ""
    link_words: str = ""
    kind: str = "text"


@dataclass(frozen=True)
class Points:
    """A list of short sentences under a heading: cautions, things to bring, a list to go through."""

    title: str
    items: Sequence[str]
    folded: bool = False
    kind: str = "points"


@dataclass(frozen=True)
class Line:
    """One line of text to select and copy."""

    title: str
    text: str
    kind: str = "line"


@dataclass(frozen=True)
class Noting:
    """Taps that note a visit: each its name and words, then what can be ticked one by one, and what is ticked."""

    taps: Sequence[tuple[str, str]]
    things: Sequence[tuple[str, str]]
    ticked: Sequence[str]
    kind: str = "noting"


@dataclass(frozen=True)
class Steps:
    """Large taps under a heading: where each leads, and its words."""

    title: str
    items: Sequence[tuple[str, str]]
    kind: str = "steps"


@dataclass(frozen=True)
class Ticks:
    """Things to tick, folded under a title; a tick lives as long as the page."""

    title: str
    items: Sequence[str]
    kind: str = "ticks"


Block = Facts | Table | Picture | Text | Points | Line | Noting | Steps | Ticks


@dataclass
class Answer:
    """All that a page says.

    results : the data, numbers unrounded, units in the key names, instants with offset; a page may
        leave it out
    figure : the one big figure, empty while there is no answer
    sentence : what to do with it
    points : what else belongs in the headline place: what doesn't hold, what isn't known
    lead : the main facts, part of the answer itself; the rest is ``blocks``
    picture : the picture that shows them, right below
    tone : HOLDS, FAILS, LOOK or ""
    needs : names of quantities that must be filled in first
    preview : the main figures in a line, for programs that show what a link leads to
    """

    results: Any = field(default_factory=dict)
    figure: str = ""
    sentence: str = ""
    tone: str = ""
    needs: Sequence[str] = ()
    preview: str = ""
    points: list[Text] = field(default_factory=list)
    lead: list[Block] = field(default_factory=list)
    picture: Picture | None = None
    blocks: list[Block] = field(default_factory=list)
    working: list[Working] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)

    def head(self, figure: str, tone: str, sentence: str) -> Answer:
        """Fill in the headline place, and return the answer."""
        self.figure, self.tone, self.sentence = figure, tone, sentence
        return self

    def lead_with(self, *blocks: Block | None) -> None:
        """Add blocks to what stands right under the sentence, leaving out None."""
        self.lead.extend(block for block in blocks if block is not None)

    def lead_with_first(self, facts: Facts, rows: int) -> None:
        """Let the first rows stand under the sentence, the others further down."""
        self.lead.append(replace(facts, rows=facts.rows[:rows]))
        if len(facts.rows) > rows:
            self.blocks.append(replace(facts, rows=facts.rows[rows:], title=""))

    @property
    def told_at_facts(self) -> list[Working | str]:
        """What stands at a fact of its own already."""
        facts = (block for block in (*self.lead, *self.blocks) if isinstance(block, Facts))
        return [part for block in facts for row in block.rows for part in row.how]

    def add(self, *blocks: Block | None) -> None:
        """Add blocks, leaving out None."""
        self.blocks.extend(block for block in blocks if block is not None)
