"""What the pages on battery and panel answer as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power.contradictions import Clash
from webcalc.calc.power.energy import OUTPUT_V, AirClass
from webcalc.calc.power.kinds import MILLI
from webcalc.calc.power.pack import ShootPack
from webcalc.calc.power.panel_balance import PanelMonth
from webcalc.calc.results import Results, key, meaning, ranged
from webcalc.calc.unknown import known, or_none, said
from webcalc.calc.verdict import Part, State, Verdict, judge, records_nothing

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class KindResults(Results):
    """A kind of camera beside what the battery allows."""

    kind: str = field(metadata=meaning("as in ``camera_kind``"))
    mean_mw: Estimate[float] = field(metadata=meaning("what it draws on average over the shoot, frames included, mW"))
    lasts: bool | None = field(metadata=meaning("at the pessimistic end; null where only as expected"))


@dataclass(frozen=True)
class AllowedResults(Results):
    """What the battery allows over a length of time."""

    days: int = field(metadata=meaning("whole days, round the clock"))
    mean_mw: Estimate[float] = field(metadata=meaning("constant draw at which it just lasts so long, mW"))


@dataclass(frozen=True)
class PanelSummary(Results):
    """What other pages tell of the panel."""

    panel_w: float | None = key("rated, watts")
    worst_month: str | None = key("the month with the least gain, ISO 8601")
    worst_month_harvest_wh_per_day: Estimate[float] | None = ranged("what the battery can take on a mean day of it, Wh")
    worst_month_load_wh_per_day: float | None = key("what is drawn on a mean day of it, Wh")
    carries: bool | None = key("whether the battery stays above its reserve to the last day at the pessimistic end")


@dataclass(frozen=True)
class BatteryResults(Results):
    """Will the battery last?"""

    usable_wh: Estimate[float] | None = ranged("what the camera gets out of a full battery, Wh")
    rated_wh: Estimate[float] | None = ranged("as printed or by its cells, Wh")
    load_wh_recorded_day: float | None = key("a date with a window, Wh")
    load_wh_recorded_day_range: Estimate[float] | None = ranged("the same by its ends, Wh")
    load_wh_idle_day: float | None = key("a date without one, Wh")
    load_wh_idle_day_range: Estimate[float] | None = ranged("the same by its ends, Wh")
    load_known_by: str | None = key("draws, mean_current, meter, lasted, charge or kind")
    contradictions: tuple[Clash, ...] = key("what was typed twice and differs by more than a quarter", ())
    runtime_days: Estimate[float | None] | None = ranged(
        "from the start to the reserve, days; null beyond 20 years", "shortest", "longest"
    )
    reserve_at: Estimate[datetime | None] | None = ranged(
        "camera clock; null at an end where it lasts to the last day", "earliest", "latest"
    )
    lasts: bool | None = key("whether it lasts at the pessimistic end; null while unknown or contradicted")
    left_at_end_share: Estimate[float] | None = ranged("of the usable energy, 0 to 1")
    batteries_needed: Estimate[int | None] | None = ranged("how many like this one the shoot takes", "fewest", "most")
    batteries_to_pack: int | None = key("those needed at most, and the spares")
    energy_needed_wh: Estimate[float] | None = ranged("what the camera takes over the shoot, Wh")
    rated_wh_needed: float | None = key("one battery of this kind that lasts, Wh")
    interval_that_lasts_s: Fraction | None = key("shortest longer interval with which it lasts, seconds")
    cell_used: str | None = key("type that it is taken as")
    cell_assumed: bool | None = key("whether the type wasn't typed")
    temperature_share: Estimate[float] | None = ranged("what the temperature leaves, 0 to 1")
    outside_temperature_limits: bool | None = key("whether the type isn't made for it")
    power_bank_output_v: float | None = key("volts")
    power_bank_output_mah: Estimate[float] | None = ranged("of the rated energy at these volts, mAh")
    usable_output_mah: Estimate[float] | None = ranged("of the usable energy at these volts, mAh")
    bank_low_load_ma: float | None = key(
        "least draw between frames at these volts, where a power bank may switch off; null elsewhere"
    )
    air_class: AirClass | None = key("how it travels with a passenger, each cell by itself where cells are counted")
    air_class_assembled: AirClass | None = key(
        "the same of its cells joined into one battery; null where they aren't counted"
    )
    pack_v: float | None = key(
        "its voltage, as printed, of a power bank's output or of its cells in series; null where nothing tells"
    )
    cells_in_set: int | None = key("cells that make one of the batteries counted here; null where it is one by itself")
    allowed_mean_mw: Estimate[float] | None = ranged(
        "constant draw at which the shoot just lasts, by the battery alone, mW; null with a panel"
    )
    allowed_by_days: tuple[AllowedResults, ...] = key(
        "the same for lengths of time, however long the shoot is; empty with a panel", ()
    )
    kinds: tuple[KindResults, ...] = key("what each kind of camera draws beside that", ())
    narrows_most: str | None = key("the draw of a kind whose range spreads the answer most")
    solar: PanelSummary | None = key("the panel; null without one")


def _lasts(verdict: Verdict) -> bool | None:
    """Return whether the battery lasts at the pessimistic end, no surer than the verdict."""
    judged = verdict.of(Part.BATTERY)
    if judged is None or judged.state is State.UNKNOWN:
        return None
    return judged.state is State.HOLDS


def clashes_seen(shoot: Shoot) -> tuple[Clash, ...]:
    """Return the contradictions that are seen, whatever else isn't known."""
    battery = shoot.battery
    return (*(or_none(battery.draws.clashes) or ()), *(or_none(battery.pack_clashes) or ()))


