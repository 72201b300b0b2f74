"""Sentences of the page ``/solar``."""

from __future__ import annotations

from webcalc.calc.power.irradiation import FAO_WINTER_LATITUDE_DEG
from webcalc.calc.power.load import Way
from webcalc.calc.power.panel import ChargeRule
from webcalc.calc.power.panel_balance import LARGEST_PANEL_W
from webcalc.calc.power.results import SolarResults
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.words.answer import FAILS, LOOK, Points, Text
from webcalc.web.words.cautions import LOCAL_CODES, charging
from webcalc.web.words.say import Say


def watts(say: Say, rated_w: float) -> str:
    """Write a panel's power."""
    return say.unit(rated_w, "W")


def _refused_months(rule: ChargeRule) -> tuple[list[int], list[int]]:
    """Return the months too cold and those too hot to charge in."""
    refused = [month for month in range(1, 13) if not rule.charges_in(month)]
    hottest_c = rule.hottest_charge_c
    hot = [month for month in refused if hottest_c is not None and rule.day_c_by_month[month - 1] > hottest_c]
    return [month for month in refused if month not in hot], hot


def _listed(months: list[int]) -> str:
    return ", ".join(MONTHS[month - 1] for month in months)


def warnings(asked: Asked) -> list[Text]:
    """Return what to know before trusting the balance."""
    say, battery, found = asked.say, asked.shoot.battery, []
    top_up = or_none(battery.panel.top_up)
    if top_up is not None:
        cell = need(battery.cell_used)
        coldest, hottest = (say.temperature(end) for end in cell.charge_limits_c)
        cold, hot = _refused_months(top_up.rule)
        if cold:
            found.append(f"Nothing is charged in {_listed(cold)}: {cell.name} not at {coldest} or below.")
        if hot:
            found.append(f"Nothing is charged in {_listed(hot)}: {cell.name} not above {hottest}.")
        if abs(top_up.latitude_deg) > FAO_WINTER_LATITUDE_DEG:
            found.append("Beyond 55° of latitude the formula is weak in winter: the low end there is an overcast sky.")
    if or_none(battery.draws.way) in (Way.LASTED, Way.CHARGE):
        found.append("The draw was taken from a run of the battery: right only if no panel was on it then.")
    return [Text(sentence, LOOK) for sentence in found]


def cautions(say: Say) -> Points:
    """Return the cautions for a panel on a battery."""
    items = [
        *charging(say),
        "Between panel and battery a charge controller for its type.",
        "Permanent solar wiring: licensed electrician, NEC 690 or the local equivalent.",
        "Mean days, open sky: shade, snow and dirt come on top. Leave a margin.",
        LOCAL_CODES,
    ]
    return Points("Cautions", items, folded=True)


def smallest_text(asked: Asked, found: SolarResults) -> Text | None:
    """Propose the smallest panel, where the typed one doesn't carry or there is none."""
    say, smallest = asked.say, found.smallest_panel_w
    if smallest is None:
        balances = or_none(asked.shoot.battery.panel.balances)
        why = "; too many days without charging" if balances and balances.low.frozen_days else ""
        return Text(f"No panel up to {watts(say, LARGEST_PANEL_W)}, so mounted, carries it{why}.", FAILS)
    if smallest == 0 or asked.shoot.battery.contradicted is not False:
        return None
    words = f"It carries with {watts(say, smallest)}"
    return Text("", href=asked.url("solar", panel_w=smallest), link_words=words)
