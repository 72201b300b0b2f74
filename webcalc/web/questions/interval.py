"""Which interval gives this clip from this shoot?"""

from __future__ import annotations

from webcalc.calc.clip.results import ChoiceResults, IntervalResults, interval_results
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.unknown import known, need
from webcalc.calc.verdict import Part
from webcalc.web.http.page import HOURS, Asked, Group, Page
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Row, Table, Text, unknown_names
from webcalc.web.words.values import solved_notes
from webcalc.web.words.verdict import NO_STILLS
from webcalc.web.words.working import interval_working, recorded_words

NOTE = (
    "Clip in minutes:seconds. Frames too many can be thinned, missing ones can't be made. Card with large frames, "
    "battery at the short end."
)
USUAL = (
    "About a minute is usual for a week to a month, two to five minutes for longer (common practice, no source). The "
    "clip and the dates give the interval."
)


def answer(asked: Asked) -> Answer:
    """Say the interval for the clip; without a wanted clip what the plan's own interval gives."""
    shoot, say, found = asked.shoot, asked.say, asked.shoot.interval_answer
    results = interval_results(shoot)
    reply = Answer(results, notes=solved_notes(shoot, say, besides="interval"))
    if shoot.takes_stills is False:
        reply.notes.append(f"{NO_STILLS} The figures here are for stills.")
    if not known(found):
        reply.needs = unknown_names(found)
        if known(shoot.clip_made) and reply.needs == ["clip"]:
            _without_wish(asked, reply, shoot.clip_made)
        elif reply.needs == ["clip"]:
            _usual(asked, reply)
        return reply
    if found.interval_exact_s is None:
        return reply
    wanted_s, schedule, settable_s = need(shoot.clip, shoot.schedule, shoot.settable)
    reply.working = interval_working(shoot)
    wanted, exact = reply.working
    chosen = found.chosen
    if chosen is None:
        told = (
            f"The clip needs a frame every {say.length(found.interval_exact_s)}, and no interval that short can be "
            "set. Record longer, or want a shorter clip."
        )
        reply.head(f"under {say.length(min(settable_s))}", FAILS, told)
    else:
        told = (
            f"gives {say.count(chosen.frames, 'frame')} and a clip of {say.clip(chosen.clip_s)}; "
            f"wanted {say.clip(wanted_s)}."
        )
        reply.head(f"Every {say.length(chosen.interval_s)}", HOLDS, told)
        if shoot.clips.mending_s is not None or shoot.interval_solved:
            use = f"Use {say.length(chosen.interval_s)} in the plan"
            reply.add(asked.step(use, "interval", interval=chosen.interval_s))
    reply.lead_with(_table(asked, results.choices, chosen and chosen.interval_s))
    reply.add(
        Text(NOTE),
        Facts(
            (
                Fact(
                    "Recorded time",
                    say.hours(found.recorded_s),
                    f"on {say.count(schedule.recorded_days, 'day')}",
                    (recorded_words(asked),),
                ),
                Fact("Frames needed", say.number(found.frames_wanted), how=(wanted,), href=asked.url("clip")),
                Fact("Exact interval", say.length(found.interval_exact_s), how=(exact,)),
            )
        ),
    )
    return reply


def _without_wish(asked: Asked, reply: Answer, made: ClipMade) -> None:
    """Show what the plan's interval gives while no clip length is wanted, and its neighbours."""
    say = asked.say
    reply.figure = f"Every {say.length(made.interval_s)}"
    reply.sentence = f"is the plan's interval: {say.count(made.frames, 'frame')}, a clip of {say.clip(made.clip_s)}."
    reply.lead_with(_table(asked, reply.results.choices, made.interval_s))
    reply.add(Text(NOTE))


def _usual(asked: Asked, reply: Answer) -> None:
    """Show what is usual for a shoot of this length, and the clip each interval would give."""
    usual = reply.results.usual
    if not usual:
        reply.sentence = USUAL
        return
    ends = list(dict.fromkeys(asked.say.length(each.interval_s) for each in (usual[0], usual[-1])))
    reply.head(f"Every {' to '.join(ends)}", LOOK, "is usual for a shoot of this length (common practice, no source).")
    reply.lead_with(_table(asked, usual, None))
    reply.add(Text(NOTE))


def _table(asked: Asked, choices: tuple[ChoiceResults, ...], marked_s: object) -> Table:
    return Table(
        "Tap an interval to use it",
        ("Every", "Clip", "Card", "Battery", "Frames"),
        [_row(asked, choice, choice.interval_s == marked_s) for choice in choices],
    )


def _row(asked: Asked, choice: ChoiceResults, marked: bool) -> Row:
    say, card, days = asked.say, choice.card_bytes, choice.battery_days
    cells = (
        say.length(choice.interval_s),
        say.clip_brief(choice.clip_s),
        say.size(card.high, 2) if card else "–",
        say.unit(days.low, "d", 2) if days and days.low is not None else "–",
        say.number(choice.frames),
    )
    return Row(cells, marked, asked.url("interval", interval=choice.interval_s))


INTERVAL = Page(
    "interval",
    "Interval",
    "Which interval gives this clip from this shoot?",
    ("clip", "first", "last"),
    answer,
    (
        HOURS,
        Group("Frame rate and choices", ("fps", "kept", "settable")),
        Group("Picture and card", ("size", "picture", "frame_mb", "card_gb")),
    ),
    frozenset({"interval"}),
    parts=(Part.CLIP,),
    results=IntervalResults,
)
