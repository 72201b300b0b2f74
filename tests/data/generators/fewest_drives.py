"""Write fewest_drives.json: random small fleets, and the fewest drives on which each can be looked after.

Run once, with scipy (its ``milp`` is HiGHS, an exact solver for integer programs):
    python tests/data/generators/fewest_drives.py > tests/data/fewest_drives.json

A camera is only cleaned, so that its dates can be counted on a calendar. After a visit on day d, or from the first day
on, the next one is due on the latest allowed weekday up to d + clean - margin, and may be made up to ``early`` days
before that, on an allowed weekday, from the day after d on. None is due where d + clean comes on the last day or later:
then the camera is fetched on the first allowed weekday after both the last day and d. All days on which anybody is seen
are drives. The program: one flow for each camera from day to day, one switch for each day, flows only through days that
are switched on, the switches counted first and the visits second. It knows nothing of the app.
"""

from __future__ import annotations

import json
import random
from datetime import date, timedelta

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

FIRST = date(2027, 3, 1)


def fleet(seed: int) -> dict:
    draw = random.Random(seed)  # noqa: S311
    early = draw.choice([2, 4, 7, 10, 14])
    return {"early": early, "cameras": [camera(draw) for _ in range(draw.randint(3, 5))]}


def camera(draw: random.Random) -> dict:
    weekdays = list(range(1, 8)) if draw.random() < 0.4 else sorted(draw.sample(range(1, 8), draw.randint(2, 5)))
    first = FIRST + timedelta(draw.randint(0, 12))
    return {
        "first": first.isoformat(),
        "last": (first + timedelta(draw.randint(100, 160))).isoformat(),
        "clean": draw.randint(16, 55),
        "margin": draw.randint(0, 4),
        "weekdays": weekdays,
    }


def visits(one: dict, early: int) -> list[tuple[date, date, bool]]:
    """Return every step that a camera can take: from a day to a day, and whether that fetches it."""
    first, last = date.fromisoformat(one["first"]), date.fromisoformat(one["last"])
    steps, waiting, known = [], [first], {first}
    while waiting:
        seen = waiting.pop()
        if seen + timedelta(one["clean"]) >= last:
            day = max(last, seen) + timedelta(1)
            while day.isoweekday() not in one["weekdays"]:
                day += timedelta(1)
            steps.append((seen, day, True))
            continue
        due = seen + timedelta(one["clean"] - one["margin"])
        while due.isoweekday() not in one["weekdays"]:
            due -= timedelta(1)
        for back in range(early + 1):
            day = due - timedelta(back)
            if day > seen and day.isoweekday() in one["weekdays"]:
                steps.append((seen, day, False))
                if day not in known:
                    known.add(day)
                    waiting.append(day)
    return steps


def solve(found: dict) -> tuple[int, int]:
    steps = [(n, *step) for n, one in enumerate(found["cameras"]) for step in visits(one, found["early"])]
    days = sorted({day for _n, _seen, day, _fetches in steps})
    switch = {day: len(steps) + k for k, day in enumerate(days)}
    rows: list[tuple[dict[int, int], int, int]] = []
    for n, one in enumerate(found["cameras"]):
        own = [(k, seen, day, fetches) for k, (m, seen, day, fetches) in enumerate(steps) if m == n]
        begin = date.fromisoformat(one["first"])
        rows.append(({k: 1 for k, seen, _day, _fetches in own if seen == begin}, 1, 1))
        for there in {day for _k, _seen, day, _fetches in own}:
            came = [k for k, _seen, day, _fetches in own if day == there]
            rows.append(({**dict.fromkeys(came, 1), switch[there]: -1}, -1, 0))
            stayed = {k: 1 for k, _seen, day, fetches in own if day == there and not fetches}
            if stayed:
                rows.append(({**stayed, **{k: -1 for k, seen, _day, _f in own if seen == there}}, 0, 0))
    matrix = lil_matrix((len(rows), len(steps) + len(days)))
    for k, (row, _low, _high) in enumerate(rows):
        for column, value in row.items():
            matrix[k, column] = value
    cost = np.concatenate([np.full(len(steps), 1e-4), np.ones(len(days))])
    limits = LinearConstraint(matrix.tocsr(), [low for _r, low, _h in rows], [high for _r, _l, high in rows])
    result = milp(
        cost, constraints=limits, integrality=np.ones(len(cost)), bounds=Bounds(0, 1), options={"mip_rel_gap": 0}
    )
    assert result.status == 0, result.message
    return round(sum(result.x[len(steps) :])), round(sum(result.x[: len(steps)]))


if __name__ == "__main__":
    told = []
    for seed in range(20):
        found = fleet(seed)
        drives, seen = solve(found)
        told.append({**found, "drives": drives, "visits": seen})
    print(json.dumps(told, indent=1))
