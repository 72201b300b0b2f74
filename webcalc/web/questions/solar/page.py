"""Does a panel carry it?"""

from __future__ import annotations

from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import work
from webcalc.calc.power import irradiation, panel
from webcalc.calc.verdict import Part
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.kinds.times import MONTHS
from webcalc.web.pictures.solar import charge_picture
from webcalc.web.questions.battery.words import looks
from webcalc.web.questions.solar.case import SolarCase, month_key
from webcalc.web.questions.solar.words import cautions, month_words, smallest_text, warnings, watts
from webcalc.web.shoot.panel import SEASON_NAMES
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Picture, Row, Table, span
from webcalc.web.words.solved import solved_notes

_ENDS = (("At worst", "low"), ("Expected", "expected"), ("At best", "high"))


def answer(asked: Asked) -> Answer:
    """Say whether the panel carries the shoot, how low the battery gets and when, and which panel would do."""
    case = SolarCase(asked)
    reply = Answer(_results(case), needs=case.needs)
    if not case.needs:
        reply.notes.extend(solved_notes(asked.shoot, asked.say))
    if case.runtime is not None:
        _whether(case, reply)
    elif not case.panel.cell.rechargeable:
        reply.figure, reply.tone = "No panel", FAILS
        reply.sentence = f"may charge {case.panel.cell.name} cells: they can leak or burst. Choose a rechargeable type."
    elif case.can_size:
        _which(case, reply)
    reply.add(_facts(case), _picture(case), _months(case))
    reply.add(*looks(warnings(case)))
    reply.add(cautions(case))
    _workings(case, reply)
    return reply


def _results(case: SolarCase) -> dict[str, Any]:
    """Return the data; whatever isn't known stays None."""
    found, months, balances = case.runtime, case.worst_month, case.balances
    dated = case.asked.old.place.dated
    lowest = {end: case.lowest(end) for _label, end in _ENDS}
    known = not case.case.open_end and balances is not None
    return {
        "harvest_wh_month": [
            {"month": n, **ends(wh), "charges": case.top_up.rule.charges_in(n)}
            for n, wh in enumerate(case.by_month or (), start=1)
        ],
        "harvest_is_of": "mean_day",
        "worst_month": month_key(months.low) if months else None,
        "worst_month_harvest_wh_per_day": ends(case.worst_harvest_wh),
        "worst_month_load_wh_per_day": case.worst_load_wh,
        "lowest_share": {end: row[1] if row else None for end, row in lowest.items()},
        "lowest_on": {end: row[0] if row else None for end, row in lowest.items()},
        "reserve_at": ends(found.reserve_at.map(dated) if found else None, "earliest", "latest"),
        "carries": case.carries,
        "left_at_end_share": ends(case.case.left_at_end if found else None),
        "smallest_panel_w": case.smallest_w,
        "autonomy_days": ends(_autonomy(case)),
        "frozen_days": balances.low.frozen_days if known else None,
        "frozen_wh": ends(balances.map(lambda each: each.frozen_wh) if known else None),
        "months": _month_data(case) if known else [],
    }


def _month_data(case: SolarCase) -> list[dict[str, Any]]:
    """Return load and harvest of each month of the shoot, at the pessimistic end."""
    return [
        {
            "month": month_key(month),
            "days": month.days,
            "load_wh": month.load_wh,
            "harvest_wh": month.gross_wh - month.frozen_wh,
            "frozen_days": month.frozen_days,
        }
        for month in case.balances.low.months
    ]


def _autonomy(case: SolarCase) -> Estimate[float] | None:
    """Return the days without sun from full to empty, with the heaviest load."""
    balances = case.balances
    if balances is None or not balances.low.heaviest_wh:
        return None
    return balances.map(lambda balance: balance.autonomy_days)


def _whether(case: SolarCase, reply: Answer) -> None:
    """Give the verdict at the pessimistic end."""
    say, found = case.say, case.runtime
    earliest = found.reserve_at.low
    reserve = say.percent(case.case.battery.reserve_share)
    if earliest is None:
        day, left = case.lowest("low")
        reply.figure, reply.tone = "It carries", HOLDS
        reply.sentence = (
            f"to {say.instant(case.case.schedule.ends_at)}. At the pessimistic end the battery gets down to "
            f"{say.percent(left)}, on {say.day(day)}."
        )
        if case.smallest_w == 0:
            reply.sentence += " The battery lasts without a panel too."
        return
    reply.figure = say.day(earliest, weekday=False)
    at = f"at the earliest, the reserve ({reserve}) is reached on {say.instant(earliest)} by the camera clock"
    if found.reserve_at.expected is None:
        reply.tone, reply.sentence = LOOK, f"Perhaps too small: {at}. Expected to carry."
    else:
        reply.tone, reply.sentence = FAILS, f"Too small: {at}."
    reply.add(smallest_text(case))


def _which(case: SolarCase, reply: Answer) -> None:
    """Without a panel typed: tell the smallest one."""
    smallest = case.smallest_w
    if smallest is None:
        reply.figure, reply.tone, reply.sentence = "None", FAILS, "of the panels looked at carries it."
    elif smallest == 0:
        reply.figure, reply.tone, reply.sentence = "No panel", HOLDS, "is needed: the battery lasts by itself."
    else:
        reply.figure, reply.tone = watts(case.say, smallest), LOOK
        reply.sentence = "is the smallest panel, mounted so, that carries it at the pessimistic end."
    reply.add(smallest_text(case))


