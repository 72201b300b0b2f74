"""Every page of the app, in the order of the menu."""

from __future__ import annotations

from webcalc.web.pages.battery import BATTERY
from webcalc.web.pages.call import CALL
from webcalc.web.pages.check import CHECK
from webcalc.web.pages.clip import CLIP
from webcalc.web.pages.daylight import DAYLIGHT
from webcalc.web.pages.framing import FRAMING
from webcalc.web.pages.interval import INTERVAL
from webcalc.web.pages.motion import MOTION
from webcalc.web.pages.plan import PLAN
from webcalc.web.pages.remount import REMOUNT
from webcalc.web.pages.sheet import SHEET
from webcalc.web.pages.solar import SOLAR
from webcalc.web.pages.storage import STORAGE
from webcalc.web.pages.sun import SUN
from webcalc.web.pages.visits import VISITS

PAGES = (
    INTERVAL,
    CLIP,
    STORAGE,
    BATTERY,
    DAYLIGHT,
    PLAN,
    CALL,
    SHEET,
    VISITS,
    FRAMING,
    MOTION,
    REMOUNT,
    SUN,
    SOLAR,
    CHECK,
)
