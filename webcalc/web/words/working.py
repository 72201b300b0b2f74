"""How figures come about: formulas with the plan's numbers, how one is written, and sentences where steps are many."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Any

from webcalc.calc.card import frame_size, space
from webcalc.calc.clip import frames
from webcalc.calc.clip.interval import frames_wanted, interval_exact_s
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.formula import Working, work
from webcalc.calc.power import load
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.schedule.recording import frames_in, frames_total
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import given, known, need
from webcalc.web.words.say import NBSP, Say

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked

#: Ending of a parameter's name, and the unit to print. Longest endings first.
_UNITS = (
    ("_bits_per_s", "bit/s"),
    ("_bytes_per_s", "B/s"),
    ("_mb_per_s", "MB/s"),
    ("_mj_per_m2", "MJ/m²"),
    ("_kwh_m2", "kWh/m²"),
    ("_px_per_interval", "px"),
    ("_px_per_s", "px/s"),
    ("_px_per_m", "px/m"),
    ("_m_per_s", "m/s"),
    ("_m_s", "m/s"),
    ("_s_per_day", "s a day"),
    ("_bytes", "B"),
    ("_mwh", "mWh"),
    ("_mah", "mAh"),
    ("_deg", "°"),
    ("_ppm", "ppm"),
    ("_wh", "Wh"),
    ("_ah", "Ah"),
    ("_ma", "mA"),
    ("_mw", "mW"),
    ("_gb", "GB"),
    ("_mb", "MB"),
    ("_px", "px"),
    ("_mm", "mm"),
    ("_ft", "ft"),
    ("_kv", "kV"),
    ("_w", "W"),
    ("_j", "J"),
    ("_v", "V"),
    ("_a", "A"),
    ("_c", "°C"),
    ("_s", "s"),
    ("_h", "h"),
    ("_m", "m"),
)
#: Names that are a unit and nothing else.
_BARE = {
    "bits_per_s": "bit rate",
    "bytes_per_s": "rate",
    "px_per_m": "resolution",
    "px_per_s": "speed",
    "px_per_interval": "step",
}
_WORDS = {"ceil": "round up", "floor": "round down", "sqrt": "√"}
_TOKEN = re.compile(r"\*\*|[A-Za-z_][A-Za-z_0-9]*|\*|/|-|[0-9.]+")
_SIGNS = {"**": "^", "*": " × ", "/": " ÷ ", "-": "−"}


@dataclass(frozen=True)
class Shown:
    """A working as text: ``what`` = ``symbols`` = ``numbers`` = ``result``, and where the formula comes from."""

    what: str
    symbols: str
    numbers: str
    result: str
    source: str


@cache
def split_unit(name: str) -> tuple[str, str]:
    """Return a parameter's words and the unit that its name ends in."""
    if name.endswith("_share"):
        return name.removesuffix("_share").replace("_", " ") + " share", "%"
    for ending, unit in _UNITS:
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " "), unit
        if name == ending[1:]:
            return _BARE.get(name, name), unit
    return name.replace("_", " "), ""


def show(working: Working, say: Say) -> Shown:
    """Put a working into text."""
    values = working.values

    def symbols(match: re.Match[str]) -> str:
        token = match[0]
        if token in values:
            return split_unit(token)[0]
        return _SIGNS.get(token) or _WORDS.get(token) or token.removesuffix("_deg")

    def numbers(match: re.Match[str]) -> str:
        token = match[0]
        if token in values:
            return _value(token, values[token], say)
        return symbols(match)

    expression = re.sub(r"\s*([*/])\s*", r"\1", working.formula.expression).replace("* *", "**")
    return Shown(
        split_unit(working.formula.result)[0],
        _TOKEN.sub(symbols, expression),
        _TOKEN.sub(numbers, expression),
        _value(working.formula.result, working.result, say),
        working.formula.source,
    )


def _value(name: str, value: Any, say: Say) -> str:
    unit = split_unit(name)[1]
    if isinstance(value, bool) or value is None:
        return {None: "none", True: "yes", False: "no"}[value]
    if isinstance(value, int | float | Decimal | Fraction):
        text = _figures(value * 100 if unit == "%" else value, say)
        if unit == "°":
            return text + unit
        return f"{text}{NBSP}{unit}" if unit else text
    if isinstance(value, timedelta):
        return say.length(Fraction(value / timedelta(microseconds=1)) / 1_000_000)
    if isinstance(value, datetime):
        return say.instant(value)
    if isinstance(value, date):
        return say.day(value)
    return str(value)


def _figures(value: int | float | Decimal | Fraction, say: Say) -> str:
    """Write whole numbers whole, a frame rate's fraction as one, and the rest to five figures."""
    if isinstance(value, Fraction) and value.denominator == 1001:
        return f"{value.numerator}/1001"
    exact = Fraction(value)
    if exact.denominator == 1:
        return say.number(exact)
    text = say.figures(exact, 5)
    back = Fraction(text.replace(NBSP, "").replace("−", "-").replace(",", "."))
    return text if back == exact or abs(back - exact) < abs(exact) * Fraction(1, 10**12) else f"≈{text}"


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


def above_reserve_working(shoot: Shoot) -> Working:
    """Return what lies between a full battery and its reserve, at worst."""
    supply, reserve = need(shoot.battery.supply_alone, shoot.battery.reserve_share)
    return work(budget_wh, usable_wh=supply.usable_wh.low, reserve_share=reserve)
