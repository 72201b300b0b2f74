"""Readings to choose from beside a field, as addresses with the chosen one written out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from webcalc.web.link.old_place import OLD_NAMES
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.places.zones import zone_of

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked


def taps(asked: Asked, name: str) -> list[tuple[str, str]]:
    """Return address and words of each thing that the text of a quantity may mean."""
    readings = asked.inputs.readings.get(name, ())
    values = [(QUANTITIES[name].read(reading.text), reading.words) for reading in readings]
    return [(str(asked.url(asked.page.name, **changes_to(asked, name, value))), words) for value, words in values]


def changes_to(asked: Asked, name: str, value: Any) -> dict[str, Any]:
    """Return what changes with a quantity: a place goes for all that told of one, and brings its zone."""
    changes = {name: value}
    if name == "site":
        changes.update(dict.fromkeys(OLD_NAMES))
        zone = zone_of(value, asked.inputs.stretch)
        if zone and not asked.inputs.typed.get("tz"):
            changes["tz"] = zone.zone
    return changes
