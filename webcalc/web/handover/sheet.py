"""What the crew at the mast needs to know, in one structure that every output shows: screen, paper, text, file."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from decimal import Decimal
from typing import Any
from unicodedata import east_asian_width

from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import records_nothing
from webcalc.calc.visits.done import in_force
from webcalc.calc.visits.rules import Reason, Visit
from webcalc.web.handover.calendar_file import shoot_title
from webcalc.web.handover.sheet_rows import aim_data, aim_rows, by_date, set_rows, sketch, soon
from webcalc.web.http.page import Asked
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.daylight.words import day_fact, picture, window_words
from webcalc.web.questions.visits.words import (
    bring_how,
    brought,
    impossible_words,
    in_all_how,
    reason_words,
    visit_how,
    when_words,
)
from webcalc.web.words import cautions
from webcalc.web.words.answer import Fact
from webcalc.web.words.values import packs_words, value_words
from webcalc.web.words.verdict import may_come_sooner, nothing_recorded, unknown_words
from webcalc.web.words.working import How

SHOWN_VISITS = 3
#: Common practice, no source.
BEFORE_LEAVING = (
    "Lens clean, focus checked",
    "Camera level",
    "Clock set",
    "Card empty, its lock switch off",
    "Test frame checked at full size",
    "Reference photo of the framing taken, for putting it back",
    "Cables relieved of strain",
    "Tether on",
    "Gate closed",
)
ALWAYS_BRING = "lens cloth, level, tether, cable ties"
#: What a plan may say to bring: label and the quantities that tell it, those that are there.
_GEAR = (
    ("Card", ("card_gb",)),
    ("Battery", ("cell", "cells", "battery_wh", "battery_mah", "battery_v")),
    ("Solar panel", ("panel_w", "panel_tilt")),
)
#: Room for notes in a column of the sheet of paper; longer ones go onto a second page, whole.
_PAPER_COLUMNS, _PAPER_LINES = 65, 34


class Sheet:
    """The crew sheet of what was asked. Words are as this reader wants them; ``results`` has the same as data.

    With a wrong input there are no forecasts on it.

    title : the camera's name
    figure, sentence, dates : what matters most
    place, geo : coordinates, and a link by RFC 5870 that a phone's map opens; empty where not known
    settings, aim, bring, light, visits : what to set, where to look, what to bring, when to come
    sketch : the framing, where the plan says enough
    expected, by_date : what the camera shows soon after the start, and on dates; ``has_battery``: with its battery
    notes : the planner's own words, as typed
    warnings : what keeps the plan from holding
    query : the canonical plan
    handed_out : the same as a link that leaves this page has it
    sent, sent_without_notes : the same for codes and messages, whose log has only what counts now
    """

    leaving = BEFORE_LEAVING

    def __init__(self, asked: Asked) -> None:
        self.asked, self.inputs, self.shoot, self.say = asked, asked.inputs, asked.shoot, asked.say
        self.schedule: Schedule | None = None if asked.inputs.errors else or_none(asked.shoot.schedule)
        self.interval_s = or_none(asked.shoot.interval_s)
        dates = self.schedule.recorded_dates if self.schedule else ()
        self.first_recorded = dates[0] if dates else None
        self.day = or_none(self.shoot.daylight.day(self.first_recorded)) if self.first_recorded else None
        self.title, self.notes = shoot_title(self.inputs), self.inputs.get("mounting", "")
        self.figure, self.sentence, self.dates = self._head()
        self.place, self.geo = self._place()
        self.settings, self.aim, self.sketch = tuple(set_rows(asked)), tuple(aim_rows(asked)), sketch(asked)
        self.bring = tuple(self._bring())
        self.light = (day_fact(asked, ["First day"], self.day),) if self.day else ()
        self.picture = picture(asked) if self.day else None
        self.planned = self._planned()
        self.visits = tuple(self._visit_fact(visit) for visit in self.planned)
        self.expected, self.by_date = soon(asked), by_date(asked, self.planned)
        self.has_battery = asked.shoot.battery.needed
        self.warnings, self.cautions = tuple(self._warnings()), tuple(cautions.on_site(self.say).items)
        log = {"did": in_force(self.inputs.values["did"])} if self.inputs.has("did") else {}
        self.query, self.handed_out = str(self.inputs.query()), str(self.inputs.handed_out())
        self.sent = str(self.inputs.handed_out(**log))
        self.sent_without_notes = str(self.inputs.handed_out(mounting=None, **log))

    @property
    def key(self) -> str:
        """A short text that stands for this plan and no other."""
        return hashlib.sha256(self.query.encode()).hexdigest()[:12]

    @property
    def notes_are_long(self) -> bool:
        """Whether the notes take more lines than the one page of paper has for them."""
        return sum(1 + _width(line) // _PAPER_COLUMNS for line in self.notes.split("\n")) > _PAPER_LINES

    # -- head and place -------------------------------------------------------------------------------------

    def _head(self) -> tuple[str, str, str]:
        say = self.say
        if self.schedule is None or self.interval_s is None:
            return "", "", ""
        days, hours = say.weekdays(self.schedule.weekdays), window_words(say, self.schedule.window)
        dates = say.days(self.schedule.first, self.schedule.last)
        return say.length(self.interval_s), f"is the interval: {hours} on the camera clock, {days}, {dates}.", dates

    def _place(self) -> tuple[str, str]:
        where = self.shoot.daylight.coordinates
        if not known(where):
            return "", ""
        geo = QUANTITIES["geo"].write(tuple(Decimal(repr(degrees)) for degrees in where))
        city = ", the middle of the city" if self.shoot.daylight.stands_by_city else ""
        return geo.removeprefix("geo:").replace(",", ", ") + city, geo

    # -- what to bring and to expect -------------------------------------------------------------------------

    def _bring(self) -> Iterator[Fact]:
        for label, names in _GEAR:
            words = [value_words(name, self.inputs.get(name), self.say) for name in names if self.inputs.get(name)]
            if words:
                packs, how = self._packs() if label == "Battery" else ("", ())
                yield Fact(label, ", ".join(words), packs, how)
        yield Fact("Always", ALWAYS_BRING)

    def _packs(self) -> tuple[str, How]:
        """How many to take if all are taken at once, and how they are counted; empty where that isn't known."""
        count = self.shoot.visits.in_all(Reason.BATTERY)
        if not self.shoot.battery.needed or not count:
            return "", ()
        return f"{packs_words(self.shoot, self.say, count)} for all visits", in_all_how(self.say, count - 1)

    def _warnings(self) -> Iterator[str]:
        """Yield what keeps anybody from working by this sheet alone: the verdict's open points."""
        if self.inputs.errors:
            yield "Something in the plan is typed wrong: don’t work by this sheet yet."
            return
        plan, verdict = self.shoot.visits.plan, self.asked.verdict
        if known(plan) and plan.impossible is not None:
            yield impossible_words(self.shoot, self.say, plan.impossible)
        elif known(plan) and not plan.holds:
            yield "Impossible: more visits than can be planned."
        sooner = may_come_sooner(verdict)
        # What visits make good is no warning on a sheet that lists them.
        yield from filter(None, (nothing_recorded(records_nothing(self.shoot)), sooner))
        if not sooner:
            yield from filter(None, [unknown_words(verdict)])

    def _planned(self) -> tuple[Visit, ...]:
        """Return the first visits where there is a plan of them."""
        room = self.shoot.visits
        plan = room.plan
        if self.inputs.errors or not known(plan) or not plan.holds or need(room.nothing_to_plan_by):
            return ()
        return plan.visits[:SHOWN_VISITS]

    def _visit_fact(self, visit: Visit) -> Fact:
        bring = brought(self.shoot, self.say, visit)
        how = (*visit_how(self.shoot, self.say, visit)[:1], *bring_how(visit))
        return Fact(
            when_words(self.shoot, self.say, visit), reason_words(visit), f"bring {bring}" if bring else "", how
        )

    # -- data -----------------------------------------------------------------------------------------------

    @property
    def results(self) -> dict[str, Any]:
        """The sheet as data."""
        shoot, get, day = self.shoot, self.inputs.get, self.day
        where, size = or_none(shoot.daylight.coordinates) or (None, None), get("size") or (None, None)
        return {
            "name": get("name"),
            "place": {
                "latitude_deg": where[0],
                "longitude_deg": where[1],
                "geo": self.geo or None,
                "zone": or_none(shoot.daylight.zone_key),
            },
            "set": {
                "interval_s": self.interval_s,
                "fps": get("fps"),
                "width_px": size[0],
                "height_px": size[1],
                "picture": get("picture"),
                "from": get("from"),
                "until": get("until"),
                "weekdays": sorted(get("days", ())),
                "first": get("first"),
                "last": or_none(shoot.last_day),
                "skipped": sorted(get("skip", ())),
                "burst_s": get("burst"),
                "motion_frames_per_day": get("motion"),
                "camera_utc_offset_s": or_none(shoot.daylight.camera_offset),
            },
            "bring": [f"{fact.label}: {fact.value}" for fact in self.bring],
            "notes": get("mounting"),
            "light": {
                "date": self.first_recorded,
                "sunrises": day.sun.sunrises if day else None,
                "sunsets": day.sun.sunsets if day else None,
                "civil_dawns": day.civil.rises if day else None,
                "civil_dusks": day.civil.sets if day else None,
            },
            "visits": [
                {"date": visit.date, "arrival": shoot.visits.site_time(visit.at), "reasons": list(visit.reasons)}
                for visit in self.planned
            ],
            "aim": aim_data(self.asked),
            "expected": [row.data for row in self.expected],
            "by_date": [row.data for row in self.by_date],
            "before_leaving": BEFORE_LEAVING,
            "cautions": self.cautions,
            "warnings": self.warnings,
        }


def _width(line: str) -> int:
    """Return how many Latin letters are as wide as a line (Unicode Standard Annex 11)."""
    return sum(2 if east_asian_width(c) in "WF" else 1 for c in line)
