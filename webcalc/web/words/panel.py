"""A solar panel in one line, for pages that are about something else."""

from __future__ import annotations

from webcalc.calc.power.panel_balance import PanelMonth
from webcalc.calc.power.results import carries
from webcalc.calc.unknown import need, or_none
from webcalc.calc.verdict import Part, State, Why, judge
from webcalc.web.http.page import Asked
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.words.answer import LOOK, Text
from webcalc.web.words.say import NBSP


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
