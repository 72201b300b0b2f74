"""Results as plain JSON values, and the meaning of their keys."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import Field, fields, is_dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results
from webcalc.calc.verdict import Verdict


def ends(estimate: Estimate[Any] | None) -> dict[str, Any]:
    """Return an estimate by its ends, each None while it isn't known."""
    return {end: getattr(estimate, end, None) for end in ("low", "expected", "high")}


def _told(key: Field[Any], value: Any) -> Any:
    """Return a key's value; that of a range by its ends, each None while it isn't known."""
    names = key.metadata.get("ends")
    if names is None or (value is None and key.metadata["whole_null"]):
        return value
    ends_of = (None, None, None) if value is None else (value.low, value.expected, value.high)
    return dict(zip(names, ends_of, strict=True))


def verdict_data(verdict: Verdict) -> dict[str, Any]:
    """Return a verdict as ``.json`` tells it."""
    return {
        "state": verdict.state.value,
        "parts": {one.part.value: one.state.value for one in verdict.judged},
        "unknown": [part.value for part in verdict.unknown],
        "due": [{"at": due.at.isoformat(), "part": due.part.value, "do": due.do.value} for due in verdict.due],
    }


def plain_data(value: Any) -> Any:
    """Return the value with every part turned into what JSON knows; no infinities, no NaN."""
    if isinstance(value, Estimate):
        return plain_data(ends(value))
    if is_dataclass(value):
        return {key.name.rstrip("_"): plain_data(_told(key, getattr(value, key.name))) for key in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain_data(part) for key, part in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain_data(part) for part in value]
    if isinstance(value, Enum):
        return plain_data(value.value)
    if isinstance(value, Fraction | Decimal):
        return int(value) if value == int(value) else float(value)
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    if isinstance(value, time):
        return value.strftime("%H:%M")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, timedelta):
        return value.total_seconds()
    return value


def data_keys(results: type[Results]) -> list[tuple[str, str]]:
    """Return every key of a page's data with its meaning; a key within another as ``outer.inner``."""
    found, inner = [], {key.name: results_in(key.type) for key in fields(results)}
    for key, meaning in results.meanings().items():
        found.append((key, meaning))
        part = inner.get(key) or inner.get(f"{key}_")
        if part is not None:
            found += [(f"{key}.{name}", words) for name, words in data_keys(part)]
    return found


def results_in(annotation: Any) -> type[Results] | None:
    """Return the results class that a field's annotation (its text) names, if any."""
    classes = {each.__name__: each for each in every_results()}
    named = re.findall(r"\w+", str(annotation))
    return next((classes[name] for name in named if name in classes), None)


def every_results(base: type[Results] = Results) -> Iterator[type[Results]]:
    """Yield every kind of results there is."""
    for each in base.__subclasses__():
        yield each
        yield from every_results(each)
