"""The camera's error from landmarks in a reference frame and a fresh one, by least squares over all of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from webcalc.calc.optics.remount import CameraError, Picture, Point, about_head, moved

#: Landmarks nearer to each other than this share of the picture's width say too little about roll and zoom.
LEAST_APART_SHARE = 0.02
#: Of solutions that miss by the same, to this many pixels, the one nearest to the old focal length counts.
_SAME_MISS_PX = 0.001
#: What a landmark may miss by, as a multiple of how exactly positions are read: both ways, in both frames.
MISREAD = 2 * math.sqrt(2)
#: What undoes each turn: of a positive value, of a negative one. Roll first, as pan and tilt are read off it.
UNDO = {
    "roll_deg": ("roll counter-clockwise", "roll clockwise"),
    "tilt_deg": ("tilt down", "tilt up"),
    "pan_deg": ("turn left", "turn right"),
}
_ROUNDS = 100
_STEP = 1e-6  # radians (and share of zoom), for the slopes
_SETTLED = 1e-12
_MOST_DAMPING = 1e12

#: One landmark: where it was, where it is now.
Pair = tuple[Point, Point]


@dataclass(frozen=True)
class Remount:
    """The error found, what it leaves, and how well the readings fix it.

    error : pan, tilt, roll and zoom since the reference frame; turn back by these
    misses_px : for each landmark the distance between where it was read and where the error explains it. With the
        zoom left free two landmarks fix everything and they are near 0; with a fixed zoom they show a shifted camera,
        another focal length or a misreading.
    uncertainty : how far each value is off if every reading is off by ``reading_px`` in the worst way; zoom as a share
    zoom_fixed : whether the lens was taken as one that can't have changed its focal length
    """

    error: CameraError
    misses_px: tuple[float, ...]
    uncertainty: CameraError
    reading_px: float
    zoom_fixed: bool

    @property
    def residual_px(self) -> float:
        """What is left at the landmark that fits worst."""
        return max(self.misses_px)

    @property
    def told(self) -> tuple[str, ...]:
        """The turns that the readings can tell, in the order in which they are undone."""
        return tuple(way for way in UNDO if abs(getattr(self.error, way)) > getattr(self.uncertainty, way))

    @property
    def size_deg(self) -> float:
        """How large the turn is, all in all."""
        return math.hypot(self.error.pan_deg, self.error.tilt_deg, self.error.roll_deg)


def apart_px(points: Sequence[Point]) -> float:
    """Return the distance of the two points that are farthest apart."""
    return max(math.dist(one, other) for one, other in combinations(points, 2))


def find_error(
    picture: Picture, pairs: Sequence[Pair], *, zoom_fixed: bool = False, reading_px: float = 1.0
) -> Remount | None:
    """Return the error that brings the landmarks from where they were to where they are best, in pixels.

    Turns are about the camera's own axes. The exact rotation of the camera, solved by Gauss-Newton with damping
    (Levenberg, 1944; Marquardt, 1963) from several first guesses. None where no turn brings them there at all.
    ValueError if all landmarks lie closer together than 2 % of the width in either frame.
    """
    least_px = LEAST_APART_SHARE * picture.width_px
    if any(apart_px(points) < least_px for points in zip(*pairs, strict=True)):
        raise ValueError("the landmarks are too close together")
    guesses = [_first_guess(picture, pairs, zoom) for zoom in ([1.0] if zoom_fixed else _zooms(picture, pairs))]
    fits = [fit for guess in guesses if (fit := _settle(picture, guess[:3] if zoom_fixed else guess, pairs))]
    if not fits:
        return None
    least = min(_residual_px(picture, fit, pairs) for fit in fits)
    good = [fit for fit in fits if _residual_px(picture, fit, pairs) <= least + _SAME_MISS_PX]
    values = good[0] if zoom_fixed else min(good, key=lambda fit: abs(fit[3]))
    found = Remount(_error(values), _misses_px(picture, values, pairs), CameraError(), reading_px, zoom_fixed)
    return _with_uncertainty(picture, found, pairs)


def on_head(picture: Picture, found: Remount, pairs: Sequence[Pair], head_tilt_deg: float) -> Remount:
    """Return the same error and its uncertainty about the axes of a head that stands level."""
    turned = replace(found, error=about_head(found.error, head_tilt_deg))
    return _with_uncertainty(picture, turned, pairs)


def _error(values: Sequence[float], head_tilt_deg: float = 0.0) -> CameraError:
    """Return pan, tilt, roll (radians) and the logarithm of the zoom as an error; whole turns of roll removed."""
    pan, tilt, roll = (math.degrees(math.remainder(angle, math.tau)) for angle in values[:3])
    return CameraError(pan, tilt, roll, math.exp(values[3]) if len(values) > 3 else 1.0, head_tilt_deg)


def _zooms(picture: Picture, pairs: Sequence[Pair]) -> Iterator[float]:
    """Yield zooms to begin with: none, and those that keep the angle between the two landmarks farthest apart.

    With a and b from the middle and u the square of the focal length now, that angle's cosine c is
    (a·b + u) / sqrt((a² + u)(b² + u)); squared, a quadratic equation for u.
    """
    yield 1.0
    if picture.equidistant:
        yield apart_px([now for _, now in pairs]) / apart_px([before for before, _ in pairs])
        return
    one, other = max(combinations(pairs, 2), key=lambda two: math.dist(two[0][0], two[1][0]))
    rays = [picture.ray(before) for before, _after in (one, other)]
    cosine = sum(a * b for a, b in zip(*rays, strict=True)) / math.prod(math.hypot(*ray) for ray in rays)
    (ax, ay), (bx, by) = (
        [x - middle for x, middle in zip(now, picture.centre, strict=True)] for _, now in (one, other)
    )
    a2, b2, ab, c2 = ax * ax + ay * ay, bx * bx + by * by, ax * bx + ay * by, cosine * cosine
    square, linear, constant = 1 - c2, 2 * ab - c2 * (a2 + b2), ab * ab - c2 * a2 * b2
    root = math.sqrt(max(0.0, linear * linear - 4 * square * constant))
    for u in ((-linear + root) / (2 * square), (-linear - root) / (2 * square)):
        # Both signs of the cosine solve the square.
        if u > 0 and (ab + u) * cosine >= 0:
            yield math.sqrt(u) / picture.focal_px


def _first_guess(picture: Picture, pairs: Sequence[Pair], zoom: float) -> list[float]:
    """Return pan, tilt, roll, log zoom of the flat move (turn, scale, slide) of the two landmarks farthest apart."""
    middle = complex(*picture.centre)
    one, other = max(combinations(pairs, 2), key=lambda two: math.dist(two[0][0], two[1][0]))
    before1, before2, after1, after2 = (complex(*point) - middle for point in (one[0], other[0], one[1], other[1]))
    turned = (after2 - after1) / (before2 - before1) or 1
    slid = after1 / turned - before1
    pan, tilt = math.atan2(-slid.real, picture.focal_px), math.atan2(slid.imag, picture.focal_px)
    return [pan, tilt, -math.atan2(turned.imag, turned.real), math.log(zoom)]


def _settle(picture: Picture, values: list[float], pairs: Sequence[Pair]) -> list[float] | None:
    """Return the values at which the misses are least, beginning at a guess; None where that leads nowhere."""
    misses, damping = _misses(picture, values, pairs), 0.0
    if misses is None:
        values = [0.0] * len(values)
        misses = _misses(picture, values, pairs)
    for _ in range(_ROUNDS):
        slopes = _slopes(picture, values, pairs)
        if misses is None or slopes is None:
            return None
        cost = sum(miss * miss for miss in misses)
        while True:
            step = _least_squares(slopes, misses, damping)
            tried = None if step is None else [value - change for value, change in zip(values, step, strict=True)]
            after = None if tried is None else _misses(picture, tried, pairs)
            if tried and after and sum(miss * miss for miss in after) <= cost:
                break
            damping = max(10 * damping, 1e-6)
            if damping > _MOST_DAMPING:
                return values
        settled = max(abs(new - old) for new, old in zip(tried, values, strict=True)) < _SETTLED
        values, misses, damping = tried, after, damping / 100 if damping > 1e-9 else 0.0
        if settled:
            break
    return values if all(map(math.isfinite, values)) else None


def _misses(
    picture: Picture, values: Sequence[float], pairs: Sequence[Pair], head_tilt_deg: float = 0.0
) -> list[float] | None:
    """Return computed minus read positions, two numbers a landmark; None where one would be behind the camera."""
    if len(values) > 3 and abs(values[3]) > 20:
        return None
    error = _error(values, head_tilt_deg)
    misses: list[float] = []
    for before, after in pairs:
        computed = moved(picture, error, before)
        if computed is None:
            return None
        misses += (computed[0] - after[0], computed[1] - after[1])
    return misses


def _misses_px(picture: Picture, values: Sequence[float], pairs: Sequence[Pair]) -> tuple[float, ...]:
    misses = _misses(picture, values, pairs) or [math.inf] * (2 * len(pairs))
    return tuple(math.hypot(*misses[n : n + 2]) for n in range(0, len(misses), 2))


def _residual_px(picture: Picture, values: Sequence[float], pairs: Sequence[Pair]) -> float:
    return max(_misses_px(picture, values, pairs))


def _slopes(
    picture: Picture, values: Sequence[float], pairs: Sequence[Pair], head_tilt_deg: float = 0.0
) -> list[list[float]] | None:
    """Return the slopes of the misses over each unknown, one row an unknown (central differences)."""
    rows = []
    for n in range(len(values)):
        sides = []
        for step in (_STEP, -_STEP):
            nudged = [value + step * (m == n) for m, value in enumerate(values)]
            misses = _misses(picture, nudged, pairs, head_tilt_deg)
            if misses is None:
                return None
            sides.append(misses)
        rows.append([(up - down) / (2 * _STEP) for up, down in zip(*sides, strict=True)])
    return rows


def _least_squares(slopes: list[list[float]], target: list[float], damping: float = 0.0) -> list[float] | None:
    """Return the combination of slopes nearest to the target (normal equations, their diagonal damped)."""
    normal = [[sum(a * b for a, b in zip(one, other, strict=True)) for other in slopes] for one in slopes]
    for n, row in enumerate(normal):
        row[n] *= 1 + damping
    right = [sum(a * b for a, b in zip(row, target, strict=True)) for row in slopes]
    return _solve(normal, right)


def _solve(matrix: list[list[float]], right: list[float]) -> list[float] | None:
    """Solve linear equations by elimination with row exchange; None where they don't fix the unknowns."""
    size = len(right)
    rows = [[*row, value] for row, value in zip(matrix, right, strict=True)]
    largest = max(abs(value) for row in matrix for value in row)
    for n in range(size):
        pivot = max(range(n, size), key=lambda m: abs(rows[m][n]))
        if not abs(rows[pivot][n]) > 1e-13 * largest:
            return None
        rows[n], rows[pivot] = rows[pivot], rows[n]
        for m in range(size):
            if m != n:
                share = rows[m][n] / rows[n][n]
                rows[m] = [a - share * b for a, b in zip(rows[m], rows[n], strict=True)]
    return [rows[n][size] / rows[n][n] for n in range(size)]


