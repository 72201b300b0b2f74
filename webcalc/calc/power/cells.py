"""The cell table: what one cell holds, how much of it a camera gets, and what cold takes away.

Provenance is noted at each value: "seen" means read in a maker's sheet, a manual or a paper, "from memory" means
that it was written down from general knowledge of the trade's handbooks (Linden's Handbook of Batteries above all)
and could not be looked up again. Where a single value would flatter, the range is kept, and plans use its low end.
All values hold for fresh cells at the 20 °C at which they are rated (lead-acid: 25 °C, IEEE 485).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from types import MappingProxyType

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, COMMON_PRACTICE, DEFINITION, formula

#: Above this temperature no gain in capacity is counted. 25 °C is the base of IEEE 485.
NO_CREDIT_ABOVE_C = 25.0

#: Drain at which the capacity of a primary cell is taken if nothing better is known: between the sleep and
#: the write current of a small camera. Common practice, no source.
USUAL_DRAIN_MA = 100.0

Curve = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Cell:
    """One cell, or one 12 V block, of a type.

    nominal_v : volts of one cell or block
    capacity_ah_by_drain : (mA, Ah) rows of a primary cell, rising drain; empty where the label states the capacity
    capacity_spread : share by which real cells differ from a row, either way
    capacity_ah : Ah of a cell whose capacity is a range by itself; None where drain or label decides
    usable_share : part of the rated energy that a device gets before it, or the cell's protection, cuts out
    self_discharge_per_month : share of the rated energy lost in a month at 20 °C
    cold_low, cold_high : (°C, factor) rows, rising temperature: the two ends of the temperature factor
    discharge_limits_c, charge_limits_c : °C; no charge limits where the cell must not be recharged
    lithium : ``"ion"``, ``"metal"`` or None; decides the rules for air travel
    pulsed_cold_low : (°C, share) rows: what a camera's pulses leave of that at worst; empty where they take nothing
    """

    name: str
    chemistry: str
    nominal_v: Estimate[float]
    usable_share: Estimate[float]
    self_discharge_per_month: Estimate[float]
    cold_low: Curve
    cold_high: Curve
    discharge_limits_c: tuple[float, float]
    charge_limits_c: tuple[float, float] | None
    capacity_ah_by_drain: Curve = ()
    capacity_spread: float = 0.0
    capacity_ah: Estimate[float] | None = None
    lithium: str | None = None
    pulsed_cold_low: Curve = ()

    @property
    def rechargeable(self) -> bool:
        """Whether the cell may be charged at all; a primary cell may burst if it is."""
        return self.charge_limits_c is not None


@dataclass(frozen=True)
class TemperatureFactor:
    """Share of the rated energy that is left at a temperature.

    pulses : share of that which the pulses of a camera leave, from those of one that sips to those of one that gulps
    outside_limits : the temperature is outside the cell's discharge limits; it may not work at all
    outside_table : colder than the last row; the factor is the last slope drawn on, never below 0
    """

    factor: Estimate[float]
    outside_limits: bool
    outside_table: bool
    pulses: Estimate[float]

    @property
    def left(self) -> Estimate[float]:
        """What cold and pulses together leave."""
        cold, pulses = self.factor, self.pulses
        return Estimate(cold.low * pulses.low, cold.expected * pulses.expected, cold.high * pulses.high)


def interpolated(rows: Curve, x: float) -> float:
    """Return the value between two rows on a straight line, and that of the end row outside. Rows rise in x."""
    if x <= rows[0][0]:
        return rows[0][1]
    if x >= rows[-1][0]:
        return rows[-1][1]
    above = bisect_right(rows, x, key=lambda row: row[0])
    (x0, y0), (x1, y1) = rows[above - 1], rows[above]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@formula("celsius", "(fahrenheit - 32) / 1.8", DEFINITION)
def celsius_of(fahrenheit: float) -> float:
    """Return °C for °F; many published tables are in °F."""
    return (fahrenheit - 32) / 1.8


#: IEEE 485 Table 1, cell-size factor K by °F for vented lead-acid cells, base 25 °C. Seen (in a test-sheet programme
#: that carries the table).
IEEE_485_K_BY_F: Curve = (
    (40, 1.30), (45, 1.25), (50, 1.19), (55, 1.15), (60, 1.11), (65, 1.08), (68, 1.056), (70, 1.04), (77, 1.00),
    (80, 0.98), (85, 0.96), (90, 0.94), (95, 0.93), (100, 0.91), (105, 0.89), (110, 0.88), (115, 0.87), (120, 0.86),
)  # fmt: skip
_K_ROWS: Curve = tuple((celsius_of(fahrenheit), k) for fahrenheit, k in IEEE_485_K_BY_F)


@formula(
    "cell_size_factor",
    "1.405 - 2.494102 * (temp_c / 100) + 4.191606 * (temp_c / 100) ** 2 - 2.811704 * (temp_c / 100) ** 3",
    "cubic through IEEE 485 Table 1 (coefficients recovered from its printed values)",
)
def ieee_485_k_cubic(temp_c: float) -> float:
    """Return the cell-size factor K by the cubic, which goes on below the table's 4.4 °C."""
    x = temp_c / 100
    return 1.405 - 2.494102 * x + 4.191606 * x**2 - 2.811704 * x**3


