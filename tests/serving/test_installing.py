"""What it needs installs without a compiler: on a phone there is none."""

from __future__ import annotations

import importlib.metadata as metadata
import re

#: Written partly in C; its own build goes on without that part where it can't be compiled (tried once, see
#: DEVELOPERS.md).
OPTIONAL_C = {"markupsafe"}


def needed(name: str, seen: set[str] | None = None) -> set[str]:
    """Return a package and all that it needs here, extras left out."""
    seen = set() if seen is None else seen
    name = re.sub(r"[-_.]+", "-", name).lower()
    if name in seen:
        return seen
    try:
        requirements = metadata.requires(name) or []
    except metadata.PackageNotFoundError:
        # Only for other systems or older Pythons: it isn't needed here.
        return seen
    seen.add(name)
    for requirement in requirements:
        if "extra ==" not in requirement:
            found = re.match(r"[A-Za-z0-9._-]+", requirement)
            assert found
            needed(found[0], seen)
    return seen


def test_every_dependency_is_plain_python() -> None:
    names = needed("webcalc") - {"webcalc"} - OPTIONAL_C
    assert {"flask", "waitress", "segno", "tzdata"} <= names
    for name in names:
        wheel = metadata.distribution(name).read_text("WHEEL") or ""
        assert "Root-Is-Purelib: true" in wheel, name
        assert re.search(r"^Tag: py\S*-none-any$", wheel, re.MULTILINE), name
