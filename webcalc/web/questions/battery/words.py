"""Sentences of the page ``/battery``: how figures come about, contradictions, warnings, air travel, cautions."""

from __future__ import annotations

import math

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import work
from webcalc.calc.power import cells, energy, shoot_energy
from webcalc.calc.power.cells import NO_CREDIT_ABOVE_C
from webcalc.calc.power.contradictions import Clash
from webcalc.calc.power.draws import MEAN_CURRENT
from webcalc.calc.power.energy import AirClass, RatedFrom
from webcalc.calc.power.kinds import KINDS, MILLI
from webcalc.calc.power.load import Way
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.answer import Fact, Facts, Points, spread
from webcalc.web.words.battery import under_words
from webcalc.web.words.cautions import LOCAL_CODES, charging
from webcalc.web.words.values import value_words
from webcalc.web.words.working import LOAD_END, STEPS, How

_COLD = "Between the rows of a table of this cell type; most of it from memory. The warm end earns nothing more."


def reserve_how(asked: Asked, end: str) -> How:
    """Say what one end of the date of the reserve is made of."""
    say, battery = asked.say, asked.shoot.battery
    supply, draws, reserve, since = need(battery.supply_alone, battery.draws, battery.reserve_share, battery.since)
    recorded, idle = need(draws.recorded_day, draws.idle_day)
    wh, lost = getattr(supply.usable_wh, end), getattr(supply.self_discharge_per_month, LOAD_END[end])
    day, other_day = (say.unit(getattr(each, LOAD_END[end]), "Wh") for each in (recorded, idle))
    up_to = {"low": "Of it up to", "expected": "Of it", "high": "Of it no less than"}[end]
    words = f"{up_to} {day} go on a recorded day, {other_day} on an idle one"
    if lost:
        words += f"; {say.percent(lost)} a month of {say.unit(getattr(supply.rated_wh, end), 'Wh')} is lost by itself"
    words += "; a panel adds what its page tells" if battery.panel.typed else ""
    words += f". Counted from {say.instant(since)}." if since else "."
    return (work(budget_wh, usable_wh=wh, reserve_share=reserve), words, STEPS)


def shoot_energy_how(asked: Asked, most_wh: float) -> How:
    """Show the energy of the whole shoot at that end of the load that takes most."""
    drawn, recording, schedule = need(asked.shoot.battery.draws.load, asked.shoot.recording, asked.shoot.schedule)
    values = (
        shoot_energy.shoot_energy_values(end, recording, schedule) for end in (drawn.high, drawn.low, drawn.expected)
    )
    by_end = (work(shoot_energy.shoot_energy_wh, **each) for each in values)
    return (next(found for found in by_end if found.result == most_wh),)


def rated_how(asked: Asked) -> How:
    """Show where the rated energy comes from."""
    say, pack = asked.say, need(asked.shoot.battery.rated_pack)
    if pack.rated_from is RatedFrom.WH:
        return ("As printed on it: what was typed.",)
    several = (f"{say.number(pack.batteries)} of them together.",) if pack.batteries > 1 else ()
    volts = Estimate.exact(pack.volts) if pack.volts else pack.type_used.nominal_v
    if pack.mah:
        return (work(energy.wh_of, capacity_mah=pack.mah, volts=volts.expected), *several)
    capacity_ah = need(cells.cell_capacity_ah(pack.type_used))
    if capacity_ah is None:
        return several
    of_type = (
        f"One cell: {spread(lambda ah: say.unit(ah, 'Ah'), capacity_ah)} at {spread(lambda v: say.unit(v, 'V'), volts)}"
    )
    drain = say.unit(cells.USUAL_DRAIN_MA, "mA")
    at = f", at a drain of {drain}" if pack.type_used.capacity_ah_by_drain else ""
    by_one = work(energy.wh_of, capacity_mah=capacity_ah.expected * 1000, volts=volts.expected)
    return (f"{of_type}{at}; for the most part from memory.", by_one, *several)


def usable_how(asked: Asked) -> How:
    """Show what is left of the rated energy, as expected."""
    battery = asked.shoot.battery
    rated, pack, cold, ageing = need(battery.rated_wh, battery.pack, battery.temperature, battery.ageing_share)
    shares = {"usable_share": pack.usable_share, "temperature_share": cold.left}
    shares["converter_share"] = pack.converter or energy.NO_CONVERTER
    values = {name: share.expected for name, share in shares.items()}
    return (work(energy.usable_energy_wh, rated_wh=rated.expected, ageing_share=ageing, **values),)