def ieee_485_k(temp_c: float) -> float:
    """Return IEEE 485's cell-size factor K: by the table inside its 4.4 to 48.9 °C, by the cubic below, 0.86 above."""
    if temp_c < _K_ROWS[0][0]:
        return max(_K_ROWS[0][1], ieee_485_k_cubic(temp_c))
    return interpolated(_K_ROWS, temp_c)


def _lead_acid_low_end() -> Curve:
    """Return 1/K at every row of the table and, by the cubic, at 0, −10 and −20 °C."""
    below = tuple((float(temp_c), 1 / ieee_485_k(temp_c)) for temp_c in (-20, -10, 0))
    return below + tuple((temp_c, 1 / k) for temp_c, k in _K_ROWS)


#: Alkaline. Seen: −20 °C about 0.48, 0 °C about 0.5 (a weak source, below our 0.6). From memory: the other ends.
_ALKALINE_COLD_LOW = ((-20.0, 0.2), (-10.0, 0.4), (0.0, 0.6), (20.0, 1.0))
_ALKALINE_COLD_HIGH = ((-20.0, 0.5), (-10.0, 0.6), (0.0, 0.75), (20.0, 1.0))
#: Cold multiplies the inner resistance of an alkaline cell, so that a camera's pulses of some 100 mA meet its cut-out
#: long before the cell is empty; one whose capacitor takes the pulses notices nothing. From memory: all shares.
_ALKALINE_PULSED_LOW = ((-20.0, 0.25), (-10.0, 0.6), (0.0, 0.85), (20.0, 1.0))
#: Cut-out of the device decides: 0.5 where it stops at 1.2–1.3 V a cell, 0.9 where it runs down to 0.9 V. From memory.
_ALKALINE_USABLE = Estimate(0.5, 0.7, 0.9)
#: Seen: 0.5 % a month; 80 % left after five years, which is 0.33 % a month. 0.2 from memory.
_ALKALINE_SELF_DISCHARGE = Estimate(0.002, 0.0033, 0.005)
#: Seen: maker's sheet of the LR14. Taken for all three sizes.
_ALKALINE_LIMITS_C = (-18.0, 50.0)


