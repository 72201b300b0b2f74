"""The border of an equidistant picture on the sky, where its straight sides are bent."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

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
