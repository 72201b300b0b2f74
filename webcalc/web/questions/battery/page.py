"""Will the battery last?"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import work
from webcalc.calc.power import cells, energy, load
from webcalc.calc.power.draws import MEAN_CURRENT
from webcalc.calc.power.energy import OUTPUT_V, RatedFrom
from webcalc.calc.power.load import Way
from webcalc.calc.power.results import BatteryResults, battery_results, clashes_seen
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import Part, Why
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import USUAL_ALONE, Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.battery.words import (
    WAY_WORDS,
    air_points,
    battery_warnings,
    cautions,
    clash_words,
    cold_how,
    kinds_facts,
    lengths_facts,
    load_warnings,
    rated_how,
    reserve_how,
    rounded_up,
    shoot_energy_how,
    usable_how,
    ways_to_know,
)
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Text, span, spread
from webcalc.web.words.battery import allowed_answer, allowed_words, dark_days_words, solar_text
from webcalc.web.words.pictures import own_row
from webcalc.web.words.say import Say
from webcalc.web.words.values import packs_words, solved_notes, value_words
from webcalc.web.words.verdict import MAINS, TONES, put_contradiction
from webcalc.web.words.working import How, above_reserve_working, recorded_day_working

#: Largest battery that can be typed, and so be proposed.
LARGEST_WH = float(QUANTITIES["battery_wh"].kind.high)
_PACKS = "Each is changed full for empty when its reserve is reached, as often as the shoot asks for. At worst."
_CONVERTER = "As typed; five points better or worse are counted (own choice, no source)."


def answer(asked: Asked) -> Answer:
    """Say when the reserve is reached, what the battery gives, what the camera takes, and what makes it hold."""
    battery, found = asked.shoot.battery, battery_results(asked.shoot)
    if not battery.needed:
        return Answer(found, "No battery", MAINS)
    reply = Answer(found, needs=battery.asked_for)
    lasting = known(battery.runtime) and not asked.records_nothing
    if lasting:
        reply.notes.extend(solved_notes(asked.shoot, asked.say))
        _whether(asked, found, reply)
        _runtime_facts(asked, found, reply)
    else:
        _not_known(asked, found, reply)
    reply.picture = own_row(asked, Reason.BATTERY)
    reply.add(solar_text(asked))
    clashes = [clash_words(asked, clash) for clash in clashes_seen(asked.shoot)]
    sentences = [*clashes, *load_warnings(asked), *battery_warnings(asked)]
    reply.add(*(Text(sentence, LOOK) for sentence in sentences))
    if lasting:
        _load_facts(asked, reply)
    _battery_facts(asked, found, reply)
    reply.add(air_points(asked), cautions(asked))
    _workings(asked, reply, lasting)
    return reply


def _not_known(asked: Asked, found: BatteryResults, reply: Answer) -> None:
    """Say that it isn't known how long it lasts, and what the battery gives if at least that is known."""
    reply.head("Not known yet", LOOK, "how long the battery lasts.")
    if found.usable_wh is not None:
        gives = spread(lambda wh: asked.say.unit(wh, "Wh"), found.usable_wh)
        at = asked.say.temperature(need(asked.shoot.battery.coldest_c))
        reply.sentence += f" At {at} it gives {gives}."
    if known(asked.shoot.battery.draws.load):
        return
    allowed, backwards = allowed_words(asked), allowed_answer(asked)
    if backwards is not None:
        reply.figure, reply.sentence = backwards
    elif allowed:
        reply.sentence = f"what the camera draws, so how long it lasts. {allowed}"
    reply.lead_with(kinds_facts(asked) if allowed else lengths_facts(asked))
    reply.add(ways_to_know(asked))


