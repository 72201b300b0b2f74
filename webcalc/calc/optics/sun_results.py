"""What the page on the sun in the picture answers as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TYPE_CHECKING

from webcalc.calc.optics.bearing import Turn
from webcalc.calc.optics.sun_in_frame import Spell
from webcalc.calc.optics.sunlit import Run, ShootSun
from webcalc.calc.results import Results, key, meaning
from webcalc.calc.unknown import or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class SpanResults(Results):
    """A stretch of one date, on the camera clock."""

    from_: datetime = field(metadata=meaning("its start"))
    until: datetime = field(metadata=meaning("its end"))


@dataclass(frozen=True)
class HitResults(Results):
    """The sun in the picture on one date."""

    date: date = field(metadata=meaning("the window's date"))
    from_: datetime = field(metadata=meaning("when it comes in, camera clock"))
    until: datetime = field(metadata=meaning("when it leaves"))
    frames: int | None = field(metadata=meaning("frames taken meanwhile"))


@dataclass(frozen=True)
class SmallChangeResults(Results):
    """What a change gains that leaves it the same scene; one of the four is a number, the others null."""

    turn_deg: int | None = field(metadata=meaning("to the right, degrees"))
    tilt_deg: int | None = field(metadata=meaning("up, degrees"))
    later_s: int | None = field(metadata=meaning("recording begins later, seconds"))
    earlier_s: int | None = field(metadata=meaning("recording ends earlier, seconds"))
    frames_touched_about: int = field(metadata=meaning("frames still hit, estimated"))
    frames_total: int = field(metadata=meaning("of so many"))


@dataclass(frozen=True)
class LitResults(Results):
    """The direction of the light on one date."""

    date: date = field(metadata=meaning("the date"))
    backlit: tuple[SpanResults, ...] = field(metadata=meaning("with the sun ahead"))
    front_lit: tuple[SpanResults, ...] = field(metadata=meaning("with the sun behind"))


@dataclass(frozen=True)
class SunResults(Results):
    """Does the sun stand in the picture?"""

    bearing_deg: float | None = key("where the camera looks, degrees from true north")
    bearing_known_by: str | None = key("what it comes from")
    landmark_bearing_deg: float | None = key("bearing of the landmark, degrees")
    tilt_deg: float | None = key("degrees, up positive")
    hfov_deg: float | None = key("angle of view across, degrees")
    vfov_deg: float | None = key("angle of view up and down, degrees")
    margin_deg: float | None = key("how far outside the picture the sun still counts, degrees")
    camera_offset_min: int | None = key("offset of the camera clock from UTC, minutes")
    frames_touched: int | None = key("frames with the sun in them")
    frames_total: int | None = key("frames of the shoot")
    touched_s: float | None = key("time with the sun in the picture, seconds")
    days_touched: int | None = key("recorded days with it")
    recorded_days: int | None = key("recorded days")
    hits: tuple[HitResults, ...] | None = key("each of them")
    stretches: tuple[Run, ...] | None = key("the same by days in a row")
    turn_left: Turn | None = key("turn to the left that avoids most")
    turn_right: Turn | None = key("turn to the right that does")
    turn_days_judged: int | None = key("days that these are estimated by")
    small_changes: tuple[SmallChangeResults, ...] | None = key(
        "what small turns and tilts and shorter hours gain; null where nothing is hit or counted"
    )
    backlit_share: float | None = key("of the recorded time, 0 to 1")
    front_lit_share: float | None = key("of the recorded time, 0 to 1")
    lit_days_judged: int | None = key("days that these are worked out on")
    lit: tuple[LitResults, ...] | None = key("the direction of the light on a few dates")


def sun_results(shoot: Shoot) -> SunResults:
    """Return the answer to ``/sun`` as data."""
    room, dated = shoot.sunlight, shoot.daylight.dated
    hits, found, offset = or_none(room.hits), or_none(room.turns), or_none(shoot.daylight.camera_offset)
    shares, judged, schedule = or_none(room.lit_shares), or_none(room.judged), or_none(shoot.schedule)

    def spans(spells: tuple[Spell, ...]) -> tuple[SpanResults, ...]:
        return tuple(SpanResults(dated(spell.start), dated(spell.end)) for spell in spells)

    return SunResults.of(
        room,
        shoot.view,
        hits,
        schedule,
        landmark_bearing_deg=or_none(room.landmark_deg),
        camera_offset_min=None if offset is None else int(offset.total_seconds() // 60),
        touched_s=hits.total_s if hits else None,
        days_touched=hits.days if hits else None,
        hits=tuple(HitResults(s.day, dated(s.start), dated(s.end), s.frames) for s in hits.spells) if hits else None,
        stretches=(or_none(room.runs) or ()) if hits else None,
        turn_left=found.left if found else None,
        turn_right=found.right if found else None,
        turn_days_judged=found.days_judged if found else None,
        small_changes=_small_changes(room),
        backlit_share=shares[0] if shares else None,
        front_lit_share=shares[1] if shares else None,
        lit_days_judged=judged.schedule.recorded_days if shares and judged else None,
        lit=tuple(LitResults(lit.day, spans(lit.ahead), spans(lit.behind)) for lit in or_none(room.lit_days) or ())
        if shares
        else None,
    )


def _small_changes(room: ShootSun) -> tuple[SmallChangeResults, ...] | None:
    found, hits, shorter = or_none(room.turns), or_none(room.hits), or_none(room.shorter)
    if found is None or hits is None or not hits.frames_total:
        return None
    total, cuts = hits.frames_total, shorter or ()
    return (
        *(
            SmallChangeResults(turn.change_deg, None, None, None, turn.frames_touched_about, total)
            for turn in found.small
        ),
        *(SmallChangeResults(None, up_deg, None, None, frames, total) for up_deg, frames in found.tilts.items()),
        *(
            SmallChangeResults(
                None, None, cut.later_s or None, cut.earlier_s or None, cut.frames_touched, cut.frames_total
            )
            for cut in cuts
        ),
    )
