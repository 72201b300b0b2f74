"""Will the battery last?"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from webcalc.calc.formula import work
from webcalc.calc.power import energy, load
from webcalc.calc.power.cells import temperature_factor
from webcalc.calc.power.energy import RatedFrom
from webcalc.calc.power.load import Way
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.verdict import Part
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link import needed_right
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.battery.case import MEAN_CURRENT, OUTPUT_V, BatteryCase
from webcalc.web.questions.battery.words import (
    WAY_WORDS,
    air_points,
    battery_warnings,
    cautions,
    clash_words,
    load_warnings,
    looks,
    rounded_up,
)
from webcalc.web.questions.solar.case import SolarCase
from webcalc.web.questions.solar.words import solar_text
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Text, span
from webcalc.web.words.say import Say
from webcalc.web.words.solved import solved_notes
from webcalc.web.words.values import value_words

#: Names whose wrong value would make any figure of the page wrong.
NEEDED_RIGHT = (*needed_right.SCHEDULE, *needed_right.BATTERY, *needed_right.RECORDED)
#: Largest battery that can be typed, and so be proposed.
LARGEST_WH = float(QUANTITIES["battery_wh"].kind.high)


def answer(asked: Asked) -> Answer:
    """Say when the reserve is reached, what the battery gives, what the camera takes, and what makes it hold."""
    if any(name in asked.inputs.errors for name in NEEDED_RIGHT):
        return Answer(_no_results())
    case = BatteryCase(asked)
    solar = SolarCase(asked, case)
    reply = Answer({**_results(case), "solar": solar.summary}, needs=case.needs)
    if case.runtime is not None:
        reply.notes.extend(solved_notes(asked.shoot, asked.say))
        _whether(case, reply)
        _runtime_facts(case, reply)
    elif case.usable is not None:
        say = asked.say
        value, more = span(lambda wh: say.unit(wh, "Wh"), case.usable)
        reply.figure, reply.tone = value, LOOK
        reply.sentence = f"is what this battery gives at {say.temperature(case.battery.temp_c)}{more and f' ({more})'}."
    reply.add(solar_text(solar))
    reply.add(*looks([clash_words(case, clash) for clash in case.clashes]))
    reply.add(*looks([*load_warnings(case), *battery_warnings(case)]))
    _load_facts(case, reply)
    _battery_facts(case, reply)
    reply.add(air_points(case), cautions(case))
    _workings(case, reply)
    return reply


def _no_results() -> dict[str, Any]:
    unknown = ends(None)
    return {
        "usable_wh": unknown,
        "rated_wh": unknown,
        "load_wh_recorded_day": None,
        "load_wh_recorded_day_range": unknown,
        "load_wh_idle_day": None,
        "load_wh_idle_day_range": unknown,
        "load_known_by": None,
        "contradictions": [],
        "runtime_days": ends(None, "shortest", "longest"),
        "reserve_at": ends(None, "earliest", "latest"),
        "lasts": None,
        "left_at_end_share": unknown,
        "batteries_needed": ends(None, "fewest", "most"),
        "energy_needed_wh": unknown,
        "rated_wh_needed": None,
        "interval_that_lasts_s": None,
        "cell_used": None,
        "cell_assumed": None,
        "temperature_share": unknown,
        "outside_temperature_limits": None,
        "power_bank_output_v": None,
        "power_bank_output_mah": unknown,
        "air_class": None,
        "solar": None,
    }


def _results(case: BatteryCase) -> dict[str, Any]:
    """Return the data; whatever isn't known stays None."""
    results, battery, found = _no_results(), case.battery, case.runtime
    results["contradictions"] = [vars(clash) for clash in case.clashes]
    if case.rated is not None:
        results["rated_wh"] = ends(case.rated)
        results["cell_used"], results["cell_assumed"] = case.pack.type_used.name, case.pack.cell_assumed
        results["air_class"] = energy.pack_air_class(case.pack)
        if case.output_mah is not None:
            results["power_bank_output_v"], results["power_bank_output_mah"] = OUTPUT_V, ends(case.output_mah)
    if case.usable is not None:
        results["usable_wh"] = ends(case.usable)
        factor = temperature_factor(case.pack.type_used, battery.temp_c)
        results["temperature_share"], results["outside_temperature_limits"] = ends(factor.factor), factor.outside_limits
    if case.load is not None and not case.needs:
        recorded, idle = case.recorded_day, case.idle_day
        results["load_wh_recorded_day"], results["load_wh_recorded_day_range"] = recorded.expected, ends(recorded)
        results["load_wh_idle_day"], results["load_wh_idle_day_range"] = idle.expected, ends(idle)
        results["load_known_by"] = case.way
        results["energy_needed_wh"] = ends(case.energy_needed)
    if found is not None:
        results["runtime_days"] = ends(found.days, "shortest", "longest")
        dated = case.asked.old.place.dated
        results["reserve_at"] = ends(found.reserve_at.map(dated), "earliest", "latest")
        results["lasts"] = None if case.open_end else found.lasts
        results["left_at_end_share"] = ends(case.left_at_end)
        results["batteries_needed"] = ends(case.batteries, "fewest", "most")
        results["rated_wh_needed"] = case.rated_needed_wh
        results["interval_that_lasts_s"] = case.interval_that_lasts_s
    return results


