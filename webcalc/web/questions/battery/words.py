"""Sentences of the page ``/battery``: ways of knowing, contradictions, warnings, air travel, cautions."""

from __future__ import annotations

import math

from webcalc.calc.power.cells import LI_ION, NO_CREDIT_ABOVE_C, temperature_factor
from webcalc.calc.power.energy import AirClass, RatedFrom, pack_air_class
from webcalc.calc.power.load import Way
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.battery.case import MEAN_CURRENT, BatteryCase, Clash
from webcalc.web.words.answer import LOOK, Points, Text
from webcalc.web.words.cautions import LOCAL_CODES
from webcalc.web.words.values import value_words

WAY_WORDS = {
    Way.DRAWS: "standby draw and what recording adds",
    MEAN_CURRENT: "mean current at its voltage",
    Way.LASTED: "how long it has lasted",
    Way.CHARGE: "frames per charge",
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
#: Limits for charging any lithium battery, °C: the narrowest of the kinds here.
LITHIUM_CHARGE_C = LI_ION.charge_limits_c
#: Cell voltages on the labels of power banks.
_POWER_BANK_V = (3.6, 3.7)


def rounded_up(wh: float) -> float:
    """Return an energy to buy with two or three figures, never rounded down."""
    return math.ceil(wh) if wh >= 10 else math.ceil(wh * 100) / 100


def clash_words(case: BatteryCase, clash: Clash) -> str:
    """Say plainly what contradicts what, and which of them was used."""
    say, typed = case.say, case.inputs
    if clash.quantity == "rated_wh":
        kept = "printed Wh" if case.pack.rated_from is RatedFrom.WH else "mAh"
        return (
            f"Contradiction: the battery has {say.unit(clash.used, 'Wh')} by its {kept}, "
            f"{say.unit(clash.other, 'Wh')} by {_RATED_WORDS[RatedFrom(clash.way)]}. Used: its {kept}."
        )
    used_way = WAY_WORDS[case.way]
    if clash.quantity == "mean_w":
        other, used = say.unit(clash.other * 1000, "mW"), say.unit(clash.used * 1000, "mW")
        return f"Contradiction: {other} by the mean current, {used} by {used_way}. Used: {used_way}."
    if clash.quantity == "run_energy_wh":
        lasted = clash.way == Way.LASTED
        name = "lasted_days" if lasted else "charge_frames"
        run = value_words(name, typed.get(name), say) + ("" if lasted else " frames")
        return (
            f"Contradiction: {run} take {say.unit(clash.used, 'Wh')} by {used_way}, but the battery gives about "
            f"{say.unit(clash.other, 'Wh')}. Used: {used_way}."
        )
    names = {"standby_w": ("standby_mw", 1000, "mW"), "recording_w": ("record_mw", 1000, "mW")}
    name, factor, unit = names.get(clash.quantity, ("frame_j", 1, "J"))
    other, used = say.unit(clash.other * factor, unit), say.unit(clash.used * factor, unit)
    return f"Contradiction: {QUANTITIES[name].label} {other} as typed, {used} by {used_way}. Used: {used_way}."


def battery_warnings(case: BatteryCase) -> list[str]:
    """Return what to know before trusting the energy."""
    say, pack, battery = case.say, case.pack, case.battery
    found: list[str] = []
    if case.rated is None:
        return found
    if pack.cell_assumed:
        found.append("Cell type not said: taken as Li-ion, as is usual where Wh or mAh are printed.")
    if battery.temp_c is not None:
        cell, factor = pack.type_used, temperature_factor(pack.type_used, battery.temp_c)
        if factor.outside_limits:
            coldest, warmest = (say.temperature(end) for end in cell.discharge_limits_c)
            found.append(
                f"{say.temperature(battery.temp_c)} is outside the limits of this cell type ({coldest} to {warmest}): "
                "it may not work at all."
            )
        elif factor.outside_table:
            found.append("Colder than what is known of this cell type: the loss is drawn on from above.")
        elif battery.temp_c > NO_CREDIT_ABOVE_C:
            found.append("Heat earns no extra energy here, and ages a battery.")
    if pack.converter is not None:
        found.append(
            "Many power banks switch off at low load, as of a camera asleep between frames: try this one with this "
            "camera at this interval."
        )
    elif pack.rated_from is RatedFrom.MAH and pack.volts in _POWER_BANK_V:
        found.append("A power bank? Its converter takes a part: fill in Converter efficiency, 85 % is usual.")
    return found


def load_warnings(case: BatteryCase) -> list[str]:
    """Return what to know before trusting the load."""
    typed, found = case.inputs, []
    if case.way == MEAN_CURRENT:
        on_top = [name for name in ("frame_j", "record_mw", "burst_mw", "other_mw") if typed.has(name)]
        if on_top:
            labels = ", ".join(QUANTITIES[name].label for name in on_top)
            found.append(f"Added on top of the mean current: {labels}. Clear what the current holds already.")
        else:
            found.append("A mean current holds for the interval it was measured at, and for no other.")
    elif case.load is None and case.mean_w is not None:
        found.append("The mean current is used only while Standby draw is empty.")
    if case.load is not None and case.load.low != case.load.high:
        found.append("How much of it standby took isn't known: the range holds every share. A standby draw narrows it.")
    return found


def air_points(case: BatteryCase) -> Points | None:
    """Return how the pack travels by air."""
    if case.rated is None:
        return None
    lithium, kind = case.pack.type_used.lithium, pack_air_class(case.pack)
    if lithium is None:
        items = ["Not a lithium battery: the rules by watt-hours don't apply, others do. Cover the terminals."]
        return Points("By air: ask the airline", [*items, "Check your airline; rules change."], folded=True)
    short, rule = _AIR_WORDS[kind]
    if lithium == "metal":
        rule = "Lithium metal, up to 2 g of lithium each: in carry-on baggage."
    items = [
        rule,
        "Spares and power banks never in the hold; cover the terminals.",
        "49 CFR 175.10(a)(18), ICAO Technical Instructions Part 8. Check your airline; rules change.",
    ]
    return Points(f"By air: {short}", items, folded=True)


def cautions(case: BatteryCase) -> Points | None:
    """Return the cautions for this kind of battery."""
    if case.rated is None:
        return None
    cell, items = case.pack.type_used, []
    if not cell.rechargeable:
        items.append("Never recharge these cells: they can leak or burst.")
    elif cell.lithium:
        coldest, warmest = (case.say.temperature(end) for end in LITHIUM_CHARGE_C)
        items.append(f"Never charge lithium below {coldest} or above {warmest}.")
    if cell.name == "agm":
        items.append("Never charge lead-acid in a sealed box: it gives off explosive gas.")
    if cell.rechargeable:
        items.append("Fuse at the battery.")
    items.append("This is arithmetic on what was typed: leave a margin where a missed moment can't be repeated.")
    return Points("Cautions", [*items, LOCAL_CODES], folded=True)


def looks(sentences: list[str]) -> list[Text]:
    """Return sentences to look at as blocks."""
    return [Text(sentence, LOOK) for sentence in sentences]
