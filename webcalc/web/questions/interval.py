"""Which interval gives this clip from this shoot?"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from webcalc.calc.clip.interval import frames_wanted, interval_exact_s
from webcalc.calc.clip.solve import ShootClip, interval_choices
from webcalc.calc.formula import work
from webcalc.calc.verdict import Part
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.clip import NO_STILLS
from webcalc.web.questions.groups import HOURS, PICTURE_AND_CARD
from webcalc.web.words.answer import FAILS, HOLDS, Answer, Fact, Facts, Row, Table, Text
from webcalc.web.words.solved import solved_notes


def answer(asked: Asked) -> Answer:
    """Work the interval out from clip, schedule and frame rate."""
    shoot, inputs, say = asked.old, asked.inputs, asked.say
    found = shoot.interval_answer
    results: dict[str, Any] = {
        "recorded_s": shoot.schedule.recorded_s if shoot.schedule else None,
        "frames_wanted": found.frames_wanted if found else None,
        "interval_exact_s": found.interval_exact_s if found else None,
        "interval_s": found.chosen.interval_s if found and found.chosen else None,
        "clip_s": found.chosen.clip_s if found and found.chosen else None,
        "choices": [],
    }
    reply = Answer(results, notes=solved_notes(asked, besides="interval"))
    if not shoot.recording.stills:
        reply.notes.append(f"{NO_STILLS} The figures here are for stills.")
    if found is None:
        reply.needs = shoot.missing_for_schedule() + [name for name in ("clip", "fps") if not inputs.has(name)]
        if shoot.clip is not None and reply.needs == ["clip"]:
            _without_wish(asked, reply, shoot.clip)
        return reply
    if found.interval_exact_s is None:
        reply.figure, reply.tone = "no recorded day", FAILS
        reply.sentence = "No weekday between the first and the last day is left to record on."
        return reply

    reply.working = [
        work(frames_wanted, clip_s=inputs.get("clip"), fps=inputs.get("fps"), kept_share=shoot.kept_share),
        work(interval_exact_s, recorded_s=found.recorded_s, frames_wanted=found.frames_wanted),
    ]
    table = _table(asked, reply, found.interval_exact_s)
    if found.chosen is None:
        reply.figure, reply.tone = f"under {say.length(min(shoot.settable_s))}", FAILS
        reply.sentence = (
            f"The clip needs a frame every {say.length(found.interval_exact_s)}, and no interval that short can be "
            "set. Record longer, or want a shorter clip."
        )
    else:
        chosen = found.chosen
        reply.figure, reply.tone = say.length(chosen.interval_s), HOLDS
        reply.sentence = (
            f"gives {say.count(chosen.frames, 'frame')} and a clip of {say.clip(chosen.clip_s)}; "
            f"wanted {say.clip(inputs.get('clip'))}."
        )
        if inputs.get("interval") != chosen.interval_s:
            reply.add(
                Text(
                    "", href=asked.url("clip", interval=chosen.interval_s), link_words=f"Use {reply.figure} in the plan"
                )
            )
    reply.add(
        table,
        Facts(
            (
                Fact(
                    "Recorded time", say.hours(found.recorded_s), f"on {say.count(shoot.schedule.recorded_days, 'day')}"
                ),
                Fact("Frames needed", say.number(found.frames_wanted)),
                Fact("Exact interval", say.length(found.interval_exact_s)),
            )
        ),
    )
    return reply


def _without_wish(asked: Asked, reply: Answer, made: ShootClip) -> None:
    """Show what the plan's interval gives while no clip length is wanted, and its neighbours."""
    say = asked.say
    reply.results.update(interval_s=made.interval_s, clip_s=made.clip_s)
    reply.figure = say.length(made.interval_s)
    reply.sentence = f"is the plan's interval: {say.count(made.frames, 'frame')}, a clip of {say.clip(made.clip_s)}."
    reply.add(_table(asked, reply, made.interval_s))


def _table(asked: Asked, reply: Answer, around_s: Fraction) -> Table:
    """Return the settable intervals around one, and put them into the data."""
    shoot = asked.old
    choices = interval_choices(
        shoot.schedule, around_s, asked.inputs.get("fps"), shoot.kept_share, settable_s=shoot.settable_s
    )
    rows = [_choice(asked, choice) for choice in choices]
    reply.results["choices"] = [data for data, _row in rows]
    return Table(
        "Tap an interval to use it",
        ("Every", "Clip", "Card", "Battery", "Frames"),
        [row for _data, row in rows],
        "Clip in minutes:seconds. Rounded down: frames can be thinned, missing ones can't be made. Card with large "
        "frames, battery at the short end.",
    )


def _choice(asked: Asked, choice: ShootClip) -> tuple[dict[str, Any], Row]:
    shoot, say = asked.old, asked.say
    card = shoot.card_forecast_at(choice.interval_s)
    battery = shoot.runtime_at(choice.interval_s)
    data = {
        "interval_s": choice.interval_s,
        "frames": choice.frames,
        "clip_s": choice.clip_s,
        "card_bytes": ends(card.needed_bytes) if card else None,
        "battery_days": ends(battery.days, "shortest", "longest") if battery else None,
    }
    found = shoot.interval_answer
    answered_s = (found.chosen and found.chosen.interval_s) if found else shoot.interval_s
    marked = answered_s == choice.interval_s
    cells = (
        say.length(choice.interval_s),
        say.clip_brief(choice.clip_s),
        say.size(card.needed_bytes.high, 2) if card else "–",
        say.unit(battery.days.low, "d", 2) if battery and battery.days.low is not None else "–",
        say.number(choice.frames),
    )
    return data, Row(cells, marked, asked.url("clip", interval=choice.interval_s))


INTERVAL = Page(
    "interval",
    "Interval",
    "Which interval gives this clip from this shoot?",
    ("clip", "first", "last"),
    answer,
    (
        HOURS,
        Group("Frame rate and choices", ("fps", "kept", "settable")),
        PICTURE_AND_CARD,
    ),
    frozenset({"interval"}),
    parts=(Part.CLIP,),
)
