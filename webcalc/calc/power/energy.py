"""Energy in a battery: rated, usable in the cold, behind a converter; lead-acid and air travel."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import COMMON_PRACTICE, DEFINITION, formula
from webcalc.calc.power.cells import (
    BANK_USABLE_SHARE,
    LI_ION,
    Cell,
    Curve,
    cell_capacity_ah,
    interpolated,
    temperature_factor,
)
from webcalc.calc.unknown import said

NO_CONVERTER = Estimate.exact(1.0)
#: What a power bank gives out, volts.
OUTPUT_V = 5.0
#: What draws less may be taken for gone by a power bank, which switches off: at 50 to 100 mA, from memory.
BANK_STAYS_ON_ABOVE_MA = 100.0


@formula("rated_wh", "capacity_mah / 1000 * volts", DEFINITION + " (49 CFR 171.8, from memory)")
def wh_of(capacity_mah: float, volts: float) -> float:
    """Return watt-hours for milliampere-hours at the voltage they are rated at (a power bank's: that of its cells)."""
    return capacity_mah / 1000 * volts


@formula("capacity_mah", "rated_wh / volts * 1000", DEFINITION)
def mah_of(rated_wh: float, volts: float) -> float:
    """Return milliampere-hours at ``volts`` (> 0) for watt-hours."""
    return rated_wh / volts * 1000


@formula(
    "output_mah", "capacity_mah * cell_v / output_v * converter_share", "energy is kept, less the converter's loss"
)
def output_mah(capacity_mah: float, cell_v: float, output_v: float, converter_share: float) -> float:
    """Return the milliampere-hours that a power bank gives at its output voltage; ``output_v`` > 0, share 0 to 1."""
    return capacity_mah * cell_v / output_v * converter_share


@formula(
    "usable_wh",
    "rated_wh * usable_share * temperature_share * (1 - ageing_share) * converter_share",
    COMMON_PRACTICE,
)
def usable_energy_wh(
    rated_wh: float, usable_share: float, temperature_share: float, ageing_share: float, converter_share: float
) -> float:
    """Return the energy a camera gets out of a battery; all shares 0 to 1, ``ageing_share`` is the part lost to age."""
    return rated_wh * usable_share * temperature_share * (1 - ageing_share) * converter_share


class RatedFrom(StrEnum):
    """Which of the things typed gave the rated energy."""

    WH = "wh"
    MAH = "mah"
    CELLS = "cells"


@dataclass(frozen=True)
class Pack:
    """A battery as somebody knows it.

    cell : the type; None if it isn't known
    cells : number of cells (or 12 V blocks), however they are connected
    wh : printed watt-hours of the whole pack; the best thing to know
    mah, volts : printed capacity. With volts it is that of the whole pack (a power bank: the volts of its cells);
        without, that of one cell, or ``mah_of_all`` together, at the cell's nominal voltage
    converter : share that a built-in converter passes on (``USUAL_CONVERTER`` for a power bank), None without one

    Watt-hours go before milliampere-hours, these before the table's capacity of the cells.
    """

    cell: Cell | None = None
    cells: int | None = None
    wh: float | None = None
    mah: float | None = None
    volts: float | None = None
    converter: Estimate[float] | None = None
    mah_of_all: bool = False

    @property
    def cell_assumed(self) -> bool:
        """Whether the type isn't known and the pack is taken as Li-ion, the usual type with printed Wh or mAh."""
        return self.cell is None

    @property
    def type_used(self) -> Cell:
        """The cell type that fractions, temperature and self-discharge are taken from."""
        return self.cell or LI_ION

    @property
    def usable_share(self) -> Estimate[float]:
        """The part of the rated energy that a camera gets: a power bank's cells end at their own protection."""
        bank = self.converter is not None and self.type_used.name == LI_ION.name
        return BANK_USABLE_SHARE if bank else self.type_used.usable_share

    @property
    def rated_from(self) -> RatedFrom | None:
        """What the rated energy comes from; None if nothing that was typed can tell it."""
        if self.wh is not None:
            return RatedFrom.WH
        if self.mah is not None:
            return RatedFrom.MAH
        if self.cell is not None and self.cells is not None and cell_capacity_ah(self.cell) is not None:
            return RatedFrom.CELLS
        return None

    @property
    def batteries(self) -> int:
        """How many separate batteries the pack is made of: one, unless its energy is counted by cells."""
        by_mah = self.rated_from is RatedFrom.MAH and self.volts is None and not self.mah_of_all
        by_cell = self.rated_from is RatedFrom.CELLS or by_mah
        return (self.cells or 1) if by_cell else 1


def rated_wh(pack: Pack) -> Estimate[float] | None:
    """Return the rated energy of the whole pack at 20 °C, or None if it can't be told from what is known."""
    if pack.rated_from is RatedFrom.WH:
        return Estimate.exact(said(pack.wh))
    if pack.rated_from is RatedFrom.MAH:
        volts = Estimate.exact(pack.volts) if pack.volts is not None else pack.type_used.nominal_v
        return volts.map(lambda each: wh_of(said(pack.mah), each) * pack.batteries)
    if pack.rated_from is RatedFrom.CELLS:
        cell = said(pack.cell)
        capacity_ah = said(cell_capacity_ah(cell))
        return capacity_ah.with_(cell.nominal_v, lambda ah, volts: wh_of(ah * 1000, volts) * pack.batteries)
    return None


def _ends(*estimates: Estimate[float]) -> Estimate[tuple[float, ...]]:
    """Return the low ends together, the expected ones, and the high ends."""
    return Estimate(
        tuple(each.low for each in estimates),
        tuple(each.expected for each in estimates),
        tuple(each.high for each in estimates),
    )


def usable_wh(pack: Pack, temp_c: float, ageing_share: float = 0.0) -> Estimate[float] | None:
    """Return the energy that the camera gets out of the pack, or None where the rated energy is unknown.

    Self-discharge isn't taken off here; it depends on how long the pack lasts. ``ageing_share`` 0 to 1, and
    ValueError outside that.
    """
    if not 0 <= ageing_share <= 1:
        raise ValueError("ageing_share is 0 to 1")
    rated = rated_wh(pack)
    if rated is None:
        return None
    kind = pack.type_used
    factor = temperature_factor(kind, temp_c).left
    return _ends(rated, pack.usable_share, factor, pack.converter or NO_CONVERTER).map(
        lambda end: usable_energy_wh(end[0], end[1], end[2], ageing_share, end[3])
    )


# Lead-acid


#: Rest voltage of a 12 V lead-acid battery against its charge. Seen: a charge-controller manual.
REST_VOLTAGE_12V: Curve = (
    (10.5, 0.0), (11.31, 0.1), (11.58, 0.2), (11.75, 0.3), (11.9, 0.4), (12.06, 0.5),
    (12.2, 0.6), (12.32, 0.7), (12.42, 0.8), (12.5, 0.9), (12.7, 1.0),
)  # fmt: skip
#: Outside these a reading isn't the rest voltage of a 12 V lead-acid battery: it is being charged, or isn't one.
#: Common practice, no source.
REST_VOLTAGE_LIMITS_V = (9.0, 13.2)


def charge_share_at_rest(volts: float) -> float | None:
    """Return the state of charge (0 to 1) of a 12 V lead-acid battery from its voltage after hours at rest.

    Between the table's rows on a straight line. None for a reading that can't be a rest voltage.
    """
    lowest, highest = REST_VOLTAGE_LIMITS_V
    if not lowest <= volts <= highest:
        return None
    return interpolated(REST_VOLTAGE_12V, volts)


# Air travel

#: 49 CFR 175.10(a)(18); ICAO Technical Instructions Part 8 (clause from memory). Both limits belong to the lower class.
CARRY_ON_UP_TO_WH = 100.0
APPROVAL_UP_TO_WH = 160.0


class AirClass(StrEnum):
    """How a lithium battery may travel with a passenger; spares and power banks never in the hold."""

    CARRY_ON = "carry_on"
    AIRLINE_APPROVAL_TWO_SPARES = "airline_approval_two_spares"
    NOT_IN_BAGGAGE = "not_in_baggage"


def air_class(battery_wh: float) -> AirClass:
    """Return the class of one lithium-ion battery by its rated watt-hours; the limit is per battery, not per set."""
    if battery_wh <= CARRY_ON_UP_TO_WH:
        return AirClass.CARRY_ON
    if battery_wh <= APPROVAL_UP_TO_WH:
        return AirClass.AIRLINE_APPROVAL_TWO_SPARES
    return AirClass.NOT_IN_BAGGAGE


#: Lithium metal in one cell of this table, grams, at most; and what one battery may hold in baggage. From memory; 2 g
#: seen (49 CFR 175.10(a)(18)).
LITHIUM_IN_CELL_G, LITHIUM_UP_TO_G = 1.0, 2.0


def assembled_air_class(pack: Pack) -> AirClass | None:
    """Return the class of the cells joined into one battery; None where they aren't counted, or no rule applies."""
    rated, kind = rated_wh(pack), pack.type_used
    cells = pack.batteries if pack.cells is None else pack.cells
    if rated is None or kind.lithium is None or cells < 2:
        return None
    if kind.lithium == "metal":
        return AirClass.CARRY_ON if cells * LITHIUM_IN_CELL_G <= LITHIUM_UP_TO_G else AirClass.NOT_IN_BAGGAGE
    return air_class(rated.high)


def pack_air_class(pack: Pack) -> AirClass | None:
    """Return the class of each battery of the pack, by the high end of its energy.

    Lithium-metal cells of this table are below 2 g of lithium each and count as carry-on. None where the rules by
    watt-hours don't apply (alkaline, NiMH, lead-acid have their own) or the energy is unknown.
    """
    if pack.type_used.lithium == "metal":
        return AirClass.CARRY_ON
    rated = rated_wh(pack)
    if pack.type_used.lithium is None or rated is None:
        return None
    return air_class(rated.high / pack.batteries)
