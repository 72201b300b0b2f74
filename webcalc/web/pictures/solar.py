"""The picture of a battery's charge over a shoot: each day's lowest, at worst and expected, and the reserve."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from markupsafe import Markup

from webcalc.calc.estimate import Estimate

#: More days than this share a step of the line, which then shows the lowest of them.
MOST_STEPS = 36
_LEFT, _WIDTH, _HEIGHT = 28, 290, 100


def charge_picture(days: Sequence[Estimate[float]], reserve_share: float, ends: tuple[str, str]) -> Markup:
    """Return the picture of the shares left (0 to 1) day by day; ``ends`` are the first and last date in words."""
    size = ceil(len(days) / MOST_STEPS)
    groups = [days[n : n + size] for n in range(0, len(days), size)]
    low = [min(day.low for day in group) for group in groups]
    expected = [min(day.expected for day in group) for group in groups]
    reserve = round((1 - reserve_share) * _HEIGHT)
    return Markup(
        '<svg viewBox="0 -8 320 {h}" aria-hidden=true font-size=12 fill=currentColor><g fill=none stroke=currentColor>'
        '<path d="M{x} 0v{high}h{wide}"/><path stroke-dasharray=2 d="M{x} {reserve}h{wide}"/>'
        '<path stroke-dasharray=6 stroke-width=1.5 d="{expected}"/><path stroke-width=3 d="{low}"/></g>'
        "<g text-anchor=end><text x=25 y=4>100</text><text x=25 y=104>0 %</text>{reserve_words}"
        "<text x=318 y=116>{last}</text></g><text x={x} y=116>{first}</text></svg>"
    ).format(
        h=_HEIGHT + 30,
        x=_LEFT,
        high=_HEIGHT,
        wide=_WIDTH,
        reserve=reserve,
        # Close to an end of the scale the word would cover the number there.
        reserve_words=Markup("<text x=25 y={}>{}</text>").format(reserve + 4, round(reserve_share * 100))
        if 12 <= reserve <= _HEIGHT - 12
        else "",
        expected=_line(expected),
        low=_line(low),
        first=ends[0],
        last=ends[1],
    )


def _line(shares: Sequence[float]) -> str:
    """Return one line as a path of whole units; relative steps are the shortest to write."""
    heights = [round((1 - share) * _HEIGHT) for share in shares]
    across = [_LEFT + round(n * _WIDTH / max(1, len(shares) - 1)) for n in range(len(shares))]
    path, since = f"M{across[0]} {heights[0]}l", 0
    for n in range(1, len(shares)):
        # A level stretch is one step, however long.
        if n + 1 < len(shares) and heights[since] == heights[n] == heights[n + 1]:
            continue
        right, down = across[n] - across[since], heights[n] - heights[since]
        path += f"{' ' if since else ''}{right}{'' if down < 0 else ' '}{down}"
        since = n
    return path if len(shares) > 1 else f"M{across[0]} {heights[0]}h{_WIDTH}"
