"""A link's query, read: values, what was typed, errors, unknown names; and the canonical link back."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any
from unicodedata import normalize
from urllib.parse import parse_qsl, quote, urlencode

from markupsafe import Markup

from webcalc.calc.power.cells import CELLS
from webcalc.calc.schedule.length import ShootLength
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS
from webcalc.web.link.kinds.basics import BadInput, Reading
from webcalc.web.link.kinds.dates import Length
from webcalc.web.link.kinds.places import OLD_NAMES, old_text
from webcalc.web.link.quantities import FORMAT_VERSION, QUANTITIES, TODAY
from webcalc.web.link.quantity import OPEN_MARK
from webcalc.web.places.zones import Stretch, ZoneNear, zone_of

VERSION_NAME = "v"
#: Changes to the rest of a query, as a query of their own: ``set=interval%3D5min``. Never part of a canonical link.
CHANGES_NAME = "set"
#: What a link that is handed out is checked by, directly behind the version; never part of a canonical link.
SUM_NAME = "sum"
#: What was mended in a link on its way into this one, to be told once.
MENDED_NAME = "mended"
#: What is said where the check sum doesn't fit the rest.
NOT_WHOLE = "This link arrived incomplete or changed"
#: Says that a form sent the query: what stands in it was typed by a person just now. Never part of a canonical link.
TYPED_NAME = "typed"
#: What that name says where the form stood beside °F, feet and miles.
IMPERIAL_MARK = "ft"
#: The field at which the form is to be open, and what a step changed, as a query: names of the interface too.
OPEN_NAME, WAS_NAME = "open", "was"
#: What is ticked on the way to a new entry of the log: a name of the interface.
TICK_NAME = "tick"
LENGTH = Length()
NOTHING: Mapping[str, str] = {}


@dataclass(frozen=True)
class Inputs:
    """What a link says. ``values`` holds good values only, ``typed`` every text as it came.

    usual : names of what wasn't said and has its usual value
    before : the texts that a step has just replaced
    readings : what a text may mean that is asked about
    today : at the site, as far as it was known when the link was read
    left_out : a sentence for each part of a value that was left out of it
    ticked : what is about to be noted in the log
    """

    values: Mapping[str, Any] = field(default_factory=dict)
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    #: The check sum that came and doesn't fit, so that nothing may be worked out; None where nothing speaks against it.
    wrong_sum: str | None = None
    usual: tuple[str, ...] = ()
    before: Mapping[str, str] = field(default_factory=dict)
    readings: Mapping[str, tuple[Reading, ...]] = field(default_factory=dict)
    today: date = date(2000, 1, 1)
    left_out: tuple[str, ...] = ()
    ticked: tuple[str, ...] = ()
    #: What was mended in the link, by name.
    mended: tuple[str, ...] = ()

    def get(self, name: str, otherwise: Any = None) -> Any:
        """Return a value, or ``otherwise`` where it is blank or wrong."""
        return self.values.get(name, otherwise)

    def has(self, *names: str) -> bool:
        """Whether all of these have a good value."""
        return all(name in self.values for name in names)

    @cached_property
    def canonical(self) -> dict[str, str]:
        """Name and canonical text of every good value, in the table's order."""
        return {name: QUANTITIES[name].write(self.values[name]) for name in QUANTITIES if name in self.values}

    @cached_property
    def zone_of_place(self) -> ZoneNear | None:
        """Return the zone that the place has by itself; None where that must be asked, or there is no place."""
        return zone_of(self.values["site"], self.stretch) if "site" in self.values else None

    @property
    def stretch(self) -> Stretch:
        """Return the dates of the shoot over which rules of zones are compared."""
        return Stretch.of(self.get("first"), self.get("last"), self.today)

    def query(self, **changes: Any) -> Markup:
        """Return the canonical query, with values changed; ``None`` takes a value out.

        Texts that couldn't be read are carried as typed, so that a step to another page loses nothing; so is a check
        sum that doesn't fit, or the step would make the plan look whole.
        """
        doubted = [] if self.wrong_sum is None else [(SUM_NAME, self.wrong_sum)]
        return write_query([_VERSION, *doubted, *self._pairs(changes)])

    def handed_out(self, **changes: Any) -> Markup:
        """Return the query as a link that leaves this page has it, with its check sum."""
        if self.wrong_sum is not None:
            return self.query(**changes)
        pairs = self._pairs(changes)
        return write_query([_VERSION, (SUM_NAME, check_sum([_VERSION, *pairs])), *pairs])

    def as_it_is(self) -> Inputs:
        """Return the same without doubt: somebody has looked at the values and wants them used."""
        errors = {name: sentence for name, sentence in self.errors.items() if name != SUM_NAME}
        return replace(self, errors=errors, wrong_sum=None)

    def _pairs(self, changes: Mapping[str, Any]) -> list[tuple[str, str]]:
        pairs = {**self.canonical, **{name: self.typed[name] for name in self.errors if name in self.typed}}
        for name, value in changes.items():
            key = name.rstrip("_")
            pairs.pop(key, None)
            if value is not None:
                pairs[key] = QUANTITIES[key].write(value)
        return [(name, pairs[name]) for name in QUANTITIES if name in pairs]


