"""Does a panel carry it?"""

from __future__ import annotations

from webcalc.calc.power.results import SolarResults, solar_results
from webcalc.calc.power.sky import Sky
from webcalc.calc.power.sun_power import SEASON_NAMES
from webcalc.calc.unknown import need, or_none
from webcalc.calc.verdict import Judged, Part, Why
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.kinds.dates import MONTHS
from webcalc.web.pictures.solar import charge_picture
from webcalc.web.questions.solar.words import (
    HOW_OFTEN,
    cautions,
    dark_facts,
    frozen_how,
    lowest_how,
    month_how,
    panel_working,
    sizes,
    smallest_how,
    smallest_text,
    warnings,
    watts,
)
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Picture, Row, Table, span
from webcalc.web.words.battery import dark_days_words, in_a_row, month_words, often
from webcalc.web.words.values import solved_notes
from webcalc.web.words.verdict import MAINS, TONES, put_contradiction

_UNKNOWN = ("whether it carries", "the battery")
_ENDS = (("At worst", "low"), ("Expected", "expected"), ("At best", "high"))


def answer(asked: Asked) -> Answer:
    """Say whether the panel carries the shoot, how low the battery gets and when, and which panel would do."""
    battery, panel_of, found = asked.shoot.battery, asked.shoot.battery.panel, solar_results(asked.shoot)
    if not battery.needed:
        return Answer(found, "No battery", MAINS)
    reply = Answer(found, needs=panel_of.asked_for)
    if not reply.needs:
        reply.notes.extend(solved_notes(asked.shoot, asked.say))
    if panel_of.refused is True and not panel_of.typed:
        reply.figure, reply.tone = "No panel", FAILS
        name = need(battery.cell_used).name
        reply.sentence = f"may charge {name} cells: they can leak or burst. Choose a rechargeable type."
    elif reply.needs or asked.records_nothing:
        reply.head("Not known yet", LOOK, "whether a panel carries it.")
    elif panel_of.typed:
        _whether(asked, found, reply)
    else:
        _which(asked, found, reply)
    if not asked.records_nothing:
        reply.add(sizes(asked, found), _facts(asked, found), _picture(asked))
    reply.add(_months(asked))
    reply.add(*warnings(asked))
    reply.add(cautions(asked.say))
    reply.working += panel_working(asked)
    return reply


def _whether(asked: Asked, found: SolarResults, reply: Answer) -> None:
    """Give the verdict at the pessimistic end."""
    say, lasts = asked.say, need(asked.shoot.battery.runtime)
    earliest = lasts.reserve_at.low
    if lasts.reserve_at.expected is None and put_contradiction(reply, asked.shoot, *_UNKNOWN):
        return
    judged = asked.verdict.of(Part.BATTERY)
    if judged is not None and judged.why is Why.DARK_DAYS:
        _by_dark_days(asked, found, judged, reply)
        return
    if earliest is None:
        lowest = need(asked.shoot.battery.panel.lowest("low"))
        reply.head("It carries", HOLDS, f"to {say.instant(need(asked.shoot.schedule).ends_at)}.")
        if lowest is not None:
            day, left = lowest
            reply.sentence += f" On mean days at worst the battery gets down to {say.percent(left)}, on {say.day(day)}."
        chance = or_none(asked.shoot.battery.dark_runs.chance)
        if found.smallest_panel_w == 0:
            reply.sentence += " The battery lasts without a panel too."
        elif chance is None:
            reply.sentence += " It lasts though every day be dark."
        else:
            reply.sentence += f" {dark_days_words(asked.shoot)}"
        return
    reserve = say.percent(need(asked.shoot.battery.reserve_share))
    reply.figure = say.day(earliest, weekday=False)
    at = f"at the earliest, the reserve ({reserve}) is reached on {say.instant(earliest)} by the camera clock"
    if lasts.reserve_at.expected is None:
        reply.tone, reply.sentence = LOOK, f"Perhaps too small: {at}. Expected to carry."
    else:
        reply.tone, reply.sentence = FAILS, f"Too small: {at}."
    reply.add(smallest_text(asked, found))


def _by_dark_days(asked: Asked, found: SolarResults, judged: Judged, reply: Answer) -> None:
    """Say that it carries on mean days, and what dark ones do, as far as that is known."""
    shoot = asked.shoot
    chance = or_none(shoot.battery.dark_runs.chance)
    reply.tone = TONES[judged.state]
    if chance is None:
        reply.figure, reply.sentence = "On mean days", f"it carries. {HOW_OFTEN}"
    else:
        words = often(chance, shoot)
        reply.figure = words[0].upper() + words[1:]
        reply.sentence = "the battery is at its reserve: the panel carries it on mean days, and days differ."
    reply.sentence = " ".join(filter(None, (reply.sentence, in_a_row(shoot, asked.say))))
    if chance is not None:
        reply.add(smallest_text(asked, found))


def _which(asked: Asked, found: SolarResults, reply: Answer) -> None:
    """Without a panel typed: tell the smallest one."""
    smallest = found.smallest_panel_w
    if put_contradiction(reply, asked.shoot, *_UNKNOWN):
        return
    if smallest is None:
        reply.head("None", FAILS, "of the panels looked at carries it.")
    elif smallest == 0:
        reply.head("No panel", HOLDS, "is needed: the battery lasts by itself.")
    else:
        reply.figure, reply.tone = watts(asked.say, smallest), LOOK
        own_sun = or_none(asked.shoot.battery.panel.site_sun) is not None
        reply.sentence = "is the smallest panel, mounted so, that carries it at the pessimistic end"
        reply.sentence += ", in all but 1 of 20 years." if own_sun else f" of mean days. {HOW_OFTEN}"
    reply.add(smallest_text(asked, found))


