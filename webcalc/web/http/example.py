"""An invented shoot to look around with. No real place, client or camera stands behind it."""

from __future__ import annotations

from datetime import date, timedelta

from webcalc.web.link.inputs import VERSION_NAME, Inputs, read_inputs
from webcalc.web.link.quantities import FORMAT_VERSION

_SHOOT = {
    "name": "Footbridge, north mast",
    "from": "07:30",
    "until": "17:30",
    "days": "12345",
    "interval": "5min",
    "fps": "25",
    "clip": "1min",
    "kept": "80",
    "size": "3840x2160",
    "picture": "standard",
    "card_gb": "128",
    "cell": "lifepo4",
    "battery_wh": "230",
    "standby_mw": "60",
    "frame_j": "12",
    "temp_c": "0",
    "battery_reserve": "20",
    "lat": "47.48",
    "lon": "8.21",
    "tz": "Europe/Zurich",
    "light": "sun",
}
_LENGTH = timedelta(days=181)


def example_shoot(today: date) -> Inputs:
    """Return the example, beginning on the Monday after ``today`` and running for half a year."""
    first = today + timedelta(days=8 - today.isoweekday())
    last = first + _LENGTH
    pairs = {VERSION_NAME: str(FORMAT_VERSION), "first": first.isoformat(), "last": last.isoformat(), **_SHOOT}
    return read_inputs(pairs.items(), today)


def example_query(today: date) -> str:
    """Return the example as a canonical query."""
    return example_shoot(today).query()
