"""When the sun stands in the picture, and when it lights the scene from behind or from the front.

Directions are unit vectors east, north, up. The camera's axes follow from bearing, tilt and roll; comparing
azimuths and altitudes one by one would be wrong for a tilted camera. The sun's place is the refracted one (what
a lens sees); it is up between sunrise and sunset as defined in ``sun.py``, with a free horizon and no clouds.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from functools import cached_property

from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import SUNRISE_DEG, altitude_deg, azimuth_deg
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.schedule.schedule import Schedule

# -- the border of an equidistant picture -----------------------------------------------------------------


Vector = tuple[float, float, float]
#: Between two points of the border it is taken as a great circle; a degree apart that is off by 0.002 degrees.
_APART_DEG = 1.0


def dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _direction(x: float, y: float) -> Vector:
    """Return the direction (right, up, ahead) of a place in the picture, in radians from its middle."""
    angle = math.hypot(x, y)
    across = math.sin(angle) / angle if angle else 1.0
    return across * x, across * y, math.cos(angle)


def _across(a: Vector, b: Vector) -> Vector:
    """Return the unit vector square to both."""
    x, y, z = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
    length = math.hypot(x, y, z)
    return x / length, y / length, z / length


@dataclass(frozen=True)
class BentBorder:
    """The border by the half angles of view across and up and down, in radians; below half of pi each."""

    half_across: float
    half_up: float

    @cached_property
    def _points(self) -> list[Vector]:
        """The border of the top right quarter, from the middle of the side to the middle of the top."""
        sides = [max(1, math.ceil(math.degrees(half) / _APART_DEG)) for half in (self.half_up, self.half_across)]
        side = [_direction(self.half_across, self.half_up * n / sides[0]) for n in range(sides[0] + 1)]
        top = [_direction(self.half_across * (1 - n / sides[1]), self.half_up) for n in range(1, sides[1] + 1)]
        return side + top

    @cached_property
    def _arcs(self) -> list[tuple[Vector, Vector, Vector, float]]:
        """Each stretch between two points: both, what stands square to it, and the cosine of its length."""
        pairs = zip(self._points, self._points[1:], strict=False)
        return [(a, b, _across(a, b), dot(a, b)) for a, b in pairs]

    def holds(self, right: float, up: float, ahead: float) -> bool:
        """Whether a direction is in the picture, border included."""
        off_axis = math.hypot(right, up)
        angle = math.atan2(off_axis, ahead)
        scale = angle / off_axis if off_axis else 0.0
        inside = abs(right) * scale <= self.half_across and abs(up) * scale <= self.half_up
        return inside and not (off_axis == 0 and ahead < 0)

    def inside_deg(self, right: float, up: float, ahead: float) -> float:
        """Return how far inside the border a direction (of length 1) is, in degrees of sky; negative outside."""
        towards = abs(right), abs(up), ahead  # the picture is symmetric: its top right quarter is enough
        cosines = [dot(towards, point) for point in self._points]
        nearest = max(range(len(cosines)), key=cosines.__getitem__)
        distance = math.acos(max(-1.0, min(1.0, cosines[nearest])))
        for a, b, square, length in self._arcs[max(0, nearest - 1) : nearest + 1]:
            to_a, to_b = dot(towards, a), dot(towards, b)
            # The foot of the perpendicular lies between the two.
            if to_a >= length * to_b and to_b >= length * to_a:
                distance = min(distance, abs(math.asin(max(-1.0, min(1.0, dot(towards, square))))))
        return math.degrees(distance if self.holds(right, up, ahead) else -distance)


# -- the camera and the sun -------------------------------------------------------------------------------


#: Apparent diameter of the sun: 0.5329 degrees at 1 au (IAU 2015 Resolution B3 nominal solar radius), 0.524 to 0.542
#: over the year.
SUN_DIAMETER_DEG = 0.533

#: Backlit: the sun this near to the camera's axis; front-lit: this near to straight behind. Common practice, no source.
LIT_WITHIN_DEG = 60.0

#: The sky turns by 15.04 degrees an hour. A little more, so that nothing is skipped on the way to a border.
_SKY_DEG_PER_S = 15.5 / 3600
#: Shortest look-ahead: a passage shorter than about this may be missed.
_LEAST_STEP_S = 20


def direction(azimuth_deg: float, altitude_deg: float) -> Vector:
    """Return the unit vector (east, north, up) of a direction."""
    azimuth, altitude = math.radians(azimuth_deg), math.radians(altitude_deg)
    level = math.cos(altitude)
    return math.sin(azimuth) * level, math.cos(azimuth) * level, math.sin(altitude)


@dataclass(frozen=True)
class Camera:
    """Where a camera looks and how wide.

    bearing_deg : of the axis, from true north through east (any number of turns)
    tilt_deg : of the axis above the horizon, -90 to 90, down negative
    hfov_deg, vfov_deg : angles of view, above 0 and below 180
    roll_deg : clockwise as seen from behind the camera; 90 is an upright picture
    equidistant : whether the lens draws angles as lengths; else straight lines straight

    Raises ValueError outside these ranges.
    """

    bearing_deg: float
    tilt_deg: float
    hfov_deg: float
    vfov_deg: float
    roll_deg: float = 0.0
    equidistant: bool = False

    def __post_init__(self) -> None:
        if not -90 <= self.tilt_deg <= 90:
            raise ValueError("a tilt lies between -90 and 90 degrees")
        if not (0 < self.hfov_deg < 180 and 0 < self.vfov_deg < 180):
            raise ValueError("an angle of view lies between 0 and 180 degrees")

    @cached_property
    def axes(self) -> tuple[Vector, Vector, Vector]:
        """Unit vectors to the right of the picture, to its top, and along the axis."""
        bearing, tilt, roll = (math.radians(angle) for angle in (self.bearing_deg, self.tilt_deg, self.roll_deg))
        sin_b, cos_b, sin_t, cos_t = math.sin(bearing), math.cos(bearing), math.sin(tilt), math.cos(tilt)
        level_right = (cos_b, -sin_b, 0.0)
        level_up = (-sin_b * sin_t, -cos_b * sin_t, cos_t)
        sin_r, cos_r = math.sin(roll), math.cos(roll)
        right = tuple(cos_r * r - sin_r * u for r, u in zip(level_right, level_up, strict=True))
        up = tuple(sin_r * r + cos_r * u for r, u in zip(level_right, level_up, strict=True))
        return right, up, (sin_b * cos_t, cos_b * cos_t, sin_t)  # type: ignore[return-value]

    @cached_property
    def _halves(self) -> tuple[float, float, float, float, float, float, float]:
        """Sine and cosine of the half angles, their tangents, and the length to a corner at depth 1."""
        half_h, half_v = math.radians(self.hfov_deg / 2), math.radians(self.vfov_deg / 2)
        tan_h, tan_v = math.tan(half_h), math.tan(half_v)
        corner = math.sqrt(1 + tan_h**2 + tan_v**2)
        return math.sin(half_h), math.cos(half_h), math.sin(half_v), math.cos(half_v), tan_h, tan_v, corner

    @cached_property
    def _bent(self) -> BentBorder:
        return BentBorder(math.radians(self.hfov_deg / 2), math.radians(self.vfov_deg / 2))

    def inside_deg(self, towards: Vector) -> float:
        """Return how far inside the picture's border a direction is, in degrees of sky.

        Negative outside: minus the distance to the nearest point of the picture, corners and
        directions behind the camera included.
        """
        right, up, forward = (dot(towards, axis) for axis in self.axes)
        if self.equidistant:
            return self._bent.inside_deg(right, up, forward)
        right, up = abs(right), abs(up)  # the picture is symmetric: its top right quarter is enough
        sin_h, cos_h, sin_v, cos_v, tan_h, tan_v, corner = self._halves
        past_side, past_top = right * cos_h - forward * sin_h, up * cos_v - forward * sin_v
        if past_side <= 0 and past_top <= 0 and forward > 0:
            return math.degrees(math.asin(min(-past_side, -past_top)))
        cos_nearest = (right * tan_h + up * tan_v + forward) / corner
        # An edge is nearer than the corner where the foot of the perpendicular falls on it.
        depth_at_side, depth_at_top = forward + past_side * sin_h, forward + past_top * sin_v
        if past_side > 0 and up <= tan_v * depth_at_side:
            cos_nearest = max(cos_nearest, math.sqrt(max(0.0, 1 - past_side**2)))
        if past_top > 0 and right <= tan_h * depth_at_top:
            cos_nearest = max(cos_nearest, math.sqrt(max(0.0, 1 - past_top**2)))
        return -math.degrees(math.acos(max(-1.0, min(1.0, cos_nearest))))

    def off_axis_deg(self, towards: Vector) -> float:
        """Return the angle between a direction and the axis, 0 to 180 degrees."""
        return math.degrees(math.acos(max(-1.0, min(1.0, dot(towards, self.axes[2])))))


@dataclass(frozen=True)
class Spell:
    """A stretch [start, end) of one window on the camera clock, and the frames taken in it.

    ``day`` is the date the window belongs to. ``frames`` is None where no interval is known.
    """

    day: date
    start: datetime
    end: datetime
    frames: int | None

    @property
    def length_s(self) -> int:
        """Length in seconds."""
        return round((self.end - self.start).total_seconds())


@dataclass(frozen=True)
class Spells:
    """Every stretch in which something holds, with frames touched and frames recorded at all."""

    spells: tuple[Spell, ...]
    frames_touched: int | None
    frames_total: int | None

    @property
    def total_s(self) -> int:
        """Seconds together."""
        return sum(spell.length_s for spell in self.spells)

    @property
    def days(self) -> int:
        """Number of windows touched."""
        return len({spell.day for spell in self.spells})


@dataclass(frozen=True)
class Shots:
    """What is recorded where: the schedule, its place, the camera clock and the interval.

    utc_offset : camera clock minus UTC, fixed
    interval_s : seconds between frames, above 0; None while unknown
    """

    site: Site
    schedule: Schedule
    utc_offset: timedelta
    interval_s: Fraction | None = None

    def frames_within(self, start_s: int, end_s: int) -> int | None:
        """Return the frame instants in [start, end) of a window, seconds from its start."""
        if self.interval_s is None:
            return None
        return frames_in(end_s, self.interval_s) - frames_in(start_s, self.interval_s)

    def utc_start(self, day: date) -> datetime:
        """Return the start of a date's window in UTC."""
        return (self.schedule.window_on(day)[0] - self.utc_offset).replace(tzinfo=UTC)


