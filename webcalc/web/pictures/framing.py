"""The frame drawn to scale: the crops in it, how to aim it, and the motion in it."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from markupsafe import Markup

from webcalc.calc.optics.framing import Crop

_WIDTH = 320
#: Upright pictures are kept this low, so that they don't fill the screen.
_MOST_HEIGHT = 240
_LINE = 14


def _frame(width_px: int, height_px: int) -> tuple[float, int, int]:
    """Return the scale and the drawn sides of a picture."""
    scale = min(_WIDTH / width_px, _MOST_HEIGHT / height_px)
    return scale, max(1, round(width_px * scale)), max(1, round(height_px * scale))


def aim_sketch(width_px: int, height_px: int, horizon_share: float | None, ground: tuple[str, str, str]) -> Markup:
    """Return the frame with its middle, the horizon at its height, and how far level ground is at three heights.

    ``ground``: distances in words at the top edge, in the middle and at the bottom edge, or "".
    """
    _scale, wide, high = _frame(width_px, height_px)
    middle = high // 2
    lines = [f"M{wide // 2 - 9} {middle}h18M{wide // 2} {middle - 9}v18"]
    line, names = "", []
    if horizon_share is not None:
        y = round(high * horizon_share)
        line = f"M0 {y}h{wide}"
        names.append((wide - 4, y - 4 if y > _LINE else y + _LINE, "end", "horizon"))
    for y, words in zip((_LINE, middle - 4, high - 4), ground, strict=True):
        if words:
            names.append((4, y, "start", words))
    texts = Markup("").join(
        Markup("<text x={} y={} text-anchor={}>{}</text>").format(x, y, anchor, words) for x, y, anchor, words in names
    )
    return Markup(
        '<svg class=aim viewBox="-2 -2 {} {}" aria-hidden=true font-size=14 fill=currentColor>'
        '<g fill=none stroke=currentColor stroke-width=2><path d="M0 0h{}v{}h-{}zM{}"/>'
        '<path d="{}" stroke-dasharray=5 /></g><g stroke="var(--paper)" stroke-width=4 paint-order=stroke>{}</g></svg>'
    ).format(wide + 4, high + 4, wide, high, wide, "".join(lines)[1:], line, texts)


def crops_picture(width_px: int, height_px: int, crops: Sequence[Crop]) -> Markup:
    """Return the frame and in it every crop that leaves some of it out, its name inside its top left corner.

    Crops that lose their sides have their names one below the other, so that none covers another.
    """
    scale, wide, high = _frame(width_px, height_px)
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


_WIDTH, _HEIGHT, _RADIUS = 320, 56, 9
#: Longest that it runs, in seconds.
RUNS_S = 5
#: More frames than this from edge to edge are told as one even movement: no eye sees the difference.
_MOST_STEPS = 75


def moving_picture(step_share: float, fps: float) -> Markup:
    """Return the picture.

    Parameters
    ----------
    step_share : share of the picture's width between two frames; > 0
    fps : frames a second of the clip
    """
    frames = max(1, ceil(1 / step_share))
    if frames <= _MOST_STEPS:
        values = ";".join(f"{n * step_share * _WIDTH:.4g}" for n in range(frames))
        way, lasts_s = "discrete", frames / fps
    else:
        lasts_s = min(RUNS_S, frames / fps)
        values, way = f"0;{lasts_s * fps * step_share * _WIDTH:.4g}", "linear"
    return Markup(
        '<svg id=moves viewBox="0 0 {w} {h}" role=img aria-label="Tap to see it move" tabindex=0 fill=none>'
        '<path stroke=currentColor stroke-width=2 pointer-events=all d="M1 1h{inner}v{down}h-{inner}z"/>'
        "<circle class=a fill=currentColor cx={middle} cy={half} r={r}>"
        "<animate attributeName=cx begin=moves.click calcMode={way} dur={lasts:.4g}s repeatDur={runs}s "
        'values="{values}"/>'
        "</circle></svg>"
    ).format(
        w=_WIDTH,
        h=_HEIGHT,
        inner=_WIDTH - 2,
        down=_HEIGHT - 2,
        middle=_WIDTH // 2,
        half=_HEIGHT // 2,
        r=_RADIUS,
        way=way,
        lasts=lasts_s,
        runs=RUNS_S,
        values=values,
    )
