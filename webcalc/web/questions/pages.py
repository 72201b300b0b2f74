"""Every page of the app, in the order of the menu; those that aren't among the six main ones by their moment."""

from __future__ import annotations

from dataclasses import dataclass

from webcalc.web.questions.battery.page import BATTERY
from webcalc.web.questions.call import CALL
from webcalc.web.questions.check.page import CHECK
from webcalc.web.questions.clip import CLIP
from webcalc.web.questions.daylight.page import DAYLIGHT
from webcalc.web.questions.framing import FRAMING
from webcalc.web.questions.interval import INTERVAL
from webcalc.web.questions.motion import MOTION
from webcalc.web.questions.plan import PLAN
from webcalc.web.questions.remount.page import REMOUNT
from webcalc.web.questions.sheet import SHEET
from webcalc.web.questions.solar.page import SOLAR
from webcalc.web.questions.storage.page import STORAGE
from webcalc.web.questions.sun import SUN
from webcalc.web.questions.visits.page import VISITS

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

#: Address of a group -> its title.
MOMENTS = {"before": "Before you go", "mast": "At the mast", "desk": "Back at the desk"}


@dataclass(frozen=True)
class Entry:
    """An address outside the pages that a group lists too: a view of its own, without the quantities' form."""

    name: str
    title: str
    question: str
    moment: str


#: Listed after the pages of the same moment.
ENTRIES: tuple[Entry, ...] = (
    Entry("recorded", "On the card", "What is really on the card?", "desk"),
    Entry("run", "Several cameras", "Which cameras need a visit next?", "desk"),
)

#: Where the link of a plan may lead.
LINKED = frozenset({*(page.name for page in PAGES), "share", *MOMENTS})
