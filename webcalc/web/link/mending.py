"""Links that programs on their way have changed: what can be put right is, and it is told.

With a check sum a repair is proven right. Without one, only what couldn't be read is changed, never a value that could.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from urllib.parse import parse_qsl, unquote

from webcalc.web.link.inputs import CHANGES_NAME, NOTHING, SUM_NAME, WAS_NAME, Inputs, check_sum, read_inputs
from webcalc.web.link.kinds.basics import Lines, Words
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.to_shoot import UNITED

#: What was mended, by its name in ``mended``, and how it is told.
MENDS = {
    "breaks": "line breaks were taken out of it",
    "amp": "“&amp;” stood for “&”",
    "encoded": "it was encoded once too often",
    "marks": "marks behind it were left out",
    "hidden": "invisible characters were taken out of it",
}
#: Beside them: that the check sum fits since.
PROVEN = "sum"
#: Soft hyphen, marks of no width, of direction and of byte order; not the joiner that emoji are made with.
HIDDEN = "".join(
    map(chr, (0xAD, 0x200B, 0x200C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2060, 0x2065)))
) + "".join(map(chr, (*range(0x2066, 0x206A), 0xFEFF)))
#: What sentences, quotes and messengers' bold and italics put behind a link.
_MARKS = ".,;:!?)]}>'\"…*_~`´“”„‘’«»‹›<|\\%\u00a0\u200d " + HIDDEN
_WITHOUT_HIDDEN = str.maketrans("", "", HIDDEN)
_MOST_MARKS = 8

Pairs = list[tuple[str, str]]


def mended_words(inputs: Inputs) -> str:
    """Tell what was mended; empty where nothing was."""
    done = [MENDS[name] for name in inputs.mended if name in MENDS]
    both = ["The logs of visits in several links of this shoot were put together."] if UNITED in inputs.mended else []
    if not done:
        return "".join(both)
    proof = "its check sum fits now" if PROVEN in inputs.mended else "nothing proves it right, so compare the values"
    return " ".join([*both, f"The link was changed on its way and was mended: {', '.join(done)}; {proof}."])


def pairs_of(query: str) -> Pairs:
    """Return the pairs of a query."""
    return parse_qsl(query, keep_blank_values=True)


def has_sum(pairs: Iterable[tuple[str, str]]) -> bool:
    """Whether a link was handed out with a check sum."""
    return any(name == SUM_NAME for name, _ in pairs)


def fits(pairs: Sequence[tuple[str, str]]) -> bool:
    """Whether the check sum is that of all the rest, as it came."""
    sums = [text for name, text in pairs if name == SUM_NAME]
    return len(sums) == 1 and sums[0].lower() == check_sum(pair for pair in pairs if pair[0] != SUM_NAME)


def readings(query: str) -> Iterator[tuple[Pairs, tuple[str, ...]]]:
    """Yield every way to read a query and what is mended by it, the nearest to what came first."""
    for text, mends in _decoded(query):
        pairs = pairs_of(text)
        plain = [(name.translate(_WITHOUT_HIDDEN), value.translate(_WITHOUT_HIDDEN)) for name, value in pairs]
        ways = [(pairs, mends)] if plain == pairs else [(pairs, mends), (plain, (*mends, "hidden"))]
        for found, done in ways:
            yield found, done
            yield from ((fewer, (*done, "marks")) for fewer in _without_marks(found))


def _decoded(query: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield a query with one encoding after the other taken off."""
    done: tuple[str, ...] = ()
    for _ in range(5):
        yield query, done
        if any(mark in query for mark in HIDDEN):
            # Those of the plan's own words are encoded.
            query, done = query.translate(_WITHOUT_HIDDEN), (*done, "hidden")
        elif "&amp;" in query:
            query, done = query.replace("&amp;", "&"), (*done, "amp")
        elif "%25" in query or "=" not in query:
            query, done = unquote(query), (*done, "encoded")
        else:
            return


def _without_marks(pairs: Pairs) -> Iterator[Pairs]:
    if not pairs or pairs[-1][0] == CHANGES_NAME:
        return
    name, value = pairs[-1]
    for _ in range(_MOST_MARKS):
        if not value or value[-1] not in _MARKS or (name in QUANTITIES and QUANTITIES[name].still_asked(value)):
            return
        value = value[:-1]
        # What is nothing but marks was typed so: it is wrong, not blank.
        if not value:
            return
        yield [*pairs[:-1], (name, value)]


def read_arrived(
    query: str,
    today: date,
    without_usual: frozenset[str] = frozenset(),
    usual_alone: Mapping[str, str] = NOTHING,
    came: Pairs | None = None,
) -> Inputs:
    """Read a query as it came, else as it can be mended.

    ``came``: its pairs, where somebody has read them already.
    """
    came = pairs_of(query) if came is None else came
    inputs = best = read_inputs(came, today, without_usual, usual_alone)
    twice = not has_sum(came) and _looks_encoded(came)
    if not (inputs.errors or inputs.unknown or twice):
        return inputs
    # Marks behind words may be their own, unless the sum tells.
    words = bool(came) and came[-1][0] in QUANTITIES and isinstance(QUANTITIES[came[-1][0]].kind, Words | Lines)
    for pairs, mends in readings(query):
        if not mends:
            continue
        found = replace(read_inputs(pairs, today, without_usual), mended=tuple(dict.fromkeys(mends)))
        if has_sum(pairs) and found.wrong_sum is None:
            return replace(found, mended=(*found.mended, PROVEN))
        if words and "marks" in mends:
            continue
        better = _faults(found) < _faults(best) or (twice and mends == ("encoded",) and _faults(found) == _faults(best))
        if better and (found.wrong_sum is not None or _keeps(inputs, found, came)):
            best = found
    # A sum that was read and doesn't fit is never lost with a repair.
    return best if best.wrong_sum is not None or inputs.wrong_sum is None else inputs


def _looks_encoded(pairs: Pairs) -> bool:
    """Whether words are encoded still: they have escapes where people write spaces, and no space."""
    # What a form carries along, the rest of the plan, is a query of its own.
    values = [value for name, value in pairs if name not in (CHANGES_NAME, WAS_NAME)]
    return any("%20" in value or "%0A" in value for value in values) and not any(" " in value for value in values)


def _faults(inputs: Inputs) -> int:
    return len(inputs.unknown) + len(inputs.errors)


def _keeps(before: Inputs, after: Inputs, came: Pairs) -> bool:
    """Whether every value that came and could be read is as it was, but for words."""
    names = {name for name, _ in came}
    return all(
        after.values.get(name) == value
        for name, value in before.values.items()
        if name in names and not isinstance(QUANTITIES[name].kind, Words | Lines)
    )
