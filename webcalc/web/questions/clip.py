"""How long is the clip?"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from webcalc.calc.card.limits import passes_4_gib
from webcalc.calc.card.space import MEGABIT
from webcalc.calc.clip import delivery, frames
from webcalc.calc.clip.results import ClipResults, clip_results
from webcalc.calc.formula import Working, work
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import Part, Why
from webcalc.web.http.page import HOURS, Asked, Group, Page
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Text, unknown_names
from webcalc.web.words.values import solved_notes
from webcalc.web.words.verdict import NO_STILLS, TONES, part_words
from webcalc.web.words.working import clip_working, recorded_words


def answer(asked: Asked) -> Answer:
    """Say days, frames and seconds of clip, how to thin it, and what the finished file takes."""
    shoot, say, found = asked.shoot, asked.say, asked.shoot.clip_made
    results = clip_results(shoot)
    reply = Answer(results)
    if not known(found):
        reply.needs = unknown_names(found)
        return reply
    if shoot.takes_stills is False:
        return reply.head("No stills", FAILS, NO_STILLS)
    reply.working = clip_working(shoot, found)
    reply.figure, reply.tone = say.clip(found.clip_s), HOLDS
    days = say.count(results.recorded_days, "day")
    reply.sentence = (
        f"{say.count(found.kept_frames, 'frame')} at {asked.inputs.canonical['fps']} fps, "
        f"one every {say.length(found.interval_s)} on {days}."
    )
    wanted_s = or_none(shoot.clip)
    if wanted_s is not None and found.clip_s < wanted_s and not shoot.interval_solved:
        reply.tone = FAILS
        reply.sentence = f"Too short: {say.clip(wanted_s)} wanted. " + reply.sentence
        reply.add(asked.step("Find the interval that gives it", "interval"))
    judged = asked.verdict.of(Part.CLIP) if asked.verdict else None
    if judged and judged.why in (Why.TOO_SHORT, Why.FAR_TOO_LONG):
        reply.tone = TONES[judged.state]
        reply.points.append(Text(part_words(judged, shoot, say), reply.tone))
    reply.notes.extend(solved_notes(shoot, say))
    if shoot.card.as_video is True:
        rate = asked.inputs.canonical["fps"]
        reply.notes.append(f"It is recorded as one video file at {rate} fps: the rate is set before, not afterwards.")
    reply.lead_with_first(Facts(_facts(asked, results, days, reply.working)), 4)
    _thinning(asked, reply)
    _finished_file(asked, reply)
    return reply


def _facts(asked: Asked, results: ClipResults, days: str, working: Sequence[Working]) -> list[Fact]:
    shoot, say = asked.shoot, asked.say
    frames_a_day, frames_in_all, kept, length, speed_up, clip_a_day = working
    per_day, apart_s, kept_share = need(shoot.clips.frames_per_day, shoot.clips.apart_s, shoot.kept_share)
    return [
        Fact("Recorded", say.hours(results.recorded_s), f"on {days}", (recorded_words(asked),)),
        Fact(
            "Frames",
            say.number(results.frames),
            f"{say.number(per_day)} a recorded day",
            (frames_a_day, frames_in_all),
            asked.url("interval"),
        ),
        Fact("Frames kept", say.number(results.kept_frames), say.percent(kept_share), (kept,)),
        Fact(
            "Length as timecode",
            results.timecode or "past 24 hours: timecode starts again there",
            _apart_words(asked, apart_s),
            (length, "Hours, minutes, seconds, frames: SMPTE ST 12-1."),
        ),
        Fact(
            "Speed-up",
            f"{say.number(results.speed_up)} ×",
            f"1 s of clip shows {say.length(results.speed_up)}",
            (speed_up,),
        ),
        Fact("Clip for one recorded day", say.clip(results.clip_s_per_recorded_day), "on average", (clip_a_day,)),
    ]


def _apart_words(asked: Asked, apart_s: Fraction) -> str:
    """Say by how much a label stands off real time, where that can be seen."""
    if abs(apart_s) < Fraction(1, 10):
        return ""
    side = "longer" if apart_s > 0 else "shorter"
    return f"plays {asked.say.length(abs(apart_s))} {side} than its label"


def _thinning(asked: Asked, reply: Answer) -> None:
    """Say how to thin the kept frames to the wanted length."""
    say, thinned, wanted_s = asked.say, or_none(asked.shoot.clips.thinning), or_none(asked.shoot.clip)
    if thinned is None:
        return
    if thinned.frames_missing:
        reply.add(Text(f"{say.count(thinned.frames_missing, 'frame')} too few for {say.clip(wanted_s)}.", LOOK))
        return
    kept, wanted = need(asked.shoot.clips.kept_frames, asked.shoot.clips.frames_in_clip)
    left = work(frames.frames_left, frames=kept, keep_every=thinned.keep_every)
    if thinned.keep_every > 1:
        reply.working.append(left)
    every = "every frame" if thinned.keep_every == 1 else f"every {_ordinal(thinned.keep_every)} frame"
    rows = [Fact("Keep", every, f"leaves {say.count(thinned.frames_left, 'frame')}", (left,))]
    if thinned.frames_to_trim:
        how = f"{say.number(thinned.frames_left)} less the {say.number(wanted)} of the clip."
        rows.append(Fact("Then trim", say.count(thinned.frames_to_trim, "frame"), f"to {say.clip(wanted_s)}", (how,)))
    reply.add(Facts(rows, f"Thinned to {say.clip(wanted_s)}"))
    if asked.shoot.card.as_video is True and thinned.keep_every > 1:
        reply.add(Text("Thinning a video file is coding it anew: it takes time, and a little of its quality.", LOOK))


def _finished_file(asked: Asked, reply: Answer) -> None:
    """Tell the size of the finished clip where a bit rate is known."""
    shoot, say, size = asked.shoot, asked.say, or_none(asked.shoot.clips.file_bytes)
    if size is None:
        return
    rate, seconds = need(shoot.clip_mbps, shoot.clips.file_s)
    how = work(delivery.clip_file_bytes, bits_per_s=Fraction(rate) * MEGABIT, clip_s=seconds)
    reply.working.append(how)
    more = "too large for one file on FAT32" if passes_4_gib(size) else f"{say.clip(seconds)}, without sound"
    reply.add(Facts([Fact("Finished file", say.size(size), more, (how,))]))


def _ordinal(n: int) -> str:
    ending = "th" if n % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(n % 10, "th")
    return f"{n}{ending}"


CLIP = Page(
    "clip",
    "Clip",
    "How long is the clip?",
    ("interval", "first", "last"),
    answer,
    (
        HOURS,
        Group("Clip", ("fps", "kept", "clip", "clip_mbps")),
    ),
    parts=(Part.CLIP,),
    results=ClipResults,
)