def _facts(case: SolarCase) -> Facts | None:
    """Tell the lowest states, the worst month, the smallest panel, and what cold takes."""
    say, rows = case.say, []
    for label, end in _ENDS[:2] if case.lows else ():
        day, left = case.lowest(end)
        at = getattr(case.runtime.reserve_at, end)
        more = f"reserve {say.instant(at)}" if at else say.day(day)
        rows.append(Fact(f"{label}, lowest", say.percent(left), more))
    months, harvest = case.worst_month, case.worst_harvest_wh
    if months is not None:
        value, more = span(lambda wh: say.unit(wh, "Wh"), harvest)
        rows.append(
            Fact(
                f"A day of {month_words(months.low)}, worst month",
                value,
                f"{more}; {_takes(case)}".removeprefix("; "),
            )
        )
    if case.carries and case.smallest_w:
        rows.append(Fact("Smallest panel that carries it", watts(say, case.smallest_w)))
    if autonomy := _autonomy(case):
        value = say.unit(autonomy.low, "days", 2)
        rows.append(Fact("Without sun, full to empty", value, "at worst"))
    if case.balances is not None and case.balances.low.frozen_days:
        frozen = case.balances
        value, more = span(lambda wh: say.unit(wh, "Wh"), frozen.map(lambda each: each.frozen_wh))
        days = say.count(frozen.low.frozen_days, "day")
        rows.append(Fact("No charging", days, f"{value} of sun lost" + (f" ({more})" if more else "")))
    return Facts(rows) if rows else None


def _takes(case: SolarCase) -> str:
    return f"up to {case.say.unit(case.worst_load_wh, 'Wh')} drawn"


def _picture(case: SolarCase) -> Picture | None:
    """Draw the battery's lowest state of each day."""
    if not case.lows or len(case.lows) < 2:
        return None
    say, lows = case.say, case.lows
    low_day, low = case.lowest("low")
    left = lows[-1][1]
    expected = case.lowest("expected")[1]
    text = (
        f"Each day's lowest. At worst (thick): {say.percent(low)} on {say.day(low_day)}, {say.percent(left.low)} at "
        f"the end. Expected (dashed): {say.percent(expected)}, {say.percent(left.expected)} at the end."
    )
    names = (say.day(lows[0][0], weekday=False), say.day(lows[-1][0], weekday=False))
    svg = charge_picture([share for _day, share in lows], case.case.battery.reserve_share, names)
    return Picture("Charge of the battery", svg, text)


def _months(case: SolarCase) -> Table | None:
    """Tell what the panel offers in each month."""
    if case.by_month is None:
        return None
    say, worst, rule = case.say, case.worst_month, case.top_up.rule
    rows = []
    for n, wh in enumerate(case.by_month, start=1):
        name = MONTHS[n - 1] + ("" if rule.charges_in(n) else "*")
        marked = worst is not None and n == worst.low.month
        rows.append(Row((name, *(say.figures(getattr(wh, end), 2) for _label, end in _ENDS)), marked))
    note = "Wh on a mean day; next darker to next brighter sky."
    if not all(map(rule.charges_in, range(1, 13))):
        note += " * not charged: outside the battery's limits."
    return Table("What the panel gives", ("Month", "Low", "Expected", "High"), rows, note, folded=True)


def _workings(case: SolarCase, reply: Answer) -> None:
    """Show the arithmetic of the worst month (the darkest one while that isn't known), expected sky."""
    top_up = case.top_up
    if top_up is None:
        return
    month = case.worst_month.low.month if case.worst_month else _darkest(case)
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
    clearness = work(irradiation.clearness_of_sky, sunshine_share=top_up.sky.sunshine_share)
    plane = work(
        irradiation.plane_mj_per_m2,
        horizontal_mj_per_m2=max(0.0, extraterrestrial.result) * clearness.result,
        diffuse=irradiation.diffuse_share(clearness.result, sunset.result),
        beam=irradiation.beam_ratio(latitude, declination.result, mounted.tilt_deg, mounted.facing.from_equator_deg),
        tilt_deg=mounted.tilt_deg,
        reflectance=mounted.ground_reflectance,
    )
    harvest = work(panel.panel_wh, rated_w=mounted.rated_w, plane_mj_per_m2=plane.result, loss_share=mounted.loss_share)
    # The rest of the chain stands in the numbers: declination and sunset are in the first, clearness in the second.
    reply.working += [extraterrestrial, plane, harvest]


def _darkest(case: SolarCase) -> int:
    return min(range(1, 13), key=lambda month: case.by_month[month - 1].expected)


SOLAR = Page(
    "solar",
    "Solar panel",
    "Does a panel carry it?",
    ("panel_w", "panel_tilt", "panel_facing", "sky", "lat", "last"),
    answer,
    (
        Group("Losses, temperatures", ("panel_loss", "temp_c", *SEASON_NAMES)),
        # Cell type, reserve, days and interval are asked on the battery and interval pages; they count here too.
        Group("Battery and draw", ("battery_wh", "standby_mw", "frame_j")),
    ),
    moment="before",
    parts=(Part.BATTERY,),
)
