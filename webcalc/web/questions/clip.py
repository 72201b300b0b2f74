"""How long is the clip?"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from webcalc.calc.card.limits import passes_4_gib
from webcalc.calc.card.space import MEGABIT
from webcalc.calc.clip import delivery
from webcalc.calc.clip import frames as clip
from webcalc.calc.clip.timecode import elapsed_less_timecode_s, timecode_of_length
from webcalc.calc.formula import work
from webcalc.calc.schedule.recording import frames_in, frames_total
from webcalc.calc.verdict import Part
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.groups import HOURS
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Text
from webcalc.web.words.solved import solved_notes

NO_STILLS = "No stills are taken in this plan, so there are no frames for a clip."


def answer(asked: Asked) -> Answer:
    """Count days, frames and seconds of clip; thin to the wanted length; size the finished file."""
    shoot, inputs, say = asked.old, asked.inputs, asked.say
    found, schedule, fps = shoot.clip, shoot.schedule, inputs.get("fps")
    wanted_s = inputs.get("clip")
    results: dict[str, Any] = {
        "recorded_days": schedule.recorded_days if schedule else None,
        "recorded_s": schedule.recorded_s if schedule else None,
        "interval_s": shoot.interval_s,
        "last": shoot.last,
        "frames": found.frames if found else None,
        "kept_frames": found.kept_frames if found else None,
        "clip_s": found.clip_s if found else None,
        "timecode": timecode_of_length(found.kept_frames, fps) if found else None,
        "speed_up": clip.speed_up(shoot.interval_s, fps) if shoot.interval_s and fps else None,
        "clip_s_per_recorded_day": None,
        "thinning": None,
        "file_bytes": None,
    }
    reply = Answer(results)
    if found is None or schedule is None:
        reply.needs = shoot.missing_for_schedule() + [name for name in ("interval", "fps") if not inputs.has(name)]
        return reply
    if not shoot.recording.stills:
        reply.figure, reply.tone = "No stills", FAILS
        reply.sentence = NO_STILLS
        return reply

    per_day = frames_in(schedule.window.length_s, found.interval_s)
    day_s = clip.clip_s_per_recorded_day(per_day, shoot.kept_share, fps)
    results["clip_s_per_recorded_day"] = day_s
    reply.working = [
        work(frames_in, window_s=schedule.window.length_s, interval_s=found.interval_s),
        work(frames_total, recorded_days=schedule.recorded_days, frames_per_day=per_day),
        work(clip.kept_frames, frames=found.frames, kept_share=shoot.kept_share),
        work(clip.clip_s, frames=found.kept_frames, fps=fps),
        work(clip.speed_up, interval_s=found.interval_s, fps=fps),
        work(clip.clip_s_per_recorded_day, frames_per_day=per_day, kept_share=shoot.kept_share, fps=fps),
    ]
    reply.figure = say.clip(found.clip_s)
    days = say.count(schedule.recorded_days, "day")
    reply.sentence = (
        f"{say.count(found.kept_frames, 'frame')} at {inputs.canonical()['fps']} fps, "
        f"one every {say.length(found.interval_s)} on {days}."
    )
    reply.tone = HOLDS
    if wanted_s is not None and found.clip_s < wanted_s and "interval" not in shoot.solved:
        reply.tone = FAILS
        reply.sentence = f"Too short: {say.clip(wanted_s)} wanted. " + reply.sentence
        reply.add(Text("", href=asked.url("interval"), link_words="Find the interval that gives it"))
    reply.notes.extend(solved_notes(asked))

    speed = results["speed_up"]
    code = results["timecode"] or "past 24 hours: timecode starts again there"
    # From 29.97 on a label may stand a little off real time; say by how much where it can be seen.
    apart = elapsed_less_timecode_s(found.kept_frames, fps)
    reply.add(
        Facts(
            (
                Fact("Recorded", say.hours(schedule.recorded_s), f"on {days}"),
                Fact("Frames", say.number(found.frames), f"{say.number(per_day)} a recorded day"),
                Fact("Frames kept", say.number(found.kept_frames), say.percent(shoot.kept_share)),
                Fact("Length as timecode", code, _apart_words(asked, apart)),
                Fact("Speed-up", f"{say.number(speed)} ×", f"1 s of clip shows {say.length(speed)}"),
                Fact("Clip for one recorded day", say.clip(day_s), "on average"),
            )
        )
    )
    _thinning(asked, reply)
    _finished_file(asked, reply)
    return reply


def _apart_words(asked: Asked, apart_s: Fraction) -> str:
    if abs(apart_s) < Fraction(1, 10):
        return ""
    side = "longer" if apart_s > 0 else "shorter"
    return f"plays {asked.say.length(abs(apart_s))} {side} than its label"


def _thinning(asked: Asked, reply: Answer) -> None:
    """Say how to thin the kept frames to the wanted length."""
    shoot, inputs, say = asked.old, asked.inputs, asked.say
    wanted_s, fps, found = inputs.get("clip"), inputs.get("fps"), shoot.clip
    if wanted_s is None or not found.kept_frames:
        return
    target = clip.frames_in_clip(wanted_s, fps)
    thinned = clip.thin(found.kept_frames, target)
    reply.results["thinning"] = {
        "frames_wanted": target,
        "keep_every": thinned.keep_every,
        "frames_left": thinned.left,
        "frames_to_trim": thinned.trim,
        "frames_missing": thinned.missing,
    }
    if thinned.missing:
        reply.add(Text(f"{say.count(thinned.missing, 'frame')} too few for {say.clip(wanted_s)}.", LOOK))
        return
    if thinned.keep_every > 1:
        reply.working.append(work(clip.frames_left, frames=found.kept_frames, keep_every=thinned.keep_every))
    every = "every frame" if thinned.keep_every == 1 else f"every {_ordinal(thinned.keep_every)} frame"
    rows = [
        Fact("Keep", every, f"leaves {say.count(thinned.left, 'frame')}"),
    ]
    if thinned.trim:
        rows.append(Fact("Then trim", say.count(thinned.trim, "frame"), f"to {say.clip(wanted_s)}"))
    reply.add(Facts(rows, f"Thinned to {say.clip(wanted_s)}"))


def _finished_file(asked: Asked, reply: Answer) -> None:
    """Size the finished clip where a bit rate is known."""
    inputs, say, found = asked.inputs, asked.say, asked.old.clip
    rate = inputs.get("clip_mbps")
    if rate is None:
        return
    seconds = min(found.clip_s, inputs.get("clip", found.clip_s))
    bits_per_s = Fraction(rate) * MEGABIT
    size = delivery.clip_file_bytes(bits_per_s, seconds)
    reply.results["file_bytes"] = size
    reply.working.append(work(delivery.clip_file_bytes, bits_per_s=bits_per_s, clip_s=seconds))
    more = "too large for one file on FAT32" if passes_4_gib(size) else f"{say.clip(seconds)}, without sound"
    reply.add(Facts([Fact("Finished file", say.size(size), more)]))


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
)
