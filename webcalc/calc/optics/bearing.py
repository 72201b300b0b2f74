"""The camera's bearing: from a landmark's coordinates, and which turn keeps the sun out of the picture."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import timedelta

from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import SUNRISE_DEG, altitude_deg, azimuth_deg
from webcalc.calc.optics.sun_in_frame import SUN_DIAMETER_DEG, Camera, Shots, direction
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.recording import frames_in

#: "Most of the hits" are avoided where this share of them is left: a project choice.
SHARE_LEFT = 0.25
#: Turns that are tried to either side; far ones are another picture, but may be the only answer.
WIDEST_TURN_DEG = 180
#: Turns and tilts that leave it the same scene.
SMALL_TURNS_DEG = (-20, -10, -5, 5, 10, 20)
SMALL_TILTS_DEG = (-5, -10)
#: Days that a turn is judged on, spread over the shoot, and looks at the sun on all of them together.
DAYS_JUDGED = 40
_LOOKS = 2400
_SHORTEST_STEP_S = 60


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
class Turn(Results):
    """A turn that avoids most hits."""

    change_deg: int = field(metadata=meaning("to the right, degrees"))
    bearing_deg: float = field(metadata=meaning("where it then looks, degrees"))
    frames_touched_about: int = field(metadata=meaning("frames still hit, estimated"))


@dataclass(frozen=True)
class Turns:
    """How the frames that the sun touches depend on the bearing.

    frames_now : at the present bearing, estimated
    left, right : the smallest turn to that side that leaves no more than the wanted share;
        None where no turn up to the widest does, or nothing is touched now
    small : turns that leave it the same scene, estimates
    tilts : frames left by tilts that do, estimates, by how far up they are (down is negative)
    days_judged : days that the estimates rest on
    """

    frames_now: int
    left: Turn | None
    right: Turn | None
    small: tuple[Turn, ...]
    tilts: Mapping[int, int]
    days_judged: int


def turned(camera: Camera, change_deg: float) -> Camera:
    """Return the camera turned clockwise by an angle, seen from above."""
    return replace(camera, bearing_deg=(camera.bearing_deg + change_deg) % 360)


def turns(camera: Camera, shots: Shots, margin_deg: float = 0.0) -> Turns:
    """Return which turns keep the sun out of the picture; ValueError without an interval.

    All are estimates from up to 40 days spread over the shoot, within some percent of all frames touched: to count a
    year frame by frame takes some 0.3 s for each turn.
    """
    if shots.interval_s is None:
        raise ValueError("frames can't be counted without an interval")
    some = some_days(shots, DAYS_JUDGED)
    looks = _looks(camera, some)
    share_at = _share_touched(camera, looks, margin_deg)
    frames_total = frames_in(shots.schedule.window.length_s, shots.interval_s) * shots.schedule.recorded_days

    def about(change_deg: int) -> Turn:
        bearing_deg = turned(camera, change_deg).bearing_deg
        return Turn(change_deg, bearing_deg, round(share_at(change_deg) * frames_total))

    frames_now = about(0).frames_touched_about

    def smallest_turn(side: int) -> Turn | None:
        reach = range(1, WIDEST_TURN_DEG + 1)
        near = next((deg for deg in reach if share_at(side * deg) <= SHARE_LEFT * share_at(0)), None)
        if near is None:
            return None
        return _smallest_from(near, lambda deg: about(side * deg), SHARE_LEFT * frames_now)

    left, right = (smallest_turn(-1), smallest_turn(1)) if frames_now else (None, None)
    return Turns(
        frames_now,
        left,
        right,
        tuple(map(about, SMALL_TURNS_DEG)),
        {
            up_deg: round(
                looks.share_seen(replace(camera, tilt_deg=camera.tilt_deg + up_deg), margin_deg) * frames_total
            )
            for up_deg in SMALL_TILTS_DEG
            if camera.tilt_deg + up_deg >= -90
        },
        some.schedule.recorded_days,
    )


def _smallest_from(near: int, judged: Callable[[int], Turn], allowed: float) -> Turn | None:
    """Return the smallest turn that leaves no more than allowed, looking outwards and then back from a near one."""
    outwards = map(judged, range(near, WIDEST_TURN_DEG + 1))
    found = next((turn for turn in outwards if turn.frames_touched_about <= allowed), None)
    while found is not None and abs(found.change_deg) > 1:
        nearer = judged(abs(found.change_deg) - 1)
        if nearer.frames_touched_about > allowed:
            break
        found = nearer
    return found


@dataclass(frozen=True)
class _Looks:
    """The sun's places over all windows in cells of one degree: altitude, azimuth from the axis; and all looks."""

    cells: Counter[tuple[int, int]]
    count: int

    def share_seen(self, camera: Camera, margin_deg: float) -> float:
        """Return the share of recorded time that the sun touches, for another tilt of the same bearing."""
        ahead, reach_deg = replace(camera, bearing_deg=0), SUN_DIAMETER_DEG / 2 + margin_deg
        inside = (cell for cell in self.cells if ahead.inside_deg(direction(cell[1], cell[0])) + reach_deg >= 0)
        return sum(self.cells[cell] for cell in inside) / max(1, self.count)


def _looks(camera: Camera, shots: Shots) -> _Looks:
    length_s = shots.schedule.window.length_s
    step_s = max(_SHORTEST_STEP_S, length_s * shots.schedule.recorded_days // _LOOKS)
    cells: Counter[tuple[int, int]] = Counter()
    looks = 0
    for day in shots.schedule.recorded_dates:
        start = shots.utc_start(day)
        for second in range(step_s // 2, max(length_s, step_s // 2 + 1), step_s):
            utc = start + timedelta(seconds=second)
            looks += 1
            if altitude_deg(shots.site, utc) >= SUNRISE_DEG:
                seen = altitude_deg(shots.site, utc, refracted=True)
                cells[round(seen), round(azimuth_deg(shots.site, utc) - camera.bearing_deg) % 360] += 1
    return _Looks(cells, looks)


def _share_touched(camera: Camera, looks: _Looks, margin_deg: float) -> Callable[[int], float]:
    """Return a function from a turn in whole degrees to the share of recorded time that the sun touches there.

    Each altitude is tried once against the picture all round: only the angle between cell and axis counts, so one
    table serves every bearing.
    """
    reach_deg = SUN_DIAMETER_DEG / 2 + margin_deg
    ahead = replace(camera, bearing_deg=0)
    sees: dict[int, list[int]] = {}
    touched = [0] * 360
    for (altitude, azimuth), count in looks.cells.items():
        if altitude not in sees:
            sees[altitude] = [deg for deg in range(360) if ahead.inside_deg(direction(deg, altitude)) + reach_deg >= 0]
        for deg in sees[altitude]:
            touched[(azimuth - deg) % 360] += count
    return lambda change_deg: touched[change_deg % 360] / max(1, looks.count)


def some_days(shots: Shots, most: int) -> Shots:
    """Return the same shoot on at most so many of its recorded days, evenly spread from the first on."""
    dates = shots.schedule.recorded_dates
    every = math.ceil(len(dates) / most) or 1
    dropped = shots.schedule.skipped | {day for n, day in enumerate(dates) if n % every}
    return replace(shots, schedule=replace(shots.schedule, skipped=dropped))
