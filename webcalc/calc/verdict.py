"""One verdict over a shoot: each part of it, and what is due when. Every output repeats it and adds nothing safer.

A part *fails*, is *unknown*, is *doubtful* (expected to hold, but not at the pessimistic end) or *holds*; the whole is
the worst of its parts in that order.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from webcalc.calc.clip.solve import longer_than_wanted
from webcalc.calc.power.panel_chance import EVEN_CHANCE
from webcalc.calc.unknown import NotKnown, figure_for, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


class Part(StrEnum):
    """What a shoot stands or falls by."""

    RECORDING = "recording"
    CLIP = "clip"
    CARD = "card"
    BATTERY = "battery"
    LIGHT = "light"
    CLOCK = "clock"


#: What may call for a visit before the camera is fetched.
CALLING = (Part.CARD, Part.BATTERY, Part.CLOCK)


class State(StrEnum):
    """How a part stands, the worst first."""

    FAILS = "fails"
    UNKNOWN = "unknown"
    DOUBTFUL = "doubtful"
    HOLDS = "holds"


class Why(StrEnum):
    """Why a part is in its state, where the state alone doesn't say it."""

    EVERY_DAY_LEFT_OUT = "every_day_left_out"
    NO_WEEKDAY_IN_RANGE = "no_weekday_in_range"
    TAKES_NOTHING = "takes_nothing"
    NO_STILLS = "no_stills"
    TOO_SHORT = "too_short"
    FAR_TOO_LONG = "far_too_long"
    RUNS_OUT = "runs_out"
    DARK_DAYS = "dark_days"
    CONTRADICTION = "contradiction"
    ALL_DARK = "all_dark"
    PARTLY_DARK = "partly_dark"
    DRIFT = "drift"
    SUMMER_TIME = "summer_time"


class Do(StrEnum):
    """What is to be done by a date."""

    CHANGE_CARD = "change_card"
    CHANGE_BATTERY = "change_battery"
    SET_CLOCK = "set_clock"
    CLEAN = "clean"
    FETCH_CAMERA = "fetch_camera"


@dataclass(frozen=True)
class Judged:
    """One part.

    lacks : what isn't known, where that is why
    at : when it runs out at the earliest, camera clock
    """

    part: Part
    state: State
    why: Why | None = None
    lacks: NotKnown | None = None
    at: datetime | None = None


@dataclass(frozen=True)
class Due:
    """Something to be done: by which date, for which part."""

    at: date
    part: Part
    do: Do


@dataclass(frozen=True)
class Verdict:
    """The parts that were judged, and what is due, by date."""

    judged: tuple[Judged, ...]
    due: tuple[Due, ...] = ()

    @property
    def state(self) -> State:
        """The worst state of all parts; unknown where nothing was judged."""
        order = list(State)
        return min((one.state for one in self.judged), key=order.index, default=State.UNKNOWN)

    @property
    def unknown(self) -> tuple[Part, ...]:
        """The parts that aren't known."""
        return tuple(one.part for one in self.judged if one.state is State.UNKNOWN)

    def of(self, part: Part) -> Judged | None:
        """Return how one part was judged; None where it is no part of this shoot or of what was asked."""
        return next((one for one in self.judged if one.part is part), None)

    def only(self, *parts: Part) -> Verdict:
        """Return the verdict on these parts alone; a recording that fails fails all of them."""
        kept = tuple(
            one for one in self.judged if one.part in parts or (one.part is Part.RECORDING and one.state is State.FAILS)
        )
        return Verdict(kept, tuple(due for due in self.due if due.part in parts))


def judge(shoot: Shoot, parts: Sequence[Part] = tuple(Part)) -> Verdict:
    """Return the verdict on a shoot from its start, as if nothing were renewed on the way.

    ``parts``: those that are asked for; the recording is always looked at, as nothing holds that records nothing.
    """
    judges = {
        Part.RECORDING: _recording,
        Part.CLIP: _clip,
        Part.CARD: _card,
        Part.BATTERY: _battery,
        Part.LIGHT: _light,
        Part.CLOCK: _clock,
    }
    answers = {part: judges[part](shoot) for part in dict.fromkeys((Part.RECORDING, *parts))}
    found = [
        one if known(one) else Judged(part, State.UNKNOWN, lacks=one)
        for part, one in answers.items()
        if one is not None
    ]
    due = sorted(_due(shoot, found, Part.RECORDING in parts), key=lambda one: one.at)
    return Verdict(tuple(found), tuple(due)).only(*parts)


def records_nothing(shoot: Shoot) -> Why | None:
    """Return why nothing is recorded at all; None where something is, or where that isn't known."""
    schedule, recording = shoot.schedule, shoot.recording
    if known(schedule) and not schedule.recorded_days:
        left_out = replace(schedule, skipped=frozenset()).recorded_days
        return Why.EVERY_DAY_LEFT_OUT if left_out else Why.NO_WEEKDAY_IN_RANGE
    if known(recording) and not (recording.stills or recording.burst_s or recording.motion_frames_per_day):
        return Why.TAKES_NOTHING
    return None


@figure_for
def _recording(shoot: Shoot) -> Judged | None:
    """Whether anything is recorded at all."""
    why = records_nothing(shoot)
    if why is not None:
        return Judged(Part.RECORDING, State.FAILS, why)
    # One after the other: the days first.
    need(shoot.schedule)
    need(shoot.recording)
    return Judged(Part.RECORDING, State.HOLDS)