def _alkaline(name: str, by_drain: Curve) -> Cell:
    return Cell(
        name=name,
        chemistry="Zn/MnO2, alkaline",
        nominal_v=Estimate.exact(1.5),  # seen: maker's sheet of the LR14; mote manual
        usable_share=_ALKALINE_USABLE,
        self_discharge_per_month=_ALKALINE_SELF_DISCHARGE,
        discharge_limits_c=_ALKALINE_LIMITS_C,
        charge_limits_c=None,
        capacity_ah_by_drain=by_drain,
        capacity_spread=0.2,  # from memory: "typical ±20 %"; IEC 60086-2 sets shortest durations, not Ah
        cold_low=_ALKALINE_COLD_LOW,
        cold_high=_ALKALINE_COLD_HIGH,
        pulsed_cold_low=_ALKALINE_PULSED_LOW,
    )


#: Seen: 2 Ah as a usual value (mote manual). From memory: capacity against drain (Linden, chapter 11).
LR6 = _alkaline("LR6", ((25.0, 2.7), (100.0, 2.2), (250.0, 1.7), (500.0, 1.2)))
#: From memory: both capacities.
LR14 = _alkaline("LR14", ((25.0, 7.5), (250.0, 5.0)))
#: From memory: everything.
LR20 = _alkaline("LR20", ((25.0, 16.0), (250.0, 10.0)))

FR6 = Cell(
    name="FR6",
    chemistry="Li/FeS2",
    nominal_v=Estimate.exact(1.5),  # from memory; open circuit up to 1.9 V seen (IEC 60086-2-2)
    usable_share=Estimate(0.85, 0.9, 0.95),  # from memory: flat until it ends, little hangs on the cut-out
    self_discharge_per_month=Estimate(0.0005, 0.001, 0.005),  # "below 0.1 %, up to 0.5 %" seen; low end from memory
    cold_low=((-20.0, 0.75), (-10.0, 0.85), (0.0, 0.9), (20.0, 1.0)),  # from memory
    cold_high=((-20.0, 0.9), (-10.0, 0.95), (0.0, 1.0)),  # from memory
    discharge_limits_c=(-40.0, 60.0),  # seen: Li/FeS2 handbook
    charge_limits_c=None,
    capacity_ah_by_drain=((25.0, 3.3), (250.0, 3.1), (1000.0, 2.9)),  # from memory
    capacity_spread=0.1,  # our own allowance, no source
    lithium="metal",  # below 1 g a cell, from memory; 2 g is the limit in baggage, seen
)

#: Of cells sold as low-self-discharge. Seen: 2–3 % and 4 % a month.
LOW_SELF_DISCHARGE_HR6 = Estimate(0.02, 0.03, 0.04)
#: Of standard cells. Seen: 30 % a month; 15 % from memory.
STANDARD_HR6 = Estimate(0.15, 0.2, 0.3)

HR6 = Cell(
    name="HR6",
    chemistry="NiMH",
    nominal_v=Estimate.exact(1.2),  # seen
    usable_share=Estimate(0.8, 0.85, 0.9),  # from memory
    # Which kind of cell it is isn't known from the type, so the range spans both; the expected end is the better
    # kind, which most cells sold are (common practice, no source).
    self_discharge_per_month=Estimate(LOW_SELF_DISCHARGE_HR6.low, LOW_SELF_DISCHARGE_HR6.high, STANDARD_HR6.high),
    # From memory: all factors.
    cold_low=((-20.0, 0.4), (-10.0, 0.6), (0.0, 0.8), (20.0, 1.0), (40.0, 0.9)),
    cold_high=((-20.0, 0.7), (-10.0, 0.85), (0.0, 0.95), (20.0, 1.0)),
    discharge_limits_c=(-20.0, 60.0),  # from memory
    charge_limits_c=(0.0, 45.0),  # from memory
    capacity_ah=Estimate(1.9, 2.2, 2.5),  # IEC 61951-2: 0.2 C, 20 °C, to 1.0 V (test from memory); 1.1–2.8 Ah seen
)

