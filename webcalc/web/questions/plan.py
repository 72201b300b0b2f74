"""Does the whole shoot work?"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.plan import PlanResults, ShootNow, plan_results
from webcalc.calc.schedule.moment import Moment, Phase
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import Judged, Part, State, Verdict, Why
from webcalc.web.http.page import HOURS, Asked, Group, Page
from webcalc.web.words.answer import Answer, Fact, Facts, Points, Text, span, unknown_names
from webcalc.web.words.battery import allowed_words, by_kind, often, solar_text
from webcalc.web.words.pictures import whole_shoot
from webcalc.web.words.values import packs_words, solved_notes
from webcalc.web.words.verdict import NO_STILLS, PART_WORDS, TONES, due_words, labels, open_points, part_words
from webcalc.web.words.working import (
    DRIFT,
    FILLING,
    IN_THE_LIGHT,
    STEPS,
    clip_working,
    frame_working,
    interval_working,
    recorded_day_working,
    room_working,
)

_NOT_KNOWN = "not known"
IN_HAND = "What the battery has above its reserve at worst, less what it loses by itself, ÷ the hours of the shoot."
#: Steps of the clip's arithmetic that the plan shows, frames to length; the others stand on the clip's own page.
SHOWN_OF_CLIP = 4
#: Where each part has its own page.
_PAGES = {"Interval": "interval", "Clip": "clip", "Card": "storage", "Battery": "battery", "Light": "daylight"}
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
        reply.add(asked.step("Or go there in time: the visits", "visits"))
    reply.add(*now_blocks(asked, now))
    return reply


def _changes(asked: Asked, verdict: Verdict) -> list[Text]:
    """Propose the smallest change for each part that doesn't surely hold."""
    shoot, say, proposals = asked.shoot, asked.say, []
    open_parts = {one.part for one in verdict.judged if one.state in (State.FAILS, State.DOUBTFUL)}
    mending_s = shoot.clips.mending_s
    if Part.CLIP in open_parts and mending_s is not None:
        proposals.append(asked.step(f"Every {say.length(mending_s)}: the clip as wanted", "plan", interval=mending_s))
    if Part.CARD in open_parts:
        needed = or_none(shoot.card.smallest_gb)
        if needed and needed != or_none(shoot.card_gb):
            proposals.append(asked.step(f"Use a {say.number(needed)} GB card", "plan", card_gb=needed, used_gb=None))
        forecast_at = shoot.card.forecast_at
        proposals.append(_longer(asked, "the card", lambda s: known(found := forecast_at(s)) and found.lasts))
    if Part.BATTERY in open_parts:
        packs = or_none(shoot.battery.batteries_needed)
        if packs and packs.high:
            words = f"The shoot takes {packs_words(shoot, say, packs.high)}, changed in time."
            proposals.append(Text(words))
        proposals.append(_longer(asked, "the battery", lambda s: shoot.battery.lasts_at(s) is True))
    return [proposal for proposal in proposals if proposal]


def _longer(asked: Asked, what: str, holds: Callable[[Fraction], bool]) -> Text | None:
    shoot, say = asked.shoot, asked.say
    interval_s, settable = or_none(shoot.interval_s), or_none(shoot.settable)
    if interval_s is None or settable is None:
        return None
    found = next_interval_that_holds(interval_s, settable, holds)
    if found is None:
        return Text(f"No interval is long enough for {what} to last to the end.")
    return asked.step(f"Every {say.length(found)}: {what} lasts", "plan", interval=found)


def part_facts(asked: Asked) -> list[Fact]:
    """Return a line for every part that the shoot has; the clip's length stands there even if none is wanted."""
    verdict = asked.verdict
    lines = {
        Part.CLIP: _clip,
        Part.CARD: _card,
        Part.BATTERY: _battery,
        Part.LIGHT: _light,
        Part.CLOCK: _clock,
    }
    facts = [_interval(asked)]
    for part, line in lines.items():
        one = verdict.of(part) if verdict else None
        if one is None and part is Part.CLIP:
            one = Judged(part, State.HOLDS)
        if one is not None:
            facts.append(line(asked, one))
    return [
        replace(fact, href=asked.url(_PAGES[fact.label])) if fact.label in _PAGES else fact for fact in facts if fact
    ]


