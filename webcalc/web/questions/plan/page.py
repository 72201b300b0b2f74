"""Does the whole shoot work?"""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.now import ShootNow
from webcalc.calc.plan import PlanResults, plan_results
from webcalc.calc.unknown import known, or_none
from webcalc.calc.verdict import Part, State, Verdict
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.groups import HOURS, THE_SHOOT
from webcalc.web.questions.plan.now import now_blocks
from webcalc.web.questions.plan.parts import SHOWN_OF_CLIP, part_facts
from webcalc.web.words.allowance import by_kind
from webcalc.web.words.answer import Answer, Facts, Points, Text, unknown_names
from webcalc.web.words.course import whole_shoot
from webcalc.web.words.packs import packs_words
from webcalc.web.words.panel import solar_text
from webcalc.web.words.solved import solved_notes
from webcalc.web.words.verdict import PART_WORDS, TONES, due_words, open_points, part_words
from webcalc.web.words.workings import clip_working

_FIGURES = {
    State.FAILS: "Not yet",
    State.UNKNOWN: "Not known yet",
    State.DOUBTFUL: "Not surely",
    State.HOLDS: "It holds",
}


def answer(asked: Asked) -> Answer:
    """Give the verdict on all parts and say what to change."""
    shoot, say, verdict = asked.shoot, asked.say, asked.verdict
    now = ShootNow(shoot, asked.now)
    reply = Answer(plan_results(shoot, verdict, now) if asked.as_data else None)
    made, schedule = shoot.clip_made, shoot.schedule
    if known(made) and made.frames:
        reply.working = clip_working(shoot, made)[:SHOWN_OF_CLIP]
    reply.needs = unknown_names(schedule, shoot.recording)
    reply.figure, reply.tone = _FIGURES[verdict.state], TONES[verdict.state]
    points = open_points(verdict, shoot, say)
    if not known(schedule):
        reply.sentence = next(iter(points), "")
        return reply
    reply.notes = solved_notes(shoot, say)
    days = say.count(schedule.recorded_days, "recorded day")
    reply.sentence = next(iter(points), f"{days}; nothing runs out before {say.day(schedule.last)}.")
    facts = part_facts(asked)
    # Of light that is only doubtful the line of its part tells the same.
    light = verdict.of(Part.LIGHT)
    told_below = part_words(light, shoot, say) if light and light.state is State.DOUBTFUL else ""
    others = " ".join(point for point in points[1:] if point != told_below)
    reply.points = [Text(others)] if others else []
    # The light is left out where it is known: the line is short.
    unknown = ", ".join(PART_WORDS[part] for part in verdict.unknown)
    told = [f"{fact.label} {fact.value}" for fact in facts if fact.label != "Interval"][:3]
    reply.preview = "; ".join([*told, f"Not known: {unknown}"] if unknown else told)
    reply.lead_with(Facts(facts))
    reply.picture = whole_shoot(asked, now)
    reply.add(by_kind(asked), solar_text(asked))
    reply.blocks.extend(_changes(asked, verdict))
    reply.add(Points("What is due if nothing is renewed", due_words(verdict, say)))
    if any(due.part in (Part.CARD, Part.BATTERY, Part.CLOCK) for due in verdict.due):
        reply.add(Text("", href=asked.url("visits"), link_words="Or go there in time: the visits"))
    reply.add(*now_blocks(asked, now))
    return reply


def _changes(asked: Asked, verdict: Verdict) -> list[Text]:
    """Propose the smallest change for each part that doesn't surely hold."""
    shoot, say, proposals = asked.shoot, asked.say, []
    open_parts = {one.part for one in verdict.judged if one.state in (State.FAILS, State.DOUBTFUL)}
    mending_s = shoot.clips.mending_s
    if Part.CLIP in open_parts and mending_s is not None:
        words = f"Every {say.length(mending_s)}: the clip as wanted"
        proposals.append(Text("", href=asked.url("plan", interval=mending_s), link_words=words))
    if Part.CARD in open_parts:
        needed = or_none(shoot.card.smallest_gb)
        if needed and needed != or_none(shoot.card_gb):
            words = f"Use a {say.number(needed)} GB card"
            proposals.append(Text("", href=asked.url("plan", card_gb=needed, used_gb=None), link_words=words))
        proposals.append(_longer(asked, "the card", _card_holds))
    if Part.BATTERY in open_parts:
        packs = or_none(shoot.battery.batteries_needed)
        if packs and packs.high:
            words = f"The shoot takes {packs_words(shoot, say, packs.high)}, changed in time."
            proposals.append(Text(words))
        proposals.append(_longer(asked, "the battery", _battery_holds))
    return [proposal for proposal in proposals if proposal]


def _longer(asked: Asked, what: str, holds) -> Text | None:
    shoot, say = asked.shoot, asked.say
    interval_s, settable = or_none(shoot.interval_s), or_none(shoot.settable)
    if interval_s is None or settable is None:
        return None
    found = next_interval_that_holds(interval_s, settable, lambda longer_s: holds(asked, longer_s))
    if found is None:
        return Text(f"No interval is long enough for {what} to last to the end.")
    words = f"Every {say.length(found)}: {what} lasts"
    return Text("", href=asked.url("plan", interval=found), link_words=words)


def _card_holds(asked: Asked, interval_s: Fraction) -> bool:
    forecast = asked.shoot.card.forecast_at(interval_s)
    return known(forecast) and forecast.lasts


def _battery_holds(asked: Asked, interval_s: Fraction) -> bool:
    return asked.shoot.battery.lasts_at(interval_s) is True


PLAN = Page(
    "plan",
    "Plan",
    "Does the whole shoot work?",
    (),
    answer,
    (
        THE_SHOOT,
        HOURS,
        Group("Name, clip, day to look at", ("name", "fps", "kept", "on")),
        Group("Picture and card", ("size", "picture", "frame_mb", "card_gb", "card_reserve", "kept_on")),
        Group(
            "Power",
            ("power", "cell", "battery_wh", "camera_kind", "standby_mw", "frame_j", "temp_c", "battery_reserve"),
        ),
        Group("Place and light", ("site", "tz", "light")),
    ),
    results=PlanResults,
)