@figure_for
def _clip(shoot: Shoot) -> Judged | None:
    """Whether the wanted clip is reached, and not exceeded more than twofold."""
    if not given(shoot.clip):
        return None
    made = need(shoot.clip_made)
    wanted_s = said(shoot.clip)
    if not made.frames and shoot.takes_stills is False:
        return Judged(Part.CLIP, State.FAILS, Why.NO_STILLS)
    if made.clip_s < wanted_s:
        return Judged(Part.CLIP, State.FAILS, Why.TOO_SHORT)
    if longer_than_wanted(made.clip_s, wanted_s):
        return Judged(Part.CLIP, State.DOUBTFUL, Why.FAR_TOO_LONG)
    return Judged(Part.CLIP, State.HOLDS)


@figure_for
def _card(shoot: Shoot) -> Judged | None:
    """Whether the card lasts to the last day."""
    if not shoot.card.kept:
        return None
    forecast = need(shoot.card.forecast)
    if forecast.lasts:
        return Judged(Part.CARD, State.HOLDS)
    state = State.DOUBTFUL if forecast.lasts_expected else State.FAILS
    return Judged(Part.CARD, state, Why.RUNS_OUT, at=forecast.full_at.low)


@figure_for
def _battery(shoot: Shoot) -> Judged | None:
    """Whether the battery lasts to the last day; never surely while what was typed contradicts itself."""
    if not shoot.battery.needed:
        return None
    found, contradicted = need(shoot.battery.runtime_to_end), shoot.battery.contradicted
    if not found.lasts and found.reserve_at.expected is not None:
        return Judged(Part.BATTERY, State.FAILS, Why.RUNS_OUT, at=found.reserve_at.low)
    if not known(contradicted):
        return Judged(Part.BATTERY, State.UNKNOWN, lacks=contradicted, at=found.reserve_at.low)
    if contradicted:
        return Judged(Part.BATTERY, State.UNKNOWN, Why.CONTRADICTION, at=found.reserve_at.low)
    by_dark_days = _by_dark_days(shoot)
    if found.lasts or by_dark_days is State.FAILS:
        return Judged(Part.BATTERY, by_dark_days, Why.DARK_DAYS if by_dark_days is not State.HOLDS else None)
    return Judged(Part.BATTERY, State.DOUBTFUL, Why.RUNS_OUT, at=found.reserve_at.low)


def _by_dark_days(shoot: Shoot) -> State:
    """How a battery stands that a panel carries on mean days: days differ, and how much only the site's own sun tells.

    It holds without that where it lasts even if every day is dark.
    """
    runs = shoot.battery.dark_runs
    if not shoot.battery.panel.typed or runs.carried_anyhow is True:
        return State.HOLDS
    chance = runs.chance
    if not known(chance) or chance is None:
        return State.DOUBTFUL
    if chance.share > EVEN_CHANCE:
        likely = runs.likely_chance
        holds = known(likely) and likely is not None and likely.share <= EVEN_CHANCE
        return State.DOUBTFUL if holds else State.FAILS
    return State.HOLDS if chance.is_usual else State.DOUBTFUL


@figure_for
def _light(shoot: Shoot) -> Judged | None:
    """Whether what is recorded is in the light, by the frames counted."""
    if not shoot.daylight.asked:
        return None
    light = need(shoot.daylight.light)
    if light is None or light.all_light:
        return Judged(Part.LIGHT, State.HOLDS)
    if not light.light_share:
        return Judged(Part.LIGHT, State.FAILS, Why.ALL_DARK)
    return Judged(Part.LIGHT, State.DOUBTFUL, Why.PARTLY_DARK)


@figure_for
def _clock(shoot: Shoot) -> Judged | None:
    """Whether the camera clock stays within the error that is accepted, if nobody sets it."""
    if not given(shoot.drift_max):
        return None
    limit = need(shoot.visits.clock_limit)
    if limit is None:
        return Judged(Part.CLOCK, State.HOLDS)
    # A crystal may drift less than the limit that is planned for; a change of summer time comes for sure.
    if limit.corrected_after:
        return Judged(Part.CLOCK, State.FAILS, Why.SUMMER_TIME, at=limit.at)
    return Judged(Part.CLOCK, State.DOUBTFUL, Why.DRIFT, at=limit.at)


_DONE_FOR = {Part.CARD: Do.CHANGE_CARD, Part.BATTERY: Do.CHANGE_BATTERY, Part.CLOCK: Do.SET_CLOCK}


def _due(shoot: Shoot, judged: Sequence[Judged], whole: bool) -> Iterator[Due]:
    """Yield what must be done by when if nothing is renewed: what runs out, the cleaning, fetching the camera."""
    for one in judged:
        if one.at is not None and one.part in _DONE_FOR:
            yield Due(one.at.date(), one.part, _DONE_FOR[one.part])
    schedule, clean_days = shoot.schedule, shoot.clean
    if not whole or not known(schedule):
        return
    if known(clean_days) and clean_days is not None:
        cleaned_by = datetime.combine(schedule.first, time()) + timedelta(clean_days)
        if cleaned_by < schedule.ends_at:
            yield Due(cleaned_by.date(), Part.RECORDING, Do.CLEAN)
    yield Due(schedule.ends_at.date(), Part.RECORDING, Do.FETCH_CAMERA)
