"""A plan found in pasted text: a link from any host, a bare query, a message or a mail with a link in it, a file."""

from __future__ import annotations

import codecs
import html
import quopri
import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from itertools import pairwise
from urllib.parse import unquote

from webcalc.serving import MOST_BYTES
from webcalc.web.link.inputs import MENDED_NAME, VERSION_NAME, Inputs, read_inputs, write_query
from webcalc.web.link.kinds.basics import Lines, Words
from webcalc.web.link.mending import PROVEN, fits, has_sum, pairs_of, read_arrived, readings
from webcalc.web.link.quantities import FORMAT_VERSION, QUANTITIES
from webcalc.web.link.to_shoot import united

#: Longest text that is looked through, in characters.
LONGEST_PASTE = MOST_BYTES
#: How the crew sheet's file carries the plan; the value stands in quotes, or without where it needs none.
PLAN_META = "webcalc-plan"
_META = re.compile(rf"""<meta name=["']?{PLAN_META}["']? content=(?:"([^"]*)"|'([^']*)'|([^\s>]+))""")
#: Where a link ends inside a page's source, or in brackets of a mail.
_ENDS = re.compile(r"""["<>]""")
#: Between two parts of a link: what a mail program puts there, quoting signs among it.
_BREAK = re.compile(r"\s+(?:>[>\s]*)?")
#: The version with which a plan's query begins, the query maybe encoded.
_START = re.compile(
    r"(?P<mark>\?|%(?:25)*3F)?(?P<query>v(?P<equals>=|%(?:25)*3D)(?P<version>[0-9]{1,4}))(?![0-9])", re.IGNORECASE
)
#: The page that an address names, at its end.
_PAGE = re.compile(r"""(?:^|[/"'(<>=])([a-z]+)(?:\.(?:json|txt|html|ics|svg))?$""")
#: What a link is made of (RFC 3986, sections 2.2 and 2.3).
_LINK_TEXT = re.compile(r"[A-Za-z0-9._~:/?#@!$&'()*+,;=%\[\]-]+")
_NAMES = re.compile(r"&(?:amp;)?(\w+)=")
_SENTENCE_END = ".,;:!?)]}>'\""
#: Links of one text that are looked at, ends that are tried for each, and how many characters in all are.
_MOST_LINKS, _MOST_ENDS, _MOST_TRIED = 20, 100, 1_500_000
#: A line that long was broken for its width.
_BROKEN_WIDTHS = range(60, 100)
#: So many quantities under an address that isn't one of these pages' are a plan still.
_SURELY_A_PLAN = 3
#: How much of names that aren't known is handed on, to be told.
_MOST_UNKNOWN = 8


@dataclass(frozen=True)
class Pasted:
    """A plan as it was found, the page its link names ("" for none), and the query that says all of it here."""

    inputs: Inputs
    page: str
    query: str


def decode_file(content: bytes) -> str:
    """Return a file's text: UTF-8, or UTF-16 as some systems save plain text."""
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return content.decode("utf-16", errors="replace")
    if content[1:2] == b"\0" or content[:1] == b"\0":
        return content.decode("utf-16-le" if content[1:2] == b"\0" else "utf-16-be", errors="replace")
    return content.decode("utf-8-sig", errors="replace")


def read_pasted(text: str, today: date, pages: frozenset[str]) -> Pasted | None:
    """Return the plan in a pasted text; None where there is none. No link is ever followed.

    ``pages``: names of the pages that a plan's link may lead to. A sheet's file names its plan; a message has its link
    last, after words that anybody may have typed. Other links of the same shoot add what their logs have.
    """
    text = text[:LONGEST_PASTE]
    for found in _META.findall(text):
        query = html.unescape("".join(found))
        return _pasted(read_arrived(query, today), "sheet", query[2:3])
    for layer in _layers(text):
        plan: tuple[Inputs, str, str] | None = None
        for link in _Text(layer).links():
            inputs, proven = link.read(today)
            bare = not link.address and (bool(inputs.typed) or link.is_all)
            page = link.page(pages)
            # Elsewhere ``v`` and ``name`` may mean anything; so many of these names are a plan.
            sure = len(inputs.values) >= _SURELY_A_PLAN and not inputs.unknown
            if not (proven or page or bare or sure):
                continue
            plan = (united(plan[0], inputs), *plan[1:]) if plan else (inputs, page, link.version)
        if plan:
            return _pasted(*plan)
    return _without_version(text, today, pages)


