"""What the look on site answers as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.fit import Story
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.results import Results, key, ranged
from webcalc.calc.unknown import known, need


@dataclass(frozen=True)
class ExpectedResults(Results):
    """What should be there."""

    frames: int | None = key("files since the last visit")
    frames_range: Estimate[int] | None = ranged("their range")
    card_used_bytes: Estimate[int] | None = ranged("on the card, bytes")
    battery_left_share: Estimate[float] | None = ranged("of the usable energy, 0 to 1")
    clock_error_s: Estimate[Fraction] | None = ranged("camera clock minus the right time, seconds")


@dataclass(frozen=True)
class FoundResults(Results):
    """What was read."""

    frames: int | None = key("files since the last visit")
    card_used_bytes: Estimate[int] | None = ranged("on the card, bytes")
    battery_left_share: Estimate[float] | None = ranged("of the usable energy, 0 to 1")
    clock_error_s: Fraction | None = key("camera clock minus the right time, seconds")
    first_number: int | None = key("number of the first file")
    last_number: int | None = key("number of the last file")


@dataclass(frozen=True)
class StoryResults(Results):
    """One story of what happened."""

    code: str = key("what happened", "")
    fit: float = key("how likely it is among all stories by all that was read, 0 to 1", 0.0)
    at: datetime | None = key("when it stopped, began or changed, camera clock")
    interval_s: Fraction | None = key("the interval it would be set to, where that is the story; seconds")
    window_s: int | None = key("the daily hours it would be set to, where that is the story; seconds")
    weekdays: tuple[int, ...] | None = key("the weekdays it would be set to, where that is the story; 1 is Monday")
    times: float | None = key("frame size or draw over the planned one, where that is the story")


@dataclass(frozen=True)
class LookResults(Results):
    """Is what I found right?"""

    since: datetime | None = key("from when it runs, camera clock")
    at: datetime | None = key("when somebody looked, camera clock")
    expected: ExpectedResults = key("what should be there", factory=ExpectedResults)
    found: FoundResults = key("what was read", factory=FoundResults)
    missed_frames: int | None = key("frames missing; below 0: too many")
    missed_s: Fraction | None = key("recording that they are, seconds")
    agrees: bool | None = key("whether the count is as planned")
    interval_likely_s: Fraction | None = key("the interval that explains the count, seconds")
    interval_runner_up_s: Fraction | None = key("the next likely one, seconds")
    causes: tuple[str, ...] = key("what may explain the count", ())
    stories: tuple[StoryResults, ...] = key("what may have happened, in order of fit", ())
    tells_apart: str | None = key(
        "what to look at to tell the first story from the second, else from the next that can be told"
    )
    frame_bytes: Fraction | None = key("a frame in whole clusters as measured, bytes")
    frame_bytes_range: Estimate[Fraction] | None = ranged("its range")
    file_bytes: Estimate[Fraction] | None = ranged("the same without what clusters add, bytes")
    drain_factor: float | None = key("true draw over the planned one")
    drift_s_per_day: Fraction | None = key("drift of the camera clock, seconds a day")
    full_at: Estimate[datetime | None] | None = ranged(
        "when the card is full by what was found, camera clock", "earliest", "latest"
    )
    reserve_at: Estimate[datetime | None] | None = ranged(
        "when the battery is at its reserve by it, camera clock", "earliest", "latest"
    )
    verdict: str | None = key("leave, change, return_by or unknown; null once the shoot is over")
    verdict_reasons: tuple[str, ...] = key("what it is for", ())
    return_by: date | None = key("come back by this date")
    return_by_if_all_new: date | None = key("the same with fresh card and battery and the clock set")
    doubts: tuple[str, ...] = key("readings that can't be", ())
    asks: tuple[str, ...] = key("readings that can mean two things; the protecting one is taken", ())
    log_line: str | None = key("the look in a line")


#: Names that the causes of a count had before there were stories.
_CAUSES = {
    Code.STOPPED: "stopped_early",
    Code.OTHER_HOURS: "window",
    Code.OTHER_WEEKDAYS: "weekdays",
    Code.OTHER_INTERVAL: "interval",
    Code.STOPPED_CARD_FULL: "card_full",
    Code.STOPPED_BATTERY_EMPTY: "power_lost",
    Code.PAUSED: "power_lost",
}


def causes_by(found: Comparison, stories: tuple[Story, ...]) -> tuple[str, ...]:
    """Return what may explain a count that isn't as planned, in order of fit; none where it is."""
    if found.files is None or found.agrees or not found.expected.files.expected:
        return ()
    return tuple(dict.fromkeys(_CAUSES[story.code] for story in stories if story.code in _CAUSES))


def intervals_by(found: Comparison, stories: tuple[Story, ...]) -> tuple[Fraction, ...]:
    """Return the intervals that the stories have, the likeliest first; none without a count."""
    if not found.files:
        return ()
    intervals = [story.life.recording.interval_s for story in stories]
    return tuple(dict.fromkeys(each for each in intervals if each is not None))


def _story(look: ShootLook, story: Story) -> StoryResults:
    life, code = story.life, story.code
    sized = code in (Code.LARGER_FRAMES, Code.SMALLER_FRAMES)
    drawn = code in (Code.HEAVIER_DRAW, Code.LIGHTER_DRAW)
    return StoryResults(
        code=code.value,
        fit=story.fit,
        at=look.dated(story.at),
        interval_s=life.recording.interval_s if code is Code.OTHER_INTERVAL else None,
        window_s=life.schedule.window.length_s if code is Code.OTHER_HOURS else None,
        weekdays=tuple(sorted(life.schedule.weekdays)) if code is Code.OTHER_WEEKDAYS else None,
        times=float(life.size) if sized else life.draw if drawn else None,
    )


def look_results(look: ShootLook, **words: Any) -> LookResults:
    """Return the answer to ``/check`` as data; ``words``: the line for the notebook."""
    if not known(look.outlook):
        return LookResults()
    found, ahead, stories = need(look.comparison, look.outlook, look.stories)
    apart = need(look.apart)
    intervals = intervals_by(found, stories)
    expected, read = found.expected, found.found
    return LookResults.of(
        found,
        ahead,
        since=look.dated(need(look.since)),
        at=look.dated(need(look.at)),
        expected=ExpectedResults.of(expected, frames=expected.files.expected, frames_range=expected.files),
        found=FoundResults.of(
            found, read, frames=found.files, card_used_bytes=found.used_bytes, clock_error_s=read.clock_fast_s
        ),
        missed_frames=found.missed,
        interval_likely_s=intervals[0] if intervals else None,
        interval_runner_up_s=intervals[1] if len(intervals) > 1 else None,
        causes=causes_by(found, stories),
        stories=tuple(_story(look, story) for story in stories),
        tells_apart=apart.reading.value if apart else None,
        frame_bytes=found.frame_bytes.expected if found.frame_bytes else None,
        frame_bytes_range=found.frame_bytes,
        drain_factor=ahead.draw.expected,
        full_at=ahead.full_at.map(look.dated) if ahead.full_at else None,
        reserve_at=ahead.reserve_at.map(look.dated) if ahead.reserve_at else None,
        verdict=None if ahead.verdict is Verdict.OVER else ahead.verdict,
        verdict_reasons=ahead.reasons,
        return_by_if_all_new=ahead.renewed_return_by,
        **words,
    )
