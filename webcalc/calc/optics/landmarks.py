"""The camera's error from two landmarks in a reference frame and a fresh one, and the crop that hides it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from webcalc.calc.optics.remount import CameraError, Picture, Point, moved

#: Landmarks nearer to each other than this share of the picture's width say too little about roll and zoom.
LEAST_APART_SHARE = 0.02
_ROUNDS = 50
_STEP = 1e-6  # radians (and share of zoom), for the slopes
_SETTLED = 1e-12


@dataclass(frozen=True)
class Remount:
    """The error found, what it leaves, and how well the readings fix it.

    error : pan, tilt, roll and zoom since the reference frame; turn back by these
    residual_px : the larger distance between a landmark as read and as the error explains it. With the zoom
        left free two landmarks fix everything and it is near 0; with a fixed zoom it shows a shifted camera, another
        focal length or a misreading.
    uncertainty : how far each value is off if every reading is off by ``reading_px`` in the worst way; zoom as a share
    """

    error: CameraError
    residual_px: float
    uncertainty: CameraError
    reading_px: float


def find_error(
    picture: Picture,
    reference: tuple[Point, Point],
    now: tuple[Point, Point],
    *,
    zoom_fixed: bool = False,
    reading_px: float = 1.0,
) -> Remount | None:
    """Return the error that brings two landmarks from ``reference`` to ``now`` best, in pixels.

    The exact rotation of a pinhole camera, solved by Gauss-Newton. None where no error explains it (the search
    doesn't settle). ValueError if the landmarks lie closer together than 2 % of the width in either frame.
    """
    least_px = LEAST_APART_SHARE * picture.width_px
    if math.dist(*reference) < least_px or math.dist(*now) < least_px:
        raise ValueError("the landmarks are too close together")
    unknowns = 3 if zoom_fixed else 4
    values = _first_guess(picture, reference, now)[:unknowns]
    for _ in range(_ROUNDS):
        misses = _misses(picture, values, reference, now)
        slopes = None if misses is None else _slopes(picture, values, reference, now)
        step = None if misses is None or slopes is None else _least_squares(slopes, misses)
        if step is None:
            return None
        values = [value - change for value, change in zip(values, step, strict=True)]
        if max(abs(change) for change in step) < _SETTLED:
            break
    else:
        return None
    misses = _misses(picture, values, reference, now)
    slopes = _slopes(picture, values, reference, now)
    if misses is None or slopes is None or not all(math.isfinite(value) for value in values):
        return None
    residual_px = max(math.hypot(*misses[:2]), math.hypot(*misses[2:]))
    return Remount(_error(values), residual_px, _uncertainty(slopes, values, reading_px), reading_px)


def _error(values: list[float]) -> CameraError:
    """Return pan, tilt, roll (radians) and the logarithm of the zoom as an error; whole turns of roll removed."""
    pan, tilt, roll = (math.degrees(math.remainder(angle, math.tau)) for angle in values[:3])
    return CameraError(pan, tilt, roll, math.exp(values[3]) if len(values) > 3 else 1.0)


def _first_guess(picture: Picture, reference: tuple[Point, Point], now: tuple[Point, Point]) -> list[float]:
    """Return pan, tilt, roll, log zoom of the flat move (turn, scale, slide) between the two pairs."""
    middle = complex(*picture.centre)
    (before1, before2), (after1, after2) = ([complex(*point) - middle for point in pair] for pair in (reference, now))
    turned = (after2 - after1) / (before2 - before1)
    slid = after1 / turned - before1
    pan, tilt = math.atan2(-slid.real, picture.focal_px), math.atan2(slid.imag, picture.focal_px)
    return [pan, tilt, -math.atan2(turned.imag, turned.real), math.log(abs(turned))]


def _misses(
    picture: Picture, values: list[float], reference: tuple[Point, Point], now: tuple[Point, Point]
) -> list[float] | None:
    """Return computed minus read positions, four numbers; None where a landmark would be behind the camera."""
    if len(values) > 3 and abs(values[3]) > 20:
        return None
    error = _error(values)
    misses: list[float] = []
    for before, after in zip(reference, now, strict=True):
        computed = moved(picture, error, before)
        if computed is None:
            return None
        misses += (computed[0] - after[0], computed[1] - after[1])
    return misses


def _slopes(
    picture: Picture, values: list[float], reference: tuple[Point, Point], now: tuple[Point, Point]
) -> list[list[float]] | None:
    """Return the slopes of the four misses over each unknown, one row an unknown (central differences)."""
    rows = []
    for n in range(len(values)):
        sides = []
        for step in (_STEP, -_STEP):
            nudged = [value + step * (m == n) for m, value in enumerate(values)]
            misses = _misses(picture, nudged, reference, now)
            if misses is None:
                return None
            sides.append(misses)
        rows.append([(up - down) / (2 * _STEP) for up, down in zip(*sides, strict=True)])
    return rows


def _least_squares(slopes: list[list[float]], target: list[float]) -> list[float] | None:
    """Return the combination of slopes nearest to the target (normal equations)."""
    normal = [[sum(a * b for a, b in zip(one, other, strict=True)) for other in slopes] for one in slopes]
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


def _uncertainty(slopes: list[list[float]], values: list[float], reading_px: float) -> CameraError:
    """Return the worst effect on each value of readings (two frames, so twice) that are off by ``reading_px``."""
    worst = [0.0] * len(values)
    for n in range(4):
        effect = _least_squares(slopes, [float(m == n) for m in range(4)]) or [math.inf] * len(values)
        worst = [total + abs(one) * 2 * reading_px for total, one in zip(worst, effect, strict=True)]
    pan, tilt, roll = (math.degrees(angle) for angle in worst[:3])
    return CameraError(pan, tilt, roll, worst[3] if len(values) > 3 else 0.0)


@dataclass(frozen=True)
class HidingCrop:
    """The largest central part, in the picture's shape, that both frames hold once they are laid over each other.

    The later frames are turned and stretched back onto the reference frame before cropping. ``picture_lost`` is the
    share of the area that goes.
    """

    width_px: int
    height_px: int
    picture_lost: float


def hiding_crop(picture: Picture, error: CameraError) -> HidingCrop | None:
    """Return the crop that hides an error that was left; None where not even the middle is in both frames.

    Straight lines stay straight, so a part is in the other frame when its four corners are. Sides are
    floored to even pixels. Parallax from a shifted camera can't be cropped away.
    """

    def fits(share: float) -> bool:
        half_width, half_height = share * picture.width_px / 2, share * picture.height_px / 2
        middle_x, middle_y = picture.centre
        corners = [(middle_x + a * half_width, middle_y + b * half_height) for a in (-1, 1) for b in (-1, 1)]
        targets = [moved(picture, error, corner) for corner in corners]
        return all(target is not None and picture.contains(target) for target in targets)

    if not fits(0):
        return None
    kept, too_much = (1.0, 1.0) if fits(1) else (0.0, 1.0)
    while too_much - kept > 1e-9:
        middle = (kept + too_much) / 2
        kept, too_much = (middle, too_much) if fits(middle) else (kept, middle)
    width_px, height_px = (int(side * kept + 1e-6) // 2 * 2 for side in (picture.width_px, picture.height_px))
    if not (width_px and height_px):
        return None
    return HidingCrop(width_px, height_px, 1 - width_px * height_px / (picture.width_px * picture.height_px))
