"""The arithmetic of an unattended time-lapse shoot, and the judgement on it: a library on its own.

``Shoot`` takes what is known of a shoot and tells what follows; ``judge`` gives the one verdict. What isn't known is
``NotKnown`` with the names of the quantities that would tell it.
"""

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.plan import ShootNow
from webcalc.calc.shoot import Shoot
from webcalc.calc.typed import Typed
from webcalc.calc.unknown import NotKnown, given, known, need, wrong
from webcalc.calc.verdict import Due, Judged, Part, State, Verdict, judge

__all__ = [
    "Due",
    "Estimate",
    "Judged",
    "NotKnown",
    "Part",
    "Shoot",
    "ShootLook",
    "ShootNow",
    "State",
    "Typed",
    "Verdict",
    "given",
    "judge",
    "known",
    "need",
    "wrong",
]