def battery_results(shoot: Shoot) -> BatteryResults:
    """Return the answer to ``/battery`` as data; nothing without a battery, no dates where nothing is recorded."""
    battery, draws = shoot.battery, shoot.battery.draws
    if not battery.needed:
        return BatteryResults()
    rated, usable, pack = or_none(battery.rated_wh), or_none(battery.usable_wh), or_none(battery.rated_pack)
    output, cold = or_none(battery.power_bank_output_mah), or_none(battery.temperature)
    cell = or_none(battery.cell_used) if rated else None
    allowed_w = or_none(battery.allowance.mean_w) if not records_nothing(shoot) else None
    of_battery = BatteryResults.of(
        ShootPack(shoot),
        contradictions=clashes_seen(shoot),
        cell_used=cell.name if cell else None,
        cell_assumed=not or_none(shoot.cell) if cell and pack else None,
        temperature_share=cold.left if cold and usable else None,
        outside_temperature_limits=cold.outside_limits if cold and usable else None,
        power_bank_output_v=OUTPUT_V if output and rated else None,
        bank_low_load_ma=battery.bank_low_load_ma,
        pack_v=or_none(battery.pack_v) if rated else None,
        allowed_mean_mw=allowed_w.map(lambda end: end * MILLI) if allowed_w else None,
        allowed_by_days=tuple(
            AllowedResults(days, mean_w.map(lambda end: end * MILLI))
            for days, mean_w in or_none(battery.allowance.by_days) or ()
        ),
        kinds=tuple(
            KindResults(kind.name, kind.mean_w.map(lambda end: end * MILLI), kind.lasts)
            for kind in or_none(battery.allowance.kinds) or ()
        ),
        narrows_most=draws.narrows_most,
        solar=panel_summary(shoot),
    )
    found, recorded, idle = battery.runtime, or_none(draws.recorded_day), or_none(draws.idle_day)
    if not known(found) or records_nothing(shoot):
        return of_battery
    ended = not battery.open_end
    return BatteryResults(
        **{
            **vars(of_battery),
            "load_wh_recorded_day": recorded.expected if recorded else None,
            "load_wh_recorded_day_range": recorded,
            "load_wh_idle_day": idle.expected if idle else None,
            "load_wh_idle_day_range": idle,
            "load_known_by": or_none(draws.way),
            "runtime_days": found.days,
            "reserve_at": found.reserve_at.map(shoot.daylight.dated),
            "lasts": _lasts(judge(shoot, (Part.BATTERY,))) if ended else None,
            "left_at_end_share": or_none(battery.left_at_end_share),
            "batteries_needed": or_none(battery.batteries_needed),
            "batteries_to_pack": or_none(battery.to_pack),
            "energy_needed_wh": or_none(draws.energy_needed_wh),
            "rated_wh_needed": or_none(battery.rated_wh_needed),
            "interval_that_lasts_s": or_none(battery.interval_that_lasts_s),
        }
    )


# -- the panel --------------------------------------------------------------------------------------------------


def month_key(month: PanelMonth) -> str:
    """Return a month as ISO 8601 writes it."""
    return f"{month.year:04}-{month.month:02}"


def panel_summary(shoot: Shoot) -> PanelSummary | None:
    """Return what other pages tell of the panel; None without one."""
    panel = shoot.battery.panel
    if not shoot.battery.needed or not panel.typed:
        return None
    month = or_none(panel.worst_month)
    return PanelSummary.of(
        panel,
        panel_w=panel.rated_w,
        worst_month=month_key(month.low) if month else None,
        carries=carries(shoot),
    )


def carries(shoot: Shoot) -> bool | None:
    """Return whether the panel carries the shoot, no surer than the verdict; None without one."""
    if not shoot.battery.panel.typed or records_nothing(shoot):
        return None
    return _lasts(judge(shoot, (Part.BATTERY,)))


@dataclass(frozen=True)
class HarvestResults(Results):
    """What the panel offers in a month."""

    month: int = field(metadata=meaning("1 to 12"))
    low: float = field(metadata=meaning("on a mean day under the next darker sky, Wh"))
    expected: float = field(metadata=meaning("under the sky typed, Wh"))
    high: float = field(metadata=meaning("under the next brighter sky, Wh"))
    charges: bool = field(metadata=meaning("whether the battery may be charged then"))


