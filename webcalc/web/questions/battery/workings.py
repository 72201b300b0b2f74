"""How the figures of the page ``/battery`` come about, with the plan's own numbers."""

from __future__ import annotations

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import work
from webcalc.calc.power import cells, energy, load, shoot_energy
from webcalc.calc.power.energy import OUTPUT_V, RatedFrom
from webcalc.calc.power.kinds import MILLI
from webcalc.calc.power.runtime import budget_wh
from webcalc.calc.unknown import given, known, need
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import span
from webcalc.web.words.battery import under_words
from webcalc.web.words.say import Say
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


def packs_how(asked: Asked) -> How:
    """Say how many batteries were counted."""
    supply, reserve = need(asked.shoot.battery.supply_alone, asked.shoot.battery.reserve_share)
    each = work(budget_wh, usable_wh=supply.usable_wh.low, reserve_share=reserve)
    return (
        each,
        "Each is changed full for empty when its reserve is reached, as often as the shoot asks for. At worst.",
    )


def shoot_energy_how(asked: Asked, most_wh: float) -> How:
    """Show the energy of the whole shoot at that end of the load that takes most."""
    drawn, recording, schedule = need(asked.shoot.battery.draws.load, asked.shoot.recording, asked.shoot.schedule)
    values = (
        shoot_energy.shoot_energy_values(end, recording, schedule) for end in (drawn.high, drawn.low, drawn.expected)
    )
    by_end = (work(shoot_energy.shoot_energy_wh, **each) for each in values)
    return (next(found for found in by_end if found.result == most_wh),)


def idle_day_how(asked: Asked) -> How:
    """Show the energy of a day without a window, as expected."""
    drawn = need(asked.shoot.battery.draws.load).expected
    return (work(load.idle_day_energy_wh, standby_w=drawn.standby_w, other_w=drawn.other_w),)


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
    of_type = f"One cell: {_range(say, capacity_ah, 'Ah')} at {_range(say, volts, 'V')}"
    drain = say.unit(cells.USUAL_DRAIN_MA, "mA")
    at = f", at a drain of {drain}" if pack.type_used.capacity_ah_by_drain else ""
    by_one = work(energy.wh_of, capacity_mah=capacity_ah.expected * 1000, volts=volts.expected)
    return (f"{of_type}{at}; for the most part from memory.", by_one, *several)


def _range(say: Say, estimate: Estimate[float], unit: str) -> str:
    expected, ends = span(lambda end: say.unit(end, unit), estimate)
    return f"{expected} ({ends})" if ends else expected


def usable_how(asked: Asked) -> How:
    """Show what is left of the rated energy, as expected."""
    battery = asked.shoot.battery
    rated, pack, cold, ageing = need(battery.rated_wh, battery.pack, battery.temperature, battery.ageing_share)
    shares = {"usable_share": pack.usable_share, "temperature_share": cold.left}
    shares["converter_share"] = pack.converter or energy.NO_CONVERTER
    values = {name: share.expected for name, share in shares.items()}
    return (work(energy.usable_energy_wh, rated_wh=rated.expected, ageing_share=ageing, **values),)


def above_how(asked: Asked) -> How:
    """Show what is left above the reserve, as expected."""
    usable, reserve = need(asked.shoot.battery.usable_wh, asked.shoot.battery.reserve_share)
    return (work(budget_wh, usable_wh=usable.expected, reserve_share=reserve),)


def output_how(asked: Asked) -> How:
    """Show what is usable, told at a power bank's output."""
    return (work(energy.mah_of, rated_wh=need(asked.shoot.battery.usable_wh).expected, volts=OUTPUT_V),)


def usable_share_how(asked: Asked) -> How:
    """Say what the usable share is."""
    kind = value_words("cell", need(asked.shoot.battery.pack).type_used.name, asked.say)
    return (f"What a device gets of what is printed on {kind} before it switches off: from memory.",)


def cold_how(asked: Asked) -> How:
    """Say what the cold leaves, and how much of that the pulses of a camera take."""
    say, cold = asked.say, need(asked.shoot.battery.temperature)
    if cold.pulses.low == 1:
        return (_COLD,)
    ends = f"{_range_of(say, cold.factor)} by the cold × {_range_of(say, cold.pulses)} by the pulses of a camera."
    return (ends, _COLD)


def _range_of(say: Say, share: Estimate[float]) -> str:
    return f"{say.percent(share.low)} to {say.percent(share.high)}"


def ageing_how(asked: Asked) -> How:
    """Say what age has taken."""
    return (f"{asked.say.percent(need(asked.shoot.battery.ageing_share))} lost to age, as typed.",)


def converter_how(asked: Asked) -> How:
    """Say what a converter was taken to pass on."""
    return ("As typed; five points better or worse are counted (own choice, no source).",)


def lost_how(asked: Asked) -> How:
    """Show what the battery loses by itself, as expected, at the warmest of the shoot."""
    cell, warmest_c = need(asked.shoot.battery.cell_used, asked.shoot.battery.warmest_c)
    share = cell.self_discharge_per_month.expected
    return (work(cells.self_discharge_share, share_at_25=share, temp_c=warmest_c), "No credit for cold.")


def kinds_how(asked: Asked) -> How:
    """Say what the kinds are held against."""
    say, allowed_w = asked.say, need(asked.shoot.battery.allowance.mean_w)
    if allowed_w is None or not known(asked.shoot.schedule):
        return ()
    low, expected = (under_words(say, end * MILLI) if end else "0" for end in (allowed_w.low, allowed_w.expected))
    typed = " With the draws typed." if given(asked.shoot.standby_mw) or given(asked.shoot.frame_j) else ""
    return (f"Mean draw of each, frames included: its most under {low}, or as expected under {expected}.{typed}",)
