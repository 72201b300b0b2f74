"""Where the templates and static files are: inside the installed package, or beside it in a checkout."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def asset_dir(name: str) -> Path:
    """Return the folder ``name``, looked for inside the package first, then beside it.

    Inside first, so that another package's folder of the same name in site-packages is never picked.
    Raises FileNotFoundError naming both places.
    """
    inside, beside = _PACKAGE / name, _PACKAGE.parent / name
    for place in (inside, beside):
        if place.is_dir():
            return place
    raise FileNotFoundError(f"neither {inside} nor {beside} is a folder")