def _whether(asked: Asked, found: BatteryResults, reply: Answer) -> None:
    """Give the verdict at the pessimistic end, and the steps that make it hold."""
    say, battery, lasts = asked.say, asked.shoot.battery, need(asked.shoot.battery.runtime)
    earliest, surely = lasts.reserve_at.low, lasts.reserve_at.expected is not None
    unsure = battery.open_end or not surely
    if unsure and put_contradiction(reply, asked.shoot, "how long the battery lasts", "it"):
        return
    if earliest is None and battery.open_end:
        reply.head("over 10 years", HOLDS, "before the reserve is reached, by this arithmetic. Batteries age sooner.")
        if battery.panel.typed:
            reply.tone, reply.sentence = LOOK, f"{reply.sentence} {dark_days_words(asked.shoot)}"
        return
    judged = asked.verdict.of(Part.BATTERY)
    if earliest is None and judged is not None and judged.why is Why.DARK_DAYS:
        reply.head("On mean days", TONES[judged.state], f"it lasts. {dark_days_words(asked.shoot)}")
        return
    if earliest is None:
        reply.figure, reply.tone = "It lasts", HOLDS
        left, ends_at = need(battery.left_at_end_share, need(asked.shoot.schedule).ends_at)
        reply.sentence = f"to {say.instant(ends_at)}. At the pessimistic end {say.percent(left.low)} is left then."
        return
    reply.figure = say.day(earliest, weekday=False)
    reserve = say.percent(need(battery.reserve_share))
    at = f"at the earliest, the reserve ({reserve}) is reached on {say.instant(earliest)} by the camera clock"
    if battery.open_end:
        reply.tone, reply.sentence = LOOK, f"It lasts until then: {at}. Change the battery before."
        return
    before_s = int((need(asked.shoot.schedule).ends_at - earliest).total_seconds())
    before = f"{say.length(before_s // 3600 * 3600 or before_s)} before the end"
    if surely:
        reply.tone, reply.sentence = FAILS, f"Too short: {at}, {before}."
    else:
        reply.tone, reply.sentence = LOOK, f"Perhaps too short: {at}, {before}. Expected to last; don't count on it."
    packs = found.batteries_needed
    if packs is not None and packs.high is not None:
        reply.sentence += f" Pack {packs_words(asked.shoot, say, packs.high)}, changed in time."
    _changes(asked, found, reply)


def _changes(asked: Asked, found: BatteryResults, reply: Answer) -> None:
    """Propose what makes the shoot hold: a longer interval, a larger battery."""
    say, battery, way = asked.say, asked.shoot.battery, or_none(asked.shoot.battery.draws.way)
    longer_s, here = found.interval_that_lasts_s, asked.page.name
    if battery.contradicted is not False:
        return
    if longer_s is not None:
        words = f"It lasts with a frame every {say.length(longer_s)}"
        reply.add(asked.step(words, here, **_with_interval(asked, longer_s)))
    elif way == Way.KIND and need(battery.runtime).reserve_at.expected is None:
        reply.add(Text("Only the heavy end of its kind falls short: a measurement may show that it lasts."))
    elif way != MEAN_CURRENT:
        reply.add(Text("No interval is long enough to make it last."))
    # A load known by a run was measured on this very battery: with another one typed, the load would be another.
    by_draws = way in (Way.DRAWS, MEAN_CURRENT) and given(asked.shoot.battery_wh)
    if found.rated_wh_needed is not None and by_draws and found.rated_wh_needed < LARGEST_WH:
        buy_wh = rounded_up(found.rated_wh_needed)
        reply.add(asked.step(f"It lasts with a battery of {say.unit(buy_wh, 'Wh')}", here, battery_wh=buy_wh))
    if not battery.panel.typed and need(battery.cell_used).rechargeable:
        reply.add(asked.step("Would a solar panel carry it?", "solar"))


def _with_interval(asked: Asked, interval_s: Fraction) -> dict[str, Any]:
    """Return the changes of a link to another interval that leave the shoot and what was measured as they are."""
    shoot = asked.shoot
    changes: dict[str, Any] = {"interval": interval_s, "last": need(shoot.last_day)}
    charged = given(shoot.charge_frames) and or_none(shoot.charge_by) == "own"
    measured = given(shoot.lasted_days) or shoot.battery.draws.runs.meter_typed or charged
    if measured and not given(shoot.lasted_interval):
        changes["lasted_interval"] = need(shoot.interval_s)
    return changes