def _pasted(inputs: Inputs, page: str, version: str) -> Pasted:
    known = [(name, value) for name, value in pairs_of(inputs.query()) if name != VERSION_NAME]
    told = [(name[:40], "") for name in inputs.unknown if not name.startswith(f"{VERSION_NAME}=")][:_MOST_UNKNOWN]
    mended = [(MENDED_NAME, ",".join(inputs.mended))] if inputs.mended else []
    return Pasted(inputs, page, str(write_query([(VERSION_NAME, version), *known, *told, *mended])))


def _layers(text: str) -> Iterator[str]:
    """Yield the text as mail (RFC 2045, section 6.7) and calendars (RFC 5545, section 3.1) mean it, then as it is."""
    if "=3D" in text:
        yield quopri.decodestring(text.encode(errors="replace")).decode(errors="replace")
    if "BEGIN:VCALENDAR" in text or "\\," in text:
        unfolded = re.sub(r"\r?\n[ \t]", "", text)
        yield re.sub(r"\\([,;\\nN])", lambda found: "\n" if found[1] in "nN" else found[1], unfolded)
    yield text


class _Text:
    """A text without its breaks, and what stood at each."""

    def __init__(self, text: str) -> None:
        parts, size, at = [], 0, 0
        self.breaks: dict[int, str] = {}
        for found in _BREAK.finditer(text):
            parts.append(text[at : found.start()])
            size, at = size + found.start() - at, found.end()
            self.breaks[size] = found[0]
        self.flat = "".join([*parts, text[at:]])
        self.places = sorted(self.breaks)
        self.stops = [found.start() for found in re.finditer(r'["<>]', self.flat)]
        #: An encoded link ends where something follows that isn't.
        self.stops_encoded = [found.start() for found in re.finditer(r'["<>&;]', self.flat)]
        self.left = _MOST_TRIED

    def links(self) -> Iterator[_Link]:
        """Yield what begins like a plan's link, the last first; what stands in another one's notes is part of it."""
        found: list[_Link] = []
        for start in _START.finditer(self.flat):
            before = self.flat[start.start() - 1 : start.start()]
            glued = start.start() not in self.breaks and (before.isalnum() or before in tuple("_&;%=-."))
            if start["mark"] is None and before and glued:
                continue
            link = _Link(self, start)
            if found and found[-1].end >= link.begin and not self._broken(found[-1].begin, link.begin):
                continue
            found.append(link)
        kept = found[-_MOST_LINKS:]
        for n in range(len(kept) - 1, -1, -1):
            outer = kept[n - 1] if n and kept[n].depth else None
            if outer is None or outer.reaches < kept[n].begin:
                yield kept[n]

    def _broken(self, begin: int, end: int) -> bool:
        n = bisect_right(self.places, begin)
        return n < len(self.places) and self.places[n] < end

    def between(self, begin: int, end: int) -> list[int]:
        """Return the places of breaks between two places."""
        return self.places[bisect_right(self.places, begin) : bisect_left(self.places, end)]

    def as_it_stood(self, begin: int, end: int) -> str:
        """Return a part with its breaks."""
        places = [begin, *self.between(begin, end), end]
        return "".join(self.breaks.get(a, "") * (a > begin) + self.flat[a:b] for a, b in pairwise(places))


