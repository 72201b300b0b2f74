"""The motion itself: a subject crosses a small picture at its true share of the width a frame, at the true rate.

It starts at a tap, needs no script, and stops by itself.
"""

from __future__ import annotations

from math import ceil

from markupsafe import Markup

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