def _runtime_facts(asked: Asked, found: BatteryResults, reply: Answer) -> None:
    """Tell the three ends, the batteries, and the energy of the whole shoot."""
    say, battery, rows = asked.say, asked.shoot.battery, []
    lasts = need(battery.runtime)
    for label, end in (("At worst", "low"), ("Expected", "expected"), ("At best", "high")):
        at, days = getattr(lasts.reserve_at, end), getattr(lasts.days, end)
        more, how = "over 20 years" if days is None else say.unit(days, "days"), reserve_how(asked, end)
        if at is not None:
            rows.append(Fact(label, say.instant(at), f"after {more}", how))
        elif battery.open_end:
            rows.append(Fact(label, more, how=how))
        else:
            left = say.percent(getattr(need(battery.left_at_end_share), end))
            reached = "lasts to the end" if battery.contradicted is False else "not reached"
            rows.append(Fact(label, reached, f"{left} left then; {more} in all", how))
    packs, energy_wh = found.batteries_needed, found.energy_needed_wh
    if packs is not None:
        few, expected, most = packs.low, packs.expected, packs.high
        parts = [] if few == most else _counted(say, ((few, "at best"), (expected, "expected")))
        if most and most > 1:
            # One that stands there all the time loses more by itself: so one alone is larger than these together.
            parts.append("each full when it goes in")
        more = ", ".join(parts)
        words = "no number is enough" if most is None else packs_words(asked.shoot, say, most)
        rows.append(Fact("To pack", words, more, (above_reserve_working(asked.shoot), _PACKS)))
    if energy_wh is not None:
        more = "at the camera"
        if found.rated_wh_needed is not None:
            more += f"; one battery alone: {say.unit(rounded_up(found.rated_wh_needed), 'Wh')} rated"
        how = shoot_energy_how(asked, energy_wh.high)
        rows.append(Fact("Energy for the shoot", say.unit(energy_wh.high, "Wh"), more, how))
    title = "Reserve reached" if battery.contradicted is False else "Reserve reached, by what is used"
    reply.lead_with_first(Facts(rows, title), 2)


def _counted(say: Say, counts: Sequence[tuple[int | None, str]]) -> list[str]:
    return [f"{say.number(count)} {words}" for count, words in counts if count is not None]


def _load_facts(asked: Asked, reply: Answer) -> None:
    """Tell what the days take, and which of the ways it was known by."""
    draws, rows = asked.shoot.battery.draws, []
    recorded, idle, way = need(draws.recorded_day, draws.idle_day, draws.way)
    recorded_how, drawn = tuple(recorded_day_working(asked.shoot)), need(draws.load).expected
    idle_how = (work(load.idle_day_energy_wh, standby_w=drawn.standby_w, other_w=drawn.other_w),)
    for label, day, how in (("A recorded day", recorded, recorded_how), ("An idle day", idle, idle_how)):
        rows.append(Fact(label, *span(lambda wh: asked.say.unit(wh, "Wh"), day), how))
    reply.add(Facts(rows, f"What the camera takes, from {WAY_WORDS[way]}"))


def _battery_facts(asked: Asked, found: BatteryResults, reply: Answer) -> None:
    """Tell what the battery holds, what the camera gets of it, and what a power bank puts out."""
    say, battery = asked.say, asked.shoot.battery
    pack = battery.rated_pack
    if found.rated_wh is None or not known(pack):
        return

    def row(label: str, estimate: Estimate[float], unit: str, how: How, hint: str = "") -> Fact:
        value, more = span(lambda end: say.unit(end, unit), estimate)
        return Fact(label, value, "; ".join(filter(None, (more, hint))), how)

    parallel = _built(asked, pack)
    by_mah = f"{say.number(pack.mah)} mAh at {say.unit(pack.volts, 'V')}" if pack.mah and pack.volts else ""
    rows = [row("Rated", found.rated_wh, "Wh", rated_how(asked), by_mah or parallel)]
    if found.usable_wh is not None:
        rows += _shares(asked)
        rows.append(row("Usable", found.usable_wh, "Wh", usable_how(asked)))
        if known(battery.reserve_share):
            reserve = battery.reserve_share
            above, kept = found.usable_wh.map(lambda wh: budget_wh(wh, reserve)), say.percent(reserve)
            hint = f"{kept} of what is usable kept back"
            how = (work(budget_wh, usable_wh=found.usable_wh.expected, reserve_share=reserve),)
            rows.append(row("Above the reserve", above, "Wh", how, hint))
    if found.usable_output_mah is not None:
        how = (work(energy.mah_of, rated_wh=need(battery.usable_wh).expected, volts=OUTPUT_V),)
        rows.append(row(f"Usable, at {say.unit(OUTPUT_V, 'V')}", found.usable_output_mah, "mAh", how))
    reply.add(Facts(rows, "What the battery gives"))


