"""What a whole shoot takes: energy at the camera, and the rated energy of the battery that just lasts it."""

from __future__ import annotations

from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power.cells import self_discharge_at
from webcalc.calc.power.energy import Pack, rated_wh, usable_wh
from webcalc.calc.power.load import Load, idle_day_wh, recorded_day_wh
from webcalc.calc.power.runtime import MONTH_H
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule

HOUR_S = 3600


@formula("energy_needed_wh", "constant_w * span_h + recorded_days * window_wh", ARITHMETIC)
def shoot_energy_wh(constant_w: float, span_h: float, recorded_days: int, window_wh: float) -> float:
    """Return the energy a shoot takes: what is drawn at every hour, and what each window adds on top."""
    return constant_w * span_h + recorded_days * window_wh


@formula(
    "given_share",
    "usable_share * (1 - reserve_share) - discharge_share * span_h / 730.485",
    "usable above the reserve, less self-discharge; month of 730.485 h; " + ARITHMETIC,
)
def given_share(usable_share: float, reserve_share: float, discharge_share: float, span_h: float) -> float:
    """Return the part of its rated energy that a battery gives over ``span_h`` before its reserve is reached.

    ``usable_share`` is the part that the camera gets at all (cold, age and converter in it), ``discharge_share``
    the part lost in a month. Zero or less where self-discharge alone takes it all.
    """
    return usable_share * (1 - reserve_share) - discharge_share * span_h / MONTH_H


@formula("rated_wh", "energy_needed_wh / given_share", ARITHMETIC)
def rated_energy_needed_wh(energy_needed_wh: float, given_share: float) -> float:
    """Return the rated energy of the battery that gives ``energy_needed_wh``; ``given_share`` > 0."""
    return energy_needed_wh / given_share


def shoot_span_h(schedule: Schedule) -> float:
    """Return the hours from the shoot's start to its end."""
    return (schedule.ends_at - schedule.starts_at).total_seconds() / HOUR_S


def shoot_energy_values(load: Load, recording: Recording, schedule: Schedule) -> dict[str, Any]:
    """Return the parameters of ``shoot_energy_wh`` for a load, so that a page can show its working."""
    return {
        "constant_w": load.constant_w,
        "span_h": shoot_span_h(schedule),
        "recorded_days": schedule.recorded_days,
        "window_wh": recorded_day_wh(load, recording, schedule.window.length_s) - idle_day_wh(load),
    }


def energy_needed_wh(load: Load, recording: Recording, schedule: Schedule) -> float:
    """Return the energy the camera takes from the shoot's start to its end, whatever the battery."""
    return shoot_energy_wh(**shoot_energy_values(load, recording, schedule))


def rated_needed_wh(
    needed_wh: float,
    pack: Pack,
    temp_c: float,
    ageing_share: float,
    reserve_share: float,
    span_h: float,
    warmest_c: float | None = None,
) -> Estimate[float | None] | None:
    """Return the rated energy of a battery of the pack's kind that lasts the shoot; ``high`` is the pessimistic end.

    At each end ``needed_wh`` is the same; the kind's own range makes the difference. None where the pack's energy
    is unknown; an end is None where no battery of the kind can.
    """
    rated, usable = rated_wh(pack), usable_wh(pack, temp_c, ageing_share)
    if rated is None or usable is None or rated.low <= 0:
        return None
    lost = self_discharge_at(pack.type_used, temp_c if warmest_c is None else warmest_c)

    def needed(usable_share: float, discharge_share: float) -> float | None:
        given = given_share(usable_share, reserve_share, discharge_share, span_h)
        return rated_energy_needed_wh(needed_wh, given) if given > 0 else None

    return Estimate(
        needed(usable.high / rated.high, lost.low),
        needed(usable.expected / rated.expected, lost.expected),
        needed(usable.low / rated.low, lost.high),
    )
