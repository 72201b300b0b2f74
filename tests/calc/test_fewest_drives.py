"""Drives to random small fleets: as few as an exact solver finds that knows nothing of this code.

The fleets and their optima are in ``tests/data/fewest_drives.json``; the program of its generator counts dates on a
calendar.
"""

from __future__ import annotations

import json
from datetime import date, time
from pathlib import Path

import pytest

from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.visits.drive_days import CameraNeeds
from webcalc.calc.visits.joint import joint_visits
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import VisitRules

FLEETS = json.loads((Path(__file__).parents[1] / "data" / "fewest_drives.json").read_text())


def planner(one):
    schedule = Schedule(
        date.fromisoformat(one["first"]), date.fromisoformat(one["last"]), DailyWindow(time(8), time(18))
    )
    rules = VisitRules(frozenset(one["weekdays"]), margin_days=one["margin"], clean_days=one["clean"])
    return VisitPlanner(schedule, Recording(None, stills=False), rules)


@pytest.mark.parametrize("fleet", FLEETS, ids=range(len(FLEETS)))
def test_no_fewer_drives_are_possible(fleet):
    cameras = [(CameraNeeds(planner(one)), fleet["early"]) for one in fleet["cameras"]]
    found = joint_visits(cameras, date(2027, 1, 1), date(2028, 12, 31))
    assert (found.later, found.impossible, found.endless) == ({}, {}, set())
    assert len(found.drives) == fleet["drives"]
    # Of as many drives those with the fewest visits aren't always found.
    assert fleet["visits"] <= sum(len(drive.cameras) for drive in found.drives) <= fleet["visits"] * 1.15