def _interval(asked: Asked) -> Fact | None:
    """Tell an interval that was worked out; one that was typed stands in the line of what the answer rests on."""
    shoot, interval_s = asked.shoot, asked.shoot.interval_s
    if not known(interval_s) or not shoot.interval_solved:
        return None
    how = (*interval_working(shoot), "The longest that can be set and gives them.")
    return Fact("Interval", f"every {asked.say.length(interval_s)}", "worked out from the clip", how)


def _lacking(asked: Asked, label: str, one: Judged) -> Fact:
    return Fact(label, _NOT_KNOWN, f"needs {labels(one.lacks.names)}" if one.lacks is not None else "")


def _clip(asked: Asked, one: Judged) -> Fact:
    say, made, wanted_s = asked.say, asked.shoot.clip_made, asked.shoot.clip
    if not known(made):
        return Fact("Clip", _NOT_KNOWN, f"needs {labels(made.names)}")
    frames = say.count(made.frames, "frame")
    wanted = f"{say.clip(wanted_s)} wanted; " if known(wanted_s) and wanted_s is not None else ""
    # Of one that isn't as wanted the headline tells what was.
    more = wanted + frames if one.state is State.HOLDS else ""
    much = {Why.TOO_SHORT: "too short: ", Why.NO_STILLS: "too short: ", Why.FAR_TOO_LONG: "far longer: "}
    how = tuple(clip_working(asked.shoot, made)[:SHOWN_OF_CLIP]) if made.frames else (NO_STILLS,)
    return Fact("Clip", much.get(one.why, "") + say.clip(made.clip_s), more, how)


def _card(asked: Asked, one: Judged) -> Fact:
    say, card = asked.say, asked.shoot.card
    if one.state is State.UNKNOWN:
        smallest, needed = card.smallest_gb, card.needed_bytes
        if known(smallest) and known(needed):
            fits = f"{say.number(smallest)} GB lasts" if smallest else "more than one card"
            more = f"up to {say.size(needed.high)} needed; no card typed"
            return Fact("Card", fits, more, tuple(frame_working(asked.shoot)))
        return _lacking(asked, "Card", one)
    words = f"up to {say.size(need(card.needed_bytes).high)} needed"
    how = (FILLING, *frame_working(asked.shoot), *room_working(asked.shoot))
    if one.state is State.HOLDS:
        return Fact("Card", "lasts to the end", words, how)
    how = (f"{say.instant(one.at)}, camera clock, at the earliest.", *how)
    return Fact("Card", f"full {say.day(one.at.date(), weekday=False)}", words, how)


def _battery(asked: Asked, one: Judged) -> Fact:
    say, found = asked.say, asked.shoot.battery.runtime
    if one.why is Why.CONTRADICTION:
        return Fact("Battery", _NOT_KNOWN, "what was typed contradicts itself")
    if one.state is State.UNKNOWN or not known(found):
        lacking, allowed = _lacking(asked, "Battery", one), allowed_words(asked)
        if not allowed:
            return lacking
        # Answered backwards: until when it lasts is known for a draw.
        how = (IN_HAND,)
        return replace(lacking, value="depends on the draw", more=f"{allowed.rstrip('.')}; {lacking.more}.", how=how)
    how = (STEPS, *recorded_day_working(asked.shoot))
    if one.state is State.HOLDS:
        low_ma = asked.shoot.battery.bank_low_load_ma
        sleeps = known(low_ma) and low_ma is not None
        more = "reserve untouched" + ("; but a power bank may switch off at so little" if sleeps else "")
        return Fact("Battery", "lasts to the end", more, how)
    if one.why is Why.DARK_DAYS:
        chance = or_none(asked.shoot.battery.dark_runs.chance)
        more = f"reserve touched in {often(chance, asked.shoot)}" if chance else f"needs {labels(('sunshine',))}"
        return Fact("Battery", "not on dark days" if chance else "on mean days", more, how)
    how = (f"{say.instant(one.at)}, camera clock, at the earliest.", *how)
    return Fact("Battery", f"until {say.day(one.at.date(), weekday=False)}", how=how)


