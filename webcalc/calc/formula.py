"""The one way to write a formula down: beside its function, checked against it, shown to the user.

``@formula`` attaches the result's name, the expression in the function's own parameter names and
the source. ``work`` calls the function and keeps the numbers, so that a page shows the
working of exactly the value it prints. A test evaluates each expression and compares it with its function.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

COMMON_PRACTICE = "common practice, no source"
DEFINITION = "definition"
ARITHMETIC = "arithmetic"


@dataclass(frozen=True)
class Formula:
    """A formula as written down: ``result`` (with its unit), ``expression``, ``source``."""

    name: str
    result: str
    expression: str
    source: str


@dataclass(frozen=True)
class Working:
    """One formula with the numbers that went in and the value that came out."""

    formula: Formula
    values: Mapping[str, Any]
    result: Any


#: Every formula of the package, by name of its function.
FORMULAS: dict[str, tuple[Formula, Callable[..., Any]]] = {}


def formula(result: str, expression: str, source: str) -> Callable[[F], F]:
    """Attach the written formula to its function.

    Parameters
    ----------
    result : name of what is computed, unit last (``clip_s``)
    expression : Python arithmetic over the function's parameter names, with min, max, ceil, floor, sqrt,
        log2, log10, pi, and sin_deg and its like
    source : the publication, or ``COMMON_PRACTICE``, ``DEFINITION``, ``ARITHMETIC``
    """

    def attach(function: F) -> F:
        written = Formula(function.__name__, result, expression, source)
        if function.__name__ in FORMULAS:
            raise ValueError(f"a formula named {function.__name__} exists already")
        FORMULAS[function.__name__] = (written, function)
        function.formula = written  # type: ignore[attr-defined]
        return function

    return attach


def work(function: Callable[..., Any], **values: Any) -> Working:
    """Call a formula's function and keep the numbers beside the result."""
    return Working(function.formula, MappingProxyType(dict(values)), function(**values))  # type: ignore[attr-defined]
