"""Which quantities a figure rests on: while one of them is typed wrong, the figure isn't known.

A blank has a meaning of its own; a wrong text has none, so nothing may be worked out around it.
"""

from __future__ import annotations

from collections.abc import Iterable

from webcalc.web.link.inputs import Inputs

SCHEDULE = (
    *("first", "last", "shoot_days", "from", "until", "days", "skip"),
    *("interval", "clip", "kept", "fps", "settable"),
)
RECORDED = ("stills", "burst", "burst_mbps", "motion")
CARD = ("size", "picture", "frame_mb", "card_gb", "used_gb", "card_reserve")
BATTERY = (
    *("cell", "cells", "battery_wh", "battery_mah", "battery_v", "converter", "ageing", "battery_reserve", "temp_c"),
    *("standby_mw", "frame_j", "record_mw", "other_mw", "draw_ma", "draw_v", "burst_mw", "motion_j"),
    *("charge_frames", "lasted_days", "lasted_interval"),
)
VISITING = ("visit_days", "visit_skip", "margin", "clean", "drift", "drift_max", "renew")
PLACE = ("lat", "lon", "place", "geo", "tz", "light", "clock")


def any_wrong(inputs: Inputs, *groups: Iterable[str]) -> bool:
    """Return whether a quantity of these groups is typed wrong."""
    return any(name in inputs.errors for group in groups for name in group)