def _whether(case: BatteryCase, reply: Answer) -> None:
    """Give the verdict at the pessimistic end, and the steps that make it hold."""
    say, found = case.say, case.runtime
    earliest = found.reserve_at.low
    if earliest is None and case.open_end:
        reply.figure, reply.tone = "over 10 years", HOLDS
        reply.sentence = "before the reserve is reached, by this arithmetic. Batteries age sooner."
        return
    if earliest is None:
        reply.figure, reply.tone = "It lasts", HOLDS
        left = say.percent(case.left_at_end.low)
        reply.sentence = f"to {say.instant(case.schedule.ends_at)}. At the pessimistic end {left} is left then."
        return
    reply.figure = say.day(earliest, weekday=False)
    reserve = say.percent(case.battery.reserve_share)
    at = f"at the earliest, the reserve ({reserve}) is reached on {say.instant(earliest)} by the camera clock"
    if case.open_end:
        reply.tone, reply.sentence = LOOK, f"It lasts until then: {at}. Change the battery before."
        return
    before_s = int((case.schedule.ends_at - earliest).total_seconds())
    before = f"{say.length(before_s // 3600 * 3600 or before_s)} before the end"
    if found.reserve_at.expected is None:
        reply.tone, reply.sentence = LOOK, f"Perhaps too short: {at}, {before}. Expected to last; don't count on it."
    else:
        reply.tone, reply.sentence = FAILS, f"Too short: {at}, {before}."
    if case.batteries is not None and case.batteries.high is not None:
        reply.sentence += f" Pack {say.count(case.batteries.high, 'battery', 'batteries')}, changed in time."
    _changes(case, reply)


def _changes(case: BatteryCase, reply: Answer) -> None:
    """Propose what makes the shoot hold: a longer interval, a larger battery."""
    say, asked = case.say, case.asked
    longer_s, here = case.interval_that_lasts_s, asked.page.name
    if longer_s is not None:
        words = f"It lasts with a frame every {say.length(longer_s)}"
        reply.add(Text("", href=asked.url(here, **_with_interval(case, longer_s)), link_words=words))
    elif case.way != MEAN_CURRENT:
        reply.add(Text("No interval is long enough to make it last."))
    needed_wh = case.rated_needed_wh
    # A load known by a run was measured on this very battery: with another one typed, the load would be another.
    by_draws = case.way in (Way.DRAWS, MEAN_CURRENT) and case.pack.rated_from is RatedFrom.WH
    if needed_wh is not None and by_draws and needed_wh < LARGEST_WH:
        buy_wh = rounded_up(needed_wh)
        words = f"It lasts with a battery of {say.unit(buy_wh, 'Wh')}"
        reply.add(Text("", href=asked.url(here, battery_wh=buy_wh), link_words=words))
    if not case.battery.panel.typed and case.pack.type_used.rechargeable:
        reply.add(Text("", href=asked.url("solar"), link_words="Would a solar panel carry it?"))


def _with_interval(case: BatteryCase, interval_s: Fraction) -> dict[str, Any]:
    """Return the changes of a link to another interval that leave the shoot and what was measured as they are."""
    changes: dict[str, Any] = {"interval": interval_s, "last": case.schedule.last}
    measured = case.inputs.has("lasted_days") or case.inputs.has("charge_frames")
    if measured and not case.inputs.has("lasted_interval"):
        changes["lasted_interval"] = case.recording.interval_s
    return changes


def _runtime_facts(case: BatteryCase, reply: Answer) -> None:
    """Tell the three ends, the batteries, and the energy of the whole shoot."""
    say, found, rows = case.say, case.runtime, []
    ways = ("low", "expected", "high")
    for label, end in zip(("At worst", "Expected", "At best"), ways, strict=True):
        at, days = getattr(found.reserve_at, end), getattr(found.days, end)
        more = "over 20 years" if days is None else say.unit(days, "days")
        if at is not None:
            rows.append(Fact(label, say.instant(at), f"after {more}"))
        elif case.open_end:
            rows.append(Fact(label, more))
        else:
            left = say.percent(getattr(case.left_at_end, end))
            rows.append(Fact(label, "lasts to the end", f"{left} left then; {more} in all"))
    if case.batteries is not None:
        few, expected, most = case.batteries.low, case.batteries.expected, case.batteries.high
        more = "" if few == most else ", ".join(_counted(say, ((few, "at best"), (expected, "expected"))))
        enough = "no number is enough" if most is None else say.number(most)
        rows.append(Fact("Batteries to pack", enough, more))
    if case.energy_needed is not None:
        value = say.unit(case.energy_needed.high, "Wh")
        needed_wh = case.rated_needed_wh
        more = "at the camera"
        if needed_wh is not None:
            more += f"; in one battery {say.unit(rounded_up(needed_wh), 'Wh')} rated"
        rows.append(Fact("Energy for the shoot", value, more))
    reply.add(Facts(rows, "Reserve reached"))