def _light(asked: Asked, one: Judged) -> Fact:
    say, light = asked.say, asked.shoot.daylight.light
    if one.state is State.UNKNOWN or not known(light) or light is None:
        return _lacking(asked, "Light", one)
    if one.state is State.HOLDS:
        return Fact("Light", "all in the light", how=(IN_THE_LIGHT,))
    dark = sum(not day.all_light for day in light.days)
    words = f"{say.percent(light.light_share)} in the light"
    return Fact("Light", words, f"partly dark on {say.count(dark, 'day')}", (IN_THE_LIGHT,))


def _clock(asked: Asked, one: Judged) -> Fact:
    say = asked.say
    if one.state is State.UNKNOWN:
        return _lacking(asked, "Camera clock", one)
    if one.state is State.HOLDS:
        return Fact("Camera clock", "stays within what is accepted", how=(DRIFT,))
    why = "a change of summer time" if one.why is Why.SUMMER_TIME else "by drift, at the earliest"
    return Fact("Camera clock", f"off from {say.day(one.at.date(), weekday=False)}", why, (DRIFT,))


_CLOCK = ("The moment of asking, by the clock that the camera keeps: set on site, never put forward or back.",)
_COUNTED = ("Every window up to now, each begun with a frame.",)
_FRAMES_SO_FAR = "Frames so far × what each takes on the card."
_VISITS = ("The latest day before something runs out at the earliest, less the margin.",)


def now_blocks(asked: Asked, now: ShootNow) -> list[Facts | Text]:
    """Return what the page shows of the moment; nothing while it can't be told."""
    say, here = asked.say, or_none(now.here)
    if here is None:
        return []
    title = "At that moment" if asked.inputs.has("on") else "Now"
    clock = f"camera clock {say.instant(here.at)}"
    if here.phase is Phase.BEFORE:
        return [Facts([Fact("Not begun", f"starts {say.instant(here.next_window_at)}", clock, _CLOCK)], title)]
    facts = [
        Fact("Recording", _phase_words(asked, here), clock, _CLOCK),
        Fact("Frames so far", say.number(here.counts.frames), f"{say.percent(here.done_share)} of the shoot", _COUNTED),
    ]
    used, left, clip_s = or_none(now.card_used_bytes), or_none(now.battery_left_share), or_none(now.clip_s)
    if used:
        facts.append(Fact("On the card", *span(say.size, used), (_FRAMES_SO_FAR, *frame_working(asked.shoot))))
    if left:
        facts.append(Fact("Battery left", *span(say.percent, left), (STEPS,)))
    if clip_s is not None:
        facts.append(Fact("Clip so far", say.clip(clip_s), how=("Frames so far × share kept ÷ frames a second.",)))
    visit = _visit_fact(asked, now)
    blocks: list[Facts | Text] = [Facts([*facts, visit] if visit else facts, title)]
    if not asked.shoot.done.any and now.visited is True and (used or left):
        blocks.append(Text("Counted from the start, as if no visit had changed card or battery."))
    return blocks


def _visit_fact(asked: Asked, now: ShootNow) -> Fact | None:
    coming = now.next_visit
    if not known(coming):
        return Fact("Next visit", "not known", f"needs {labels(coming.names)}") if known(now.here) else None
    if coming is None:
        return None
    when = f"in {asked.say.count(coming.days, 'day')}" if coming.days else "that day"
    more = f"{when}, to fetch the camera" if coming.fetches else when
    return Fact("Next visit", asked.say.day(coming.date), more, _VISITS, asked.url("visits"))


def _phase_words(asked: Asked, here: Moment) -> str:
    say = asked.say
    if here.phase is Phase.RECORDING:
        return f"yes, until {say.clock(here.window_ends_at)}"
    if here.next_window_at is not None:
        return f"no; next {say.instant(here.next_window_at)}"
    return "no; the shoot is over"


PLAN = Page(
    "plan",
    "Plan",
    "Does the whole shoot work?",
    (),
    answer,
    (
        Group("The shoot", ("first", "last", "interval", "clip")),
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