LI_ION = Cell(
    name="li-ion",
    chemistry="Li-ion",
    nominal_v=Estimate(3.6, 3.65, 3.7),  # seen: both ends stand on labels
    # From memory: plans count on 0.8, as devices give up early or spare their cells; 0.95 where one runs to the end.
    usable_share=Estimate(0.8, 0.8, 0.95),
    self_discharge_per_month=Estimate(0.02, 0.025, 0.03),  # seen; a protection circuit comes on top
    # From memory: low ends (Linden, chapter 26). Seen: 0.8 at −20 °C, an optimistic source.
    cold_low=((-20.0, 0.4), (-10.0, 0.65), (0.0, 0.8), (20.0, 1.0)),
    cold_high=((-20.0, 0.8), (-10.0, 0.9), (0.0, 0.95), (20.0, 1.0)),
    discharge_limits_c=(-20.0, 60.0),  # seen
    charge_limits_c=(0.0, 45.0),  # seen: never below freezing, metal plates out
    lithium="ion",
)

#: Of a power bank behind its converter: its protection ends where the cells' rated capacity does, so the printed mAh
#: are what it gives, and the converter is the one loss. 0.9 where its port gives up sooner. From memory.
BANK_USABLE_SHARE = Estimate(0.9, 1.0, 1.0)

LIFEPO4 = Cell(
    name="lifepo4",
    chemistry="LiFePO4, four in series",
    nominal_v=Estimate.exact(12.8),  # seen: pack data sheet
    usable_share=Estimate(0.8, 0.85, 0.9),  # from memory
    self_discharge_per_month=Estimate(0.02, 0.025, 0.03),  # from memory; the management circuit comes on top
    cold_low=((-20.0, 0.4), (-10.0, 0.6), (0.0, 0.75), (20.0, 1.0)),  # from memory
    cold_high=((-20.0, 0.65), (-10.0, 0.8), (0.0, 0.9), (20.0, 1.0)),  # from memory
    discharge_limits_c=(-20.0, 50.0),  # seen: pack data sheet
    charge_limits_c=(0.0, 50.0),  # seen: pack data sheet; never below freezing unless the pack heats itself
    lithium="ion",
)

AGM = Cell(
    name="agm",
    chemistry="valve-regulated lead-acid, 12 V",
    nominal_v=Estimate.exact(12.0),  # seen: data sheet
    usable_share=Estimate(0.5, 0.5, 0.8),  # from memory (IEEE 1013): 0.5 as a routine, 0.8 rarely
    self_discharge_per_month=Estimate(0.015, 0.02, 0.03),  # seen: 1.5 % at 10 °C, 2 % at 25 °C, 3 %
    cold_low=_lead_acid_low_end(),
    # Seen from 0 °C up: a battery maker's table. From memory: −10 and −20 °C.
    cold_high=((-20.0, 0.60), (-10.0, 0.75), (0.0, 0.84), (10.0, 0.90), (20.0, 0.99), (25.0, 1.0)),
    discharge_limits_c=(-20.0, 50.0),  # seen: data sheet
    # The sheet's limits for use; that they hold for charging too is from memory.
    charge_limits_c=(-20.0, 50.0),
)

#: Every type, by the name it has in a link.
CELLS = MappingProxyType({cell.name: cell for cell in (LR6, LR14, LR20, FR6, HR6, LI_ION, LIFEPO4, AGM)})

#: Limits for charging any lithium battery, °C: the narrowest of the kinds here.
LITHIUM_CHARGE_LIMITS_C = (
    max(cell.charge_limits_c[0] for cell in CELLS.values() if cell.lithium and cell.charge_limits_c),
    min(cell.charge_limits_c[1] for cell in CELLS.values() if cell.lithium and cell.charge_limits_c),
)


