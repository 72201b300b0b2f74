"""WTForms fields built from the table of quantities.

The text has been read once, by ``inputs.py``; a field here only shows what was typed and the sentence that goes with
it, so that a field and the data of the same link can never disagree.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup
from wtforms import Field, Form
from wtforms.widgets import TextArea, TextInput, html_params

from webcalc.web.link.inputs import Inputs, length_text
from webcalc.web.link.kinds.basics import Number
from webcalc.web.link.kinds.sites import PlaceField
from webcalc.web.link.old_place import old_text
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.quantity import Quantity
from webcalc.web.places.zones import ZoneNear
from webcalc.web.words.place import zone_words


def _place_text(inputs: Inputs) -> str:
    """Return what the place field shows: a named place in words, that of an older link as it was typed there."""
    typed, spot = inputs.typed.get("site", ""), inputs.get("site")
    if spot is not None and spot.name:
        return PlaceField().shown(spot)
    return typed or old_text(inputs.typed)


#: Characters that fit half the width of a phone of 360 px, measured.
SHORT_LABEL, SHORT_HINT = 16, 22


class TickBoxes:
    """Ticked boxes that all send one name, each with its word inside the target."""

    def __call__(self, field: QuantityField, **attributes: Any) -> Markup:
        """Return the boxes; the group is named by its legend."""
        boxes = [Markup('<input type=hidden name="{}" value>').format(field.name)]
        # The first box stands for the group: links to the field lead to it, and it carries hint and sentence.
        first = Markup(" ") + Markup(html_params(id=field.id, **attributes))  # noqa: S704 - escaped by WTForms
        for n, (value, word) in enumerate(field.quantity.kind.options):
            boxes.append(
                Markup('<label><input type=checkbox{} name="{}" value="{}"{}>{}</label>').format(
                    "" if n else first,
                    field.name,
                    value,
                    Markup(" checked") if value in field.ticked else "",
                    word,
                )
            )
        return Markup("").join(boxes)


class OptionList:
    """A list to choose one option from."""

    def __call__(self, field: QuantityField, **attributes: Any) -> Markup:
        """Return the list with the typed option chosen."""
        chosen = field.canonical or field.data
        options = Markup("").join(
            # Without a value an option sends its words.
            Markup("<option{}{}>{}").format(
                Markup(' value="{}"').format(name) if name != words else "",
                Markup(" selected") if name == chosen else "",
                words,
            )
            for name, words in field.options
        )
        params = html_params(id=field.id, name=field.name, **attributes)
        return Markup("<select {}>{}</select>").format(Markup(params), options)  # noqa: S704 - escaped by WTForms


class QuantityField(Field):
    """A field that shows one quantity."""

    def __init__(self, quantity: Quantity, inputs: Inputs, imperial: bool = False, **rest: Any) -> None:
        super().__init__(label=quantity.label, **rest)
        self.quantity = quantity
        self.data = inputs.typed.get(quantity.name, "")
        self.sentence = inputs.errors.get(quantity.name, "")
        self.errors = [self.sentence] if self.sentence else []
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
        if quantity.kind.several:
            self.widget = TickBoxes()
        elif quantity.kind.options:
            self.widget = OptionList()
        elif quantity.kind.lines:
            self.widget = TextArea()
        else:
            # A picker can't show a text that is no date, so a wrong one gets a plain field.
            self.widget = TextInput(quantity.kind.input_type if good or not self.data else "text")

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

    def _value(self) -> str:
        picker = getattr(self.widget, "input_type", "text") != "text"
        return self.canonical if picker else self.data

    @property
    def options(self) -> Sequence[tuple[str, str]]:
        """Return the options; what was typed is added where it isn't one of them."""
        chosen = self.canonical or self.data
        options = list(self.quantity.kind.options)
        if chosen not in dict(options):
            # A list is as wide as its widest words, so a long text is shown by its beginning.
            options.insert(0, (chosen, chosen if len(chosen) <= 20 else f"{chosen[:19]}…"))
        return options

    def attributes(self) -> dict[str, str]:
        """Return the attributes that tie the field to hint and sentence and choose its keypad."""
        found, told_by = {}, []
        if self.hint:
            told_by.append(f"{self.name}-h")
        if self.sentence:
            told_by.append(f"{self.name}-e")
            found["aria-invalid"] = "true"
        if told_by:
            found["aria-describedby"] = " ".join(told_by)
        if self.quantity.kind.inputmode:
            found["inputmode"] = self.quantity.kind.inputmode
        return found

    def __html__(self) -> str:
        """Return the control with its attributes."""
        return self(**self.attributes())


def build_form(names: Sequence[str], inputs: Inputs, imperial: bool = False) -> Form:
    """Return a form with one field for each named quantity."""
    # A WTForms field outside a form is unbound until its form class is made.
    fields = {name: QuantityField(QUANTITIES[name], inputs, imperial) for name in names}
    return type("PageForm", (Form,), fields)()
