"""Numbers behind the cautions: power lines, ladders, lightning. Local codes go before all of them."""

from __future__ import annotations

import math

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


@formula(
    "clearance_ft",
    "10 + 4 / 12 * ceil(max(0, line_kv - 50) / 10)",
    "29 CFR 1910.269(x) and 1910.333(c)(3)(i): 10 ft, and 4 in for each 10 kV (or part) above 50 kV",
)
def line_clearance_by_kv_ft(line_kv: float) -> float:
    """Return the distance in feet that people without electrical training keep from an overhead line."""
    return 10 + 4 / 12 * math.ceil(max(0, line_kv - 50) / 10)


def line_clearance_table_ft(line_kv: float) -> float | None:
    """Return the distance in feet by 29 CFR 1926.1408 Table A; None above 1000 kV, where the utility decides."""
    return next((feet for up_to_kv, feet in LINE_CLEARANCE_FT if line_kv <= up_to_kv), None)


def line_clearance_ft(line_kv: float | None) -> float | None:
    """Return the distance in feet to keep from a power line: the larger of the two published rules.

    ``line_kv`` >= 0, or None where the voltage isn't known. The result is None above 1000 kV: ask the utility.
    """
    if line_kv is None:
        return LINE_CLEARANCE_UNKNOWN_FT
    by_table = line_clearance_table_ft(line_kv)
    return None if by_table is None else max(by_table, line_clearance_by_kv_ft(line_kv))


@formula("base_out", "working_length / 4", "29 CFR 1926.1053(b)(5)(i): one quarter of the working length")
def ladder_base_out(working_length: float) -> float:
    """Return how far out the foot of a ladder stands, in the unit of ``working_length`` (along the ladder)."""
    return working_length / 4


@formula("angle_deg", "atan_deg(sqrt(working_length ** 2 - base_out ** 2) / base_out)", "right triangle")
def ladder_angle_deg(working_length: float, base_out: float) -> float:
    """Return the ladder's angle to the ground in degrees; ``0 < base_out <= working_length``, in one unit."""
    return math.degrees(math.atan(math.sqrt(working_length**2 - base_out**2) / base_out))


@formula(
    "ladder_ft",
    "(landing_ft + 3) / (sqrt(15) / 4)",
    "29 CFR 1926.1053(b)(1) and (b)(5)(i): one in four, rails 3 ft above the landing",
)
def ladder_length_ft(landing_ft: float) -> float:
    """Return the shortest extended length of a ladder, in feet, that leads to a landing at this height.

    Measured along the rails, taking the support to be as high as the rails' tops: at one in four that is √15/4 of
    the length.
    """
    return (landing_ft + LADDER_ABOVE_LANDING_FT) / (math.sqrt(15) / 4)