def _with_uncertainty(picture: Picture, found: Remount, pairs: Sequence[Pair]) -> Remount:
    """Return what was found with the worst effect of readings (two frames, so twice) that are off by ``reading_px``."""
    error = found.error
    values = [math.radians(angle) for angle in (error.pan_deg, error.tilt_deg, error.roll_deg)]
    values += [] if found.zoom_fixed else [math.log(error.zoom)]
    slopes = _slopes(picture, values, pairs, error.head_tilt_deg)
    worst = [0.0] * len(values)
    for n in range(2 * len(pairs)):
        alone = [float(m == n) for m in range(2 * len(pairs))]
        effect = (_least_squares(slopes, alone) if slopes else None) or [math.inf] * len(values)
        worst = [total + abs(one) * 2 * found.reading_px for total, one in zip(worst, effect, strict=True)]
    pan, tilt, roll = (math.degrees(angle) for angle in worst[:3])
    return replace(found, uncertainty=CameraError(pan, tilt, roll, 0.0 if found.zoom_fixed else worst[3]))


def resized_by(picture: Picture, pairs: Sequence[Pair], reading_px: float) -> float | None:
    """Return by what positions in the fresh picture must be stretched for a turn alone to explain them, or None.

    A fresh picture of another size than the reference has all its positions stretched from the top left corner, which
    looks like a large turn and zoom. Looked for where distances changed by more than a tenth.
    """
    before, after = (apart_px(points) for points in zip(*pairs, strict=True))
    guess = before / after
    if 1 / 1.1 < guess < 1.1:
        return None

    def fit(stretch: float) -> Remount | None:
        stretched = [(ref, (stretch * now[0], stretch * now[1])) for ref, now in pairs]
        return find_error(picture, stretched, zoom_fixed=True, reading_px=reading_px)

    def residual_px(stretch: float) -> float:
        found = fit(stretch)
        return math.inf if found is None else found.residual_px

    low, high = 0.9 * guess, 1.1 * guess
    while high - low > 1e-5 * guess:
        third = (high - low) / 3
        low, high = (low, high - third) if residual_px(low + third) < residual_px(high - third) else (low + third, high)
    stretch = (low + high) / 2
    found, as_read = fit(stretch), find_error(picture, pairs, reading_px=reading_px)
    fits = found is not None and found.residual_px <= MISREAD * reading_px * max(1.0, stretch)
    inside = all(picture.contains((stretch * x, stretch * y)) for _before, (x, y) in pairs)
    smaller = found is not None and (as_read is None or found.size_deg < as_read.size_deg / 2)
    return stretch if fits and inside and smaller else None
