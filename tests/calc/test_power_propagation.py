"""What isn't known spreads to all that rests on it and to nothing else: figures of battery and panel, random plans.

A quantity is spoiled in turn. A figure that changes for one of several values of it must become unknown and name
it; one that no value changes must stay. The law is logic; there is no source to check it against.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from datetime import date, time
from fractions import Fraction
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import NotKnown, blank, known, wrong

#: Several values of each quantity: enough for every branch that one of them decides.
VALUES: dict[str, list[Any]] = {
    "first": [date(2027, 3, 1), date(2027, 5, 10)],
    "last": [None, date(2027, 6, 28), date(2027, 7, 15)],
    "from_": [time(8), time(6, 30)],
    "until": [time(18), time(20)],
    "days": [frozenset({1, 2, 3, 4, 5}), frozenset(range(1, 8))],
    "interval": [Fraction(60), Fraction(600), Fraction(3600)],
    "stills": ["", "no"],
    "burst": [None, Fraction(5)],
    "motion": [0, 40],
    "cell": ["", "li-ion", "LR6", "agm"],
    "cells": [None, 4, 40],
    "battery_wh": [None, 50, 900],
    "battery_mah": [None, 20000, 90000],
    "battery_v": [None, Fraction(37, 10), 12],
    "converter": [None, 85, 70],
    "ageing": [0, 20],
    "battery_reserve": [20, 40],
    "temp_c": [20, -5],
    "standby_mw": [None, 10, 400],
    "frame_j": [None, 2, 30],
    "record_mw": [None, 100, 900],
    "burst_mw": [None, 1500, 4000],
    "motion_j": [None, 5, 60],
    "other_mw": [None, 20, 200],
    "draw_ma": [None, 10, 900],
    "draw_v": [None, 5, 12],
    "charge_frames": [None, 500, 40000],
    "lasted_days": [None, 5, 90],
    "lasted_interval": [None, Fraction(30), Fraction(1200)],
    "panel_w": [None, 2, 60],
    "panel_tilt": [60, 0],
    "panel_facing": ["equator", "away"],
    "sky": ["mixed", "overcast"],
    "panel_loss": [25, 60],
    "temp_winter": [None, -8, -3],
    "temp_summer": [None, 48, -12],
    "lat": [47, -35],
}
#: Quantities whose blank has no meaning of its own: left out, they are not known.
ASKED = [each.name for each in fields(Shoot) if each.name in VALUES and isinstance(each.default, NotKnown)]

FIGURES: dict[str, Callable[[Shoot], Any]] = {
    "rated_wh": lambda shoot: shoot.battery.rated_wh,
    "usable_wh": lambda shoot: shoot.battery.usable_wh,
    "air_class": lambda shoot: shoot.battery.air_class,
    "power_bank_output_mah": lambda shoot: shoot.battery.power_bank_output_mah,
    "way": lambda shoot: shoot.battery.draws.way,
    "recorded_day": lambda shoot: shoot.battery.draws.recorded_day,
    "energy_needed_wh": lambda shoot: shoot.battery.draws.energy_needed_wh,
    "pack_clashes": lambda shoot: shoot.battery.pack_clashes,
    "load_clashes": lambda shoot: shoot.battery.draws.clashes,
    "contradicted": lambda shoot: shoot.battery.contradicted,
    "runtime": lambda shoot: shoot.battery.runtime,
    "runtime_to_end": lambda shoot: shoot.battery.runtime_to_end,
    "batteries_needed": lambda shoot: shoot.battery.batteries_needed,
    "left_at_end_share": lambda shoot: shoot.battery.left_at_end_share,
    "rated_wh_needed": lambda shoot: shoot.battery.rated_wh_needed,
    "by_month": lambda shoot: shoot.battery.panel.by_month,
    "worst_month": lambda shoot: shoot.battery.panel.worst_month,
    "carries": lambda shoot: shoot.battery.panel.carries,
    "lowest": lambda shoot: shoot.battery.panel.lowest("low"),
    "smallest_panel_w": lambda shoot: shoot.battery.panel.smallest_panel_w,
}
#: Figures that change with every value of what they rest on, whatever else is typed; of a class, a yes or a date that
#: isn't reached, and of the coldest of some seasons, a few values don't show all.
FINE = ("rated_wh", "power_bank_output_mah", "by_month")


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """Return a plan in which most things are typed and some twice."""
    plan = draw(st.fixed_dictionaries({name: st.sampled_from(values) for name, values in VALUES.items()}))
    if draw(st.booleans()):
        plan |= {"battery_wh": 50, "standby_mw": 10, "frame_j": 2, "stills": ""}
    if plan["cell"] == "LR6":
        plan["panel_w"] = None  # the form refuses a panel on cells that mustn't be charged
    return plan


def told(value: Any) -> str:
    return repr(value)


@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
@given(plans())
def test_what_is_spoiled_spreads_to_what_rests_on_it_alone(plan: dict[str, Any]) -> None:
    before = {name: told(work(Shoot(**plan))) for name, work in FIGURES.items()}
    for quantity, values in VALUES.items():
        # What was typed wrong was typed: that it may be blank is no possibility.
        others = [Shoot(**{**plan, quantity: value}) for value in values if value is not None]
        spoils = [wrong(quantity)] + ([blank(quantity)] if quantity in ASKED else [])
        for spoil in spoils:
            spoiled = Shoot(**{**plan, quantity: spoil})
            for name, work in FIGURES.items():
                after, possible = work(spoiled), [work(other) for other in others]
                same = len({told(each) for each in possible}) == 1
                if known(after):
                    assert same, (quantity, name)
                    assert told(after) == told(possible[0]), (quantity, name)
                    assert plan[quantity] is None or told(after) == before[name], (quantity, name)
                elif any(map(known, possible)):
                    assert quantity in after.names, (quantity, name, after)
                    assert not (same and name in FINE), (quantity, name)


def test_what_is_not_in_use_is_not_blamed() -> None:
    plan = {
        "first": date(2027, 3, 1), "last": date(2027, 3, 28), "from_": time(8), "until": time(18),
        "days": frozenset({1, 2, 3, 4, 5}), "interval": Fraction(60), "temp_c": 20, "battery_wh": 50,
        "standby_mw": 60, "frame_j": 12,
    }  # fmt: skip
    right = Shoot(**plan).battery
    for name in ("lasted_days", "charge_frames", "battery_mah", "cells"):
        spoiled = Shoot(**{**plan, name: wrong(name)}).battery
        assert told(spoiled.runtime) == told(right.runtime)
        assert spoiled.contradicted.names == (name,)
    for name in ("panel_tilt", "sky", "panel_loss", "temp_winter", "lasted_interval", "burst_mw", "motion_j"):
        spoiled = Shoot(**{**plan, name: wrong(name)}).battery
        assert told(spoiled.runtime) == told(right.runtime)
        assert spoiled.contradicted is False
    bursts = {**plan, "stills": "no", "burst": Fraction(5), "burst_mw": 1500}
    spoiled = Shoot(**{**bursts, "frame_j": wrong("frame_j")}).battery
    assert told(spoiled.runtime) == told(Shoot(**bursts).battery.runtime)
