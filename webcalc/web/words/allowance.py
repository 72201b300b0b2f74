"""What the battery allows in one sentence, for every page that has to say that the draw isn't known."""

from __future__ import annotations

from webcalc.calc.unknown import known, or_none
from webcalc.web.http.page import Asked


def allowed_words(asked: Asked) -> str:
    """Say how little the camera may draw on average for the battery to last; empty where that isn't known."""
    say, battery, schedule = asked.say, asked.shoot.battery, asked.shoot.schedule
    allowed_w = or_none(battery.allowance.mean_w)
    if allowed_w is None or not known(schedule) or asked.records_nothing:
        return ""
    to = say.day(schedule.last)
    if not allowed_w.low:
        return f"To {to} the battery can't be counted on at all: it may lose its energy by itself."
    volts = or_none(battery.allowance.volts)
    by_volts = f"{say.unit(allowed_w.low * 1000 / volts, 'mA', 2)} at {say.unit(volts, 'V')}, " if volts else ""
    return (
        f"The battery lasts to {to} if the camera averages under {say.unit(allowed_w.low * 1000, 'mW', 2)} "
        f"({by_volts}frames included)."
    )
