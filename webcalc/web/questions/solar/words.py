"""Sentences of the page ``/solar``, and how its figures come about."""

from __future__ import annotations

import math

from webcalc.calc.formula import Working, work
from webcalc.calc.power import irradiation, panel
from webcalc.calc.power.dark_runs import brightest
from webcalc.calc.power.irradiation import FAO_WINTER_LATITUDE_DEG
from webcalc.calc.power.load import Way
from webcalc.calc.power.panel import ChargeRule
from webcalc.calc.power.panel_balance import LARGEST_PANEL_W, PanelMonth
from webcalc.calc.power.results import SolarResults
from webcalc.calc.power.sky import MEAN_DAY_LATITUDE_DEG, MonthlySky, SiteSun, Sky
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.answer import FAILS, LOOK, Fact, Points, Row, Table, Text
from webcalc.web.words.battery import often
from webcalc.web.words.cautions import LOCAL_CODES, charging
from webcalc.web.words.say import Say
from webcalc.web.words.working import LOAD_END, How, above_reserve_working


def lowest_how(asked: Asked, end: str) -> How:
    """Say what the lowest state of a battery is walked from."""
    say, battery = asked.say, asked.shoot.battery
    supply, (recorded, idle) = need(battery.supply_alone, battery.panel.day_loads)
    usable, day, other = (
        say.unit(getattr(found, which), "Wh")
        for found, which in ((supply.usable_wh, end), (recorded, LOAD_END[end]), (idle, LOAD_END[end]))
    )
    return (
        f"Day by day from a full battery, {usable} usable: {day} go on a recorded day, {other} on an idle one, lost by "
        "itself counted; a mean day of its month brings what the panel gives, never above full. Looked at each noon.",
    )


def month_how(asked: Asked, month: PanelMonth) -> How:
    """Show what the panel gives on a day of a month, and what is drawn in all of it."""
    say = asked.say
    drawn, given = say.unit(month.load_wh, "Wh"), say.unit(month.gross_wh, "Wh")
    cold = f", {say.unit(month.frozen_wh, 'Wh')} of it on days without charging" if month.frozen_wh else ""
    days = say.count(month.days, "day")
    return (f"At worst, in {days} of it: {given} from the panel{cold}, {drawn} drawn.", *panel_working(asked))


def smallest_how(asked: Asked) -> How:
    """Say how the smallest panel was found."""
    own_sun = or_none(asked.shoot.battery.panel.site_sun) is not None
    held = "the reserve is touched in no more than 1 of 20 years" if own_sun else "the reserve isn’t reached, at worst"
    return (f"The first of all sizes up to {asked.say.unit(LARGEST_PANEL_W, 'W')}, so mounted, with which {held}.",)


def frozen_how(asked: Asked) -> How:
    """Say on which days nothing is charged."""
    cell = need(asked.shoot.battery.cell_used)
    coldest, hottest = (asked.say.temperature(end) for end in cell.charge_limits_c)
    return (f"Days of months whose temperature is outside {coldest} to {hottest}, the limits for charging.",)


def panel_working(asked: Asked) -> list[Working]:
    """Return the arithmetic of the worst month (the darkest one while that isn't known), expected sky."""
    shoot_panel = asked.shoot.battery.panel
    top_up, by_month = or_none(shoot_panel.top_up), or_none(shoot_panel.by_month)
    if top_up is None or by_month is None or abs(top_up.latitude_deg) > MEAN_DAY_LATITUDE_DEG:
        return []  # near the poles it is a sum over the month's days
    worst = or_none(shoot_panel.worst_month)
    month = worst.low.month if worst else min(range(1, 13), key=lambda n: by_month[n - 1].expected)
    day, latitude, mounted = irradiation.MONTH_MEAN_DAYS[month - 1], top_up.latitude_deg, top_up.panel
    declination = work(irradiation.fao_declination_deg, day_of_year=day)
    distance = work(irradiation.inverse_sun_distance, day_of_year=day)
    sunset = work(irradiation.sunset_hour_angle_deg, latitude_deg=latitude, declination_deg=declination.result)
    extraterrestrial = work(
        irradiation.extraterrestrial_mj_per_m2,
        solar_constant_mj_per_m2_min=irradiation.FAO_SOLAR_CONSTANT_MJ_PER_M2_MIN,
        inverse_distance=distance.result,
        latitude_deg=latitude,
        declination_deg=declination.result,
        sunset_deg=sunset.result,
    )
    clearness = top_up.sky.clearness_in(latitude, month).expected
    if not isinstance(top_up.sky, Sky):
        # The days lie between 0.05 and the brightest, as many dark as bright ones as give the mean.
        shares = top_up.sky.sunshine[month - 1 : month] if isinstance(top_up.sky, SiteSun) else ()
        mean = [work(irradiation.clearness_of_sky, sunshine_share=share) for share in shares]
        return [extraterrestrial, *mean, work(brightest, mean=clearness)]
    plane = work(
        irradiation.plane_mj_per_m2,
        horizontal_mj_per_m2=max(0.0, extraterrestrial.result) * clearness,
        diffuse=irradiation.diffuse_share(clearness, sunset.result),
        beam=irradiation.beam_ratio(latitude, declination.result, mounted.tilt_deg, mounted.facing.from_equator_deg),
        tilt_deg=mounted.tilt_deg,
        reflectance=mounted.ground_reflectance,
    )
    lost = mounted.lost_share(month)
    harvest = work(panel.panel_wh, rated_w=mounted.rated_w, plane_mj_per_m2=plane.result, loss_share=lost)
    # The rest of the chain stands in the numbers: declination and sunset are in the first, clearness in the second.
    return [extraterrestrial, plane, harvest]


