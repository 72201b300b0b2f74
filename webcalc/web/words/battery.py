"""Battery and panel in a few words, for pages that are about something else."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from webcalc.calc.power.kinds import MILLI
from webcalc.calc.power.load import Way
from webcalc.calc.power.panel import season_of
from webcalc.calc.power.panel_balance import PanelMonth
from webcalc.calc.power.panel_chance import Chance
from webcalc.calc.power.results import carries
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import Part, State, Why, judge
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.answer import LOOK, Text
from webcalc.web.words.say import NBSP, Say

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked

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


def month_words(month: PanelMonth) -> str:
    """Write a month of a shoot: Dec 2027."""
    return f"{MONTHS[month.month - 1]}{NBSP}{month.year}"


def solar_text(asked: Asked) -> Text | None:
    """Say what a panel adds in the worst month and whether it carries, with the step to its page; None without one."""
    shoot, say = asked.shoot, asked.say
    panel = shoot.battery.panel
    if not shoot.battery.needed or not panel.typed:
        return None
    month, harvest = or_none(panel.worst_month), or_none(panel.worst_month_harvest_wh_per_day)
    step = {"href": asked.url("solar"), "link_words": "Solar panel"}
    if month is None or harvest is None:
        return Text(
            "What the solar panel adds isn't known yet, so neither is how long the battery lasts.", LOOK, **step
        )
    adds = f"Panel: {say.unit(harvest.low, 'Wh')} a day at worst in {month_words(month.low)}, its worst month"
    balances = or_none(panel.balances)
    if balances and balances.low.frozen_days:
        adds += f"; not charged on {say.count(balances.low.frozen_days, 'day')}, too cold or too hot"
        if not shoot.battery.by_season:
            adds += f" ({say.temperature(need(shoot.temp_c))} taken all year; the page for the panel asks by season)"
    carried = carries(shoot)
    if carried is None:
        return Text(f"{adds}.", **step)
    battery = judge(shoot, (Part.BATTERY,)).of(Part.BATTERY)
    if battery is not None and battery.why is Why.DARK_DAYS and battery.state is State.DOUBTFUL:
        return Text(f"{adds}; carries the shoot on mean days, not surely on dark ones.", "", **step)
    return Text(f"{adds}; {'carries' if carried else 'does not carry'} the shoot.", "", **step)


#: Nearer to the equator no season is dark.
_TROPICS_DEG = 23.5
#: Days of local winter that make a shoot's year a winter.
_WINTER_DAYS = 30
_WINTER = 0

BY_MEAN_DAYS = (
    "A panel carries the battery on mean days; how often dark days empty it is not known: "
    f"add {QUANTITIES['sunshine'].label}."
)


def _spell(shoot: Shoot) -> str:
    """Return what the years of a shoot are called: winters, where it has one."""
    draw, latitude = or_none(shoot.battery.dark_runs.draw), or_none(shoot.daylight.latitude_deg)
    if draw is None or latitude is None or abs(latitude) < _TROPICS_DEG:
        return "year"
    span = min(365, (draw.last - draw.first).days + 1)
    days = sum(season_of(draw.day(n).month, latitude > 0) == _WINTER for n in range(span))
    return "winter" if days >= _WINTER_DAYS else "year"


def often(chance: Chance, shoot: Shoot) -> str:
    """Write a chance as people count: 1 of 20 winters; rounded to the more frequent side."""
    spell, least = _spell(shoot), "at least " if chance.at_least else ""
    if chance.share < 0.01:
        return f"{least or 'fewer than '}1 of 100 {spell}s"
    if chance.share > 0.9:
        return f"nearly every {spell}"
    if chance.share > 0.3:
        return f"{least}{math.ceil(chance.share * 10)} of 10 {spell}s"
    years = math.floor(1 / chance.share)
    return f"{least}1 of {years if years <= 20 else years // 5 * 5} {spell}s"


def dark_days_words(shoot: Shoot) -> str:
    """Say how often dark days bring the battery to its reserve, as far as that is known."""
    chance = shoot.battery.dark_runs.chance
    if not known(chance) or chance is None:
        return BY_MEAN_DAYS
    return f"Dark days bring the battery to its reserve in {often(chance, shoot)}."


def in_a_row(shoot: Shoot, say: Say) -> str:
    """Name the run of dark days that empties it; empty where none does."""
    days = or_none(shoot.battery.dark_runs.days_to_reserve)
    if days is None:
        return ""
    if not days:
        return "One dark day brings it to its reserve."
    return f"{say.count(days, 'dark day')} in a row {'brings' if days == 1 else 'bring'} it from full to its reserve."
