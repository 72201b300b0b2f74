"""The stories told of a camera and the dates that follow, on a sample of simulated cameras whose hidden cause is known.

``python tests/calc/onsite_looks.py 10000`` takes as many as one likes.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

from onsite_looks import Look, looks, rank, too_late

#: For each hidden cause.
EACH = 26


@cache
def seen() -> tuple[Look, ...]:
    return tuple(looks(EACH, seed=11))


def test_the_true_story_comes_first() -> None:
    counted: dict[str, Counter[str]] = {}
    for look in seen():
        rank(counted, look)
    whole = sum(counted.values(), Counter())
    table = {cause: dict(count) for cause, count in counted.items()}
    assert whole["cases"] > 400
    assert whole["first"] >= 0.90 * whole["cases"], table
    assert whole["among two"] >= 0.98 * whole["cases"], table


def test_no_corrected_date_is_after_the_truth() -> None:
    """The cause goes on, with what is found or with all renewed at the look: nobody comes too late."""
    late = [one for look in seen() for one in too_late(look)]
    assert not late, late[:3]
