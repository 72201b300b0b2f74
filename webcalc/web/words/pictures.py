"""Pictures with what they say, for every page that shows them: the whole shoot, the motion itself."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time
from fractions import Fraction

from webcalc.calc.plan import ShootNow
from webcalc.calc.unknown import known, or_none
from webcalc.calc.visits.course import Point, share_of_shoot
from webcalc.calc.visits.rules import Reason, VisitPlan
from webcalc.web.http.page import Asked
from webcalc.web.pictures.framing import RUNS_S, moving_picture
from webcalc.web.pictures.whole_shoot import Course, Strip, strip_picture
from webcalc.web.words.answer import Picture
from webcalc.web.words.say import NBSP
from webcalc.web.words.verdict import may_come_sooner

#: Height of the one row that a page shows of its own.
_LARGE_ROW = 90


def whole_shoot(asked: Asked, now: ShootNow | None = None) -> Picture | None:
    """Return light, card, battery, visits and now in one picture; None while nothing of them is known."""
    shoot, daylight, visits = asked.shoot, asked.shoot.daylight, asked.shoot.visits
    schedule, plan = shoot.schedule, or_none(visits.plan)
    course = (or_none(visits.course_of(plan)) if plan else None) or ()
    days, zone, stretches = or_none(daylight.days), or_none(daylight.zone), or_none(daylight.clock_stretches)
    light = (days, zone, stretches) if days and zone and stretches else None
    card, battery = _shares(asked, course, "card_share"), _shares(asked, course, "battery_share")
    if asked.records_nothing or not known(schedule) or not (light or card or battery):
        return None
    at = or_none(now.at) if now else None
    services = plan.services if plan else ()
    fetched = plan.visits[-1].date if plan and plan.holds and plan.visits else None
    found = _found(asked) if card or battery else ((), ())
    svg = strip_picture(
        Strip(
            _ends(asked),
            light,
            card,
            battery,
            or_none(shoot.battery.reserve_share) or 0,
            *found,
            [_noon(asked, visit.date) for visit in services],
            _noon(asked, fetched) if fetched else None,
            (share_of_shoot(schedule, at), "now") if at and schedule.starts_at <= at <= schedule.ends_at else None,
            [(_noon(asked, visit.date), _short(asked, visit.date)) for visit in services],
        )
    )
    rings = ["Rings: what visits found."] if any(found) else []
    return Picture("The whole shoot", svg, " ".join([*_told(asked, course, plan), *rings]))


def own_row(asked: Asked, reason: Reason) -> Picture | None:
    """Return the card or the battery alone, large, if nobody goes there; None while it isn't known."""
    shoot, schedule = asked.shoot, asked.shoot.schedule
    course = or_none(shoot.visits.course_if_nobody_goes(reason))
    of_card = reason is Reason.CARD
    shares = _shares(asked, course or (), "card_share" if of_card else "battery_share")
    if not shares or not known(schedule):
        return None
    ends = shoot.card.forecast if of_card else shoot.battery.runtime_to_end
    limit = None
    if known(ends):
        limit = (ends.full_at if of_card else ends.reserve_at).low
    svg = strip_picture(
        Strip(
            _ends(asked),
            card=shares if of_card else (),
            battery=() if of_card else shares,
            reserve=or_none(shoot.battery.reserve_share) or 0,
            upright=(share_of_shoot(schedule, limit), _short(asked, limit.date())) if limit else None,
            row_height=_LARGE_ROW,
        )
    )
    words = _card_words(asked, course[-1][-1]) if of_card else _battery_words(asked, course[-1][-1])
    meets = f" It may meet the dashed line on {asked.say.day(limit.date())}." if limit else ""
    return Picture("If nobody goes there", svg, f"{words}{meets}")


def _shares(asked: Asked, course: Sequence[Sequence[Point]], what: str) -> Course:
    schedule = asked.shoot.schedule
    return [
        [(share_of_shoot(schedule, point.at), getattr(point, what)) for point in stretch]
        for stretch in course
        if all(getattr(point, what) is not None for point in stretch)
    ]


def _found(asked: Asked) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """Return where past visits were, and the share filled of the card and left of the battery that they found."""
    card, battery = [], []
    for look in asked.shoot.past.looks:
        running, used, left = look.running, look.used_bytes, look.battery_left_share
        at, in_use = share_of_shoot(asked.shoot.schedule, running.at), running.planner.card
        if used is not None and in_use is not None and in_use.usable_bytes:
            card.append((at, min(1.0, used.expected / in_use.usable_bytes)))
        if left is not None:
            battery.append((at, left.expected))
    return card, battery


def _ends(asked: Asked) -> tuple[str, str]:
    schedule = asked.shoot.schedule
    return _short(asked, schedule.first), _short(asked, schedule.last)


def _short(asked: Asked, day: date) -> str:
    """Write a date without its year, which stands at the ends where it matters."""
    schedule = asked.shoot.schedule
    words = asked.say.day(day, weekday=False)
    return words if schedule.first.year != schedule.last.year else words.removesuffix(f"{NBSP}{day.year}")


def _noon(asked: Asked, day: date) -> float:
    return share_of_shoot(asked.shoot.schedule, datetime.combine(day, time(12)))


def _told(asked: Asked, course: Sequence[Sequence[Point]], plan: VisitPlan | None) -> list[str]:
    """Say what the rows show, in the order of the rows."""
    say, told = asked.say, []
    light = or_none(asked.shoot.daylight.light)
    if light is not None:
        told.append(f"Light: {say.percent(light.light_share)} of what is recorded.")
    fullest = max((s[-1] for s in course if s[-1].card_share), key=lambda p: p.card_share.high, default=None)
    if fullest:
        told.append(_card_words(asked, fullest))
    lowest = min((s[-1] for s in course if s[-1].battery_share), key=lambda p: p.battery_share.low, default=None)
    if lowest:
        told.append(_battery_words(asked, lowest))
    if plan and plan.services:
        told.append(f"Visits: {', '.join(_short(asked, visit.date) for visit in plan.services)}.")
        told.extend(filter(None, [may_come_sooner(asked.verdict)] if asked.verdict else []))
    return told


def _card_words(asked: Asked, point: Point) -> str:
    say, share = asked.say, point.card_share
    return f"Card: at most {say.percent(share.high)} of what may be used ({say.day(point.at.date())})."


def _battery_words(asked: Asked, point: Point) -> str:
    say, share = asked.say, point.battery_share
    return f"Battery: at least {say.percent(share.low)} left ({say.day(point.at.date())})."


#: A smaller part of the width in a frame isn't seen to move in a small picture. Own choice.
LEAST_SHARE = 1e-4


def motion_itself(asked: Asked, interval_s: Fraction | None) -> Picture | None:
    """Return the picture of a subject that crosses at an interval; None where nothing is known to cross."""
    if interval_s is None:
        return None
    share, fps, say = asked.shoot.moving.step_share(interval_s), asked.shoot.fps, asked.say
    if not known(share) or not known(fps) or not LEAST_SHARE < share < 1:
        return None
    told = f"Tap it: {say.percent(share)} of the picture’s width a frame, {say.number(fps)} frames a second."
    return Picture("The motion itself", moving_picture(share, float(fps)), f"{told} It runs {RUNS_S} s.")
