"""Groups of fields that several pages fold away."""

from __future__ import annotations

from webcalc.web.http.page import Group

HOURS = Group("Hours and days", ("from", "until", "days", "skip"))
#: How a page that shows the whole plan begins.
THE_SHOOT = Group("The shoot", ("first", "last", "interval", "clip"))
SHOOT = Group("Days and hours", ("first", "from", "until", "days", "skip"))
PICTURE_AND_CARD = Group("Picture and card", ("size", "picture", "frame_mb", "card_gb"))
EXTRA_LOADS = Group("Bursts and motion", ("stills", "burst", "burst_mbps", "burst_mw", "motion", "motion_j"))