_VERSION = (VERSION_NAME, str(FORMAT_VERSION))


def check_sum(pairs: Iterable[tuple[str, str]]) -> str:
    """Return the check sum of decoded pairs: CRC-32 (RFC 1952, section 8) of them as ``write_query`` writes them.

    A messenger may encode a link anew, or write its letters in another of Unicode's forms: that changes nothing here.
    """
    text = write_query((normalize("NFC", name), normalize("NFC", value)) for name, value in pairs)
    return f"{zlib.crc32(text.encode()):08x}"


def can_be_typed(changes: Mapping[str, Any]) -> bool:
    """Whether every one of these numbers lies within what its field takes; None is a blank."""
    kinds: dict[str, Any] = {name: QUANTITIES[name].kind for name, value in changes.items() if value is not None}
    return all(kind.low <= changes[name] <= kind.high for name, kind in kinds.items())


def write_changes(changes: Mapping[str, Any]) -> str:
    """Return changed values (``from_`` stands for ``from``) as the text of ``set``; ``None`` writes a blank."""
    names = {name: name.rstrip("_") for name in changes}
    texts = {name: "" if changes[key] is None else QUANTITIES[name].write(changes[key]) for key, name in names.items()}
    return str(write_query(texts.items()))


def write_query(pairs: Iterable[tuple[str, str]]) -> Markup:
    """Percent-encode a query, leaving readable what RFC 3986 allows in one.

    The result is safe inside a quoted HTML attribute as it is: nothing but letters, digits, percent signs and
    ``-._~:,/@=&`` is left, and an ampersand before a name and ``=`` starts no character reference there. It never
    ends like a sentence does: programs that find links in a message leave such an end out.
    """
    text = urlencode(list(pairs), quote_via=quote, safe=":,/@-._~")
    if text.endswith((".", ",", ":")):
        text = f"{text[:-1]}%{ord(text[-1]):02X}"
    return Markup(text)  # noqa: S704 - encoded just now


