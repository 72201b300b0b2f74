"""What a crew sheet tells where nobody can ask: dates with what is found, the clock by a phone, the horizon."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

import pytest

from webcalc.calc import Shoot
from webcalc.calc.light.days import clock_settings
from webcalc.calc.optics.framing import horizon_share
from webcalc.calc.optics.view import view_from_hfov
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule
from webcalc.calc.schedule.zone import load_zone
from webcalc.calc.unknown import known

#: 10 h a day, a frame every 5 min, frames of 2 MB: 120 frames a day by hand.
PLAN = Shoot(
    first=date(2027, 3, 1), last=date(2027, 5, 31), from_=time(8), until=time(18),
    days=frozenset({1, 2, 3, 4, 5}), interval=Fraction(300), fps=Fraction(25), frame_mb=2, card_gb=64, clean=30,
)  # fmt: skip


def weekdays(since: date, until: date) -> int:
    """Count Monday to Friday, both ends included."""
    return sum((since + timedelta(n)).isoweekday() < 6 for n in range((until - since).days + 1))


def test_dates_before_the_first_visit_by_hand() -> None:
    """Cleaning every 30 days: somebody comes by 31 March. Frames are those of the weekdays until then."""
    looks, plan = PLAN.visits.looks(4), PLAN.visits.plan
    assert known(looks) and known(plan)
    assert plan.visits[0].date == date(2027, 3, 31)
    assert looks[0].date == date(2027, 3, 1)
    assert looks[-1].date == date(2027, 3, 30)  # at noon of the 31st its window is still open
    for look in looks:
        days = weekdays(date(2027, 3, 1), look.date)
        assert look.counts.frames == 120 * days
        # 2 MB are 15 or 16 clusters of 128 KiB (SD standard capacity sizes): at least the files, at most one more.
        assert 240 * days * 10**6 <= look.card_used_bytes.expected <= 120 * days * (2 * 10**6 + 131_072)
        assert look.battery_left_share is None


def test_all_dates_where_there_are_few() -> None:
    few = replace(PLAN, last=date(2027, 3, 3)).visits.looks(5)
    assert known(few)
    assert [look.date.day for look in few] == [1, 2, 3]


def test_no_dates_for_a_plan_that_does_not_hold() -> None:
    """0.1 GB are full on the first day, and nobody changes the card."""
    assert replace(PLAN, card_gb=Fraction(1, 10), visit_days=frozenset({7})).visits.looks(5) == ()


MADRID = load_zone("Europe/Madrid")
HOUR = timedelta(hours=1)


def settings(first: date, now: datetime, offset_h: int, kept: bool) -> list[tuple[date, timedelta]]:
    schedule = Schedule(first, date(2027, 12, 31), DailyWindow(time(8), time(18)), ALL_WEEKDAYS)
    found = clock_settings(MADRID, timedelta(hours=offset_h), schedule, now, kept)
    return [(one.since, one.minus) for one in found]


def test_the_clock_by_a_phone_in_madrid() -> None:
    """Directive 2000/84/EC, articles 2 and 3: summer time from the last Sunday of March to that of October."""
    before, during = datetime(2027, 3, 2, 9, tzinfo=UTC), datetime(2027, 6, 2, 9, tzinfo=UTC)
    march, october = date(2027, 3, 28), date(2027, 10, 31)
    # Kept at winter time: an hour off the phone's in summer.
    assert settings(date(2027, 3, 1), before, 1, True) == [
        (date(2027, 3, 2), 0 * HOUR), (march, HOUR), (october, 0 * HOUR)
    ]  # fmt: skip
    assert settings(date(2027, 3, 1), during, 1, True) == [(date(2027, 6, 2), HOUR), (october, 0 * HOUR)]
    # Not said: as the site's clock when the shoot begins, and whoever comes later sets it by the site's clock.
    assert settings(date(2027, 3, 1), during, 1, False) == [(date(2027, 6, 2), 0 * HOUR)]
    # Mounted in winter for a shoot that begins in summer time: an hour ahead of the phone.
    assert settings(date(2027, 4, 1), before, 2, False) == [(date(2027, 3, 2), -HOUR), (march, 0 * HOUR)]
    # Over long ago.
    assert settings(date(2027, 3, 1), datetime(2029, 1, 1, tzinfo=UTC), 1, False) == [(date(2029, 1, 1), 0 * HOUR)]


@pytest.mark.parametrize("tilt_deg", [-20, -8, -0.5, 0, 3, 20])
@pytest.mark.parametrize("vfov_deg", [40, 43.6, 90])
def test_the_horizon_by_the_pinhole_camera(tilt_deg: float, vfov_deg: float) -> None:
    """Hartley and Zisserman, Multiple View Geometry, 2nd edition, section 6.1 (from memory): y = f Y / Z.

    The far level point ahead is (0, 0, 1); the camera turned about its x axis sees it at another height.
    """
    angle = math.radians(-tilt_deg)
    up, ahead = math.sin(angle), math.cos(angle)
    focal = 0.5 / math.tan(math.radians(vfov_deg / 2))
    assert horizon_share(tilt_deg, view_from_hfov(vfov_deg, 100, 100)) == pytest.approx(0.5 - focal * up / ahead)


def test_the_horizon_leaves_the_picture_at_half_the_angle() -> None:
    square = view_from_hfov(40, 100, 100)
    assert horizon_share(-20, square) == pytest.approx(0)
    assert horizon_share(20, square) == pytest.approx(1)
    assert horizon_share(-20.1, square) is None and horizon_share(20.1, square) is None
