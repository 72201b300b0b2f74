"""The camera's bearing: from a landmark's coordinates, and which turn keeps the sun out of the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from webcalc.calc.place import Site
from webcalc.calc.sun_in_frame import Camera, Shots, sun_in_frame

#: "Most of the hits" are avoided where this share of them is left: a project choice.
SHARE_LEFT = 0.25
#: Turns that are tried to either side; far ones are another picture, but may be the only answer.
WIDEST_TURN_DEG = 180
_STEP_DEG = 10
#: Days that a candidate is judged on, spread over the shoot.
_DAYS_JUDGED = 40


def bearing_deg(from_site: Site, to_site: Site) -> float | None:
    """Return the initial great-circle bearing from one point to another, 0 to below 360; None if they are one.

    On a sphere: within 0.2 degrees of the ellipsoid's.
    """
    lat1, lat2 = math.radians(from_site.latitude_deg), math.radians(to_site.latitude_deg)
    turn = math.radians(to_site.longitude_deg - from_site.longitude_deg)
    east = math.sin(turn) * math.cos(lat2)
    north = math.cos(lat1) * math.sin(lat2) - math.sin(lat1) * math.cos(lat2) * math.cos(turn)
    if math.hypot(east, north) < 1e-12:
        return None
    return math.degrees(math.atan2(east, north)) % 360


@dataclass(frozen=True)
class Turn:
    """Another bearing: ``change_deg`` clockwise from the present one, and the frames the sun touches there.

    ``exact`` is False where they were counted on some of the days and scaled to all.
    """

    change_deg: int
    bearing_deg: float
    frames_touched: int
    exact: bool


@dataclass(frozen=True)
class Turns:
    """How the frames that the sun touches depend on the bearing.

    frames_now : at the present bearing
    left, right : the smallest turn to that side that leaves no more than the wanted share;
        None where no turn up to the widest does, or nothing is touched now
    candidates : every tenth degree from widest left to widest right, scaled counts
    """

    frames_now: int
    left: Turn | None
    right: Turn | None
    candidates: tuple[Turn, ...]

    @property
    def smallest(self) -> Turn | None:
        """The smaller of the two turns; the one that leaves fewer frames where they are equal."""
        found = [turn for turn in (self.left, self.right) if turn is not None]
        return min(found, key=lambda turn: (abs(turn.change_deg), turn.frames_touched), default=None)


def turned(camera: Camera, change_deg: float) -> Camera:
    """Return the camera turned clockwise by an angle, seen from above."""
    return replace(camera, bearing_deg=(camera.bearing_deg + change_deg) % 360)


def turns(camera: Camera, shots: Shots, margin_deg: float = 0.0, share_left: float = SHARE_LEFT) -> Turns:
    """Return which turns keep the sun out of the picture; ValueError without an interval.

    The search runs on up to 40 days spread over the shoot; the turns it proposes are counted on all.
    """
    if shots.interval_s is None:
        raise ValueError("frames can't be counted without an interval")
    some = _some_days(shots)
    scale = shots.schedule.recorded_days / max(1, some.schedule.recorded_days)

    def about(change_deg: int) -> Turn:
        there = turned(camera, change_deg)
        touched = sun_in_frame(there, some, margin_deg).frames_touched or 0
        return Turn(change_deg, there.bearing_deg, round(touched * scale), scale == 1)

    def exactly(change_deg: int) -> Turn:
        there = turned(camera, change_deg)
        return Turn(change_deg, there.bearing_deg, sun_in_frame(there, shots, margin_deg).frames_touched or 0, True)

    def smallest_turn(side: int) -> Turn | None:
        allowed = frames_now * share_left
        reach = range(_STEP_DEG, WIDEST_TURN_DEG + 1, _STEP_DEG)
        first = next((deg for deg in reach if by_change[side * deg].frames_touched <= allowed), None)
        if first is None:
            return None
        inner = range(first - _STEP_DEG + 1, first)
        first = next((deg for deg in inner if about(side * deg).frames_touched <= allowed), first)
        return next(
            (
                found
                for deg in range(first, WIDEST_TURN_DEG + 1)
                if (found := exactly(side * deg)).frames_touched <= allowed
            ),
            None,
        )

    changes = range(-WIDEST_TURN_DEG, WIDEST_TURN_DEG + 1, _STEP_DEG)
    by_change = {change_deg: about(change_deg) for change_deg in changes}
    frames_now = exactly(0).frames_touched
    left, right = (smallest_turn(-1), smallest_turn(1)) if frames_now else (None, None)
    return Turns(frames_now, left, right, tuple(by_change.values()))


def _some_days(shots: Shots) -> Shots:
    """Return the same shoot on some of its days, evenly spread."""
    dates = shots.schedule.recorded_dates
    every = math.ceil(len(dates) / _DAYS_JUDGED) or 1
    dropped = shots.schedule.skipped | {day for n, day in enumerate(dates) if n % every}
    return replace(shots, schedule=replace(shots.schedule, skipped=dropped))