def sun_direction(site: Site, utc: datetime) -> Vector:
    """Return where the sun is seen, refraction included."""
    return direction(azimuth_deg(site, utc), altitude_deg(site, utc, refracted=True))


def sun_in_frame(camera: Camera, shots: Shots, margin_deg: float = 0.0) -> Spells:
    """Return when the sun's disc is in the picture or within ``margin_deg`` of its border.

    Entries and exits are found to the second; a passage shorter than about 20 s may be missed. ``margin_deg`` is the
    user's choice (0 or more): there is no source for how far outside the picture the sun still flares.
    """
    reach_deg = SUN_DIAMETER_DEG / 2 + margin_deg
    return _spells_while(shots, lambda towards: camera.inside_deg(towards) + reach_deg)


def backlit(camera: Camera, shots: Shots) -> Spells:
    """Return when the sun is up and near the camera's axis."""
    return _spells_while(shots, lambda towards: LIT_WITHIN_DEG - camera.off_axis_deg(towards))


def front_lit(camera: Camera, shots: Shots) -> Spells:
    """Return when the sun is up and near straight behind the camera."""
    return _spells_while(shots, lambda towards: camera.off_axis_deg(towards) - (180 - LIT_WITHIN_DEG))


def _spells_while(shots: Shots, slack_deg: Callable[[Vector], float]) -> Spells:
    """Find the stretches with the sun up and ``slack_deg`` of its direction at or above 0.

    The slack has to be a distance on the sky: it changes no faster than the sun moves.
    """
    length_s = shots.schedule.window.length_s
    spells = []
    for day in shots.schedule.recorded_dates:
        utc_start = shots.utc_start(day)

        def slack_at(second: int, utc_start: datetime = utc_start) -> float:
            utc = utc_start + timedelta(seconds=second)
            up_deg = altitude_deg(shots.site, utc) - SUNRISE_DEG
            return up_deg if up_deg < 0 else min(up_deg, slack_deg(sun_direction(shots.site, utc)))

        camera_start = shots.schedule.window_on(day)[0]
        for start_s, end_s in _stretches(slack_at, length_s):
            start, end = (camera_start + timedelta(seconds=second) for second in (start_s, end_s))
            spells.append(Spell(day, start, end, shots.frames_within(start_s, end_s)))
    if shots.interval_s is None:
        return Spells(tuple(spells), None, None)
    frames_total = frames_in(length_s, shots.interval_s) * shots.schedule.recorded_days
    return Spells(tuple(spells), sum(spell.frames or 0 for spell in spells), frames_total)


def _stretches(slack_at: Callable[[int], float], length_s: int) -> Iterator[tuple[int, int]]:
    """Yield the stretches [start, end) of whole seconds in [0, length) with the slack at or above 0.

    Each look tells how long nothing can change (slack / speed of the sky), so that a day
    takes some dozen looks and not one a minute.
    """
    second, slack = 0, slack_at(0)
    start_s = 0 if slack >= 0 else None
    while second < length_s:
        next_second = min(length_s, second + max(_LEAST_STEP_S, int(abs(slack) / _SKY_DEG_PER_S)))
        next_slack = slack_at(next_second)
        if (next_slack >= 0) != (slack >= 0):
            border_s = _change_between(slack_at, second, next_second, next_slack >= 0)
            if start_s is None:
                start_s = border_s
            else:
                yield start_s, border_s
                start_s = None
        second, slack = next_second, next_slack
    if start_s is not None and start_s < length_s:
        yield start_s, length_s


def _change_between(slack_at: Callable[[int], float], before: int, after: int, holds_after: bool) -> int:
    """Return the first whole second at which it is as it is ``after``."""
    while after - before > 1:
        middle = (before + after) // 2
        if (slack_at(middle) >= 0) == holds_after:
            after = middle
        else:
            before = middle
    return after