def _counted(say: Say, counts: Sequence[tuple[int | None, str]]) -> list[str]:
    return [f"{say.number(count)} {words}" for count, words in counts if count is not None]


def _load_facts(case: BatteryCase, reply: Answer) -> None:
    """Tell what the days take, and which of the ways it was known by."""
    if case.load is None or case.needs:
        return
    rows = []
    for label, day in (("A recorded day", case.recorded_day), ("An idle day", case.idle_day)):
        rows.append(Fact(label, *span(lambda wh: case.say.unit(wh, "Wh"), day)))
    reply.add(Facts(rows, f"What the camera takes, from {WAY_WORDS[case.way]}"))


def _battery_facts(case: BatteryCase, reply: Answer) -> None:
    """Tell what the battery holds, what the camera gets of it, and what a power bank puts out."""
    say, pack, rated = case.say, case.pack, case.rated
    if rated is None:
        return

    def row(label: str, estimate: Any, unit: str, hint: str = "") -> Fact:
        value, more = span(lambda end: say.unit(end, unit), estimate)
        return Fact(label, value, "; ".join(filter(None, (more, hint))))

    rows = [row("Rated", rated, "Wh")]
    if pack.rated_from is RatedFrom.MAH and pack.volts:
        rows[0] = row("Rated", rated, "Wh", f"{say.number(pack.mah)} mAh at {say.unit(pack.volts, 'V')}")
    if case.usable is not None:
        rows += _shares(case)
        rows.append(row("Usable", case.usable, "Wh"))
        above = case.usable.map(lambda wh: budget_wh(wh, case.battery.reserve_share))
        rows.append(row("Above the reserve", above, "Wh"))
    if case.output_mah is not None:
        rows.append(row(f"Power bank, at {say.unit(OUTPUT_V, 'V')}", case.output_mah, "mAh", "behind its converter"))
    reply.add(Facts(rows, "What the battery gives"))


def _shares(case: BatteryCase) -> list[Fact]:
    """Tell what takes its part of the rated energy, and how much each leaves."""
    say, pack, battery = case.say, case.pack, case.battery
    cell = pack.type_used
    factor = temperature_factor(cell, battery.temp_c).factor
    rows = [
        Fact(f"Usable of {value_words('cell', cell.name, say)}", *span(say.percent, cell.usable_share)),
        Fact(f"Left at {say.temperature(battery.temp_c)}", *span(say.percent, factor)),
    ]
    if battery.ageing_share:
        rows.append(Fact("Left by age", say.percent(1 - battery.ageing_share)))
    if pack.converter is not None:
        rows.append(Fact("Passed on by the converter", *span(say.percent, pack.converter)))
    rows.append(Fact("Lost by itself a month", *span(say.percent, cell.self_discharge_per_month)))
    return rows


def _workings(case: BatteryCase, reply: Answer) -> None:
    """Show the arithmetic of the expected end."""
    pack, battery, works = case.pack, case.battery, reply.working
    if pack.rated_from is RatedFrom.MAH and pack.volts:
        works.append(work(energy.wh_of, capacity_mah=pack.mah, volts=pack.volts))
    if case.output_mah is not None and pack.rated_from is RatedFrom.MAH and pack.volts:
        share = pack.converter.expected
        works.append(
            work(energy.output_mah, capacity_mah=pack.mah, cell_v=pack.volts, output_v=OUTPUT_V, converter_share=share)
        )
    if case.runtime is not None:
        values = load.recorded_day_values(case.load.expected, case.recording, case.schedule.window.length_s)
        works.append(work(load.recorded_day_energy_wh, **values))
    # With a verdict the page is long enough: the same factors stand among the facts, with their ranges.
    elif case.usable is not None:
        works.append(
            work(
                energy.usable_energy_wh,
                rated_wh=case.rated.expected,
                usable_share=pack.type_used.usable_share.expected,
                temperature_share=temperature_factor(pack.type_used, battery.temp_c).factor.expected,
                ageing_share=battery.ageing_share,
                converter_share=(pack.converter or energy.NO_CONVERTER).expected,
            )
        )


BATTERY = Page(
    "battery",
    "Battery",
    "Will the battery last?",
    ("battery_wh", "standby_mw", "frame_j", "temp_c", "interval", "last"),
    answer,
    (
        Group(
            "Other ways to know the battery",
            ("cell", "cells", "battery_mah", "battery_v", "converter", "ageing", "battery_reserve"),
        ),
        # What bursts and motion take; how long and how many are asked on the card page, weekdays on the interval page.
        # They count here all the same: a page has room for so many fields.
        Group(
            "Other ways to know the draw",
            (
                *("draw_ma", "draw_v", "charge_frames", "lasted_days", "lasted_interval"),
                *("record_mw", "burst_mw", "motion_j", "other_mw"),
            ),
        ),
        Group("First day and hours", ("first", "from", "until")),
    ),
    parts=(Part.BATTERY,),
)
