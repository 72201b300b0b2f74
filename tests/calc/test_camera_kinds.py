"""A draw without a meter: the kinds of camera, what they add up to, what outranks them, and what the shoot allows.

The kinds' values are from memory, and so is the copy of them here; the sums are worked out by hand.
"""

from __future__ import annotations

from datetime import date, time
from fractions import Fraction
from typing import Any

import pytest

from webcalc.calc.power.kinds import KINDS
from webcalc.calc.shoot import Shoot
from webcalc.calc.verdict import Part, judge

#: Standby mW and J a frame, low, expected and high: from memory, ranges wide on purpose.
FROM_MEMORY = {
    "sleeper": ((0.3, 1.5, 5), (2, 5, 12)),
    "outdoor": ((1, 4, 15), (1, 3, 8)),
    "compact_on": ((1800, 2800, 4500), (0, 0.5, 2)),
    "compact_switched": ((1, 10, 50), (10, 20, 45)),
    "system_sleep": ((3, 50, 250), (4, 10, 25)),
    "system_awake": ((900, 1800, 3500), (1, 4, 10)),
    "board_on": ((500, 2200, 5500), (0.5, 2, 6)),
    "board_switched": ((0.5, 5, 50), (40, 90, 200)),
    "network": ((2500, 5000, 13_000), (0, 0, 1)),
    "phone": ((100, 400, 1500), (3, 7, 20)),
}
#: Four weeks, ten hours a day, a frame every five minutes: 120 frames a day.
PLAN: dict[str, Any] = {
    "first": date(2027, 3, 1), "last": date(2027, 3, 28), "from_": time(8), "until": time(18),
    "days": frozenset(range(1, 8)), "interval": Fraction(300), "cell": "lifepo4", "battery_wh": 100, "temp_c": 20,
}  # fmt: skip
#: From the first frame to the last window's end.
SPAN_H = 27 * 24 + 10


def battery(**changes: Any) -> Any:
    return Shoot(**{**PLAN, **changes}).battery


def ends(estimate: Any) -> tuple[Any, Any, Any]:
    return estimate.low, estimate.expected, estimate.high


@pytest.mark.parametrize("name", FROM_MEMORY)
def test_a_kind_stands_in_for_what_was_not_typed(name: str) -> None:
    standby_mw, frame_j = FROM_MEMORY[name]
    draws = battery(camera_kind=name).draws
    assert draws.way == "kind"
    by_hand = [24 * mw / 1000 + 120 * joules / 3600 for mw, joules in zip(standby_mw, frame_j, strict=True)]
    assert ends(draws.recorded_day) == pytest.approx(by_hand)
    # A typed draw replaces its own part alone; what else was typed adds.
    typed = battery(camera_kind=name, standby_mw=7, other_mw=100).draws
    assert typed.way == "kind"
    assert ends(typed.recorded_day) == pytest.approx([24 * 0.107 + 120 * joules / 3600 for joules in frame_j])
    typed = battery(camera_kind=name, frame_j=3, motion=40).draws
    assert ends(typed.recorded_day) == pytest.approx([24 * mw / 1000 + 160 * 3 / 3600 for mw in standby_mw])
    assert set(KINDS) == set(FROM_MEMORY)


def test_a_draw_while_recording_holds_the_frames() -> None:
    day = battery(camera_kind="sleeper", record_mw=50).draws.recorded_day
    assert ends(day) == pytest.approx([24 * mw / 1000 + 0.5 for mw in (0.3, 1.5, 5)])


@pytest.mark.parametrize(
    ("typed", "way"),
    [
        ({"standby_mw": 5, "frame_j": 2}, "draws"),
        ({"draw_ma": 5, "draw_v": 5}, "mean_current"),
        ({"lasted_days": 20}, "lasted"),
        ({"charge_frames": 900}, "charge"),
        ({"lasted_days": 20, "charge_frames": 900}, "lasted"),
    ],
)
def test_what_was_typed_outranks_the_kind(typed: dict[str, Any], way: str) -> None:
    with_kind, without = battery(camera_kind="network", **typed), battery(**typed)
    assert with_kind.draws.way == way
    assert with_kind.runtime == without.runtime


def test_a_kind_says_nothing_of_bursts() -> None:
    found = battery(camera_kind="sleeper", burst=Fraction(10)).runtime
    assert found.names == ("burst_mw",)
    found = battery(camera_kind="sleeper", burst=Fraction(10), burst_mw=2000).draws.recorded_day
    assert found.low == pytest.approx(24 * 0.0003 + 120 * (2 + 20) / 3600)


def test_no_kind_is_nothing_known() -> None:
    assert battery(camera_kind="").runtime.names == ("camera_kind",)


def test_a_wide_range_promises_nothing() -> None:
    """Lasts as expected, not at the pessimistic end: the verdict is no surer than the kind."""
    shoot = Shoot(**{**PLAN, "camera_kind": "system_sleep"})
    found = shoot.battery.runtime
    assert found.days.low < found.days.expected < found.days.high
    assert judge(shoot).of(Part.BATTERY).state == "doubtful"


@pytest.mark.parametrize(
    ("kind", "narrows"), [("sleeper", "frame_j"), ("system_awake", "standby_mw"), ("network", "standby_mw")]
)
def test_what_narrows_most(kind: str, narrows: str) -> None:
    assert battery(camera_kind=kind).draws.narrows_most == narrows
    assert battery(standby_mw=1, frame_j=1).draws.narrows_most is None


# -- backwards ------------------------------------------------------------------------------------------------------


def test_the_allowed_mean_by_hand() -> None:
    """LiFePO4: 80 to 90 % usable, 2 to 3 % a month lost (from memory, as in the cell table)."""
    found = battery().allowance.mean_w
    for end, usable, lost in (("low", 0.8, 0.03), ("expected", 0.85, 0.025), ("high", 0.9, 0.02)):
        assert getattr(found, end) == pytest.approx(100 * usable * 0.8 / SPAN_H - 100 * lost / 730.485)


@pytest.mark.parametrize(("share", "lasts"), [(0.999, True), (1.001, False)])
def test_the_walk_agrees_with_the_allowed_mean(share: float, lasts: bool) -> None:
    allowed_mw = battery().allowance.mean_w.low * 1000
    assert battery(standby_mw=allowed_mw * share, frame_j=0).runtime_to_end.lasts is lasts


def test_kinds_beside_the_allowance_are_judged_as_they_are_by_the_walk() -> None:
    for wh in (1, 10, 100, 2000):
        for kind in battery(battery_wh=wh).allowance.kinds:
            state = judge(Shoot(**{**PLAN, "battery_wh": wh, "camera_kind": kind.name})).of(Part.BATTERY).state
            assert {True: "holds", None: "doubtful", False: "fails"}[kind.lasts] == state, (wh, kind.name)


def test_with_a_panel_nothing_fixed_is_allowed() -> None:
    found = battery(panel_w=5).allowance
    assert found.mean_w is None
    assert found.kinds == ()
