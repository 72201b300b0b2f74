"""Every page of the app, in the order of the menu."""

from __future__ import annotations

from webcalc.web.questions.battery.page import BATTERY
from webcalc.web.questions.call.page import CALL
from webcalc.web.questions.check.page import CHECK
from webcalc.web.questions.clip import CLIP
from webcalc.web.questions.daylight.page import DAYLIGHT
from webcalc.web.questions.framing import FRAMING
from webcalc.web.questions.interval import INTERVAL
from webcalc.web.questions.motion import MOTION
from webcalc.web.questions.plan.page import PLAN
from webcalc.web.questions.remount.page import REMOUNT
from webcalc.web.questions.sheet.page import SHEET
from webcalc.web.questions.solar.page import SOLAR
from webcalc.web.questions.storage.page import STORAGE
from webcalc.web.questions.sun.page import SUN
from webcalc.web.questions.visits.page import VISITS
from webcalc.web.words.moments import MOMENTS

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

#: Where the link of a plan may lead.
LINKED = frozenset({*(page.name for page in PAGES), "share", *MOMENTS})