def cold_how(asked: Asked) -> How:
    """Say what the cold leaves, and how much of that the pulses of a camera take."""
    say, cold = asked.say, need(asked.shoot.battery.temperature)
    if cold.pulses.low == 1:
        return (_COLD,)
    by_cold, by_pulses = (
        f"{say.percent(share.low)} to {say.percent(share.high)}" for share in (cold.factor, cold.pulses)
    )
    return (f"{by_cold} by the cold × {by_pulses} by the pulses of a camera.", _COLD)


def kinds_how(asked: Asked) -> How:
    """Say what the kinds are held against."""
    say, allowed_w = asked.say, need(asked.shoot.battery.allowance.mean_w)
    if allowed_w is None or not known(asked.shoot.schedule):
        return ()
    low, expected = (under_words(say, end * MILLI) if end else "0" for end in (allowed_w.low, allowed_w.expected))
    typed = " With the draws typed." if given(asked.shoot.standby_mw) or given(asked.shoot.frame_j) else ""
    return (f"Mean draw of each, frames included: its most under {low}, or as expected under {expected}.{typed}",)


WAY_WORDS = {
    Way.DRAWS: "standby draw and what recording adds",
    MEAN_CURRENT: "mean current at its voltage",
    Way.METER: "the meter",
    Way.LASTED: "how long it has lasted",
    Way.CHARGE: "frames per charge",
    Way.KIND: "its kind, from memory",
}
_RATED_WORDS = {RatedFrom.MAH: "its mAh", RatedFrom.CELLS: "its cells"}
_AIR_WORDS = {
    AirClass.CARRY_ON: ("carry-on", "Up to 100 Wh each: in carry-on baggage."),
    AirClass.AIRLINE_APPROVAL_TWO_SPARES: (
        "ask the airline",
        "Above 100 up to 160 Wh each: carry-on with the airline's approval, two spares at most.",
    ),
    AirClass.NOT_IN_BAGGAGE: ("not in baggage", "Above 160 Wh: not in any baggage; it travels as declared cargo."),
}
#: Cells of lithium metal hold up to 1 g each, from memory.
_JOINED_WORDS = {"metal": "more than 2 g of lithium, not in any baggage; a holder joins nothing."}
_DRAW_QUANTITIES = {"standby_w": ("standby_mw", 1000, "mW"), "recording_w": ("record_mw", 1000, "mW")}
#: Cell voltages on the labels of power banks.
_POWER_BANK_V = (3.6, 3.7)


def rounded_up(wh: float) -> float:
    """Return an energy to buy with two or three figures, never rounded down."""
    return math.ceil(wh) if wh >= 10 else math.ceil(wh * 100) / 100


def clash_words(asked: Asked, clash: Clash) -> str:
    """Say plainly what contradicts what, and which of them was used."""
    say, shoot = asked.say, asked.shoot
    if clash.quantity == "rated_wh":
        kept = "printed Wh" if given(shoot.battery_wh) else "mAh"
        return (
            f"Contradiction: the battery has {say.unit(clash.used, 'Wh')} by its {kept}, "
            f"{say.unit(clash.other, 'Wh')} by {_RATED_WORDS[RatedFrom(clash.way)]}. Used: its {kept}."
        )
    used_way = WAY_WORDS[need(shoot.battery.draws.way)]
    if clash.quantity == "mean_w":
        other, used = say.unit(clash.other * 1000, "mW"), say.unit(clash.used * 1000, "mW")
        return f"Contradiction: {other} by the mean current, {used} by {used_way}. Used: {used_way}."
    if clash.quantity == "run_energy_wh":
        names = {Way.LASTED: ("lasted_days", ""), Way.METER: ("meter_min", " at the meter")}
        name, unit = names.get(Way(clash.way), ("charge_frames", " frames"))
        run = value_words(name, need(getattr(shoot, name)), say) + unit
        return (
            f"Contradiction: {run} take {say.unit(clash.used, 'Wh')} by {used_way}, but it was about "
            f"{say.unit(clash.other, 'Wh')}. Used: {used_way}."
        )
    name, factor, unit = _DRAW_QUANTITIES.get(clash.quantity, ("frame_j", 1, "J"))
    other, used = say.unit(clash.other * factor, unit), say.unit(clash.used * factor, unit)
    return f"Contradiction: {QUANTITIES[name].label} {other} as typed, {used} by {used_way}. Used: {used_way}."