def _built(asked: Asked, pack: energy.Pack) -> str:
    """Tell how the cells are joined, and at how many volts; empty where that wasn't said."""
    say, series, volts = asked.say, or_none(asked.shoot.series), or_none(asked.shoot.battery.pack_v)
    if not series or not volts or not pack.cells or pack.cells % series:
        return ""
    return f"{say.number(series)} in series × {say.number(pack.cells // series)}, {say.unit(volts, 'V')}"


def _shares(asked: Asked) -> list[Fact]:
    """Tell what takes its part of the rated energy, and how much each leaves."""
    say, battery = asked.say, asked.shoot.battery
    pack, cold, ageing = need(battery.pack, battery.temperature, battery.ageing_share)
    kind, at = value_words("cell", pack.type_used.name, say), say.temperature(need(battery.coldest_c))
    as_bank = "" if pack.usable_share == pack.type_used.usable_share else ", as a power bank"
    printed = f"What a device gets of what is printed on {kind} before it switches off: from memory."
    cell, warmest_c, lost = need(battery.cell_used, battery.warmest_c, battery.lost_a_month)
    at_25 = cell.self_discharge_per_month.expected
    lost_how = (work(cells.self_discharge_share, share_at_25=at_25, temp_c=warmest_c), "No credit for cold.")
    left = Estimate.exact(1 - ageing) if ageing else None
    shares = [
        (f"Usable of {kind}{as_bank}", pack.usable_share, (printed,)),
        (f"Left at {at}", cold.left, cold_how(asked)),
        ("Left by age", left, (f"{say.percent(ageing)} lost to age, as typed.",)),
        ("Passed on by the converter", pack.converter, (_CONVERTER,)),
        ("Lost by itself a month", lost, lost_how),
    ]
    return [Fact(label, *span(say.percent, share), how) for label, share, how in shares if share is not None]


def _workings(asked: Asked, reply: Answer, lasting: bool) -> None:
    """Show the arithmetic of the expected end."""
    battery, works = asked.shoot.battery, reply.working
    pack = or_none(battery.pack)
    if pack is not None and pack.rated_from is RatedFrom.MAH and pack.volts:
        works.append(work(energy.wh_of, capacity_mah=pack.mah, volts=pack.volts))
        if pack.converter is not None:
            share = pack.converter.expected
            values = {"capacity_mah": pack.mah, "cell_v": pack.volts, "output_v": OUTPUT_V, "converter_share": share}
            works.append(work(energy.output_mah, **values))
    if lasting:
        works.extend(recorded_day_working(asked.shoot))
    elif pack is not None and known(battery.usable_wh):
        works.extend(usable_how(asked))


BATTERY = Page(
    "battery",
    "Battery",
    "Will the battery last?",
    ("battery_wh", "camera_kind", "interval", "last"),
    answer,
    (
        Group(
            "Temperature, other ways to know the battery",
            (
                *("temp_c", "cell", "cells", "series", "battery_mah", "mah_for", "battery_v", "converter", "ageing"),
                *("battery_reserve", "spares"),
            ),
        ),
        # What bursts and motion take; how long and how many are asked on the card page, weekdays on the interval page.
        # They count here all the same: a page has room for so many fields.
        Group(
            "What is known of the draw",
            (
                *("standby_mw", "frame_j", "meter_mah", "meter_v", "meter_min", "draw_ma", "draw_v"),
                *("record_mw", "burst_mw", "motion_j", "other_mw"),
            ),
        ),
        Group(
            "What one battery has given",
            (
                *("lasted_days", "lasted_from", "lasted_to", "charge_frames", "charge_by"),
                *("lasted_interval", "lasted_temp_c", "lasted_wh", "lasted_hours"),
            ),
        ),
        Group("First day and hours", ("first", "from", "until")),
    ),
    parts=(Part.BATTERY,),
    results=BatteryResults,
    alone=USUAL_ALONE | {"cell": "LR6", "cells": "8", "interval": "5min"},
)