def read_inputs(
    pairs: Iterable[tuple[str, str]],
    today: date,
    without_usual: frozenset[str] = frozenset(),
    usual_alone: Mapping[str, str] = NOTHING,
) -> Inputs:
    """Read a query.

    A link with a format version means exactly what it says: what is absent is blank. Without a version (typed by
    hand, or a page opened for the first time) the usual values stand in for what is absent, except for
    ``without_usual`` and for the interval where a clip length asks for it. Where nothing at all is said,
    ``usual_alone`` is usual too.
    """
    came = [(name, text.strip()) for name, text in pairs]
    given: dict[str, list[str]] = {}
    for name, text in came:
        given.setdefault(name, []).append(text)
    given.pop(OPEN_NAME, None)
    ticked = tuple(given.pop(TICK_NAME, []))
    before = _known_pairs("&".join(given.pop(WAS_NAME, [])))
    as_it_is = False
    versions = given.pop(VERSION_NAME, [])
    # What a form sends was typed just now, and so is a query without a version; what a form carries along wasn't.
    marks = given.pop(TYPED_NAME, [])
    fresh = set(given) if marks or not versions else set()
    # The first ``set`` is what the form carries along, a second one the step that was taken.
    for n, changes in enumerate(given.pop(CHANGES_NAME, [])):
        changed = {name: [text.strip()] for name, text in parse_qsl(changes, keep_blank_values=True)}
        if n:
            before.update((name, _one_text(name, given.get(name, []))) for name in changed if name in QUANTITIES)
        given.update(changed)
        fresh -= set(changed)
        as_it_is |= given.get(SUM_NAME) == [""]
    sums, mended = given.pop(SUM_NAME, []), given.pop(MENDED_NAME, [""])[0]
    errors: dict[str, str] = {}
    unknown = tuple(dict.fromkeys(name for name in given if name not in QUANTITIES))
    if versions and versions[0] != str(FORMAT_VERSION):
        unknown += (f"{VERSION_NAME}={versions[0]}"[:40],)

    day = today.isoformat()
    typed = {} if given or versions else {name: text.replace(TODAY, day) for name, text in usual_alone.items()}
    usual = list(typed)
    for name, quantity in QUANTITIES.items():
        texts = given.get(name)
        if texts is None:
            asked_for = name in without_usual or (name == "interval" and any(given.get("clip", [])))
            if not versions and quantity.usual and not asked_for and name not in typed:
                usual.append(name)
                typed[name] = day if quantity.usual == TODAY else quantity.usual
            continue
        typed[name] = _one_text(name, texts)
        if len(set(texts)) > 1 and not quantity.kind.several:
            errors[name] = f"{quantity.label} is given more than once; keep one"

    if "last" in fresh and "shoot_days" not in fresh:
        _tell_last_day_once(typed)
    for name in _superseded(typed) if "site" in fresh else ():
        typed.pop(name, None)
        errors.pop(name, None)
    values: dict[str, Any] = {}
    readings: dict[str, tuple[Reading, ...]] = {}
    left_out: list[str] = []
    for name, text in typed.items():
        if not text or name in errors:
            continue
        quantity = QUANTITIES[name]
        try:
            if len(text) > quantity.kind.longest_text:
                raise BadInput(f"{quantity.label} is too long")
            value = quantity.read(text)
        except BadInput as problem:
            wrong: BadInput | None = quantity.still_asked(text) or problem
        else:
            wrong = quantity.asked(text, IMPERIAL_MARK in marks) if name in fresh else None
            if wrong is not None:
                typed[name] = f"{text}{OPEN_MARK}"
        if wrong is not None:
            errors[name] = str(wrong)
            if wrong.readings:
                readings[name] = wrong.readings
            continue
        left_out.extend(quantity.kind.left_out(text))
        if value not in ("", ()):
            values[name] = value
    if isinstance(values.get("last"), ShootLength):
        values["shoot_days"] = values.pop("last")
    found = Inputs(
        *(values, typed, errors, unknown, None, tuple(usual), before, readings, today),
        left_out=tuple(left_out),
        ticked=ticked,
    )
    inputs = _with_zone(_check_together(found), "site" in fresh)
    if mended:
        inputs = replace(inputs, mended=tuple(mended[:100].split(",")))
    return inputs if as_it_is or not sums else _check_whole(inputs, sums[0], came)


