"""Numbers behind the cautions: power lines, ladders, lightning. Local codes go before all of them."""

from __future__ import annotations

from webcalc.calc.formula import DEFINITION, formula

METRES_PER_FOOT = 0.3048

#: 29 CFR 1926.1408 Table A: (up to kV, feet). Seen. Above the last row the utility sets the distance.
LINE_CLEARANCE_FT: tuple[tuple[float, float], ...] = (
    (50, 10), (200, 15), (350, 20), (500, 25), (750, 35), (1000, 45),
)  # fmt: skip
#: 29 CFR 1926.1408(a)(2)(ii): distance where the voltage wasn't found out (lines up to 350 kV). From memory.
LINE_CLEARANCE_UNKNOWN_FT = 20.0

#: NOAA and OSHA: stop at the first thunder, start again this long after the last.
LIGHTNING_WAIT_MIN = 30

#: 29 CFR 1926.1053(b)(1): side rails above the landing.
LADDER_ABOVE_LANDING_FT = 3.0


@formula("metres", "feet * 0.3048", DEFINITION)
def metres_of(feet: float) -> float:
    """Return metres for feet."""
    return feet * METRES_PER_FOOT


@formula("base_out", "working_length / 4", "29 CFR 1926.1053(b)(5)(i): one quarter of the working length")
def ladder_base_out(working_length: float) -> float:
    """Return how far out the foot of a ladder stands, in the unit of ``working_length`` (along the ladder)."""
    return working_length / 4
