"""The crop that hides a camera's error which was left as it is."""

from __future__ import annotations

from dataclasses import dataclass

from webcalc.calc.optics.remount import CameraError, Picture, moved

#: Stretches of each side whose ends are looked at where sides are bent.
_ALONG_SIDES = 24


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

    Straight lines stay straight, so a part is in the other frame when its four corners are; in an equidistant picture
    points along its sides are looked at too. Sides are floored to even pixels. Parallax from a shifted camera can't be
    cropped away.
    """

    steps = _ALONG_SIDES if picture.equidistant else 1
    along = [2 * n / steps - 1 for n in range(steps + 1)]
    sides = {(a, float(b)) for a in along for b in (-1, 1)} | {(float(a), b) for a in (-1, 1) for b in along}

    def fits(share: float) -> bool:
        half_width, half_height = share * picture.width_px / 2, share * picture.height_px / 2
        middle_x, middle_y = picture.centre
        rim = [(middle_x + a * half_width, middle_y + b * half_height) for a, b in sides]
        targets = [moved(picture, error, point) for point in rim]
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
