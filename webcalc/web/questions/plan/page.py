"""Does the whole shoot work?"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from webcalc.calc.plan import Limit, Part, first_to_run_out, next_interval_that_holds
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions import clip, interval
from webcalc.web.questions.battery import page as battery
from webcalc.web.questions.daylight import page as daylight
from webcalc.web.questions.groups import HOURS
from webcalc.web.questions.plan.today import today_block
from webcalc.web.questions.plan.words import PART_WORDS, battery_fact, card_fact, clip_fact, light_fact
from webcalc.web.questions.solar.case import SolarCase
from webcalc.web.questions.solar.words import solar_text
from webcalc.web.questions.storage import page as storage
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Facts, Text
from webcalc.web.words.solved import solved_notes

_PARTS = {"interval": interval, "clip": clip, "storage": storage, "battery": battery, "daylight": daylight}
#: What the plan tells of the clip; the steps to the rest stand on the clip's own page.
_SHOWN = ("frames", "kept_frames", "clip_s")


def answer(asked: Asked) -> Answer:
    """Put the answers of all calculators together and say what to change."""
    shoot, say = asked.old, asked.say
    parts = {name: page.answer(asked) for name, page in _PARTS.items()}
    reply = Answer({name: part.results for name, part in parts.items()})
    reply.results["solar"] = parts["battery"].results["solar"]
    limits = find_limits(asked)
    first = first_to_run_out(limits)
    reply.results["first_to_run_out"] = {
        "what": first.part if first else None,
        "at": shoot.place.dated(first.at) if first else None,
    }
    reply.working = [working for working in parts["clip"].working if working.formula.result in _SHOWN]
    reply.results["today"] = None
    if shoot.schedule is None or shoot.interval_s is None:
        reply.needs = shoot.missing_for_schedule() + ([] if shoot.interval_s else ["interval"])
        return reply

    reply.notes = solved_notes(asked.shoot, asked.say)
    facts = [clip_fact(asked), card_fact(asked), battery_fact(asked), light_fact(asked)]
    wrong = [fact for fact, holds in facts if holds is False]
    unknown = [fact for fact, holds in facts if holds is None]
    days = say.count(shoot.schedule.recorded_days, "recorded day")
    if wrong or first:
        reply.figure, reply.tone = "Not yet", FAILS
    elif unknown:
        reply.figure, reply.tone = "So far, yes", LOOK
    else:
        reply.figure, reply.tone = "It holds", HOLDS
    if first:
        reply.sentence = (
            f"The {PART_WORDS[first.part]} first: {say.instant(first.at)} on the camera clock, at the earliest."
        )
    elif unknown:
        reply.sentence = f"{days}. Not known yet: {', '.join(fact.label.lower() for fact in unknown)}."
    else:
        reply.sentence = f"{days}; nothing runs out before {say.day(shoot.schedule.last)}."
    if reply.tone == HOLDS and shoot.light is not None and not shoot.light.light_share:
        # Night work may be meant so; somebody who forgot it must not read a plain yes.
        reply.tone, reply.sentence = LOOK, reply.sentence + " All of it is in the dark."
    # The light is left out: it doesn't stop a shoot, and the line is short.
    reply.preview = "; ".join(f"{fact.label} {fact.value}" for fact, _holds in facts[:3])
    reply.add(Facts([fact for fact, _holds in facts]), solar_text(SolarCase(asked)))
    reply.blocks.extend(_changes(asked, limits))
    if first:
        reply.add(Text("", href=asked.url("visits"), link_words="Or go there in time: the visits"))
    reply.results["today"], now = today_block(asked)
    reply.add(*now)
    return reply


def find_limits(asked: Asked) -> list[Limit]:
    """Return when card and battery run out, at their pessimistic ends, as far as they are known."""
    shoot, limits = asked.old, []
    if shoot.card_forecast:
        limits.append(Limit(Part.CARD, shoot.card_forecast.full_at.low))
    if shoot.runtime:
        limits.append(Limit(Part.BATTERY, shoot.runtime.reserve_at.low))
    return limits


def _changes(asked: Asked, limits: list[Limit]) -> list[Text]:
    """Propose the smallest change for each part that fails."""
    shoot, say, proposals = asked.old, asked.say, []
    reached = {limit.part for limit in limits if limit.at is not None}
    if Part.CARD in reached:
        needed = shoot.card_forecast.card_needed_gb
        if needed and needed != shoot.inputs.get("card_gb"):
            words = f"Use a {say.number(needed)} GB card"
            proposals.append(Text("", href=asked.url("plan", card_gb=needed, used_gb=None), link_words=words))
        proposals.append(_longer(asked, "the card", _card_holds(asked)))
    if Part.BATTERY in reached:
        packs = shoot.battery.batteries_needed(shoot.recording)
        if packs and packs.high:
            words = f"The shoot takes {say.count(packs.high, 'battery', 'batteries')} like this one, changed in time."
            proposals.append(Text(words))
        proposals.append(_longer(asked, "the battery", _battery_holds(asked)))
    return [proposal for proposal in proposals if proposal]


def _longer(asked: Asked, what: str, holds: Callable[[Fraction], bool]) -> Text | None:
    shoot, say = asked.old, asked.say
    found = next_interval_that_holds(shoot.interval_s, shoot.settable_s, holds)
    if found is None:
        return Text(f"No interval is long enough for {what} to last to the end.")
    words = f"Every {say.length(found)}: {what} lasts"
    return Text("", href=asked.url("plan", interval=found), link_words=words)


def _card_holds(asked: Asked) -> Callable[[Fraction], bool]:
    def holds(interval_s: Fraction) -> bool:
        forecast = asked.old.card_forecast_at(interval_s)
        return forecast is not None and forecast.lasts

    return holds


def _battery_holds(asked: Asked) -> Callable[[Fraction], bool]:
    def holds(interval_s: Fraction) -> bool:
        return asked.old.battery.lasts(asked.old.recording_at(interval_s))

    return holds


PLAN = Page(
    "plan",
    "Plan",
    "Does the whole shoot work?",
    ("first", "last", "interval", "clip"),
    answer,
    (
        HOURS,
        Group("Name, clip, day to look at", ("name", "fps", "kept", "on")),
        Group("Picture and card", ("size", "picture", "frame_mb", "card_gb", "card_reserve")),
        Group("Battery", ("cell", "battery_wh", "standby_mw", "frame_j", "temp_c", "battery_reserve")),
        Group("Place and light", ("lat", "lon", "tz", "light")),
    ),
)