class _Link:
    """What begins like a plan's link in a text."""

    def __init__(self, text: _Text, start: re.Match[str]) -> None:
        self.text, self.begin, self.version = text, start.start("query"), start["version"]
        #: How often more than once it is encoded.
        self.depth = 0 if start["equals"] == "=" else start["equals"].count("25") + 1
        stops = text.stops_encoded if self.depth else text.stops
        n = bisect_left(stops, self.begin)
        self.end = stops[n] if n < len(stops) else len(text.flat)
        self.marked = start["mark"] is not None
        self.from_ = start.start()

    @property
    def is_all(self) -> bool:
        """Whether nothing else stands in the text."""
        return self.from_ == 0 and self.end == len(self.text.flat) and not self.text.places

    @property
    def address(self) -> str:
        """Return what stands before the query in the same word; "" for a bare query."""
        places = self.text.places
        n = bisect_right(places, self.from_) - 1
        word = self.text.flat[places[n] if n >= 0 else 0 : self.from_]
        return word.strip("\"'(<[>") if self.marked else ""

    def page(self, pages: frozenset[str]) -> str:
        """Return the page that the address names; "" for none of this app."""
        before = self.text.flat[max(0, self.from_ - 200) : self.from_]
        for _ in range(self.depth):
            before = unquote(before)
        # A name may be glued to what stood before a break, so the one that follows a break is tried as well.
        found = _PAGE.search(before) or _PAGE.search(self.address)
        return found[1] if self.marked and found and found[1] in pages else ""

    def _decoded(self, piece: str) -> tuple[str, tuple[str, ...]]:
        for _ in range(self.depth):
            piece = unquote(piece)
        return piece, ("encoded",) if self.depth else ()

    def _ends(self) -> list[int]:
        return [*self.text.between(self.begin, self.end)[:_MOST_ENDS], self.end]

    @cached_property
    def _proven(self) -> tuple[list[tuple[str, str]], tuple[str, ...], int] | None:
        """The pairs whose check sum fits, what was mended for it, and where they end; the check sum finds the end."""
        for end in self._ends():
            joined = self.text.flat[self.begin : end]
            stood = self.text.as_it_stood(self.begin, end)
            ways = [(joined.rstrip(_SENTENCE_END), ("breaks",) * (stood != joined))]
            for piece, broken in [*ways, *([(stood, ())] if stood != joined else [])]:
                self.text.left -= len(piece)
                if self.text.left < 0:
                    return None
                text, encoded = self._decoded(piece)
                for pairs, mends in readings(text):
                    if not has_sum(pairs):
                        break
                    if fits(pairs):
                        return pairs, tuple(dict.fromkeys((*broken, *encoded, *mends))), end
        return None

    @cached_property
    def reaches(self) -> int:
        """Where the link ends: by its check sum, else as far as it surely goes on."""
        return self._proven[2] if self._proven else self._likely_end()

    def read(self, today: date) -> tuple[Inputs, bool]:
        """Return the plan, and whether its check sum proves that it is one."""
        if self._proven is not None:
            pairs, mends, _end = self._proven
            return replace(read_inputs(pairs, today), mended=(*mends, PROVEN) if mends else ()), True
        end = self.reaches
        text, encoded = self._decoded(self.text.flat[self.begin : end].rstrip(_SENTENCE_END))
        inputs = read_arrived(text.partition("#")[0], today)
        broken = ("breaks",) if self.text.between(self.begin, end) else ()
        inputs = replace(inputs, mended=tuple(dict.fromkeys((*broken, *encoded, *inputs.mended))))
        return inputs, inputs.wrong_sum is None and has_sum(pairs_of(text))

    def _likely_end(self) -> int:
        """Return where a link ends that no check sum tells of: behind breaks where it surely goes on."""
        ends = self._ends()
        end = line = ends[0]
        begin = self.begin
        for following in ends[1:]:
            more = self.text.flat[end:following]
            if "\n" not in self.text.breaks[end] or not _LINK_TEXT.fullmatch(more):
                break
            if not self._goes_on(self.text.flat[self.begin : end], more, line - begin):
                break
            begin, end = end, following
            line = end
        return end

    def _goes_on(self, piece: str, more: str, width: int) -> bool:
        last = piece.rpartition("&")[2]
        if set(_NAMES.findall(more)) & set(QUANTITIES) or "=" not in last or re.search(r"=$|%[0-9A-Fa-f]?$", piece):
            return True
        name = last.partition("=")[0]
        if name in QUANTITIES and isinstance(QUANTITIES[name].kind, Words | Lines):
            return False
        alone, joined = (read_inputs(pairs_of(query), date.min) for query in (piece, piece + more))
        return len(joined.errors) < len(alone.errors) or (
            width in _BROKEN_WIDTHS and len(joined.errors) == len(alone.errors)
        )


def _without_version(text: str, today: date, pages: frozenset[str]) -> Pasted | None:
    """Return the plan of an address typed by hand, or of a bare query that nothing but a plan can be."""
    for word in reversed(text.split()):
        link = _ENDS.split(word[word.find("://") + 1 :], maxsplit=1)[0] if "://" in word else word
        before, mark, query = link.partition("?")
        pairs = pairs_of((query if mark else before).partition("#")[0].rstrip(_SENTENCE_END))
        known = [name for name, _ in pairs if name in QUANTITIES]
        if not known or VERSION_NAME in dict(pairs):
            continue
        page = _PAGE.search(before) if mark else None
        inputs = read_arrived(str(write_query(pairs)), today)
        sure = len(set(known)) > 1 and len(known) == len(pairs) and not inputs.errors and not before.strip("?")
        if (page and page[1] in pages) or (sure if mark else len(known) > 1 and len(known) == len(pairs)):
            return _pasted(inputs, page[1] if page and page[1] in pages else "", str(FORMAT_VERSION))
    return None
