"""How figures come about that several pages tell: formulas with the plan's numbers; sentences where steps are many."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from webcalc.calc.card import frame_size, space
from webcalc.calc.clip import frames
from webcalc.calc.clip.interval import frames_wanted, interval_exact_s
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.formula import Working, work
from webcalc.calc.power import load
from webcalc.calc.schedule.recording import frames_in, frames_total
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import given, known, need
from webcalc.web.http.page import Asked

How = tuple[Working | str, ...]

#: The end of a load, and of what a battery loses by itself, that goes with an end of what it gives.
LOAD_END = {"low": "high", "expected": "expected", "high": "low"}

STEPS = (
    "Step by step from the first hour: standby draw round the clock, what recording adds in the window, what the cells "
    "lose by themselves; until the energy above the reserve is used. At worst: least energy and most draw."
)
IN_THE_LIGHT = "Window by window: the minutes with the sun as high as “Light enough” asks, of all that is recorded."
DRIFT = "Drift a day × days since the clock was set, and changes of summer time, against the error accepted."
FILLING = (
    "Recorded day by recorded day: what each takes is added until the room on the card is used; where sizes are a "
    "guess, at the earliest with the largest."
)


def picked(works: Iterable[Working], *functions: Callable[..., Any]) -> How:
    """Return those workings that are of these formulas."""
    names = {function.__name__ for function in functions}
    return tuple(one for one in works if one.formula.name in names)


def recorded_words(asked: Asked) -> str:
    """Say what the recorded time is made of."""
    schedule, say = need(asked.shoot.schedule), asked.say
    days = say.count(schedule.recorded_days, "recorded day")
    return f"{days} of {say.length(schedule.window.length_s)} each."


def clip_working(shoot: Shoot, made: ClipMade) -> list[Working]:
    """Return the arithmetic from the window to the clip."""
    schedule, fps, kept_share = need(shoot.schedule, shoot.fps, shoot.kept_share)
    per_day = work(frames_in, window_s=schedule.window.length_s, interval_s=made.interval_s)
    return [
        per_day,
        work(frames_total, recorded_days=schedule.recorded_days, frames_per_day=per_day.result),
        work(frames.kept_frames, frames=made.frames, kept_share=kept_share),
        work(frames.clip_s, frames=made.kept_frames, fps=fps),
        work(frames.speed_up, interval_s=made.interval_s, fps=fps),
        work(frames.clip_s_per_recorded_day, frames_per_day=per_day.result, kept_share=kept_share, fps=fps),
    ]


def interval_working(shoot: Shoot) -> list[Working]:
    """Return the arithmetic from the wanted clip to the exact interval; nothing where none is wanted."""
    found = shoot.interval_answer
    if not known(found) or found.interval_exact_s is None:
        return []
    clip_s, fps, kept_share = need(shoot.clip, shoot.fps, shoot.kept_share)
    return [
        work(frames_wanted, clip_s=clip_s, fps=fps, kept_share=kept_share),
        work(interval_exact_s, recorded_s=found.recorded_s, frames_wanted=found.frames_wanted),
    ]


def frame_working(shoot: Shoot) -> list[Working]:
    """Return how many bytes a large frame has and takes; nothing where no frames are taken."""
    card, found = shoot.card, []
    if not known(card.takes_frames) or not card.takes_frames:
        return []
    if need(card.as_video):
        values = {"video_mb_min": need(shoot.video_mb_min), "fps": need(shoot.fps)}
        return [work(frame_size.video_frame_bytes, **values)]
    if not given(shoot.frame_mb):
        (width, height), picture = need(shoot.size, shoot.picture)
        bits = frame_size.PICTURES[picture].bits_per_px.high
        found.append(work(frame_size.frame_bytes_at, width_px=width, height_px=height, bits_per_px=bits))
    frame, files = need(card.frame, card.file_system)
    return [*found, work(space.on_card_bytes, file_bytes=frame.high, cluster_bytes=files.cluster_bytes)]


def room_working(shoot: Shoot) -> list[Working]:
    """Return the room on the card; nothing without a card."""
    card_bytes, reserve_share = shoot.card.card_bytes, shoot.card.reserve_share
    if not known(card_bytes) or not known(reserve_share):
        return []
    shares = {"reserve_share": reserve_share, "shortfall_share": space.SHORTFALL_SHARE}
    return [work(space.usable_bytes, card_bytes=card_bytes, **shares)]


def recorded_day_working(shoot: Shoot) -> list[Working]:
    """Return the energy of a recorded day as expected; nothing where the draw isn't known."""
    load_used, recording, window = shoot.battery.draws.load, shoot.recording, shoot.window
    if not known(load_used) or not known(recording) or not known(window):
        return []
    values = load.recorded_day_values(load_used.expected, recording, window.length_s)
    return [work(load.recorded_day_energy_wh, **values)]
