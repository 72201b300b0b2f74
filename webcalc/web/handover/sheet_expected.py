"""What the camera shows if all goes by the plan: minutes after the start, and date by date until somebody comes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import Counts, counts_between
from webcalc.calc.unknown import or_none
from webcalc.calc.visits.rules import Visit
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked
from webcalc.web.questions.visits.words import range_words
from webcalc.web.words.say import NBSP, Say

#: After how much recording the crew may compare the camera with the plan.
CHECKED_AFTER = {"10 min": timedelta(minutes=10), "1 hour": timedelta(hours=1), "1 day": timedelta(days=1)}
#: Dates before the first visit on which somebody may come by; own choice, for one page of paper.
DATES = 4
_NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Expected:
    """What the camera shows at a time: frames, what they take on the card at most, what is left of the battery."""

    when: str
    frames: str
    card: str
    battery: str = ""


@dataclass(frozen=True)
class Compared:
    """The rows of the sheet's table, the short ones and those by date, each with the same as data.

    has_battery : whether there is a column for it; a camera on mains has none
    """

    soon: tuple[Expected, ...]
    by_date: tuple[Expected, ...]
    soon_data: list[dict[str, Any]]
    by_date_data: list[dict[str, Any]]
    has_battery: bool


def compared(asked: Asked, visits: tuple[Visit, ...]) -> Compared:
    """Return what to compare the camera with; ``visits`` are the planned ones that the sheet lists."""
    soon = list(_soon(asked))
    looks = () if asked.inputs.errors else or_none(asked.shoot.visits.looks(DATES)) or ()
    # A look at the end of the day on which somebody comes anyway says the same twice.
    looks = tuple(look for look in looks if not visits or look.date < visits[0].date)
    rows = [_row(asked, "after", look) for look in looks] + [_row(asked, "visit", visit) for visit in visits]
    return Compared(
        soon=tuple(words for words, _data in soon),
        by_date=tuple(rows),
        soon_data=[data for _words, data in soon],
        by_date_data=[_data_of(asked, visit) for visit in (*looks, *visits)],
        has_battery=asked.shoot.battery.needed,
    )


def _soon(asked: Asked) -> Iterator[tuple[Expected, dict[str, Any]]]:
    shoot, say = asked.shoot, asked.say
    schedule = None if asked.inputs.errors else or_none(shoot.schedule)
    recording, interval_s = or_none(shoot.recording), or_none(shoot.interval_s)
    if schedule is None or recording is None or interval_s is None or not schedule.recorded_dates:
        return
    begin = schedule.window_on(schedule.recorded_dates[0])[0]
    for after, length in CHECKED_AFTER.items():
        counts = counts_between(schedule, recording, begin, begin + length)
        size = or_none(shoot.card.taken(begin, begin + length))
        words = range_words(size.map(say.size)) if size else _NOT_KNOWN
        data = {
            "after_s": length,
            "frames": counts.frames,
            "bursts": counts.bursts,
            "card_bytes": ends(size),
        }
        yield Expected(f"after {after}", _counted(say, counts, " frame"), words), data


def _row(asked: Asked, which: str, visit: Visit) -> Expected:
    """Return one date; the end that protects stands beside the expected value."""
    shoot, say = asked.shoot, asked.say
    # Four columns on the narrowest phone: a date may be broken there.
    when = f"{which} {say.day(visit.date, weekday=False)}".replace(NBSP, " ")
    card, left = visit.card_used_bytes, visit.battery_left_share
    on_card = "" if not shoot.card.kept else _with_end(card, say.size, "at most")
    battery = _with_end(left, say.percent, "at least") if shoot.battery.needed else ""
    return Expected(when, _counted(say, visit.counts), on_card, battery)


def _counted(say: Say, counts: Counts, unit: str = "") -> str:
    frames = say.count(counts.frames, "frame") if unit else say.number(counts.frames)
    return frames + (f", {say.count(counts.bursts, 'burst')}" if counts.bursts else "")


def _with_end(value: Estimate[Any] | None, write: Callable[[Any], str], which: str) -> str:
    """Return the expected value, and the end that protects where it reads otherwise."""
    if value is None:
        return _NOT_KNOWN
    expected, end = write(value.expected), write(value.high if which == "at most" else value.low)
    return expected if end == expected else f"{expected}, {which} {end}"


def _data_of(asked: Asked, visit: Visit) -> dict[str, Any]:
    return {
        "at": asked.shoot.visits.site_time(visit.at),
        "frames": visit.counts.frames,
        "bursts": visit.counts.bursts,
        "card_bytes": ends(visit.card_used_bytes),
        "battery_left_share": ends(visit.battery_left_share),
        "visit": bool(visit.reasons),
    }
