"""The true draw of a camera, from what its battery reads some time after it was full."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import NOTHING, Supply, energy_left_at
from webcalc.calc.visits.planner import VisitPlanner

#: Below this share of the energy a reading tells more about its own rounding than about the draw. Own choice.
LEAST_DRAINED_SHARE = 0.02


@formula("left_share", "max(0, 1 - (1 - charge_share) / usable_share)", ARITHMETIC)
def left_of_usable(charge_share: float, usable_share: float) -> float:
    """Return the share left of the usable energy at a state of charge; ``usable_share`` > 0 of all of it counts."""
    return max(0.0, 1 - (1 - charge_share) / usable_share)


def left_at_rest(volts: float, usable_share: Estimate[float]) -> Estimate[float] | None:
    """Return the share of the usable energy left in a 12 V lead-acid battery after hours at rest.

    None for a voltage that can't be one at rest.
    """
    charge_share = charge_share_at_rest(volts)
    if charge_share is None:
        return None
    return usable_share.map(lambda usable: left_of_usable(charge_share, usable))


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
    planner: VisitPlanner, since: datetime, at: datetime, left_share: Estimate[float]
) -> Estimate[float | None]:
    """Return by which factor the load explains what is left at ``at`` of a battery that was full at ``since``.

    The ends go together: ``low`` belongs to the least energy, the heaviest load and the lowest reading, ``high`` to the
    opposite, so that each end of the plan times its factor is what was read. None where too little can have
    been drawn to tell, or where a panel charges it: load and harvest can't be told apart.
    """
    battery = planner.battery
    if battery is None or battery.supply.harvest_wh is not None:
        return Estimate.exact(None)
    supply, load = battery.supply, battery.load
    rated, lost = supply.rated_wh or NOTHING, supply.self_discharge_per_month
    return Estimate(
        _factor(planner, since, at, load.high, _one(supply.usable_wh.low, rated.low, lost.high), left_share.low),
        _factor(
            planner,
            since,
            at,
            load.expected,
            _one(supply.usable_wh.expected, rated.expected, lost.expected),
            left_share.expected,
        ),
        _factor(planner, since, at, load.low, _one(supply.usable_wh.high, rated.high, lost.low), left_share.high),
    )


def _one(usable_wh: float, rated_wh: float, lost_per_month: float) -> Supply:
    return Supply(Estimate.exact(usable_wh), Estimate.exact(rated_wh), Estimate.exact(lost_per_month))


def _factor(
    planner: VisitPlanner, since: datetime, at: datetime, load: Load, supply: Supply, left_share: float
) -> float | None:
    def left_with(factor: float) -> float:
        each = scaled(load, factor)
        return energy_left_at(planner.schedule, planner.recording, each, supply, at, since=since).expected

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
