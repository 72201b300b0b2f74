"""What the pages on interval and clip answer as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from webcalc.calc.clip.frames import Thinning
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results, key, meaning, ranged
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, or_none


@dataclass(frozen=True)
class ClipResults(Results):
    """How long is the clip?"""

    recorded_days: int | None = key("days with a window")
    recorded_s: int | None = key("recorded time, seconds")
    interval_s: Fraction | None = key("typed or worked out, seconds")
    last: date | None = key("last day, typed or worked out")
    frames: int | None = key("stills of the shoot")
    kept_frames: int | None = key("stills that the clip keeps")
    clip_s: Fraction | None = key("length of the clip, seconds")
    timecode: str | None = key("that length by SMPTE ST 12-1; null from 24 hours on")
    speed_up: Fraction | None = key("recorded time over clip time")
    clip_s_per_recorded_day: Fraction | None = key("clip that a recorded day gives on average, seconds")
    thinning: Thinning | None = key("how to thin to the wanted length")
    file_bytes: int | None = key("the finished file at the bit rate typed, bytes")


def clip_results(shoot: Shoot) -> ClipResults:
    """Return the answer to ``/clip`` as data."""
    return ClipResults.of(shoot.clips, interval_s=shoot.interval_s)


@dataclass(frozen=True)
class ChoiceResults(Results):
    """One interval to choose, and what it gives."""

    interval_s: Fraction = field(metadata=meaning("seconds"))
    frames: int = field(metadata=meaning("stills of the shoot"))
    clip_s: Fraction = field(metadata=meaning("length of the clip, seconds"))
    card_bytes: Estimate[int] | None = ranged("what the shoot takes on the card, bytes", whole_null=True)
    battery_days: Estimate[float | None] | None = ranged(
        "how long the battery lasts, days; null where that is over 20 years", "shortest", "longest", whole_null=True
    )


@dataclass(frozen=True)
class IntervalResults(Results):
    """Which interval gives this clip from this shoot?"""

    recorded_s: int | None = key("recorded time, seconds")
    frames_wanted: int | None = key("frames to record for the wanted clip")
    interval_exact_s: Fraction | None = key("the interval that spreads them evenly, seconds")
    interval_s: Fraction | None = key("the longest interval that can be set and gives them, seconds")
    clip_s: Fraction | None = key("the clip it gives, seconds")
    choices: tuple[ChoiceResults, ...] = key("it and its neighbours", ())
    usual: tuple[ChoiceResults, ...] = key(
        "what is usual for a shoot of this length (common practice, no source), and what it gives; none for less "
        "than a week",
        (),
    )


def interval_results(shoot: Shoot) -> IntervalResults:
    """Return the answer to ``/interval`` as data."""
    chosen, choices = or_none(shoot.clips.chosen), shoot.clips.choices
    return IntervalResults.of(
        shoot.clips,
        clip_s=chosen.clip_s if chosen else None,
        choices=tuple(choice(shoot, each) for each in choices) if known(choices) else (),
        usual=tuple(choice(shoot, each) for each in or_none(shoot.clips.usual) or ()),
    )


def choice(shoot: Shoot, made: ClipMade) -> ChoiceResults:
    """Return one interval with what it costs on card and battery."""
    battery = shoot.battery.runtime_at(made.interval_s) if shoot.battery.needed else None
    return ChoiceResults(
        made.interval_s,
        made.frames,
        made.clip_s,
        or_none(shoot.card.needed_at(made.interval_s)),
        battery.days if battery is not None and known(battery) else None,
    )
