"""Results as plain JSON values: exact fractions as numbers, instants as ISO texts, estimates by their ends."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from enum import Enum
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate


def ends(estimate: Estimate[Any] | None, low: str = "low", high: str = "high") -> dict[str, Any]:
    """Return an estimate by its ends under the names that fit it (``fewest``, ``most``; ``earliest``, ``latest``)."""
    if estimate is None:
        return {low: None, "expected": None, high: None}
    return {low: estimate.low, "expected": estimate.expected, high: estimate.high}


def plain_data(value: Any) -> Any:
    """Return the value with every part turned into what JSON knows; no infinities, no NaN."""
    if isinstance(value, Mapping):
        return {str(key): plain_data(part) for key, part in value.items()}
    if isinstance(value, Estimate):
        return plain_data(ends(value))
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
