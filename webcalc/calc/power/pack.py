"""The shoot seen from what its battery holds: rated and usable energy, cold, heat, air travel."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import energy
from webcalc.calc.power.cells import (
    CELLS,
    LI_ION,
    Cell,
    TemperatureFactor,
    cell_capacity_ah,
    self_discharge_at,
    temperature_factor,
)
from webcalc.calc.power.contradictions import Clash, pack_clashes
from webcalc.calc.power.energy import OUTPUT_V, AirClass, Pack
from webcalc.calc.power.panel import season_of
from webcalc.calc.power.sun_power import SEASON_NAMES
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.typed import Real
from webcalc.calc.unknown import NotKnown, ask, figure, given, known, need, or_none, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: A voltage this near to a power bank's output is taken as meaning it. Own choice.
OUTPUT_SPREAD_V = 0.25
#: A converter's efficiency that was typed is taken as this much better or worse.
CONVERTER_SPREAD = 0.05


def months_met(schedule: Schedule) -> tuple[int, ...]:
    """Return the months, 1 to 12, that a shoot meets."""
    months = (schedule.last.year - schedule.first.year) * 12 + schedule.last.month - schedule.first.month
    return tuple((schedule.first.month - 1 + n) % 12 + 1 for n in range(min(months, 11) + 1))


@dataclass(frozen=True, eq=False)
class ShootPack:
    """What the typed quantities say of the battery alone."""

    shoot: Shoot

    @property
    def open_end(self) -> bool:
        """Whether there is no last day: until when does it last? Not where one was to come from something wrong."""
        found = self.shoot.last_found
        if isinstance(found, NotKnown):
            return self.shoot.open_ended and not found.wrong
        return found.date is None

    @figure
    def schedule(self) -> Schedule:
        """The days that draw on it; without a last day the pattern goes on, to find out until when it lasts."""
        return need(self.shoot.endless_schedule if self.open_end else self.shoot.schedule)

    # -- what it holds --------------------------------------------------------------------------------------

    @figure
    def cell_used(self) -> Cell:
        """The type that it is taken as: Li-ion where none was said."""
        return CELLS.get(need(self.shoot.cell)) or LI_ION

    @figure
    def rated_pack(self) -> Pack:
        """What of the typed counts for the rated energy."""
        shoot = self.shoot
        if given(shoot.battery_wh):
            return Pack(wh=_real(shoot.battery_wh))
        if given(shoot.battery_mah) and given(shoot.battery_v):
            mah, volts = said(shoot.battery_mah, shoot.battery_v)
            if self.volts_of_output and need(shoot.converter) is not None:
                raise ask("battery_v")
            return Pack(mah=float(mah), volts=float(volts))
        if given(shoot.battery_mah):
            mah, cell, cells, of = need(shoot.battery_mah, shoot.cell, shoot.cells, self._mah_for)
            return Pack(CELLS.get(cell), cells, mah=float(said(mah)), mah_of_all=of == "all")
        kind = CELLS.get(need(shoot.cell))
        if kind is None or cell_capacity_ah(kind) is None:
            raise ask("battery_wh")
        if not given(shoot.cells):
            raise ask("cells")
        return Pack(kind, need(shoot.cells))

    @property
    def volts_of_output(self) -> bool:
        """Whether the voltage typed beside mAh is that of a power bank's output, at which no label has its mAh."""
        volts = or_none(self.shoot.battery_v)
        return volts is not None and abs(float(volts) - OUTPUT_V) <= OUTPUT_SPREAD_V

    @figure
    def _mah_for(self) -> str:
        """What the mAh of several cells without a voltage are printed for: that has to be said."""
        several = or_none(self.shoot.cells) not in (None, 1)
        _cells, of = need(self.shoot.cells, self.shoot.mah_for if several else "one")
        if not of:
            raise ask("mah_for")
        return of

    @figure
    def cells_in_set(self) -> int | None:
        """How many cells make one of the batteries that are counted; None where it is one by itself."""
        count = need(self.rated_pack).batteries
        return count if count > 1 else None

    @figure
    def pack_v(self) -> float | None:
        """Its voltage: a power bank's output, as printed, or that of its cells in series; None where nothing tells."""
        shoot = self.shoot
        if need(self.converter) is not None:
            return OUTPUT_V
        if given(shoot.battery_v):
            return _real(shoot.battery_v)
        series, cell = need(shoot.series, self.cell_used if given(shoot.series) else None)
        return None if series is None or cell is None else series * cell.nominal_v.expected

    @figure
    def pack(self) -> Pack:
        """The battery as far as its energy in use rests on it."""
        pack, cell, converter = need(self.rated_pack, self.shoot.cell, self.converter)
        return replace(pack, cell=CELLS.get(cell), converter=converter)

    @figure
    def converter(self) -> Estimate[float] | None:
        """The share that a built-in converter passes on; None without one."""
        percent = need(self.shoot.converter)
        if percent is None:
            return None
        share = float(percent) / 100
        return Estimate(max(0.01, share - CONVERTER_SPREAD), share, min(1.0, share + CONVERTER_SPREAD))

    @figure
    def ageing_share(self) -> float:
        """The share of the capacity that age has taken."""
        return float(need(self.shoot.ageing)) / 100

    @figure
    def reserve_share(self) -> float:
        """The share that is not to be used."""
        return float(need(self.shoot.battery_reserve)) / 100

    @figure
    def rated_wh(self) -> Estimate[float]:
        """The rated energy of the pack."""
        found = energy.rated_wh(need(self.rated_pack))
        if found is None:
            raise ask("battery_wh")
        return found

    @figure
    def temperature(self) -> TemperatureFactor:
        """What the cold leaves, and whether the type stands it."""
        return temperature_factor(*need(self.cell_used, self.coldest_c))

    @figure
    def _temps_c(self) -> tuple[float, ...]:
        """The temperatures that it gets: one, or those of the months that the shoot meets, by their seasons.

        Where it makes no difference neither the place nor another season is asked for.
        """
        temp_c = self.shoot.temp_c
        if not self.by_season:
            return (float(need(temp_c)),)
        if not self.open_end and not known(self.schedule):
            need(self.schedule, *(value for name in SEASON_NAMES if given(value := getattr(self.shoot, name))))
        months = range(1, 13) if self.open_end else months_met(need(self.schedule))
        north, south = (self._seasons_of(months, northern) for northern in (True, False))
        latitude_deg = self.shoot.daylight.latitude_deg
        if north != south and not known(latitude_deg):
            need(latitude_deg, *(getattr(self.shoot, name) for name in north | south))
        found = north if north == south or need(latitude_deg) >= 0 else south
        seasons = (getattr(self.shoot, name) for name in sorted(found))
        return tuple(map(float, need(*(each if given(each) else temp_c for each in seasons), 0)[:-1]))

    def _seasons_of(self, months: Iterable[int], northern: bool) -> frozenset[str]:
        """Return what tells the temperatures of these months: seasons that were typed, else the one temperature."""
        seasons = (SEASON_NAMES[season_of(month, northern)] for month in months)
        return frozenset(name if given(getattr(self.shoot, name)) else "temp_c" for name in seasons)

    @property
    def by_season(self) -> bool:
        """Whether the temperature of a season was typed, be it wrongly."""
        return any(given(getattr(self.shoot, name)) for name in SEASON_NAMES)

    @figure
    def coldest_c(self) -> float:
        """The coldest it gets during the shoot: what it gives is counted at that."""
        return min(need(self._temps_c))

    @figure
    def warmest_c(self) -> float:
        """The warmest it gets during the shoot: what it loses by itself is counted at that."""
        return max(need(self._temps_c))

    @figure
    def lost_a_month(self) -> Estimate[float]:
        """The share of its rated energy that it loses by itself in a month, at the warmest of the shoot."""
        return self_discharge_at(*need(self.cell_used, self.warmest_c))

    @figure
    def usable_wh(self) -> Estimate[float]:
        """What the camera gets out of a full battery, self-discharge not taken off."""
        pack, temp_c, ageing = need(self.pack, self.coldest_c, self.ageing_share)
        found = energy.usable_wh(pack, temp_c, ageing)
        if found is None:
            raise ask("battery_wh")
        return found

    @figure
    def power_bank_output_mah(self) -> Estimate[float] | None:
        """What a power bank gives at its output; None without a converter."""
        converter = need(self.converter)
        if converter is None:
            return None
        return need(self.rated_wh).with_(converter, lambda wh, share: energy.mah_of(wh * share, OUTPUT_V))

    @figure
    def usable_output_mah(self) -> Estimate[float] | None:
        """What is usable of it, told at a power bank's output; None without a converter."""
        if need(self.converter) is None:
            return None
        return need(self.usable_wh).map(lambda wh: energy.mah_of(wh, OUTPUT_V))

    @figure
    def air_class(self) -> AirClass | None:
        """How it travels by air; None where the rules by watt-hours don't apply."""
        pack, cell = need(self.rated_pack, self.shoot.cell)
        return energy.pack_air_class(replace(pack, cell=CELLS.get(cell)))

    @figure
    def air_class_assembled(self) -> AirClass | None:
        """The same of its cells joined into one; None where they aren't counted, or those rules don't apply."""
        pack, cell, cells = need(self.rated_pack, self.shoot.cell, self.shoot.cells)
        return energy.assembled_air_class(replace(pack, cell=CELLS.get(cell), cells=cells))

    # -- what was typed twice -------------------------------------------------------------------------------

    @figure
    def pack_clashes(self) -> tuple[Clash, ...]:
        """What was typed twice of the battery and differs by more than a quarter."""
        shoot = self.shoot
        if not (given(shoot.battery_wh) or given(shoot.battery_mah)):
            return ()
        volts = shoot.battery_v if given(shoot.battery_mah) else None
        by_cell = given(shoot.battery_mah) and not given(shoot.battery_v)
        cell = shoot.cell if given(shoot.cells) or by_cell else ""
        several = by_cell and or_none(shoot.cells) not in (None, 1)
        wh, mah, v, name, cells, of = need(
            shoot.battery_wh, shoot.battery_mah, volts, cell, shoot.cells, shoot.mah_for if several else "one"
        )
        # While it isn't said what the mAh are of they contradict nothing.
        pack = Pack(CELLS.get(name), cells, _real(wh), _real(mah if of else None), _real(v), mah_of_all=of == "all")
        rated = energy.rated_wh(pack)
        return tuple(pack_clashes(pack, rated)) if rated is not None else ()


def _real(value: Real | NotKnown | None) -> float | None:
    typed = need(value)
    return None if typed is None else float(typed)
