"""What the pages on interval and clip answer as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from webcalc.calc.clip.frames import Thinning
from webcalc.calc.clip.shoot import ShootClip
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results, ranged
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, or_none


@dataclass(frozen=True)
class ThinningResults(Results):
    """Thinning to the wanted length.

    frames_wanted : frames of the wanted clip
    keep_every : 2 for every second frame
    frames_left : what is then left
    frames_to_trim : how many of these are too many
    frames_missing : how many are too few
    """

    frames_wanted: int
    keep_every: int
    frames_left: int
    frames_to_trim: int
    frames_missing: int


@dataclass(frozen=True)
class ClipResults(Results):
    """How long is the clip?

    recorded_days : days with a window
    recorded_s : recorded time, seconds
    interval_s : typed or worked out, seconds
    last : last day, typed or worked out
    frames : stills of the shoot
    kept_frames : stills that the clip keeps
    clip_s : length of the clip, seconds
    timecode : that length by SMPTE ST 12-1; null from 24 hours on
    speed_up : recorded time over clip time
    clip_s_per_recorded_day : clip that a recorded day gives on average, seconds
    thinning : how to thin to the wanted length
    file_bytes : the finished file at the bit rate typed, bytes
    """

    recorded_days: int | None = None
    recorded_s: int | None = None
    interval_s: Fraction | None = None
    last: date | None = None
    frames: int | None = None
    kept_frames: int | None = None
    clip_s: Fraction | None = None
    timecode: str | None = None
    speed_up: Fraction | None = None
    clip_s_per_recorded_day: Fraction | None = None
    thinning: ThinningResults | None = None
    file_bytes: int | None = None


def clip_results(shoot: Shoot) -> ClipResults:
    """Return the answer to ``/clip`` as data."""
    room, thinned = shoot.clips, or_none(shoot.clips.thinned)
    return ClipResults.of(
        room, interval_s=or_none(shoot.interval_s), thinning=_thinning(room, thinned) if thinned else None
    )


def _thinning(room: ShootClip, thinned: Thinning) -> ThinningResults:
    wanted = or_none(room.frames_in_clip)
    return ThinningResults(wanted or 0, thinned.keep_every, thinned.left, thinned.trim, thinned.missing)


@dataclass(frozen=True)
class ChoiceResults(Results):
    """One interval to choose, and what it gives.

    interval_s : seconds
    frames : stills of the shoot
    clip_s : length of the clip, seconds
    card_bytes : what the shoot takes on the card, bytes
    battery_days : how long the battery lasts, days; null where that is over 20 years
    """

    interval_s: Fraction
    frames: int
    clip_s: Fraction
    card_bytes: Estimate[int] | None = ranged(whole_null=True)
    battery_days: Estimate[float | None] | None = ranged("shortest", "longest", whole_null=True)


@dataclass(frozen=True)
class IntervalResults(Results):
    """Which interval gives this clip from this shoot?

    recorded_s : recorded time, seconds
    frames_wanted : frames to record for the wanted clip
    interval_exact_s : the interval that spreads them evenly, seconds
    interval_s : the longest interval that can be set and gives them, seconds
    clip_s : the clip it gives, seconds
    choices : it and its neighbours
    usual : what is usual for a shoot of this length (common practice, no source), and what it gives; none for less
        than a week
    """

    recorded_s: int | None = None
    frames_wanted: int | None = None
    interval_exact_s: Fraction | None = None
    interval_s: Fraction | None = None
    clip_s: Fraction | None = None
    choices: tuple[ChoiceResults, ...] = ()
    usual: tuple[ChoiceResults, ...] = ()


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
