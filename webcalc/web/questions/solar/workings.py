"""How the figures of the page ``/solar`` come about, with the shoot's own numbers."""

from __future__ import annotations

from webcalc.calc.formula import Working, work
from webcalc.calc.power import irradiation, panel
from webcalc.calc.power.dark_runs import brightest
from webcalc.calc.power.panel_balance import LARGEST_PANEL_W, Balance, PanelMonth
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.power.sky import MEAN_DAY_LATITUDE_DEG, SiteSun, Sky
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.say import Say
from webcalc.web.words.working import LOAD_END, How


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


def chance_how(asked: Asked) -> How:
    """Say how often the reserve is touched was found."""
    return (
        "Days differ around their month’s mean and hang together: worked out as a chain from day to day over the "
        f"shoot, at {_drawn(asked)} a day at most.",
        room_working(asked),
    )


def dark_days_how(asked: Asked) -> How:
    """Say how many dark days a full battery lasts."""
    return (f"From full, {_drawn(asked)} a day at most, less what such a day brings.", room_working(asked))


def _drawn(asked: Asked) -> str:
    return asked.say.unit(need(asked.shoot.battery.dark_runs.draw).heaviest_wh, "Wh")


def room_working(asked: Asked) -> Working:
    """Show what lies between full and the reserve, at worst."""
    supply, reserve = need(asked.shoot.battery.supply_alone, asked.shoot.battery.reserve_share)
    return work(budget_wh, usable_wh=supply.usable_wh.low, reserve_share=reserve)


def autonomy_how(say: Say, balance: Balance) -> How:
    """Say how long it lasts without any sun."""
    usable, heaviest = (say.unit(wh, "Wh") for wh in (balance.store.usable_wh, balance.heaviest_wh))
    return (f"{usable} usable at worst ÷ {heaviest} on the heaviest day, lost by itself counted.",)


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
