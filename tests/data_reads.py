"""A plugin of pytest that notes which check values of tests/data the tests read, for ``test_data_read.py``.

It stands in for ``json.loads``: what comes from a file of tests/data notes each value handed out while a test runs.
Loading a file, or choosing rows by their ids, reads nothing.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).parent / "data"
#: What says where a value comes from, and isn't itself checked.
TOLD = {"id", "source", "provenance", "note", "about", "from_memory", "jpeg_sample", "warning", "definition", "dates"}
FILES = {path.read_text(encoding="utf-8"): path.name for path in sorted(DATA.glob("*.json"))}

read: set[str] = set()
running = False
load = json.loads


def paths(value: Any, path: str) -> Iterator[str]:
    """Give the path of every row: each container that holds values itself, under the id of its check."""
    if isinstance(value, dict) and "id" in value:
        yield f"{path.rsplit('/', 1)[0]}/{value['id']}"
    elif isinstance(value, dict | list):
        items = list(value.items() if isinstance(value, dict) else enumerate(value))
        items = [(key, part) for key, part in items if key not in TOLD]
        if not items or not all(isinstance(part, dict | list) for _, part in items):
            yield path
        else:
            for key, part in items:
                yield from paths(part, f"{path}/{key}")


class Noting:
    """What a dict and a list have in common: they note their row when a value is asked of them during a test."""

    path: str
    of_check: bool
    in_check: bool

    def note(self) -> None:
        # A table is read where its rows become parameters; a check is only chosen there.
        if running or not self.in_check:
            read.add(self.path)


class NotingDict(Noting, dict):  # type: ignore[type-arg]
    def __getitem__(self, key: Any) -> Any:
        # The inputs of a check aren't what it says.
        if key not in TOLD and not (self.of_check and key in ("inputs", "tol", "tolerance")):
            self.note()
        return dict.__getitem__(self, key)

    def get(self, key: Any, default: Any = None) -> Any:
        return self[key] if key in self else default  # noqa: SIM401 - get is what is defined here

    def __iter__(self) -> Iterator[Any]:
        return dict.__iter__(self)

    def keys(self) -> Any:
        return dict.keys(self)

    def items(self) -> Any:
        self.note()
        return dict.items(self)

    def values(self) -> Any:
        self.note()
        return dict.values(self)


class NotingList(Noting, list):  # type: ignore[type-arg]
    def __getitem__(self, index: Any) -> Any:
        self.note()
        return list.__getitem__(self, index)

    def __iter__(self) -> Iterator[Any]:
        self.note()
        return list.__iter__(self)

    def __eq__(self, other: object) -> bool:
        self.note()
        return list.__eq__(self, other)

    __hash__ = None  # type: ignore[assignment]


def noting(value: Any, path: str, check: str | None = None) -> Any:
    """Return the loaded value with its dicts and lists noting."""
    if not isinstance(value, dict | list):
        return value
    row = isinstance(value, dict) and "id" in value
    if row:
        check = f"{path.rsplit('/', 1)[0]}/{value['id']}"
    if isinstance(value, dict):
        # Inside a check only its own keys count: ``inputs`` is read without what is expected.
        made: Any = NotingDict({key: part if check else noting(part, f"{path}/{key}") for key, part in value.items()})
    else:
        made = NotingList(part if check else noting(part, f"{path}/{n}") for n, part in enumerate(value))
    made.path, made.of_check, made.in_check = check or path, row, check is not None
    return made


def loads(text: str | bytes, *args: Any, **kwargs: Any) -> Any:
    value = load(text, *args, **kwargs)
    name = FILES.get(text) if isinstance(text, str) else None
    return noting(value, name) if name else value


json.loads = loads  # type: ignore[assignment]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave out tests on chance values: none of them asks the data."""
    items[:] = [item for item in items if not hasattr(getattr(item, "obj", None), "hypothesis")]


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    global running
    running = True
    try:
        return (yield)
    finally:
        running = False


def pytest_runtest_setup(item: pytest.Item) -> None:
    # A row that is itself a parameter was handed out by choosing it; its values are still asked for in the test.
    for value in getattr(getattr(item, "callspec", None), "params", {}).values():
        if isinstance(value, NotingList):
            read.add(value.path)


def pytest_sessionfinish() -> None:
    Path(os.environ["DATA_READS"]).write_text(json.dumps(sorted(read)), encoding="utf-8")