def battery_warnings(asked: Asked) -> list[str]:
    """Return what to know before trusting the energy."""
    say, battery, found = asked.say, asked.shoot.battery, []
    pack, cold, temp_c = battery.pack, battery.temperature, battery.coldest_c
    if battery.volts_of_output and given(asked.shoot.battery_mah) and not given(asked.shoot.battery_wh):
        found.append("A power bank’s printed mAh are at the 3.6 or 3.7 V of its cells, not at its output of 5 V.")
    if not known(battery.rated_wh) or not known(pack):
        return found
    if pack.cell_assumed:
        found.append("Cell type not said: taken as Li-ion, as is usual where Wh or mAh are printed.")
    if known(cold) and cold.outside_limits:
        coldest, warmest = (say.temperature(end) for end in pack.type_used.discharge_limits_c)
        found.append(
            f"{say.temperature(temp_c)} is outside the limits of this cell type ({coldest} to {warmest}): "
            "it may not work at all."
        )
    elif known(cold) and cold.outside_table:
        found.append("Colder than what is known of this cell type: the loss is drawn on from above.")
    elif known(cold) and cold.pulses.low < 1:
        found.append(
            "Alkaline in the cold: a camera’s pulses may leave little of it (from memory). Lithium AA stand cold."
        )
    elif known(temp_c) and temp_c > NO_CREDIT_ABOVE_C:
        found.append("Heat earns no extra energy here, and ages a battery.")
    if battery.by_season and known(temp_c):
        found.append(f"Counted at {say.temperature(temp_c)}, the coldest of the seasons that the shoot meets.")
    if pack.converter is not None:
        found.extend(bank_words(asked))
    elif pack.rated_from is RatedFrom.MAH and pack.volts in _POWER_BANK_V:
        found.append("A power bank? Its converter takes a part: fill in Converter efficiency, 85 % is usual.")
    return found


def bank_words(asked: Asked) -> list[str]:
    """Warn of a power bank that may switch off between frames; not where it is known to have enough to do."""
    low_ma = asked.shoot.battery.bank_low_load_ma
    if known(low_ma) and low_ma is None:
        return []
    least = f" Between frames this one draws perhaps {asked.say.unit(low_ma, 'mA', 2)}." if known(low_ma) else ""
    return [
        "Many power banks switch off at low load, below 50 to 100 mA (from memory), as of a camera asleep between "
        f"frames.{least} Try this one with this camera at this interval."
    ]


def load_warnings(asked: Asked) -> list[str]:
    """Return what to know before trusting the load."""
    shoot, draws = asked.shoot, asked.shoot.battery.draws
    load, found = or_none(draws.load), []
    if or_none(draws.way) == MEAN_CURRENT:
        on_top = [name for name in ("frame_j", "record_mw", "burst_mw", "other_mw") if given(getattr(shoot, name))]
        if on_top:
            labels = ", ".join(QUANTITIES[name].label for name in on_top)
            found.append(f"Added on top of the mean current: {labels}. Clear what the current holds already.")
        else:
            found.append("A mean current holds for the interval it was measured at, and for no other.")
    elif load is None and given(shoot.draw_ma) and given(shoot.draw_v):
        found.append("The mean current is used only while Standby draw is empty.")
    if or_none(draws.way) == Way.KIND:
        found.append(_kind_words(asked))
    elif load is not None and load.low != load.high and not given(shoot.standby_mw) and not given(shoot.frame_j):
        found.append("How much of it standby took isn't known: the range holds every share. A standby draw narrows it.")
    return [*found, *_run_warnings(asked)]


def _run_warnings(asked: Asked) -> list[str]:
    """Ask for the conditions of what was measured, where they matter."""
    say, shoot, found = asked.say, asked.shoot, []
    way, temp_c = or_none(shoot.battery.draws.way), or_none(shoot.battery.coldest_c)
    if way not in (Way.LASTED, Way.CHARGE) or temp_c is None:
        return found
    label = QUANTITIES["lasted_temp_c"].label
    if not given(shoot.lasted_temp_c) and not shoot.battery.draws.runs.by_maker:
        found.append(f"Taken as measured at {say.temperature(temp_c)}, as planned. Was it warmer? Fill in {label}.")
    if way == Way.CHARGE and or_none(shoot.charge_by) == "" and not given(shoot.lasted_interval):
        found.append(
            "Frames per charge without how fast they were taken: from a frame each 30 s, as CIPA DC-002 counts them "
            "(from memory), to one at the planned interval. Fill in Frames per charge by."
        )
    if way == Way.LASTED and (given(shoot.lasted_from) or given(shoot.lasted_to)):
        found.append("Two readings of a gauge are taken as right to within 5 % of the battery (own choice, no source).")
    return found


