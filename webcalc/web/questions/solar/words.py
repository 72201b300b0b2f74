"""Sentences about a solar panel: on its own page, in one line on others, and the cautions."""

from __future__ import annotations

from webcalc.calc.power.irradiation import FAO_WINTER_LATITUDE_DEG
from webcalc.calc.power.load import Way
from webcalc.calc.power.panel import ChargeRule
from webcalc.calc.power.panel_balance import LARGEST_PANEL_W, PanelMonth
from webcalc.web.link.kinds.times import MONTHS
from webcalc.web.questions.solar.case import SolarCase
from webcalc.web.words.answer import FAILS, LOOK, Points, Text
from webcalc.web.words.cautions import LOCAL_CODES
from webcalc.web.words.say import NBSP, Say


def month_words(month: PanelMonth) -> str:
    """Write a month of a shoot: Dec 2027."""
    return f"{MONTHS[month.month - 1]}{NBSP}{month.year}"


def watts(say: Say, rated_w: float) -> str:
    """Write a panel's power."""
    return say.unit(rated_w, "W")


def solar_text(case: SolarCase) -> Text | None:
    """Say in one line what a panel adds in the worst month and whether it carries, with the step to its page.

    For pages that are about something else; None without a panel.
    """
    if not case.panel.typed:
        return None
    say, month, harvest = case.say, case.worst_month, case.worst_harvest_wh
    step = {"href": case.asked.url("solar"), "link_words": "Solar panel"}
    if month is None or harvest is None:
        return Text(
            "What the solar panel adds isn't known yet, so neither is how long the battery lasts.", LOOK, **step
        )
    adds = f"Panel: {say.unit(harvest.low, 'Wh')} a day at worst in {month_words(month.low)}, its worst month"
    if case.carries is None:
        return Text(f"{adds}.", **step)
    return Text(f"{adds}; {'carries' if case.carries else 'does not carry'} the shoot.", "", **step)


def frozen_months(rule: ChargeRule) -> tuple[list[int], list[int]]:
    """Return the months too cold and those too hot to charge in."""
    refused = [month for month in range(1, 13) if not rule.charges_in(month)]
    hot = [
        m for m in refused if rule.hottest_charge_c is not None and rule.day_c_by_month[m - 1] > rule.hottest_charge_c
    ]
    return [month for month in refused if month not in hot], hot


def _listed(months: list[int]) -> str:
    return ", ".join(MONTHS[month - 1] for month in months)


def warnings(case: SolarCase) -> list[str]:
    """Return what to know before trusting the balance."""
    found: list[str] = []
    say, top_up = case.say, case.top_up
    if top_up is not None:
        cell = case.panel.cell
        coldest, hottest = (say.temperature(end) for end in cell.charge_limits_c)
        cold, hot = frozen_months(top_up.rule)
        if cold:
            found.append(f"Nothing is charged in {_listed(cold)}: {cell.name} not at {coldest} or below.")
        if hot:
            found.append(f"Nothing is charged in {_listed(hot)}: {cell.name} not above {hottest}.")
        if abs(top_up.latitude_deg) > FAO_WINTER_LATITUDE_DEG:
            found.append("Beyond 55° of latitude the formula is weak in winter: the low end there is an overcast sky.")
    if case.case.way in (Way.LASTED, Way.CHARGE):
        found.append("The draw was taken from a run of the battery: right only if no panel was on it then.")
    return found


def cautions(case: SolarCase) -> Points:
    """Return the cautions for a panel on a battery."""
    return Points(
        "Cautions",
        [
            "Never charge lithium below 0 °C or above 45 °C. Never charge lead-acid in a sealed box: explosive gas.",
            "Fuse at the battery; between panel and battery a charge controller for its type.",
            "Permanent solar wiring: licensed electrician, NEC 690 or the local equivalent.",
            "Mean days, open sky: shade, snow and dirt come on top. Leave a margin.",
            LOCAL_CODES,
        ],
        folded=True,
    )


def smallest_text(case: SolarCase) -> Text | None:
    """Propose the smallest panel, where the typed one doesn't carry or there is none."""
    if not case.can_size or case.carries:
        return None
    smallest = case.smallest_w
    if smallest is None:
        why = "; too many days without charging" if case.balances and case.balances.low.frozen_days else ""
        return Text(f"No panel up to {watts(case.say, LARGEST_PANEL_W)}, so mounted, carries it{why}.", FAILS)
    if smallest == 0:
        return None
    words = f"It carries with {watts(case.say, smallest)}"
    return Text("", href=case.asked.url("solar", panel_w=smallest), link_words=words)
