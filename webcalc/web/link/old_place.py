"""How older links told where the camera stands, and how the one place field shows it."""

from __future__ import annotations

from collections.abc import Mapping

#: Names that ``site`` replaces.
OLD_NAMES = ("lat", "lon", "geo", "place")


def old_text(typed: Mapping[str, str]) -> str:
    """Return the place of an older link as the field shows it: by the names that count there, as they were typed."""
    latitude, longitude, geo, place = (typed.get(name, "") for name in OLD_NAMES)
    if latitude and longitude:
        return f"{latitude}, {longitude}"
    return geo or place or (f"{latitude}, {longitude}" if latitude or longitude else "")
