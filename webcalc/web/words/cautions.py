"""Cautions for work at a mast, as short sentences; the numbers come from the calculation package."""

from __future__ import annotations

from webcalc.calc.power.cells import LITHIUM_CHARGE_LIMITS_C, Cell
from webcalc.calc.site_safety import (
    LADDER_ABOVE_LANDING_FT,
    LIGHTNING_WAIT_MIN,
    LINE_CLEARANCE_FT,
    LINE_CLEARANCE_UNKNOWN_FT,
    ladder_base_out,
    metres_of,
)
from webcalc.web.words.answer import Points
from webcalc.web.words.say import NBSP, Say

LOCAL_CODES = "Follow local codes; use licensed people where the law asks for them."
FALLING_OBJECTS = "Tie tools and camera off; keep people out from below."
LIGHTNING = f"Lightning: down at the first thunder; up again {LIGHTNING_WAIT_MIN} min after the last."
SUN_IN_LENS = "Never look at the sun through a lens or viewfinder."
SUN_ON_SENSOR = "A lens pointed at the sun for hours can harm a sensor."
#: What is owed to people who are recorded.
PEOPLE_IN_THE_PICTURE = "At work places and streets: permission of the owner, notice to people, local privacy law."


def _feet(say: Say, feet: float) -> str:
    return f"{say.figures(feet, 2)}{NBSP}ft ({say.number(metres_of(feet), 1)}{NBSP}m)"


def ladder(say: Say) -> str:
    """Say how a ladder stands."""
    one_in = say.number(1 / ladder_base_out(1))
    rails = _feet(say, LADDER_ABOVE_LANDING_FT)
    return (
        f"Ladder: foot 1 out for every {one_in} of its working length, rails {rails} above the landing, three points "
        "of contact, tied; no metal one near lines."
    )


def power_lines(say: Say) -> str:
    """Say how far to stay from power lines, by the table."""
    first_kv, first_ft = LINE_CLEARANCE_FT[0]
    more = ", ".join(f"{say.number(feet)} to {say.number(kv)}{NBSP}kV" for kv, feet in LINE_CLEARANCE_FT[1:4])
    return (
        f"Power lines: stay {_feet(say, first_ft)} away up to {say.number(first_kv)}{NBSP}kV, "
        f"{more}; voltage not known: {_feet(say, LINE_CLEARANCE_UNKNOWN_FT)}. Ask the utility."
    )


def lithium(say: Say) -> str:
    """Say when a lithium battery must not be charged, and what else holds of one."""
    return f"Lithium: never charge {_charge_limits(say)}; never recharge primary cells; fuse at the battery."


def _charge_limits(say: Say) -> str:
    coldest, warmest = (say.temperature(end) for end in LITHIUM_CHARGE_LIMITS_C)
    return f"below {coldest} or above {warmest}"


def charging(say: Say, cell: Cell | None = None) -> list[str]:
    """Say what not to do when charging cells of this type; of every type that is charged where none is said."""
    if cell is not None and not cell.rechargeable:
        return ["Never recharge these cells: they can leak or burst."]
    found = []
    if cell is None or cell.lithium:
        found.append(f"Never charge lithium {_charge_limits(say)}.")
    if cell is None or cell.name == "agm":
        found.append("Never charge lead-acid in a sealed box: it gives off explosive gas.")
    return [*found, "Fuse at the battery."]


def on_site(say: Say) -> Points:
    """Return the cautions for going up to a camera, folded."""
    items = [ladder(say), FALLING_OBJECTS, power_lines(say), LIGHTNING, lithium(say), SUN_IN_LENS, LOCAL_CODES]
    return Points("Before you go up", items, folded=True)
