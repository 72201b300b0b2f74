"""The true draw of a camera, from what its battery reads some time after it was full."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import NOTHING, Supply, energy_left_at
from webcalc.calc.visits.planner import VisitPlanner

#: Below this share of the energy a reading tells more about its own rounding than about the draw. Own choice.
LEAST_DRAINED_SHARE = 0.02


@formula("left_share", "max(0, 1 - (1 - charge_share) / usable_share)", ARITHMETIC)
def left_of_usable(charge_share: float, usable_share: float) -> float:
    """Return the share left of the usable energy at a state of charge; ``usable_share`` > 0 of all of it counts."""
    return max(0.0, 1 - (1 - charge_share) / usable_share)


@formula("charge_share", "1 - (1 - left_share) * usable_share", ARITHMETIC)
def charge_of_left(left_share: float, usable_share: float) -> float:
    """Return the state of charge at which a share of the usable energy is left: what many gauges show."""
    return 1 - (1 - left_share) * usable_share


def left_by_charge(charge: Estimate[float], usable_share: Estimate[float]) -> Estimate[float]:
    """Return the share left of the usable energy at a state of charge, a share of the full one as the battery is now.

    That is what many gauges show, and what the rest voltage of a lead-acid battery stands for. Cold and age make the
    full charge smaller, and its usable part with it.
    """
    return charge.with_(usable_share, left_of_usable)


@formula("factor", "drawn_share / planned_share", ARITHMETIC)
def drain_factor(drawn_share: float, planned_share: float) -> float:
    """Return the true draw as a multiple of the planned one, from the shares of the energy drawn; planned > 0."""
    return drawn_share / planned_share


def scaled(load: Load, factor: float) -> Load:
    """Return the load with every part multiplied."""
    return replace(
        load,
        standby_w=load.standby_w * factor,
        recording_w=load.recording_w * factor,
        frame_j=load.frame_j * factor,
        burst_w=load.burst_w * factor,
        motion_frame_j=None if load.motion_frame_j is None else load.motion_frame_j * factor,
        other_w=load.other_w * factor,
    )


def drain_factors(
    planner: VisitPlanner, since: datetime, at: datetime, left_share: Estimate[float], *, past_last: bool = True
) -> Estimate[float | None]:
    """Return by which factor the load explains what is left at ``at`` of a battery that was full at ``since``.

    The ends go together: ``low`` belongs to the least energy, the heaviest load and the lowest reading, ``high`` to the
    opposite, so that each end of the plan times its factor is what was read. None where too little can have
    been drawn to tell, or where a panel charges it: load and harvest can't be told apart. Without ``past_last`` only
    the constant draws ran after the schedule's end.
    """
    battery = planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return Estimate.exact(None)
    supply, load = battery.supply, battery.load
    rated, lost = supply.rated_wh or NOTHING, supply.self_discharge_per_month

    def factor(load: Load, supply: Supply, left: float) -> float | None:
        def left_with(times: float) -> float:
            each = scaled(load, times)
            return energy_left_at(
                planner.schedule, planner.recording, each, supply, at, since=since, past_last=past_last
            ).expected

        return _factor(left_with, left)

    return Estimate(
        factor(load.high, _one(supply.usable_wh.low, rated.low, lost.high), left_share.low),
        factor(load.expected, _one(supply.usable_wh.expected, rated.expected, lost.expected), left_share.expected),
        factor(load.low, _one(supply.usable_wh.high, rated.high, lost.low), left_share.high),
    )


def _one(usable_wh: float, rated_wh: float, lost_per_month: float) -> Supply:
    return Supply(Estimate.exact(usable_wh), Estimate.exact(rated_wh), Estimate.exact(lost_per_month))


def _factor(left_with: Callable[[float], float], left_share: float) -> float | None:
    undrawn = left_with(0.0)
    # What is drawn rises evenly with the factor until the battery is empty: look where it isn't.
    part, left = 1.0, left_with(1.0)
    while not left and part > 1e-6:
        part /= 2
        left = left_with(part)
    drawn_as_planned = (undrawn - left) / part
    if drawn_as_planned < LEAST_DRAINED_SHARE:
        return None
    return max(0.0, drain_factor(undrawn - left_share, drawn_as_planned))