def _factor_at(rows: Curve, temp_c: float) -> float:
    """Return the factor at one end of the range; colder than the table the last slope goes on, down to 0.

    To hold the last row's value out there would promise more than is known.
    """
    if temp_c >= rows[0][0]:
        return min(1.0, interpolated(rows, temp_c))
    (x0, y0), (x1, y1) = rows[:2]
    return max(0.0, y0 + (y1 - y0) * (temp_c - x0) / (x1 - x0))


def temperature_factor(cell: Cell, temp_c: float) -> TemperatureFactor:
    """Return the share of the rated energy that the cell gives at ``temp_c``.

    Interpolated between the rows; never above 1; above the warmest row its value holds. The expected value is the
    middle of the range, for want of a better one.
    """
    high = _factor_at(cell.cold_high, temp_c)
    low = min(high, _factor_at(cell.cold_low, temp_c))  # the two drawn-on slopes may cross far below the table
    coldest, warmest = cell.discharge_limits_c
    pulsed = _factor_at(cell.pulsed_cold_low, temp_c) if cell.pulsed_cold_low else 1.0
    return TemperatureFactor(
        factor=Estimate(low, (low + high) / 2, high),
        outside_limits=not coldest <= temp_c <= warmest,
        outside_table=temp_c < min(cell.cold_low[0][0], cell.cold_high[0][0]),
        pulses=Estimate(pulsed, (1 + pulsed) / 2, 1.0),
    )


@formula(
    "capacity_ah",
    "capacity_1_ah + (capacity_2_ah - capacity_1_ah) * log10(drain_ma / drain_1_ma) / log10(drain_2_ma / drain_1_ma)",
    ARITHMETIC + ": straight line over the logarithm of the drain",
)
def capacity_between_drains(
    drain_ma: float, drain_1_ma: float, capacity_1_ah: float, drain_2_ma: float, capacity_2_ah: float
) -> float:
    """Return the capacity between two rows; all drains > 0, the two rows' drains differ."""
    share = math.log10(drain_ma / drain_1_ma) / math.log10(drain_2_ma / drain_1_ma)
    return capacity_1_ah + (capacity_2_ah - capacity_1_ah) * share


def cell_capacity_ah(cell: Cell, drain_ma: float = USUAL_DRAIN_MA) -> Estimate[float] | None:
    """Return the capacity of one cell with its spread, or None where only the label can tell.

    Primary cells by drain (> 0 mA), the end rows' value outside them: a smaller drain earns no more.
    """
    rows = cell.capacity_ah_by_drain
    if not rows:
        return cell.capacity_ah
    if drain_ma <= rows[0][0] or drain_ma >= rows[-1][0]:
        capacity = interpolated(rows, drain_ma)
    else:
        above = bisect_right(rows, drain_ma, key=lambda row: row[0])
        capacity = capacity_between_drains(drain_ma, *rows[above - 1], *rows[above])
    return Estimate(capacity * (1 - cell.capacity_spread), capacity, capacity * (1 + cell.capacity_spread))


#: Self-discharge doubles with every so many degrees: the usual rule for the rate of a chemical change. From memory.
DOUBLES_EVERY_C = 10.0


@formula("share_per_month", "share_at_25 * 2 ** (max(0, temp_c - 25) / 10)", COMMON_PRACTICE)
def self_discharge_share(share_at_25: float, temp_c: float) -> float:
    """Return the share lost in a month; no credit for cold, as nobody knows how long it stays."""
    return share_at_25 * 2 ** (max(0, temp_c - NO_CREDIT_ABOVE_C) / DOUBLES_EVERY_C)


def self_discharge_at(cell: Cell, warmest_c: float) -> Estimate[float]:
    """Return the share of the rated energy that the cell loses in a month where it gets no warmer than that."""
    return cell.self_discharge_per_month.map(lambda share: self_discharge_share(share, warmest_c))


def with_self_discharge(cell: Cell, share_per_month: Estimate[float]) -> Cell:
    """Return the cell with another self-discharge, for somebody who knows which kind it is."""
    return replace(cell, self_discharge_per_month=share_per_month)
