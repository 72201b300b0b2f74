"""The course of a shoot, against the visits and forecasts worked out by themselves, and by hand for straight lines."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import pairwise
from urllib.parse import parse_qsl

import pytest
from random_plans import typed_of

from webcalc.calc import Shoot
from webcalc.calc.unknown import known
from webcalc.calc.visits.course import share_of_shoot
from webcalc.calc.visits.rules import Reason

PLAN = (
    "first=2027-03-01&last=2027-08-31&from=08:00&until=18:00&days=1234567&interval=1min&frame_mb=2&card_gb=64"
    "&battery_wh=200&cell=li-ion&standby_mw=20&frame_j=3&temp_c=20&margin=3"
)


def shoot_of(query: str) -> Shoot:
    return Shoot(**typed_of(dict(parse_qsl(query))))


def test_stretches_end_where_visits_find_them() -> None:
    visits = shoot_of(PLAN).visits
    plan = visits.plan
    stretches = visits.course_of(plan)
    assert known(stretches) and known(plan)
    assert len(stretches) == len(plan.services) + 1 > 2
    for stretch, visit in zip(stretches, plan.services, strict=False):
        begin, end = stretch[0], stretch[-1]
        assert begin.card_share.high == 0 and begin.battery_share.low == pytest.approx(1)
        assert end.battery_share == visit.battery_left_share
        assert end.card_share.high == pytest.approx(visit.card_used_bytes.high / visit.planner.card.usable_bytes)
        assert all(a.at < b.at for a, b in pairwise(stretch))


def test_alone_it_meets_the_limit_where_the_forecast_says() -> None:
    shoot = shoot_of(PLAN)
    (stretch,) = shoot.visits.course_if_nobody_goes(Reason.CARD)
    full = shoot.card.forecast.full_at.low
    # Full is when the next file no longer fits: less than a frame of 2 MB in 64 GB is left.
    assert all((point.card_share.high > 0.9999) == (point.at >= full) for point in stretch)
    assert all(point.battery_share is None for point in stretch)


def test_what_is_not_known_is_not_drawn() -> None:
    visits = shoot_of(PLAN.replace("standby_mw=20&frame_j=3&", "")).visits
    stretches = visits.course_of(visits.plan)
    assert all(point.battery_share is None and point.card_share is not None for s in stretches for point in s)
    assert not known(shoot_of(PLAN.replace("interval=1min&", "")).visits.plan)


def test_an_instant_lies_by_the_calendar() -> None:
    schedule = shoot_of(PLAN.replace("2027-08-31", "2027-03-10")).schedule
    midnight = datetime(2027, 3, 1)
    assert share_of_shoot(schedule, midnight) == 0
    assert share_of_shoot(schedule, midnight + timedelta(days=5)) == 0.5
    assert share_of_shoot(schedule, midnight + timedelta(days=10)) == 1
    assert share_of_shoot(schedule, midnight - timedelta(days=1)) == 0
