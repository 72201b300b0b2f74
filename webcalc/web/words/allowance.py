"""What the battery allows and that a draw is a kind's, for every page on which a draw isn't known or measured."""

from __future__ import annotations

from webcalc.calc.power.load import Way
from webcalc.calc.unknown import known, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import LOOK, Text


def by_kind(asked: Asked) -> Text | None:
    """Say that the draw is that of a kind, with the step to measure it; None where it is known otherwise."""
    battery = asked.shoot.battery
    if not battery.needed or or_none(battery.draws.way) != Way.KIND or not known(battery.runtime):
        return None
    words = "What the camera draws is that of its kind, from memory: measure it before you count on this."
    return Text(words, LOOK, asked.url("battery"), "Battery")


def allowed_figure(asked: Asked) -> str:
    """Return under what mean draw the battery lasts; empty where that isn't known, or none is small enough."""
    allowed_w = or_none(asked.shoot.battery.allowance.mean_w)
    if allowed_w is None or not allowed_w.low or not allowed_words(asked):
        return ""
    return f"Under {asked.say.unit(allowed_w.low * 1000, 'mW', 2)}"


def allowed_words(asked: Asked) -> str:
    """Say how little the camera may draw on average for the battery to last; empty where that isn't known."""
    say, battery, schedule = asked.say, asked.shoot.battery, asked.shoot.schedule
    allowed_w = or_none(battery.allowance.mean_w)
    if allowed_w is None or not known(schedule) or asked.records_nothing:
        return ""
    to = say.day(schedule.last)
    if not allowed_w.low:
        return f"To {to} the battery can't be counted on at all: it may lose its energy by itself."
    volts = or_none(battery.pack_v)
    by_volts = f"{say.unit(allowed_w.low * 1000 / volts, 'mA', 2)} at {say.unit(volts, 'V')}, " if volts else ""
    return (
        f"The battery lasts to {to} if the camera averages under {say.unit(allowed_w.low * 1000, 'mW', 2)} "
        f"({by_volts}frames included)."
    )
