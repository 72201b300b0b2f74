"""What the battery allows and that a draw is a kind's, for every page on which a draw isn't known or measured."""

from __future__ import annotations

import math

from webcalc.calc.power.kinds import MILLI
from webcalc.calc.power.load import Way
from webcalc.calc.unknown import known, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import LOOK, Text
from webcalc.web.words.say import Say

#: A floating-point number just below a step is on it.
EXACT = 1e-9


def by_kind(asked: Asked) -> Text | None:
    """Say that the draw is that of a kind, with the step to measure it; None where it is known otherwise."""
    battery = asked.shoot.battery
    if not battery.needed or or_none(battery.draws.way) != Way.KIND or not known(battery.runtime):
        return None
    words = "What the camera draws is that of its kind, from memory: measure it before you count on this."
    return Text(words, LOOK, asked.url("battery"), "Battery")


def under_words(say: Say, most: float, unit: str = "mW") -> str:
    """Write what must not be passed: rounded down, to two figures."""
    step = 10.0 ** (math.floor(math.log10(most)) - 1)
    return say.unit(math.floor(most / step + EXACT) * step, unit, 2)


def allowed_words(asked: Asked) -> str:
    """Say how little the camera may draw on average for the battery to last; empty where that isn't known."""
    say, schedule = asked.say, asked.shoot.schedule
    allowed_w = or_none(asked.shoot.battery.allowance.mean_w)
    if allowed_w is None or not known(schedule) or asked.records_nothing:
        return ""
    to = say.day(schedule.last)
    if not allowed_w.low:
        return f"To {to} the battery can't be counted on at all: it may lose its energy by itself."
    under = under_words(say, allowed_w.low * MILLI)
    return f"The battery lasts to {to} if the camera averages under {under} {_by_volts(asked, allowed_w.low)}."


def allowed_answer(asked: Asked) -> tuple[str, str] | None:
    """Answer backwards: the draw it lasts with as figure, and until when as sentence; None where there is none."""
    allowance, schedule, say = asked.shoot.battery.allowance, asked.shoot.schedule, asked.say
    if asked.records_nothing:
        return None
    if known(schedule):
        allowed_w, long = or_none(allowance.mean_w), f"to {say.day(schedule.last)}"
    else:
        by_days = or_none(allowance.by_days) or ((0, None),)
        (days, allowed_w), *_ = by_days
        long = say.count(days, "day")
    if allowed_w is None or not allowed_w.low:
        return None
    return (
        f"Under {under_words(say, allowed_w.low * MILLI)}",
        f"on average it lasts {long} {_by_volts(asked, allowed_w.low)}. Not known: what the camera draws. Its kind "
        "gives a first range.",
    )


def _by_volts(asked: Asked, mean_w: float) -> str:
    """Say what a draw is as a current, where the voltage is known, and that it is all that is drawn."""
    say, volts = asked.say, or_none(asked.shoot.battery.pack_v)
    current = f"{under_words(say, mean_w * MILLI / volts, 'mA')} at {say.unit(volts, 'V')}, " if volts else ""
    return f"({current}frames included)"
