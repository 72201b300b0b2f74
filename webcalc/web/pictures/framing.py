"""The crops over the frame, drawn to scale."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from webcalc.calc.optics.framing import Crop

_WIDTH = 320
#: Upright pictures are kept this low, so that they don't fill the screen.
_MOST_HEIGHT = 240
_LINE = 14


def crops_picture(width_px: int, height_px: int, crops: Sequence[Crop]) -> Markup:
    """Return the frame and in it every crop that leaves some of it out, its name inside its top left corner.

    Crops that lose their sides have their names one below the other, so that none covers another.
    """
    scale = min(_WIDTH / width_px, _MOST_HEIGHT / height_px)
    wide, high = max(1, round(width_px * scale)), max(1, round(height_px * scale))
    left = (_WIDTH - wide) // 2
    lines, names = [], []
    for n, crop in enumerate(crops):
        if crop.picture_share == 1:
            continue
        x, y = left + round(crop.x_px * scale), round(crop.y_px * scale)
        across, down = round(crop.width_px * scale), round(crop.height_px * scale)
        lines.append(f"M{x} {y}h{across}v{down}h-{across}z")
        names.append(
            Markup("<text x={} y={}>{}</text>").format(x + 4, y + (_LINE if y else _LINE * (n + 1)), crop.ratio)
        )
    return Markup(
        '<svg viewBox="-2 -2 {} {}" aria-hidden=true font-size=14 fill=currentColor><g fill=none stroke=currentColor '
        'stroke-width=2><path d="M{} 0h{}v{}h-{}z"/><path d="{}" stroke-dasharray=5 /></g>'
        '<g stroke="var(--paper)" stroke-width=4 paint-order=stroke>{}</g></svg>'
    ).format(_WIDTH + 4, high + 4, left, wide, high, wide, "".join(lines), Markup("").join(names))
