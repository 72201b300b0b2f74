"""The picture of light and dark: dates across, the hours of the wall clock down, the window's edges over it.

White is sun up (or light enough), grey twilight, black dark, in light and dark schemes alike. To stay small a long
shoot is drawn by sampled dates, one column each, in whole units with relative steps.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil
from zoneinfo import ZoneInfo

from markupsafe import Markup

from webcalc.calc.light.daylight import Span
from webcalc.calc.light.days import ClockStretch, SunDay
from webcalc.calc.schedule.schedule import DailyWindow

#: Longest shoot with a column a day, a week and a fortnight; beyond the last one ``MOST_COLUMNS`` are shared out.
_STEPS = ((60, 1), (420, 7), (740, 14))
MOST_COLUMNS = 120
# Small numbers are short ones: a unit is ten minutes, two pixels on a phone.
_LEFT, _WIDTH = 11, 186
_UNIT_MIN = 10
_HEIGHT = 1440 // _UNIT_MIN
_DAY_MIN = 1440
# Each step is four times as bright as the one before it, so that borders show in the sun.
_NIGHT, _TWILIGHT, _LIGHT = "#111", "#797979", "#fff"
# Hatched as well, so that it shows without colour.
_STRUCK = "#c00"


@dataclass(frozen=True)
class Raster:
    """How dates become columns: every column stands for ``step_days`` dates and is ``width`` units wide."""

    step_days: int
    columns: int
    width: int

    @classmethod
    def of(cls, days: int) -> Raster:
        """Return the raster for a number of calendar days."""
        step = next((step for longest, step in _STEPS if days <= longest), ceil(days / MOST_COLUMNS))
        columns = ceil(days / step)
        return cls(step, columns, round(_WIDTH / columns))

    def shown(self, column: int, days: int) -> int:
        """Return which date a column shows, of so many: the one in its middle."""
        return min(column * self.step_days + self.step_days // 2, days - 1)

    @property
    def across(self) -> int:
        """The width of all columns; the last one is whole even where it stands for fewer dates."""
        return self.columns * self.width

    def x(self, days: int) -> int:
        """Return where a date begins, from the first column's left edge."""
        return min(self.across, round(days * self.width / self.step_days))


def light_picture(
    days: Sequence[SunDay],
    zone: ZoneInfo,
    stretches: Sequence[ClockStretch],
    ends: tuple[str, str],
    struck: Sequence[Sequence[Span]] | None = None,
) -> Markup:
    """Return the picture of all calendar dates of a shoot; ``ends`` are the first and last date in words.

    ``struck`` are spans of each column that are hatched over the light; twilight is then left out.
    """
    raster = Raster.of(len(days))
    shown = [days[raster.shown(n, len(days))] for n in range(raster.columns)]
    right = _LEFT + raster.across
    dusky = shown if struck is None else ()
    twilight = _bars(raster, ([_minutes(span, zone) for span in day.civil.above] for day in dusky))
    light = _bars(raster, ([_minutes(span, zone) for span in day.sun.light] for day in shown))
    hatched = _bars(raster, ([_at_least_one(_minutes(span, zone)) for span in spans] for spans in struck or ()))
    hatching = Markup('<path stroke="{}" stroke-width="{}.3" stroke-dasharray="2 1" d="{}"/>')
    edges = _edges(raster, days[0].date, stretches)
    hours = "".join(f"<text x=9 y={3 + hour * 60 // _UNIT_MIN}>{hour}</text>" for hour in (0, 6, 12, 18, 24))
    # Two strokes, so that an edge shows on white and on black.
    return Markup(
        '<svg viewBox="0 -4 {w} {h}" aria-hidden=true fill=none font-size=7.5>'
        '<path fill="{night}" stroke="{grey}" stroke-width=.5 d="M{x} 0h{across}v{height}h-{across}"/>'
        '<g stroke-width="{width}.3">{twilight}<path stroke="{white}" d="{light}"/></g>'
        "{hatching}"
        '<path stroke="{grey}" stroke-width=.5 d="M{x} 36h{across}m-{across} 36h{across}m-{across} 36h{across}"/>'
        '<path stroke="{white}" stroke-width=3 d="{edges}"/><path stroke="{night}" stroke-width=1.3 d="{edges}"/>'
        '<path stroke=currentColor stroke-width=2 d="{recorded}"/>'
        "<g fill=currentColor text-anchor=end>{hours}<text x={right} y=154>{last}</text>"
        "<text x={x} y=154 text-anchor=start>{first}</text></g></svg>"
    ).format(
        w=right + 3,
        h=_HEIGHT + 16,
        x=_LEFT,
        across=raster.across,
        height=_HEIGHT,
        night=_NIGHT,
        grey=_TWILIGHT,
        white=_LIGHT,
        width=raster.width,
        twilight=Markup('<path stroke="{}" d="{}"/>').format(_TWILIGHT, twilight) if twilight else "",
        light=light,
        hatching=hatching.format(_STRUCK, raster.width, hatched) if hatched else "",
        edges=edges,
        recorded=_recorded(stretches[0].wall, _LEFT - 1) + _recorded(stretches[-1].wall, right + 1),
        hours=Markup(hours),  # noqa: S704 - whole numbers only
        right=right,
        first=ends[0],
        last=ends[1] if len(days) > 1 else "",
    )


