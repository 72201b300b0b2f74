"""A value that is known only within a range."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

T = TypeVar("T")
U = TypeVar("U")
V = TypeVar("V")


@dataclass(frozen=True)
class Estimate(Generic[T]):
    """A range with a most likely value, in the unit that the name of the holder states.

    ``low <= expected <= high`` for numbers and instants. ``None`` at an end means
    "never within what was asked" (a card that doesn't fill up, say), and says nothing
    about the other ends.
    """

    low: T
    expected: T
    high: T

    @classmethod
    def exact(cls, value: T) -> Estimate[T]:
        """Return an estimate without a range: a measured value, all ends equal."""
        return cls(value, value, value)

    @property
    def is_exact(self) -> bool:
        """Whether the three values are one."""
        return self.low == self.expected == self.high

    def map(self, function: Callable[[T], U]) -> Estimate[U]:
        """Apply a rising function to each end; once where the ends are one and the same object."""
        if self.low is self.expected is self.high:
            return Estimate.exact(function(self.low))
        return Estimate(function(self.low), function(self.expected), function(self.high))

    def with_(self, other: Estimate[V], function: Callable[[T, V], U]) -> Estimate[U]:
        """Apply a function that rises with both to each end of the two."""
        ends = zip(vars(self).values(), vars(other).values(), strict=True)
        return Estimate(*(function(one, beside) for one, beside in ends))

    def map_falling(self, function: Callable[[T], U]) -> Estimate[U]:
        """Apply a falling function to each end: the high end gives the low result."""
        if self.low is self.expected is self.high:
            return Estimate.exact(function(self.low))
        return Estimate(function(self.high), function(self.expected), function(self.low))