def _kind_words(asked: Asked) -> str:
    """Say what the kind was taken to draw, and what narrows the answer most."""
    say, shoot = asked.say, asked.shoot
    kind, narrows = KINDS[need(shoot.camera_kind)], or_none(shoot.battery.draws.narrows_most)
    watts, joules = kind.standby_mw, kind.frame_j
    words = (
        f"By kind ({value_words('camera_kind', kind.name, say)}), all from memory: "
        f"standby {say.figures(watts.low)} to {say.unit(watts.high, 'mW')}, "
        f"{say.figures(joules.low)} to {say.unit(joules.high, 'J')} a frame."
    )
    label = f"{QUANTITIES[narrows].label} narrows" if narrows else "A measurement narrows"
    return f"{words} {label} the answer most; an hour at a meter beats all of it."


def kinds_facts(asked: Asked) -> Facts | None:
    """Return which kinds of camera stay below that."""
    kinds = or_none(asked.shoot.battery.allowance.kinds)
    if not kinds or asked.records_nothing:
        return None
    rows = []
    for label, lasts in (("Would last", True), ("Perhaps", None)):
        words = [value_words("camera_kind", kind.name, asked.say) for kind in kinds if kind.lasts is lasts]
        rows.append(Fact(label, "; ".join(words) or "none", how=kinds_how(asked)))
    return Facts(rows, "Kinds of camera, from memory")


def lengths_facts(asked: Asked) -> Facts | None:
    """Return how little the camera may draw for how long, while no end is known; None where nothing is."""
    by_days, say = or_none(asked.shoot.battery.allowance.by_days), asked.say
    if not by_days:
        return None
    rows = [
        Fact(
            say.count(days, "day"),
            f"under {under_words(say, mean_w.low * MILLI)}" if mean_w.low else "not to be counted on",
        )
        for days, mean_w in by_days
    ]
    return Facts(rows, "How long, by the mean draw of the camera")


def air_points(asked: Asked) -> Points | None:
    """Return how the pack travels by air."""
    battery = asked.shoot.battery
    kind, cell = battery.air_class, battery.cell_used
    if not known(kind) or not known(cell) or not known(battery.rated_wh):
        return None
    if kind is None:
        items = ["Not a lithium battery: the rules by watt-hours don't apply, others do. Cover the terminals."]
        return Points("By air: ask the airline", [*items, "Check your airline; rules change."], folded=True)
    short, rule = _AIR_WORDS[kind]
    if cell.lithium == "metal":
        rule = "Lithium metal, up to 2 g of lithium each: in carry-on baggage."
    joined = or_none(battery.air_class_assembled)
    if joined is not None and joined != kind:
        short = f"loose {short}, joined {_AIR_WORDS[joined][0]}"
        rule = (
            f"Loose cells: {rule} Joined into one battery: {_JOINED_WORDS.get(cell.lithium) or _AIR_WORDS[joined][1]}"
        )
    items = [
        rule,
        "Spares and power banks never in the hold; cover the terminals.",
        "49 CFR 175.10(a)(18), ICAO Technical Instructions Part 8. Check your airline; rules change.",
    ]
    return Points(f"By air: {short}", items, folded=True)


def cautions(asked: Asked) -> Points | None:
    """Return the cautions for this kind of battery; for every kind while the type can't be read."""
    if not known(asked.shoot.battery.rated_wh):
        return None
    items = charging(asked.say, or_none(asked.shoot.battery.cell_used))
    margin = "This is arithmetic on what was typed: leave a margin where a missed moment can't be repeated."
    return Points("Cautions", [*items, margin, LOCAL_CODES], folded=True)


def ways_to_know(asked: Asked) -> Points:
    """Return the cheapest ways to know what the camera draws, as steps."""
    every = or_none(asked.shoot.interval_s)
    at = f"a frame every {asked.say.length(every)}" if every is not None else "the planned interval"
    items = [
        f"An hour at a USB or bench meter with {at}: type its mAh, volts and minutes.",
        "One battery watched: “it ran from 100 % to 60 % in 3 days”.",
        "One battery used up: “it has lasted 30 days”.",
    ]
    return Points("Cheapest ways to know what it draws", items)
