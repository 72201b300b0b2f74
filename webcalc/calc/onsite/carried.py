"""What was measured at the camera, as the quantities that a plan goes on with."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.onsite.compare import Comparison
from webcalc.calc.onsite.drain import scaled
from webcalc.calc.onsite.seen import Ask
from webcalc.calc.unknown import need, or_none
from webcalc.calc.visits.rules import BatteryInUse

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: A measured rate that differs from the plan by more than this factor is asked about. Own choice.
FAR_OFF = 2
#: What was measured before and under which conditions: nothing of it holds once the draws were measured here.
_OF_A_RUN = ("lasted_days", "lasted_interval", "lasted_temp_c", "lasted_wh", "lasted_hours", "lasted_from", "lasted_to")
_OTHERS = ("draw_ma", "draw_v", "meter_mah", "meter_v", "meter_min", "charge_frames", *_OF_A_RUN)
#: Draws that a measured drain is carried into, with the load's own name and what makes its unit of watts or joules.
_DRAWS = (
    ("standby_mw", "standby_w", 1000),
    ("record_mw", "recording_w", 1000),
    ("frame_j", "frame_j", 1),
    ("burst_mw", "burst_w", 1000),
    ("motion_j", "motion_frame_j", 1),
    ("other_mw", "other_w", 1000),
)


def tells_draw(look: Comparison, factor: float | None) -> bool:
    """Whether a measured draw is that of a camera that records as planned, by a reading that means one thing.

    With frames missing, or far below the plan, it isn't.
    """
    return (
        factor is not None and look.agrees is not False and factor * FAR_OFF >= 1 and Ask.BATTERY_SHOWS not in look.asks
    )


def to_kilobytes(size: Fraction) -> float:
    """Return bytes in megabytes, rounded up to the next kilobyte: never a later date than was measured."""
    return -(-size // 1000) / 1000


def carried_frame(shoot: Shoot, frame_bytes: Fraction) -> dict[str, Any]:
    """Return the quantity of a measured frame size, on the card's clusters."""
    if or_none(shoot.card.as_video):
        return {"video_mb_min": to_kilobytes(frame_bytes * 60 * need(shoot.fps))}
    return {"frame_mb": to_kilobytes(frame_bytes)}


def carried_draw(shoot: Shoot, battery: BatteryInUse, factor: float) -> dict[str, Any]:
    """Return the draws at a measured multiple of the planned load; what said them otherwise before goes."""
    load, changes = scaled(battery.load.expected, factor), dict[str, Any]()
    for name, part, unit in _DRAWS:
        value = getattr(load, part)
        # Without these two the load isn't known; 0 is a value.
        if value or name in ("standby_mw", "frame_j"):
            changes[name] = value * unit
    return changes | {name: None for name in _OTHERS if or_none(getattr(shoot, name)) is not None}
