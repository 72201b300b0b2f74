"""The shoot as a whole: what runs out first, and the smallest change with which it holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from fractions import Fraction


class Part(StrEnum):
    """What can run out while nobody is there."""

    CARD = "card"
    BATTERY = "battery"


@dataclass(frozen=True)
class Limit:
    """When a part runs out at its pessimistic end, on the camera clock; None where it lasts to the end."""

    part: Part
    at: datetime | None


def first_to_run_out(limits: Iterable[Limit]) -> Limit | None:
    """Return the limit that comes first; None if every part lasts. Of two at one instant the first given."""
    reached = [limit for limit in limits if limit.at is not None]
    return min(reached, key=lambda limit: limit.at, default=None)  # type: ignore[arg-type,return-value]


def next_interval_that_holds(
    interval_s: Fraction, settable_s: Sequence[Fraction], holds: Callable[[Fraction], bool]
) -> Fraction | None:
    """Return the shortest settable interval longer than ``interval_s`` for which ``holds`` is true; None if none is.

    A longer interval never takes more card or energy, so the first that holds is the smallest change.
    """
    longer = sorted(candidate for candidate in settable_s if candidate > interval_s)
    return next((candidate for candidate in longer if holds(candidate)), None)
