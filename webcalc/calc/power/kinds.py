"""What a kind of camera draws, for whoever has no meter: generic kinds, each with a wide range.

Provenance: every value is from memory, as experience with boards, sensors and cells of such cameras goes; where a
reason stands beside a row it is that row's arithmetic. No maker's sheet stands behind them, so the ranges are wide on
purpose, and one measurement beats all of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

from webcalc.calc.estimate import Estimate

MILLI = 1_000


@dataclass(frozen=True)
class CameraKind:
    """A kind of camera: standby draw round the clock, and energy of one frame on top of it."""

    name: str
    standby_mw: Estimate[float]
    frame_j: Estimate[float]

    @property
    def standby_w(self) -> Estimate[float]:
        """Standby draw in watts."""
        return self.standby_mw.map(lambda end: end / MILLI)


_ROWS = (
    # A microcontroller awake; sensor and processor 2 to 4 s at 1 to 3 W a frame.
    CameraKind("sleeper", Estimate(0.3, 1.5, 5.0), Estimate(2.0, 5.0, 12.0)),
    # Clock and schedule run; a quick start.
    CameraKind("outdoor", Estimate(1.0, 4.0, 15.0), Estimate(1.0, 3.0, 8.0)),
    # The sensor's pipeline always runs.
    CameraKind("compact_on", Estimate(1800.0, 2800.0, 4500.0), Estimate(0.0, 0.5, 2.0)),
    # 5 to 12 s from cold to written.
    CameraKind("compact_switched", Estimate(1.0, 10.0, 50.0), Estimate(10.0, 20.0, 45.0)),
    # Wakes, meters, moves mirror or shutter, writes.
    CameraKind("system_sleep", Estimate(3.0, 50.0, 250.0), Estimate(4.0, 10.0, 25.0)),
    # Finder or sensor readout running.
    CameraKind("system_awake", Estimate(900.0, 1800.0, 3500.0), Estimate(1.0, 4.0, 10.0)),
    CameraKind("board_on", Estimate(500.0, 2200.0, 5500.0), Estimate(0.5, 2.0, 6.0)),
    # 20 to 60 s of start at 1.5 to 3.5 W.
    CameraKind("board_switched", Estimate(0.5, 5.0, 50.0), Estimate(40.0, 90.0, 200.0)),
    # Heater and infrared lamp not counted. High end: IEEE 802.3af gives a device at most 12.95 W (from memory).
    CameraKind("network", Estimate(2500.0, 5000.0, 13_000.0), Estimate(0.0, 0.0, 1.0)),
    # Screen off between frames.
    CameraKind("phone", Estimate(100.0, 400.0, 1500.0), Estimate(3.0, 7.0, 20.0)),
)

#: Every kind, by the name it has in a link.
KINDS = MappingProxyType({kind.name: kind for kind in _ROWS})