def light_row(
    days: Sequence[SunDay],
    zone: ZoneInfo,
    stretches: Sequence[ClockStretch],
    at: tuple[int, int],
    size: tuple[int, int],
) -> Markup:
    """Return light and window alone as a row of a larger picture, at a place and of a size in its units."""
    raster = Raster.of(len(days))
    shown = [days[raster.shown(n, len(days))] for n in range(raster.columns)]
    light = _bars(raster, ([_minutes(span, zone) for span in day.sun.light] for day in shown))
    (x, y), (width, height) = at, size
    across, down = width / raster.across, height / _HEIGHT
    # Edges keep their strength however the row is squeezed; two strokes, so that they show on white and on black.
    edge = Markup('<path vector-effect=non-scaling-stroke stroke="{}" stroke-width="{}" d="{}"/>')
    edges = _edges(raster, days[0].date, stretches)
    return Markup(
        '<g transform="translate({x:g} {y}) scale({across:.4g} {down:.4g})">'
        '<path vector-effect=non-scaling-stroke fill="{night}" stroke="{grey}" '
        'd="M{left} 0h{raster}v{high}h-{raster}z"/>'
        '<path stroke="{white}" stroke-width="{step}.3" d="{light}"/>{edges}</g>'
    ).format(
        x=round(x - _LEFT * across, 1),
        y=y,
        across=across,
        down=down,
        night=_NIGHT,
        grey=_TWILIGHT,
        white=_LIGHT,
        left=_LEFT,
        raster=raster.across,
        high=_HEIGHT,
        step=raster.width,
        light=light,
        edges=edge.format(_LIGHT, 4, edges) + edge.format(_NIGHT, 2, edges),
    )


def _minutes(span: Span, zone: ZoneInfo) -> tuple[int, int]:
    """Return a span of one local date as whole units of its wall clock; an end at midnight is the bottom."""
    start, end = (instant.astimezone(zone) for instant in span)
    until = _DAY_MIN if end.date() > start.date() else end.hour * 60 + end.minute
    return round((start.hour * 60 + start.minute) / _UNIT_MIN), round(until / _UNIT_MIN)


def _at_least_one(span: tuple[int, int]) -> tuple[int, int]:
    """Return a span with a length that shows."""
    return span[0], max(span[1], span[0] + 1)


def _bars(raster: Raster, columns: Iterable[list[tuple[int, int]]]) -> str:
    """Return one upright line for each span, as relative steps of a path."""
    path: list[str] = []
    at_x, at_y = None, 0
    for n, spans in enumerate(columns):
        for top, bottom in spans:
            if bottom <= top:
                continue
            if at_x is None:
                path.append(f"M{_LEFT + n * raster.width + raster.width / 2:g} {top}")
            else:
                path.append(f"m{(n - at_x) * raster.width}{_joined(top - at_y)}")
            path.append(f"v{bottom - top}")
            at_x, at_y = n, bottom
    return "".join(path)


def _joined(number: int) -> str:
    """Return a number as it follows another in a path: the sign is separator enough."""
    return f"{number}" if number < 0 else f" {number}"


def _recorded(window: DailyWindow, x: int) -> str:
    """Return a bar beside the picture over the recorded hours; over midnight in two parts."""
    start, end = (round((clock.hour * 60 + clock.minute) / _UNIT_MIN) for clock in (window.start, window.end))
    if start < end or end == 0:
        return f"M{x} {start}V{end or _HEIGHT}"
    return f"M{x} 0V{end}M{x} {start}V{_HEIGHT}"


def _edges(raster: Raster, first: date, stretches: Sequence[ClockStretch]) -> str:
    """Return the window's two edges on the wall clock, with a step where the wall clock is moved."""
    path = []
    for edge in ("start", "end"):
        before = None
        for n, stretch in enumerate(stretches):
            begin = raster.x(max(0, (stretch.since - first).days)) if n else 0
            stop = raster.x((stretches[n + 1].since - first).days) if n + 1 < len(stretches) else raster.across
            clock = getattr(stretch.wall, edge)
            y = round((clock.hour * 60 + clock.minute) / _UNIT_MIN)
            if edge == "end" and y == 0:
                y = _HEIGHT
            # A step past midnight starts again on the other side.
            joined = before is not None and abs(y - before) < _HEIGHT // 2
            path.append(f"v{y - before}" if joined and before is not None else f"M{_LEFT + begin} {y}")
            path.append(f"h{stop - begin}")
            before = y
    return "".join(path)
