"""Ten described rigs, answered from the kind of camera alone, then narrowed by one measurement.

Invented rigs. Draws by kind and what cells give are from memory, as in the tables of the package, and written out here
once more; what they add up to is worked out by hand. ``usual`` is what such a rig lasts by the trade's experience:
common practice, no source. A standard bounds one kind: by IEEE 802.3af (from memory) a device on the network takes at
most 12.95 W.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from fractions import Fraction
from typing import Any

import pytest

from webcalc.calc.shoot import Shoot
from webcalc.calc.verdict import Part, State, judge

#: Ten hours of every day from 1 January; a fifth of what is usable stays as reserve.
BASE: dict[str, Any] = {
    "first": date(2027, 1, 1), "last": date(2027, 1, 31), "from_": time(8), "until": time(18),
    "days": frozenset(range(1, 8)), "battery_reserve": 20,
}  # fmt: skip
HOURS = 10
SPAN_DAYS = 30 + HOURS / 24


@dataclass(frozen=True)
class Rig:
    """A rig as somebody describes it, and what comes out by hand.

    ``usable_wh``: of the battery at that temperature, low and high end; ``lost_wh``: a month by itself, high and low.
    ``standby_mw``, ``frame_j``: of the kind, low and high. ``usual``: days, by experience. ``measured``: one
    measurement; ``then_wh``: a day's energy by it, heaviest and lightest.
    """

    name: str
    typed: dict[str, Any]
    usable_wh: tuple[float, float]
    lost_wh: tuple[float, float]
    standby_mw: tuple[float, float]
    frame_j: tuple[float, float]
    usual: tuple[float, float]
    measured: dict[str, Any]
    then_wh: tuple[float, float]

    @property
    def frames(self) -> int:
        """Frames a day."""
        return HOURS * 3600 // self.typed["interval"]


def minutes(number: int) -> Fraction:
    return Fraction(number * 60)


RIGS = (
    Rig(
        # 8 x 3.18 Ah (3.3 at 25 mA, 3.1 at 250 mA, along the logarithm to 100 mA) x 1.5 V, 10 % either way.
        "a sleeping camera on 8 lithium AA at -10 °C",
        {"camera_kind": "sleeper", "cell": "FR6", "cells": 8, "temp_c": -10, "interval": minutes(30)},
        (38.15 * 0.9 * 0.85 * 0.85, 38.15 * 1.1 * 0.95 * 0.95),
        (38.15 * 0.9 * 0.005, 38.15 * 1.1 * 0.0005),
        (0.3, 5), (2, 12), (90, 1500),
        # 1 mAh at 6 V in an hour with two frames: 6 mWh; a standby of 0.3 to 5 mW leaves 1 to 5.7 mWh for them.
        {"meter_mah": 1, "meter_v": 6, "meter_min": 60},
        (24 * 0.005 + 10 * 0.001, 24 * 0.0003 + 10 * 0.0057),
    ),
    Rig(
        "a system camera kept awake on 20 Ah of LiFePO4",
        {"camera_kind": "system_awake", "cell": "lifepo4", "battery_mah": 20_000, "battery_v": Fraction("12.8"),
         "temp_c": 20, "interval": minutes(5)},
        (256 * 0.8, 256 * 0.9), (256 * 0.03, 256 * 0.02),
        (900, 3500), (1, 10), (2, 10),
        {"draw_ma": 160, "draw_v": Fraction("12.8")},
        (24 * 2.048, 24 * 2.048),
    ),
    Rig(
        "an action-size camera left on, on a bank of 20 000 mAh",
        {"camera_kind": "compact_on", "battery_mah": 20_000, "battery_v": Fraction("3.7"), "converter": 85,
         "temp_c": 20, "interval": minutes(5)},
        (74 * 0.9 * 0.8, 74 * 0.9), (74 * 0.03, 74 * 0.02),
        (1800, 4500), (0, 2), (0.4, 1.4),
        # 520 mAh at 5 V in an hour with 12 frames: 2.6 Wh, 1.8 to 2.6 W of it standby.
        {"meter_mah": 520, "meter_v": 5, "meter_min": 60},
        (24 * 2.6, 24 * 1.8 + 10 * 0.8),
    ),
    Rig(
        "an action-size camera switched on for each frame, on 26 Wh at 0 °C",
        {"camera_kind": "compact_switched", "cell": "li-ion", "battery_wh": 26, "temp_c": 0, "interval": minutes(15)},
        (26 * 0.8 * 0.8, 26 * 0.95 * 0.95), (26 * 0.03, 26 * 0.02),
        (1, 50), (10, 45), (8, 150),
        {"standby_mw": 4},
        (24 * 0.004 + 40 * 45 / 3600, 24 * 0.004 + 40 * 10 / 3600),
    ),
    Rig(
        "a system camera that sleeps, on its own 14.4 Wh",
        {"camera_kind": "system_sleep", "cell": "li-ion", "battery_wh": Fraction("14.4"), "temp_c": 20,
         "interval": minutes(10)},
        (14.4 * 0.8, 14.4 * 0.95), (14.4 * 0.03, 14.4 * 0.02),
        (3, 250), (4, 25), (1, 30),
        # One battery was used up in 11 days at 20 °C: 11.5 Wh in 11 days, whatever took it; to the reserve 8.8 days.
        {"lasted_days": 11, "lasted_temp_c": 20},
        (14.4 * 0.8 / 11, 14.4 * 0.8 / 11),
    ),
    Rig(
        "a board computer always on, on a 12 V block of 40 Ah (AGM) at 10 °C",
        {"camera_kind": "board_on", "cell": "agm", "battery_mah": 40_000, "battery_v": 12, "temp_c": 10,
         "interval": minutes(10)},
        # IEEE 485: K 1.19 at 50 °F; 0.9 at the other end.
        (480 * 0.5 / 1.19, 480 * 0.8 * 0.9), (480 * 0.03, 480 * 0.015),
        (500, 5500), (0.5, 6), (1, 20),
        {"draw_ma": 450, "draw_v": 5},
        (24 * 2.25, 24 * 2.25),
    ),
    Rig(
        "a board computer switched on for each frame, on 77 Wh of LiFePO4 at -10 °C",
        {"camera_kind": "board_switched", "cell": "lifepo4", "battery_wh": 77, "temp_c": -10, "interval": minutes(30)},
        (77 * 0.8 * 0.6, 77 * 0.9 * 0.8), (77 * 0.03, 77 * 0.02),
        (0.5, 50), (40, 200), (10, 150),
        {"frame_j": 80},
        (24 * 0.05 + 20 * 80 / 3600, 24 * 0.0005 + 20 * 80 / 3600),
    ),
    Rig(
        "a camera on the network, on 100 Ah of LiFePO4 at 0 °C",
        {"camera_kind": "network", "cell": "lifepo4", "battery_mah": 100_000, "battery_v": Fraction("12.8"),
         "temp_c": 0, "interval": minutes(10)},
        (1280 * 0.8 * 0.75, 1280 * 0.9 * 0.9), (1280 * 0.03, 1280 * 0.02),
        (2500, 13_000), (0, 1), (2, 15),
        {"standby_mw": 4200},
        (24 * 4.2 + 60 / 3600, 24 * 4.2),
    ),
    Rig(
        "a phone on a bank of 10 000 mAh",
        {"camera_kind": "phone", "battery_mah": 10_000, "battery_v": Fraction("3.7"), "converter": 85, "temp_c": 20,
         "interval": minutes(10)},
        (37 * 0.9 * 0.8, 37 * 0.9), (37 * 0.03, 37 * 0.02),
        (100, 1500), (3, 20), (0.5, 10),
        {"standby_mw": 350},
        (24 * 0.35 + 60 * 20 / 3600, 24 * 0.35 + 60 * 3 / 3600),
    ),
    Rig(
        # 12 x 2.2 Ah x 1.5 V, 20 % either way.
        "a low-power outdoor camera on 12 alkaline AA",
        {"camera_kind": "outdoor", "cell": "LR6", "cells": 12, "temp_c": 20, "interval": minutes(15)},
        (39.6 * 0.8 * 0.5, 39.6 * 1.2 * 0.9), (39.6 * 0.8 * 0.005, 39.6 * 1.2 * 0.002),
        (1, 15), (1, 8), (20, 600),
        # Its gauge went from 100 to 60 % in 30 days at 20 °C, read to 5 % either way: 35 to 45 % of 27.72 Wh, and what
        # is put against it is the same battery.
        {"lasted_days": 30, "lasted_from": 100, "lasted_to": 60, "lasted_temp_c": 20},
        (27.72 * 0.45 / 30, 27.72 * 0.35 / 30),
    ),
)  # fmt: skip


def days(usable_wh: float, lost_wh: float, day_wh: float) -> float:
    """Return the days to the reserve; a month of 30.44 days."""
    return 0.8 * usable_wh / (day_wh + lost_wh / 30.437)


@pytest.mark.parametrize("rig", RIGS, ids=lambda rig: rig.name)
def test_a_rig_by_its_kind_and_by_one_measurement(rig: Rig) -> None:
    shoot = Shoot(**BASE, **rig.typed)
    by_kind = shoot.battery.runtime.days
    light_wh, heavy_wh = (
        24 * mw / 1000 + rig.frames * joules / 3600 for mw, joules in zip(rig.standby_mw, rig.frame_j, strict=True)
    )
    by_hand = days(rig.usable_wh[0], rig.lost_wh[0], heavy_wh), days(rig.usable_wh[1], rig.lost_wh[1], light_wh)
    # A window holds more of a day's energy than its hours: the minute of the reserve lies within a day.
    assert by_kind.low == pytest.approx(by_hand[0], rel=0.01, abs=0.6)
    assert by_kind.high == pytest.approx(by_hand[1], rel=0.01, abs=0.6)
    assert by_kind.low <= by_kind.expected <= by_kind.high
    # What is usual lies in the range, and the range isn't so wide that it says nothing.
    assert by_kind.low <= rig.usual[1] and by_kind.high >= rig.usual[0]
    perhaps = State.FAILS if by_kind.expected < SPAN_DAYS else State.DOUBTFUL
    assert judge(shoot).of(Part.BATTERY).state is (State.HOLDS if by_kind.low >= SPAN_DAYS else perhaps)
    # One measurement: the range by hand, inside that of the kind, and narrower.
    measured = Shoot(**BASE, **rig.typed, **rig.measured).battery
    found = measured.runtime.days
    ratio = measured.draws.way == "lasted"
    usable = (measured.usable_wh.expected,) * 2 if ratio else rig.usable_wh
    lost = (0, 0) if ratio else rig.lost_wh
    assert found.low == pytest.approx(days(usable[0], lost[0], rig.then_wh[0]), rel=0.01, abs=0.6)
    assert found.high == pytest.approx(days(usable[1], lost[1], rig.then_wh[1]), rel=0.01, abs=0.6)
    assert found.high - found.low < 0.75 * (by_kind.high - by_kind.low)
    assert by_kind.low <= found.low and found.high <= by_kind.high


def test_a_board_computer_with_a_panel_of_20_w() -> None:
    """512 Wh of LiFePO4, 80 to 90 % of it usable, and 20 W flat in the sun of 5 kWh/m2 a day: by hand 20 x 5 x 0.75 Wh
    a day, a month 15 % darker at worst (what typed monthly sun leaves open, by the panel's own range).

    By its kind the board takes 12 to 132.1 Wh a day (from memory), measured 2.25 W.
    """
    typed: dict[str, Any] = {
        **BASE, "first": date(2027, 6, 1), "last": date(2027, 7, 15), "temp_c": 20, "interval": minutes(10),
        "camera_kind": "board_on", "cell": "lifepo4", "battery_mah": 40_000, "battery_v": Fraction("12.8"),
        "panel_w": 20, "panel_tilt": 0, "sun_kwh": (5,) * 12, "lat": 45, "lon": 5,
    }  # fmt: skip
    by_kind = Shoot(**typed)
    found, sun_wh, room_wh = by_kind.battery.runtime, 0.85 * 20 * 5 * 0.75, 0.8 * 0.8 * 512
    heavy_wh = 24 * 5.5 + 60 * 6 / 3600 + 512 * 0.03 / 30.437
    # A full battery takes no sun: of the first day's at most all is lost. Three or four days of it are in the answer.
    assert (room_wh + 3 * sun_wh) / heavy_wh < found.days.low < (room_wh + 4 * sun_wh) / heavy_wh
    # As expected, 52.8 Wh a day, the panel carries it, and most summers are bright enough: a measurement is worth it.
    assert found.reserve_at.expected is None
    assert judge(by_kind).of(Part.BATTERY).state is State.DOUBTFUL
    assert by_kind.battery.dark_runs.chance.share > 0.99
    measured = Shoot(**typed, draw_ma=450, draw_v=5)
    # 54 Wh a day stay below 64: carried on mean days; between full and the reserve lie five days of them.
    assert measured.battery.draws.recorded_day.high == pytest.approx(54)
    assert measured.battery.runtime.reserve_at.low is None
    assert measured.battery.dark_runs.chance.share < 0.05
    assert judge(measured).of(Part.BATTERY).state is State.HOLDS
    # With twice the draw no sky would help, whichever end is looked at.
    assert judge(Shoot(**typed, draw_ma=900, draw_v=5)).of(Part.BATTERY).state is State.FAILS
