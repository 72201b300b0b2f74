"""The shape of a page's results: one frozen dataclass whose defaults are the unknown answer.

Every field is a data key; its meaning and unit stand in the class's docstring, one line a key as in numpydoc
(``frame_bytes : what a frame takes``). A field of ``ranged()`` holds an ``Estimate`` and is told by its ends.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, fields
from typing import Any, Self

from webcalc.calc.unknown import NotKnown


def ranged(low: str = "low", high: str = "high", *, whole_null: bool = False) -> Any:
    """Return a field for an estimate, told by its ends under the names that fit it; None while not known.

    ``whole_null``: an unknown one is told as null, not by ends that are null.
    """
    return field(default=None, metadata={"ends": (low, "expected", high), "whole_null": whole_null})


@dataclass(frozen=True)
class Results:
    """Base of all results."""

    @classmethod
    def of(cls, *rooms: object, **values: Any) -> Self:
        """Return the results whose values are those of the same name of these rooms, the first that has one.

        What isn't known keeps its default. ``values`` go before the rooms; a room that is None has nothing.
        """
        found = dict(values)
        for key in fields(cls):
            room = next((room for room in rooms if _has(room, key.name)), None)
            if key.name not in found and room is not None:
                found[key.name] = getattr(room, key.name)
        return cls(**{name: value for name, value in found.items() if not isinstance(value, NotKnown)})

    @classmethod
    def meanings(cls) -> dict[str, str]:
        """Return every data key with its meaning and unit, as the docstrings have them."""
        found: dict[str, str] = {}
        for each in reversed(cls.__mro__):
            found |= dict(re.findall(r"^    (\w+) : (.+)$", each.__doc__ or "", re.MULTILINE))
        return {key.name.rstrip("_"): found.get(key.name, "") for key in fields(cls)}


def _has(room: object, name: str) -> bool:
    """Whether a room has a figure or a field of a name; asked of its class, as asking it works the figure out."""
    return hasattr(type(room), name) or name in getattr(type(room), "__dataclass_fields__", ())
