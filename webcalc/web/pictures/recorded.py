"""The picture of what was recorded: dates across, hours down; recorded wide, missing thin, unplanned dotted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from markupsafe import Markup

from webcalc.calc.light.days import ClockStretch, SunDay
from webcalc.calc.recorded.stories import Hour
from webcalc.web.pictures.daylight import light_row

_LEFT, _WIDTH, _HOUR, _TEXT = 22, 300, 6, 11
#: More dates than this share columns.
_MOST_COLUMNS = 120
#: What shows where a column stands for several dates: that which one must see.
_WORST = (Hour.MISSING, Hour.UNPLANNED, Hour.RECORDED)

Light = tuple[Sequence[SunDay], ZoneInfo, Sequence[ClockStretch]]


def recorded_picture(
    hours: Mapping[datetime, Hour], first: date, last: date, ends: tuple[str, str], light: Light | None
) -> Markup:
    """Return the picture of all dates from first to last; ``light`` lies behind it where it is known."""
    days = (last - first).days + 1
    step = ceil(days / _MOST_COLUMNS)
    columns = ceil(days / step)
    width = _WIDTH / columns
    paths: dict[Hour, list[str]] = {state: [] for state in Hour}
    for column in range(columns):
        dates = [first + timedelta(n) for n in range(column * step, min(days, (column + 1) * step))]
        x = _LEFT + (column + 0.5) * width
        for state, top, length in _runs([_state(hours, dates, hour) for hour in range(24)]):
            paths[state].append(f"M{x:.4g} {top * _HOUR}v{length * _HOUR}")
    height = 24 * _HOUR
    texts = Markup().join(
        Markup("<text x={} y={} text-anchor=end>{}</text>").format(_LEFT - 4, hour * _HOUR + 4, hour)
        for hour in (0, 6, 12, 18, 24)
    )
    return Markup(
        '<svg viewBox="0 -5 {w} {h}" aria-hidden=true fill=none font-size={size}>{light}'
        '<path stroke=currentColor stroke-opacity=.5 d="M{left} 0h{width}v{height}h-{width}z"/>'
        '<g stroke-width="{bar:.3g}"><path class=a stroke=currentColor d="{recorded}"/>'
        '<path stroke=#c00 stroke-width="{thin:.3g}" d="{missing}"/>'
        '<path stroke=currentColor stroke-dasharray="2 2" d="{unplanned}"/></g>'
        "<g fill=currentColor>{texts}<text x={left} y={below}>{begin}</text>"
        "<text x={right} y={below} text-anchor=end>{end}</text></g></svg>"
    ).format(
        w=_LEFT + _WIDTH + 2,
        h=height + _TEXT + 12,
        size=_TEXT,
        light=light_row(*light, at=(_LEFT, 0), size=(_WIDTH, height)) if light else "",
        left=_LEFT,
        width=_WIDTH,
        height=height,
        bar=max(1.0, width * 0.7),
        # Thinner, so that it shows without its colour too.
        thin=max(0.7, width * 0.3),
        recorded="".join(paths[Hour.RECORDED]),
        missing="".join(paths[Hour.MISSING]),
        unplanned="".join(paths[Hour.UNPLANNED]),
        texts=texts,
        right=_LEFT + _WIDTH,
        below=height + _TEXT + 4,
        begin=ends[0],
        end=ends[1] if days > 1 else "",
    )


def _state(hours: Mapping[datetime, Hour], dates: Sequence[date], hour: int) -> Hour | None:
    seen = {hours.get(datetime(day.year, day.month, day.day, hour)) for day in dates}
    return next((state for state in _WORST if state in seen), None)


def _runs(states: Sequence[Hour | None]) -> list[tuple[Hour, int, int]]:
    """Return each run of equal hours: its state, its first hour, its length."""
    found: list[tuple[Hour, int, int]] = []
    for hour, state in enumerate(states):
        if state is None:
            continue
        if found and found[-1][0] is state and found[-1][1] + found[-1][2] == hour:
            found[-1] = (state, found[-1][1], found[-1][2] + 1)
        else:
            found.append((state, hour, 1))
    return found
