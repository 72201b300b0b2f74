"""The picture of a whole shoot: time across; light with the window over it, card, battery, visits, and now.

Each row stands for itself, so that a page can show its own one large. A filled band goes from the optimistic to the
pessimistic end, a line is what is expected, a dashed line is the limit. Black, white and one more ink: it shows in the
sun, in dark mode and in print.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from markupsafe import Markup

from webcalc.calc.estimate import Estimate
from webcalc.calc.light.days import ClockStretch, SunDay
from webcalc.web.pictures.daylight import light_row

_LEFT, _WIDTH = 56, 280
_ROW, _GAP = 34, 12
_TEXT = 12
#: No letter or digit of a date is wider, in any of the usual fonts; so much lies between two dates at least.
_LETTER, _APART = 7, 6

#: A course: for each stretch between two visits, where a point lies (0 to 1) and its share.
Course = Sequence[Sequence[tuple[float, Estimate[float]]]]


@dataclass(frozen=True)
class Strip:
    """What is drawn; a row that isn't known is left out.

    light : every date, its zone, and how the window lies on the wall clock
    card : share of what may be used that is filled
    battery : share left; ``reserve`` is the share not to be used
    found_card, found_battery : where a visit was, and what it found
    visits : where visits lie, ``fetched`` where the camera is fetched, 0 to 1
    upright : where a line stands through all rows, and what is written over it: now, or the day that a limit is met
    marks : dates written at their place under the rows
    ends : first and last date in words
    """

    ends: tuple[str, str]
    light: tuple[Sequence[SunDay], ZoneInfo, Sequence[ClockStretch]] | None = None
    card: Course = ()
    battery: Course = ()
    reserve: float = 0
    found_card: Sequence[tuple[float, float]] = ()
    found_battery: Sequence[tuple[float, float]] = ()
    visits: Sequence[float] = ()
    fetched: float | None = None
    upright: tuple[float, str] | None = None
    marks: Sequence[tuple[float, str]] = ()
    row_height: int = _ROW


def strip_picture(strip: Strip) -> Markup:
    """Return the picture."""
    drawn: list[Markup] = []
    top = 2 if strip.upright is None else _TEXT + 2
    begin, height = top, strip.row_height
    if strip.light is not None:
        drawn.append(light_row(*strip.light, at=(_LEFT, top), size=(_WIDTH, 48)))
        drawn.append(_label("Light", top + 24))
        top += 48 + _GAP
    card, battery = (strip.card, 1.0, strip.found_card), (strip.battery, strip.reserve, strip.found_battery)
    for label, (course, limit, found) in (("Card", card), ("Battery", battery)):
        if course:
            drawn.append(_course_row(course, limit, top, height))
            drawn.extend(_ring(at, top + round((1 - share) * height)) for at, share in found)
            drawn.append(_label(label, top + height // 2))
            top += height + _GAP
    if strip.visits or strip.fetched is not None:
        drawn.append(_visits_row(strip, top + 6))
        drawn.append(_label("Visits", top + 6))
        top += 12 + _GAP
    top -= _GAP
    if strip.upright is not None:
        drawn.append(_upright(*strip.upright, begin, top))
    height = top + _TEXT + 6
    return Markup(
        '<svg viewBox="0 0 {w} {h}" aria-hidden=true fill=none font-size={size}>{rows}<g fill=currentColor>{dates}</g>'
        "</svg>"
    ).format(
        w=_LEFT + _WIDTH + 6, h=height, size=_TEXT, rows=Markup().join(drawn), dates=_dates(strip, top + _TEXT + 2)
    )


def _upright(at: float, words: str, begin: int, end: int) -> Markup:
    """Draw a line through the rows, and write over it what it stands for."""
    half = len(words) * _LETTER // 2
    middle = min(_x(at), _LEFT + _WIDTH - half)
    line = Markup("<path stroke=currentColor stroke-width=2 d='M{} {}V{}'/>").format(_x(at), begin - 2, end)
    return line + Markup("<text fill=currentColor x={} y={} text-anchor=middle>{}</text>").format(
        middle, _TEXT - 2, words
    )


def _x(share: float) -> int:
    return _LEFT + round(share * _WIDTH)


def _ring(at: float, y: int) -> Markup:
    """Draw what was found at a visit."""
    return Markup("<circle stroke=currentColor stroke-width=2 cx={} cy={} r=4 />").format(_x(at), y)


def _label(words: str, y: int) -> Markup:
    return Markup("<text fill=currentColor x=0 y={}>{}</text>").format(y + 4, words)


def _course_row(course: Course, limit: float, top: int, height: int) -> Markup:
    """Draw the band between the ends, the expected line, the frame and the limit."""

    def y(share: float) -> int:
        return top + round((1 - share) * height)

    bands, line = [], []
    for stretch in course:
        upper = [f"{_x(at)} {y(share.high)}" for at, share in stretch]
        lower = [f"{_x(at)} {y(share.low)}" for at, share in reversed(stretch)]
        bands.append("M" + "L".join((*upper, *lower)) + "z")
        line.extend(f"{_x(at)} {y(share.expected)}" for at, share in stretch)
    return Markup(
        '<path stroke=currentColor stroke-opacity=.5 d="M{left} {bottom}h{width}"/>'
        '<g class=a><path fill=currentColor fill-opacity=.35 d="{bands}"/>'
        '<path stroke=currentColor stroke-width=2.5 d="M{line}"/></g>'
        '<path stroke=currentColor stroke-dasharray="3 3" d="M{left} {limit}h{width}"/>'
    ).format(left=_LEFT, width=_WIDTH, bottom=top + height, limit=y(limit), bands="".join(bands), line="L".join(line))


def _visits_row(strip: Strip, y: int) -> Markup:
    """Draw a dot for each visit and a square where the camera is fetched."""
    dots = Markup().join(Markup("<circle cx={} cy={} r=5 />").format(_x(at), y) for at in strip.visits)
    if strip.fetched is not None:
        dots += Markup('<path d="M{} {}h10v10h-10z"/>').format(_x(strip.fetched) - 5, y - 5)
    return Markup("<g fill=currentColor>{}</g>").format(dots)


def _dates(strip: Strip, y: int) -> Markup:
    """Write first and last date, and between them the marked ones for which there is room."""
    first, last = strip.ends
    written = [Markup("<text x={} y={}>{}</text>").format(_LEFT, y, first)]
    free_from = _LEFT + len(first) * _LETTER + _APART
    free_to = _LEFT + _WIDTH - len(last) * _LETTER - _APART
    for at, words in strip.marks:
        x, half = _x(at), len(words) * _LETTER // 2
        if free_from + half <= x <= free_to - half:
            written.append(Markup("<text x={} y={} text-anchor=middle>{}</text>").format(x, y, words))
            free_from = x + half + _APART
    if last != first:
        written.append(Markup("<text x={} y={} text-anchor=end>{}</text>").format(_LEFT + _WIDTH, y, last))
    return Markup().join(written)
