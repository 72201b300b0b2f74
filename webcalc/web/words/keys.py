"""The keys of a page's data with their meanings, read off its results."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

from webcalc.calc.results import Results


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
