"""Drives to several cameras against each camera's own limits, replayed by hand and by a second reading of the rules."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.visits.drive_days import CameraNeeds
from webcalc.calc.visits.joint import joint_visits
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Reason, VisitRules

WINDOW = DailyWindow(time(8), time(18))
FIRST, LAST = date(2027, 3, 1), date(2027, 5, 31)


def camera(clean_days, margin_days=0, first=FIRST, last=LAST, weekdays=frozenset(range(1, 8))):
    """Return a camera that only wants to be cleaned: its dates can be counted on a calendar."""
    rules = VisitRules(weekdays=weekdays, margin_days=margin_days, clean_days=clean_days)
    return CameraNeeds(VisitPlanner(Schedule(first, last, WINDOW), Recording(None, stills=False), rules)), margin_days


def dates(found, number):
    return [drive.date for drive in found.drives for seen in drive.cameras if seen.camera == number]


def test_one_camera_alone_is_its_own_plan():
    needs, early = camera(20, 3)
    found = joint_visits([(needs, early)], FIRST, LAST + timedelta(30))
    assert [(drive.date, drive.cameras[0].visit) for drive in found.drives] == [
        (visit.date, visit) for visit in needs.planner.plan().visits
    ]
    assert [drive.number for drive in found.drives] == list(range(1, len(found.drives) + 1))


def test_who_is_due_within_the_margin_comes_along():
    """Every 20 and 22 days less 3 of margin: 18 March, and 20 March brought forward to it; so from there on."""
    found = joint_visits([camera(20, 3), camera(22, 3)], FIRST, date(2027, 4, 10))
    assert [(drive.date, len(drive.cameras)) for drive in found.drives] == [
        (date(2027, 3, 18), 2),
        (date(2027, 4, 4), 2),
    ]
    assert [seen.due for seen in found.drives[0].cameras] == [date(2027, 3, 18), date(2027, 3, 20)]
    # 4 April and 23 April minus 19 days after 18 March: 6 April
    assert [seen.due for seen in found.drives[1].cameras] == [date(2027, 4, 4), date(2027, 4, 6)]


def test_without_a_margin_only_the_same_day_is_one_drive():
    found = joint_visits([camera(20), camera(21), camera(40)], FIRST, date(2027, 4, 11))
    assert [(drive.date, [seen.camera for seen in drive.cameras]) for drive in found.drives] == [
        (date(2027, 3, 21), [0]),
        (date(2027, 3, 22), [1]),
        (date(2027, 4, 10), [0, 2]),
    ]
    assert found.later == {0: date(2027, 4, 30), 1: date(2027, 4, 12), 2: date(2027, 5, 20)}


def test_a_drive_takes_only_cameras_that_are_all_near_each_other():
    """Both others are near the first, and far from each other: the second goes along, the third has its own drive."""
    found = joint_visits(
        [camera(20), camera(20), camera(20)], FIRST, date(2027, 3, 30), near=lambda one, other: {one, other} != {1, 2}
    )
    assert [[seen.camera for seen in drive.cameras] for drive in found.drives] == [[0, 1], [2]]


def test_nobody_comes_along_on_a_day_that_isnt_allowed():
    """18 March 2027 is a Thursday; the second camera is seen on Fridays only, next on 19 March."""
    found = joint_visits([camera(20, 3), camera(22, 3, weekdays=frozenset({5}))], FIRST, date(2027, 3, 20))
    assert dates(found, 0) == [date(2027, 3, 18)]
    assert dates(found, 1) == [date(2027, 3, 19)]


def test_what_is_past_is_counted_and_not_listed():
    whole = joint_visits([camera(20, 3), camera(22, 3)], FIRST, LAST)
    rest = joint_visits([camera(20, 3), camera(22, 3)], date(2027, 4, 1), LAST)
    assert rest.drives == [drive for drive in whole.drives if drive.date >= date(2027, 4, 1)]
    assert rest.drives[0].number == 2


def test_a_known_last_visit_begins_the_count():
    planner = camera(20)[0].planner
    standing = planner.after_visit(planner.start(), date(2027, 3, 10))
    found = joint_visits([(CameraNeeds(planner, standing), 0)], FIRST, date(2027, 4, 2))
    assert dates(found, 0) == [date(2027, 3, 30)]


def test_a_shoot_that_is_over_is_nowhere():
    found = joint_visits([camera(20)], LAST + timedelta(400), LAST + timedelta(500))
    assert (found.drives, found.later, found.impossible) == ([], {}, {})


def test_what_cant_be_visited_is_told_and_the_rest_goes_on():
    """Three days between visits and four of margin: never in time."""
    found = joint_visits([camera(3, 4), camera(20)], FIRST, date(2027, 3, 31))
    assert found.impossible[0].reason is Reason.CLEANING
    assert dates(found, 1) == [date(2027, 3, 21)]


cameras = st.builds(
    camera,
    st.integers(5, 60),
    st.integers(0, 4),
    first=st.dates(date(2027, 1, 1), date(2027, 3, 31)),
    last=st.dates(date(2027, 4, 1), date(2027, 12, 31)),
    weekdays=st.frozensets(st.integers(1, 7), min_size=1),
)


@given(st.lists(cameras, min_size=1, max_size=6))
@settings(max_examples=40, deadline=None)
def test_no_visit_is_late_and_no_more_drives_than_alone(found_cameras):
    """Read again from the rules: the days between visits less the margin, on a day that is allowed.

    That no fewer drives would do is tested in test_fewest_drives.
    """
    found = joint_visits(found_cameras, date(2026, 1, 1), date(2029, 1, 1))
    assert [drive.date for drive in found.drives] == sorted({drive.date for drive in found.drives})
    assert found.later == {}
    seen_on = {n: needs.planner.schedule.first for n, (needs, _) in enumerate(found_cameras)}
    over = set(found.impossible)
    for drive in found.drives:
        for seen in drive.cameras:
            planner = found_cameras[seen.camera][0].planner
            rules = planner.rules
            assert rules.allows(drive.date)
            if Reason.LAST_DAY in seen.visit.reasons:
                assert datetime.combine(drive.date, time(23, 59)) >= planner.schedule.ends_at
                over.add(seen.camera)
                continue
            before = seen_on[seen.camera]
            latest = before + timedelta(rules.clean_days - rules.margin_days)
            assert before < drive.date <= latest
            # Nobody comes more than the margin before the day that would do.
            assert seen.due - drive.date <= timedelta(rules.margin_days)
            seen_on[seen.camera] = drive.date
    assert over == set(range(len(found_cameras)))
    alone = [joint_visits([one], date(2026, 1, 1), date(2029, 1, 1)).drives for one in found_cameras]
    assert len(found.drives) <= len({drive.date for drives in alone for drive in drives})
