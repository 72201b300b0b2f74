"""Readings to choose from beside a field, as addresses with the chosen one written out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.place import place_changes

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked


def taps(asked: Asked, name: str) -> list[tuple[str, str]]:
    """Return address and words of each thing that the text of a quantity may mean."""
    readings = asked.inputs.readings.get(name, ())
    found = []
    for reading in readings:
        value = QUANTITIES[name].read(reading.text)
        changes = place_changes(asked, value) if name == "site" else {name: value}
        found.append((str(asked.url(asked.page.name, **changes)), reading.words))
    return found