def _facts(asked: Asked, found: SolarResults) -> Facts | None:
    """Tell the lowest states, the worst month, the smallest panel, and what cold takes."""
    say, panel_of, rows = asked.say, asked.shoot.battery.panel, []
    for label, end in _ENDS[:2]:
        lowest = or_none(panel_of.lowest(end))
        if lowest is not None:
            day, left = lowest
            at = getattr(need(asked.shoot.battery.runtime).reserve_at, end)
            more = f"reserve {say.instant(at)}" if at else say.day(day)
            how = lowest_how(asked, end)
            rows.append(Fact(f"Lowest on mean days, {label.lower()}", say.percent(left), more, how))
    month, harvest, drawn = (
        or_none(panel_of.worst_month),
        found.worst_month_harvest_wh_per_day,
        found.worst_month_load_wh_per_day,
    )
    if month is not None and harvest is not None and drawn is not None:
        value, more = span(lambda wh: say.unit(wh, "Wh"), harvest)
        more = "; ".join(filter(None, (more, f"up to {say.unit(drawn, 'Wh')} drawn")))
        how = month_how(asked, month.low)
        rows.append(Fact(f"A day of {month_words(month.low)}, worst month", value, more, how))
    if found.carries and found.smallest_panel_w:
        smallest, how = watts(say, found.smallest_panel_w), smallest_how(asked)
        rows.append(Fact("Smallest panel that carries it", smallest, how=how))
    rows += dark_facts(asked)
    balances = or_none(panel_of.balances)
    if found.autonomy_days is not None and balances is not None:
        usable, heaviest = (say.unit(wh, "Wh") for wh in (balances.low.store.usable_wh, balances.low.heaviest_wh))
        how = f"{usable} usable at worst ÷ {heaviest} on the heaviest day, lost by itself counted."
        days = say.unit(found.autonomy_days.low, "days", 2)
        rows.append(Fact("Without sun, full to empty", days, "at worst", (how,)))
    if balances is not None and balances.low.frozen_days:
        value, more = span(lambda wh: say.unit(wh, "Wh"), balances.map(lambda each: each.frozen_wh))
        days = say.count(balances.low.frozen_days, "day")
        lost = f"{value} of sun lost" + (f" ({more})" if more else "")
        rows.append(Fact("No charging", days, lost, frozen_how(asked)))
    return Facts(rows) if rows else None


def _picture(asked: Asked) -> Picture | None:
    """Draw the battery's lowest state of each day."""
    say, battery = asked.say, asked.shoot.battery
    lows = or_none(battery.panel.lows)
    if not lows or len(lows) < 2:
        return None
    low_day, low = need(battery.panel.lowest("low"))
    left = lows[-1][1]
    _day, expected = need(battery.panel.lowest("expected"))
    text = (
        f"Each day's lowest, by mean days. At worst (thick): {say.percent(low)} on {say.day(low_day)}, "
        f"{say.percent(left.low)} at the end. Expected (dashed): {say.percent(expected)}, "
        f"{say.percent(left.expected)} at the end."
    )
    names = (say.day(lows[0][0], weekday=False), say.day(lows[-1][0], weekday=False))
    svg = charge_picture([share for _day, share in lows], need(battery.reserve_share), names)
    return Picture("Charge of the battery", svg, text)


def _months(asked: Asked) -> Table | None:
    """Tell what the panel offers in each month."""
    panel_of = asked.shoot.battery.panel
    by_month, top_up, worst = or_none(panel_of.by_month), or_none(panel_of.top_up), or_none(panel_of.worst_month)
    if not by_month or top_up is None:
        return None
    rows = []
    for n, wh in enumerate(by_month, start=1):
        name = MONTHS[n - 1] + ("" if top_up.rule.charges_in(n) else "*")
        marked = worst is not None and n == worst.low.month
        rows.append(Row((name, *(asked.say.figures(getattr(wh, end), 2) for _label, end in _ENDS)), marked))
    of_class = "next darker to next brighter sky"
    of_site = "of days from dark to bright; low and high as one month of ten is"
    ends = of_class if isinstance(top_up.sky, Sky) else of_site
    note = f"Wh on a mean day; {ends}."
    if not all(map(top_up.rule.charges_in, range(1, 13))):
        note += " * not charged: outside the battery's limits."
    return Table("What the panel gives", ("Month", "Low", "Expected", "High"), rows, note, folded=True)


SOLAR = Page(
    "solar",
    "Solar panel",
    "Does a panel carry it?",
    ("panel_w", "panel_tilt", "panel_facing", "sky", "site", "sunshine", "last"),
    answer,
    (
        Group("Sun of the site, by month", ("sun_kwh", "panel_shade")),
        Group("Losses, temperatures", ("panel_loss", "temp_c", *SEASON_NAMES)),
        # Cell type, reserve, days and interval are asked on the battery and interval pages; they count here too.
        Group("Battery and draw", ("battery_wh", "standby_mw", "frame_j")),
    ),
    moment="before",
    parts=(Part.BATTERY,),
    results=SolarResults,
)
