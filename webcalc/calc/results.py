"""The shape of a page's results: one frozen dataclass whose defaults are the unknown answer.

Every field is a data key, with its meaning and unit beside it: ``frames: int | None = key("files on the card")``,
``field(metadata=meaning("files on the card"))`` for one without a default. A field of ``ranged()`` holds an
``Estimate`` and is told by its ends.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import Any, Self

from webcalc.calc.unknown import NotKnown


def meaning(words: str) -> dict[str, Any]:
    """Return the metadata of a key that means this."""
    return {"meaning": words}


def key(words: str, default: Any = None, *, factory: Callable[[], Any] | None = None) -> Any:
    """Return the field of a key that means this; its default is the unknown answer."""
    if factory is not None:
        return field(default_factory=factory, metadata=meaning(words))
    return field(default=default, metadata=meaning(words))


def ranged(words: str, low: str = "low", high: str = "high", *, whole_null: bool = False) -> Any:
    """Return a field for an estimate, told by its ends under the names that fit it; None while not known.

    ``whole_null``: an unknown one is told as null, not by ends that are null.
    """
    return field(default=None, metadata=meaning(words) | {"ends": (low, "expected", high), "whole_null": whole_null})


@dataclass(frozen=True)
class Results:
    """Base of all results."""

    @classmethod
    def of(cls, *rooms: object, **values: Any) -> Self:
        """Return the results whose values are those of the same name of these rooms, the first that has one.

        What isn't known keeps its default. ``values`` go before the rooms; a room that is None has nothing.
        """
        found = dict(values)
        for one in fields(cls):
            room = next((room for room in rooms if _has(room, one.name)), None)
            if one.name not in found and room is not None:
                found[one.name] = getattr(room, one.name)
        return cls(**{name: value for name, value in found.items() if not isinstance(value, NotKnown)})

    @classmethod
    def meanings(cls) -> dict[str, str]:
        """Return every data key with its meaning and unit."""
        return {one.name.rstrip("_"): one.metadata["meaning"] for one in fields(cls)}


def _has(room: object, name: str) -> bool:
    """Whether a room has a figure or a field of a name; asked of its class, as asking it works the figure out."""
    return hasattr(type(room), name) or name in getattr(type(room), "__dataclass_fields__", ())