#: From memory: n/N of 0.18 in December, where "mixed" takes 0.5; a steep panel gets half as much.
ONE_SKY = (
    "One sky stands for the whole year: a winter is darker. “Mixed” makes a London December about twice too bright. "
    "Sunshine by month tells more."
)
HOW_OFTEN = f"How often dark days empty the battery is not known: add {QUANTITIES['sunshine'].label}."
#: Most of a month's mean clearness that measured sun can have, with room for rounding.
_MOST_CLEAR = 0.8


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


def sizes(asked: Asked, found: SolarResults) -> Table | None:
    """Put panels and the batteries that hold with them side by side, where the site's sun is known."""
    if not found.sizes:
        return None

    def printed(wh: float | None) -> str:
        return "–" if wh is None else asked.say.unit(math.ceil(wh), "Wh")

    rows = [
        Row((watts(asked.say, size.panel_w), printed(size.battery_wh_1_in_20), printed(size.battery_wh_1_in_100)))
        for size in found.sizes
    ]
    note = "Battery of this kind, printed energy: its reserve is touched no more often. –: none in reach."
    return Table("Panel and battery together", ("Panel", "1 of 20 years", "1 of 100 years"), rows, note)


def _too_bright(sun: MonthlySky, latitude_deg: float) -> list[int]:
    """Return the months for which more sun was typed than can come through the air."""
    if not isinstance(sun, SiteSun):
        return []
    shares = {month: sun.measured_clearness(latitude_deg, month) for month in range(1, 13)}
    return [month for month, share in shares.items() if share is not None and share > _MOST_CLEAR]


def dark_facts(asked: Asked) -> list[Fact]:
    """Tell how often the reserve is touched and how many dark days in a row do it."""
    runs, rows = asked.shoot.battery.dark_runs, []
    chance, days = or_none(runs.chance), or_none(runs.days_to_reserve)
    if chance is None and days is None:
        return []
    drawn, room = asked.say.unit(need(runs.draw).heaviest_wh, "Wh"), above_reserve_working(asked.shoot)
    if chance is not None:
        how = (
            "Days differ around their month’s mean and hang together: worked out as a chain from day to day over the "
            f"shoot, at {drawn} a day at most."
        )
        more = "smallest battery, heaviest draw"
        rows.append(Fact("Reserve touched in", often(chance, asked.shoot), more, (how, room)))
    if days is not None:
        more = "each with a tenth of the sun above the air"
        how = f"From full, {drawn} a day at most, less what such a day brings."
        rows.append(Fact("Dark days in a row, full to reserve", asked.say.count(days, "day"), more, (how, room)))
    return rows


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
        if isinstance(top_up.sky, Sky):
            found.append(ONE_SKY)
        elif too_bright := _too_bright(top_up.sky, top_up.latitude_deg):
            found.append(f"More sun in {_listed(too_bright)} than a clear sky lets through: taken as clear.")
        if abs(top_up.latitude_deg) > FAO_WINTER_LATITUDE_DEG and isinstance(top_up.sky, Sky):
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
        "Open sky: shade, snow and dirt come on top, as far as they aren’t typed. Leave a margin.",
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
    on_days = "" if or_none(asked.shoot.battery.panel.site_sun) else " on mean days"
    return asked.step(f"It carries{on_days} with {watts(say, smallest)}", "solar", panel_w=smallest)
