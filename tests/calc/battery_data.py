"""Published battery and safety values, with their sources beside them in the data file."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

DATA: dict[str, Any] = json.loads(
    (Path(__file__).parents[1] / "data" / "battery_checks.json").read_text(encoding="utf-8")
)
CHECKS: dict[str, dict[str, Any]] = {check["id"]: check for check in DATA["checks"]}


def checks_named(prefix: str) -> list[dict[str, Any]]:
    """Return the checks whose id begins so; an empty answer is a mistake in the test."""
    found = [check for name, check in CHECKS.items() if name.startswith(prefix)]
    assert found, prefix
    return found


def by_number(values: dict[str, float]) -> list[tuple[float, float]]:
    """Return a published table's rows as numbers, in rising order."""
    return sorted((float(key), value) for key, value in values.items())