def _with_zone(inputs: Inputs, fresh: bool) -> Inputs:
    """Write the zone out that a place has by itself, so that no later list changes it.

    Coordinates in a link that has no zone stay without: it is offered.
    """
    site = inputs.get("site")
    if site is None or inputs.typed.get("tz"):
        return inputs
    by_name = site.name and inputs.typed["site"] != QUANTITIES["site"].write(site)
    found = inputs.zone_of_place if fresh or by_name else None
    return inputs if found is None else replace(inputs, values={**inputs.values, "tz": found.zone})


def _superseded(typed: Mapping[str, str]) -> tuple[str, ...]:
    """Return the names that go where a form sends the place field.

    An older link shows its place in the field; sent back untouched it keeps its own names, edited it loses them.
    """
    old = old_text(typed)
    if not old:
        return ()
    return ("site",) if typed.get("site") == old else OLD_NAMES


def _check_whole(inputs: Inputs, came_sum: str, came: Sequence[tuple[str, str]]) -> Inputs:
    """Find out whether a link is what was handed out.

    It is if what was read from it fits the sum, whatever a messenger added; or all that came does, with names in it
    that only a later version knows.
    """
    rest = [pair for pair in came if pair[0] != SUM_NAME]
    if came_sum.lower() in (check_sum([_VERSION, *inputs._pairs({})]), check_sum(rest)):
        return inputs
    return replace(inputs, errors={SUM_NAME: f"{NOT_WHOLE}.", **inputs.errors}, wrong_sum=came_sum[:8])


def _tell_last_day_once(typed: dict[str, str]) -> None:
    """Let the field of the last day, which shows a shoot's length where that tells it, replace the length."""
    if typed["last"] == length_text(typed):
        typed["last"] = ""
    else:
        typed.pop("shoot_days", None)


def length_text(typed: Mapping[str, str]) -> str:
    """Return the shoot's length as the field of the last day shows it; empty where there is none that can be read."""
    try:
        return LENGTH.shown(LENGTH.read(typed.get("shoot_days", "")))
    except BadInput:
        return ""


def _one_text(name: str, texts: Sequence[str]) -> str:
    """Return what was given for a quantity as one text; the first of several where it takes only one."""
    kind = QUANTITIES[name].kind
    return kind.joint.join(filter(None, texts)) if kind.several else next(iter(texts), "")


def _known_pairs(query: str) -> dict[str, str]:
    return {name: text for name, text in parse_qsl(query, keep_blank_values=True) if name in QUANTITIES}


def _check_together(inputs: Inputs) -> Inputs:
    """Find values that are good alone and can't be together; the later one of the two is the wrong one."""
    values, errors = dict(inputs.values), dict(inputs.errors)
    first, last = values.get("first"), values.get("last")
    if first and last and last < first:
        errors["last"] = "Last day must be the first day or later"
    elif first and last and (last - first).days >= LONGEST_SHOOT_DAYS:
        errors["last"] = "Last day must be within ten years of the first day"
    if inputs.has("card_gb", "used_gb") and values["used_gb"] > values["card_gb"]:
        errors["used_gb"] = "Already used on the card must be no more than the card holds"
    if inputs.has("burst", "interval") and values["burst"] >= values["interval"]:
        errors["burst"] = "Burst length must be shorter than the interval"
    if inputs.has("near_m", "far_m") and values["near_m"] > values["far_m"]:
        errors["far_m"] = "Farthest thing must be no nearer than the nearest thing"
    if inputs.has("series", "cells") and values["cells"] % values["series"]:
        errors["series"] = "Cells in series must divide the number of cells"
    if "lasted_to" in values and values["lasted_to"] >= values.get("lasted_from", 100):
        errors["lasted_to"] = "Battery read at last must be below what it read at first"
    cell = CELLS.get(values.get("cell", ""))
    if "panel_w" in values and cell and not cell.rechargeable:
        errors["panel_w"] = f"Solar panel: never recharge {cell.name} cells, they can leak or burst; leave it empty"
    for name in errors:
        values.pop(name, None)
    return replace(inputs, values=values, errors=errors)
