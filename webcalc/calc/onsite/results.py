"""What the look on site answers as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.outlook import Verdict
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.results import Results, ranged
from webcalc.calc.unknown import known, need


@dataclass(frozen=True)
class ExpectedResults(Results):
    """What should be there.

    frames : files since the last visit
    frames_range : their range
    card_used_bytes : on the card, bytes
    battery_left_share : of the usable energy, 0 to 1
    clock_error_s : camera clock minus the right time, seconds
    """

    frames: int | None = None
    frames_range: Estimate[int] | None = ranged()
    card_used_bytes: Estimate[int] | None = ranged()
    battery_left_share: Estimate[float] | None = ranged()
    clock_error_s: Estimate[Fraction] | None = ranged()


@dataclass(frozen=True)
class FoundResults(Results):
    """What was read.

    frames : files since the last visit
    card_used_bytes : on the card, bytes
    battery_left_share : of the usable energy, 0 to 1
    clock_error_s : camera clock minus the right time, seconds
    first_number : number of the first file
    last_number : number of the last file
    """

    frames: int | None = None
    card_used_bytes: Estimate[int] | None = ranged()
    battery_left_share: Estimate[float] | None = ranged()
    clock_error_s: Fraction | None = None
    first_number: int | None = None
    last_number: int | None = None


@dataclass(frozen=True)
class LookResults(Results):
    """Is what I found right?

    since : from when it runs, camera clock
    at : when somebody looked, camera clock
    expected : what should be there
    found : what was read
    missed_frames : frames missing; below 0: too many
    missed_s : recording that they are, seconds
    agrees : whether the count is as planned
    interval_likely_s : the interval that explains the count, seconds
    interval_runner_up_s : the next likely one, seconds
    causes : what may explain the count
    frame_bytes : a frame in whole clusters as measured, bytes
    frame_bytes_range : its range
    file_bytes : the same without what clusters add, bytes
    drain_factor : true draw over the planned one
    drift_s_per_day : drift of the camera clock, seconds a day
    full_at : when the card is full by what was found, camera clock
    reserve_at : when the battery is at its reserve by it, camera clock
    verdict : leave, change, return_by or unknown; null once the shoot is over
    verdict_reasons : what it is for
    return_by : come back by this date
    return_by_if_all_new : the same with fresh card and battery and the clock set
    doubts : readings that can't be
    log_line : the look in a line
    """

    since: datetime | None = None
    at: datetime | None = None
    expected: ExpectedResults = field(default_factory=ExpectedResults)
    found: FoundResults = field(default_factory=FoundResults)
    missed_frames: int | None = None
    missed_s: Fraction | None = None
    agrees: bool | None = None
    interval_likely_s: Fraction | None = None
    interval_runner_up_s: Fraction | None = None
    causes: tuple[str, ...] = ()
    frame_bytes: Fraction | None = None
    frame_bytes_range: Estimate[Fraction] | None = ranged()
    file_bytes: Estimate[Fraction] | None = ranged()
    drain_factor: float | None = None
    drift_s_per_day: Fraction | None = None
    full_at: Estimate[datetime | None] | None = ranged("earliest", "latest")
    reserve_at: Estimate[datetime | None] | None = ranged("earliest", "latest")
    verdict: str | None = None
    verdict_reasons: tuple[str, ...] = ()
    return_by: date | None = None
    return_by_if_all_new: date | None = None
    doubts: tuple[str, ...] = ()
    log_line: str | None = None


def look_results(look: ShootLook, **words: Any) -> LookResults:
    """Return the answer to ``/check`` as data; ``words``: the line for the notebook."""
    if not known(look.outlook):
        return LookResults()
    found, ahead, likely = need(look.comparison, look.outlook, look.likely)
    expected, read = found.expected, found.found
    return LookResults(
        since=look.dated(need(look.since)),
        at=look.dated(need(look.at)),
        expected=ExpectedResults(
            expected.files.expected,
            expected.files,
            expected.card_used_bytes,
            expected.battery_left_share,
            expected.clock_error_s,
        ),
        found=FoundResults(
            found.files,
            found.used_bytes,
            found.battery_left_share,
            read.clock_fast_s,
            read.first_number,
            read.last_number,
        ),
        missed_frames=found.missed,
        missed_s=found.missed_s,
        agrees=found.agrees,
        interval_likely_s=likely.interval_s if likely else None,
        interval_runner_up_s=likely.runner_up_s if likely else None,
        causes=tuple(cause.cause for cause in need(look.causes)),
        frame_bytes=found.frame_bytes.expected if found.frame_bytes else None,
        frame_bytes_range=found.frame_bytes,
        file_bytes=found.file_bytes,
        drain_factor=found.drain_factor.expected,
        drift_s_per_day=found.drift_s_per_day,
        full_at=ahead.full_at.map(look.dated) if ahead.full_at else None,
        reserve_at=ahead.reserve_at.map(look.dated) if ahead.reserve_at else None,
        verdict=None if ahead.verdict is Verdict.OVER else ahead.verdict,
        verdict_reasons=tuple(ahead.reasons),
        return_by=ahead.return_by,
        return_by_if_all_new=ahead.renewed_return_by,
        doubts=tuple(found.doubts),
        **words,
    )