@dataclass(frozen=True)
class MonthResults(Results):
    """A month of the shoot at the pessimistic end."""

    month: str = field(metadata=meaning("ISO 8601"))
    days: int = field(metadata=meaning("of it within the shoot"))
    load_wh: float = field(metadata=meaning("drawn, Wh"))
    harvest_wh: float = field(metadata=meaning("what the battery can take, Wh"))
    frozen_days: int = field(metadata=meaning("days without charging"))


@dataclass(frozen=True)
class SizeResults(Results):
    """A panel, and the batteries of the kind typed that hold with it."""

    panel_w: float = field(metadata=meaning("rated, watts"))
    battery_wh_1_in_20: float | None = field(
        metadata=meaning(
            "printed energy with which the reserve is touched in no more than 1 of 20 years; null: none does"
        )
    )
    battery_wh_1_in_100: float | None = field(metadata=meaning("the same for 1 of 100"))


@dataclass(frozen=True)
class SolarResults(Results):
    """Does a panel carry it?"""

    harvest_wh_month: tuple[HarvestResults, ...] = key("what it offers, month by month", ())
    harvest_is_of: str = key("mean_day", "mean_day")
    worst_month: str | None = key("the month with the least gain, ISO 8601")
    worst_month_harvest_wh_per_day: Estimate[float] | None = ranged("what the battery can take on a mean day of it, Wh")
    worst_month_load_wh_per_day: float | None = key("what is drawn on a mean day of it, Wh")
    lowest_share: Estimate[float | None] | None = ranged("lowest state of the battery, share of the usable energy")
    lowest_on: Estimate[date | None] | None = ranged("on which date")
    reserve_at: Estimate[datetime | None] | None = ranged(
        "camera clock; null at an end where it lasts to the last day", "earliest", "latest"
    )
    carries: bool | None = key(
        "whether it stays above its reserve to the last day at the pessimistic end, dark days counted; null while "
        "contradicted"
    )
    left_at_end_share: Estimate[float] | None = ranged("of the usable energy, 0 to 1")
    smallest_panel_w: float | None = key(
        "smallest that carries it, watts; 0: none is needed; on mean days while the site's own sun isn't known"
    )
    autonomy_days: Estimate[float] | None = ranged("without sun from full to empty, days")
    dark_days_to_reserve: int | None = key(
        "in a row, each with a tenth of the sun above the air, from full to the reserve at worst; null where such "
        "days carry it"
    )
    reserve_chance: float | None = key(
        "share of years of this shoot in which the reserve is touched, for the smallest battery and the heaviest "
        "draw that may be; null while unknown"
    )
    reserve_chance_at_least: float | None = key("it is no smaller, where it isn't known better")
    sizes: tuple[SizeResults, ...] = key("panel and battery together, as far as the site's own sun is known", ())
    frozen_days: int | None = key("days without charging")
    frozen_wh: Estimate[float] | None = ranged("harvest lost on them, Wh")
    months: tuple[MonthResults, ...] = key("load and harvest of each month of the shoot", ())


def solar_results(shoot: Shoot) -> SolarResults:
    """Return the answer to ``/solar`` as data; nothing without a battery, no dates where nothing is recorded."""
    battery, panel = shoot.battery, shoot.battery.panel
    if not battery.needed:
        return SolarResults()
    top_up, by_month = or_none(panel.top_up), or_none(panel.by_month)
    harvests = tuple(
        HarvestResults(n, wh.low, wh.expected, wh.high, said(top_up).rule.charges_in(n))
        for n, wh in (enumerate(by_month, start=1) if top_up and by_month else ())
    )
    if records_nothing(shoot):
        return SolarResults(harvests)
    month, balances = or_none(panel.worst_month), or_none(panel.balances)
    ended = balances if balances and not battery.open_end else None
    found = battery.runtime if panel.typed and not panel.asked_for else None
    lows = [or_none(panel.lowest(end)) for end in ("low", "expected", "high")]
    chance = or_none(battery.dark_runs.chance)
    return SolarResults.of(
        panel,
        harvest_wh_month=harvests,
        worst_month=month_key(month.low) if month else None,
        lowest_share=Estimate(*(low[1] if low else None for low in lows)),
        lowest_on=Estimate(*(low[0] if low else None for low in lows)),
        reserve_at=found.reserve_at.map(shoot.daylight.dated) if found and known(found) else None,
        carries=carries(shoot) if found else None,
        left_at_end_share=battery.left_at_end_share if found else None,
        dark_days_to_reserve=battery.dark_runs.days_to_reserve,
        reserve_chance=chance.share if chance and not chance.at_least else None,
        reserve_chance_at_least=chance.share if chance else None,
        sizes=tuple(SizeResults(size.panel_w, *size.battery_wh) for size in or_none(battery.dark_runs.sizes()) or ()),
        frozen_days=ended.low.frozen_days if ended else None,
        frozen_wh=ended.map(lambda each: each.frozen_wh) if ended else None,
        months=tuple(
            MonthResults(month_key(each), each.days, each.load_wh, each.gross_wh - each.frozen_wh, each.frozen_days)
            for each in (ended.low.months if ended else ())
        ),
    )
