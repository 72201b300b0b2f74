"""WTForms fields built from the table of quantities.

The text has been read once, by ``inputs.py``; a field here only shows what was typed and the sentence that goes with
it, so that a field and the data of the same link can never disagree.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from wtforms import Field, Form

from webcalc.web.link.inputs import Inputs, length_text
from webcalc.web.link.kinds.basics import Number
from webcalc.web.link.kinds.places import PlaceField, old_text
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.quantity import Quantity
from webcalc.web.places.zones import ZoneNear
from webcalc.web.words.remarks import zone_words


def _place_text(inputs: Inputs) -> str:
    """Return what the place field shows: a named place in words, that of an older link as it was typed there."""
    typed, spot = inputs.typed.get("site", ""), inputs.get("site")
    if spot is not None and spot.name:
        return PlaceField().shown(spot)
    return typed or old_text(inputs.typed)


#: Characters that fit half the width of a phone of 360 px, measured.
SHORT_LABEL, SHORT_HINT = 16, 22


class QuantityField(Field):
    """A field that shows one quantity."""

    def __init__(self, quantity: Quantity, **rest: Any) -> None:
        super().__init__(label=quantity.label, **rest)
        self.quantity = quantity

    def take(self, inputs: Inputs, imperial: bool) -> None:
        """Take what was typed of the quantity, and the sentence on it."""
        quantity = self.quantity
        self.data = inputs.typed.get(quantity.name, "")
        self.sentence = inputs.errors.get(quantity.name, "")
        good = quantity.name in inputs.values
        self.canonical = quantity.write(inputs.values[quantity.name]) if good else ""
        #: What the text may mean, to choose from.
        self.taps: list[tuple[str, str]] = []
        self.zone: ZoneNear | None = None
        if quantity.name == "site":
            self.data = _place_text(inputs)
        elif quantity.name == "last" and not self.data:
            self.data = length_text(inputs.typed)
        elif quantity.name == "tz":
            # A zone that the place has by itself follows it: the field stays free for another.
            near = inputs.zone_of_place
            if near and inputs.get("tz") == near.zone:
                self.zone, self.data = near, ""
        if good and quantity.kind.doubts(self.data):
            self.data = self.canonical
        if good and imperial and isinstance(quantity.kind, Number) and quantity.kind.other:
            self.data = quantity.kind.write_imperial(inputs.values[quantity.name])
        # A picker can't show a text that is no date, so a wrong one gets a plain field.
        self.input_type = quantity.kind.input_type if good or not self.data else "text"

    @property
    def ticked(self) -> Sequence[str]:
        """Return the boxes that are ticked, as far as what was typed names any."""
        joint = self.quantity.kind.joint
        return self.data.split(joint) if joint else tuple(self.data)

    @property
    def is_group(self) -> bool:
        """Whether this is a group of boxes, to be labelled by a legend."""
        return self.quantity.kind.several

    @property
    def is_short(self) -> bool:
        """Whether label and hint stay on one line each in half the width of a phone."""
        plain = not (self.quantity.kind.lines or self.sentence) and self.quantity.kind.input_type != "datetime-local"
        return plain and len(self.quantity.label) <= SHORT_LABEL and len(self.hint) <= SHORT_HINT

    @property
    def hint(self) -> str:
        """Return unit and hint in one line."""
        other = self.quantity.kind.other if isinstance(self.quantity.kind, Number) else None
        if self.zone:
            return f"empty: {zone_words(self.zone)}"
        unit = self.quantity.unit + (f" or {other.spellings[0]}" if other else "")
        return ", ".join(part for part in (unit, self.quantity.hint) if part)

    def process(self, *_args: Any, **_kwargs: Any) -> None:
        """Do nothing: the value was read with the link."""

    @property
    def value(self) -> str:
        """Return what stands in the field: a picker takes the link's way of writing only."""
        return self.data if self.input_type == "text" else self.canonical

    @property
    def options(self) -> Sequence[tuple[str, str]]:
        """Return the options; what was typed is added where it isn't one of them."""
        chosen = self.canonical or self.data
        options = list(self.quantity.kind.options)
        if chosen not in dict(options):
            # A list is as wide as its widest words, so a long text is shown by its beginning.
            options.insert(0, (chosen, chosen if len(chosen) <= 20 else f"{chosen[:19]}…"))
        return options

    @property
    def told_by(self) -> str:
        """Return which elements tell of the field: its hint, and the sentence on what was typed."""
        return " ".join(f"{self.name}-{end}" for end, words in (("h", self.hint), ("e", self.sentence)) if words)


@cache
def _form_of(names: tuple[str, ...]) -> type[Form]:
    """Return the form of these fields; a page's is always the same."""
    # A WTForms field outside a form is unbound until its form class is made.
    return type("PageForm", (Form,), {name: QuantityField(QUANTITIES[name]) for name in names})


def build_form(names: Sequence[str], inputs: Inputs, imperial: bool = False) -> Form:
    """Return a form with one field for each named quantity."""
    form = _form_of(tuple(names))()
    for field in form:
        field.take(inputs, imperial)
    return form
