"""What a listing tells, against simulated cards with known faults, made without the project's own arithmetic."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from fractions import Fraction
from random import Random
from typing import Any
from urllib.parse import parse_qsl

import pytest
from random_plans import typed_of

from webcalc.calc import Shoot
from webcalc.calc.recorded.files import File, frames_of, size_change
from webcalc.calc.recorded.gaps import kept_interval_s
from webcalc.calc.recorded.shoot import RecordedResults, ShootRecorded, recorded_results

DAY = timedelta(1)
FIRST, DAYS = date(2027, 3, 1), 60
PLAN = "first=2027-03-01&last=2027-04-29&from=07:00&until=17:00&days=12345&interval=5min&card_gb=64"


def results(files: list[File], plan: str = PLAN) -> RecordedResults:
    return recorded_results(ShootRecorded(Shoot(**typed_of(dict(parse_qsl(plan)))), files), 0)


def random_of(seed: int) -> Random:
    return Random(seed)  # noqa: S311 - a simulation, no secret


def simulated(random: Random, lost: Any = lambda day, n: False, step_s: int = 300, stamp_s: int = 1) -> list[File]:
    """A camera that wakes each weekday at 7 and takes a frame every ``step_s`` to 17:00, a second late at times."""
    files, number = [], 9_500
    for n in range(DAYS):
        day = FIRST + n * DAY
        if day.weekday() >= 5:
            continue
        for frame in range(36_000 // step_s):
            if lost(n, frame):
                continue
            number = number % 9_999 + 1
            at = datetime(day.year, day.month, day.day, 7) + timedelta(
                seconds=frame * step_s + random.choice((0, 0, 1))
            )
            at -= timedelta(seconds=(at.hour * 3600 + at.minute * 60 + at.second) % stamp_s)
            files.append(File(at, int(random.gauss(2.1e6, 2e5)), f"CAM_{number:04}", number))
    random.shuffle(files)
    return files


@pytest.mark.parametrize("seed", range(6))
def test_planted_gaps_are_found(seed: int) -> None:
    """A stop of some hours, days left out, a late start, an early end: dates, lengths and sums as planted."""
    random = random_of(seed)
    weekdays = [n for n in range(2, DAYS - 2) if (FIRST + n * DAY).weekday() < 5]
    stop, late, early, *_ = random.sample([n for n in weekdays if n % 7 != 0], 3)
    gone = random.choice([n for n in weekdays if abs(n - stop) > 3 and abs(n - late) > 3 and abs(n - early) > 3])
    begin, length, by, to = (
        random.randrange(10, 60),
        random.randrange(2, 40),
        random.randrange(2, 50),
        random.randrange(60, 115),
    )

    def lost(n: int, frame: int) -> bool:
        return (
            (n == stop and begin <= frame < begin + length)
            or n == gone
            or (n == late and frame < by)
            or (n == early and frame >= to)
        )

    found = results(simulated(random, lost))
    assert found.interval_likely_s == 300
    assert found.missing == length + 120 + by + (120 - to)
    assert found.days_missing == (FIRST + gone * DAY,)
    assert found.days_late == (FIRST + late * DAY,)
    assert found.days_early == (FIRST + early * DAY,)
    assert sorted(gap.missing for gap in found.gaps) == sorted((length, 120, by, 120 - to))
    (stopped,) = [gap for gap in found.gaps if gap.from_.date() == gap.until.date()]
    assert stopped.from_.date() == FIRST + stop * DAY
    assert (stopped.until - stopped.from_).total_seconds() == pytest.approx((length + 1) * 300, abs=2)
    assert found.rolled_over == 1 and not found.numbers_left_out


@pytest.mark.parametrize(("step_s", "stamp_s"), [(5, 2), (20, 2), (30, 60), (90, 60), (300, 60), (420, 1), (3_600, 1)])
def test_the_interval_is_found_through_coarse_stamps(step_s: int, stamp_s: int) -> None:
    files = simulated(random_of(1), lambda n, frame: n > 4, step_s, stamp_s)
    assert kept_interval_s(frames_of(files), [Fraction(n) for n in (5, 20, 30, 90, 300, 3_600)]) == step_s


def test_a_step_that_coarse_stamps_lengthen_is_no_gap() -> None:
    """A frame a minute, told in whole minutes: a second late it may seem to come two minutes after the one before."""
    minutes = [n + (n >= 100) for n in range(200)]
    files = [File(datetime(2027, 3, 1, 7) + timedelta(minutes=n), 1, f"{n:04}", n + 1) for n in minutes]
    found = results(files, PLAN.replace("5min", "1min").replace("17:00", "10:21"))
    assert found.stamp_s == 60
    assert not found.gaps


def test_without_a_plan_the_hours_are_the_frames_own() -> None:
    found = results(simulated(random_of(2), lambda n, frame: n == 16 and 30 <= frame < 50), "")
    assert not found.by_plan
    assert (found.from_.hour, found.until.hour) == (7, 17)
    assert [gap.missing for gap in found.gaps] == [20]


def test_a_night_shoot_is_one_window() -> None:
    night = [datetime(2027, 3, 1 + n, 20) + timedelta(minutes=10 * k) for n in range(20) for k in range(60)]
    found = results([File(at) for at in night], "")
    assert (found.from_.hour, found.until.hour) == (20, 6)
    assert not found.gaps


def test_few_frames_far_apart_have_no_hours() -> None:
    """One every eight days: by hand, of each weekday's dates one in eight has a frame, which is no usual one."""
    found = results([File(datetime(2027, 3, 1, 12) + 8 * n * DAY) for n in range(30)], "")
    assert found.interval_likely_s == 8 * 86_400
    assert found.from_ is found.missing is None


def test_frames_from_before_the_shoot_are_all_unplanned() -> None:
    found = results([File(datetime(2027, 2, 1, 12, minute)) for minute in range(0, 60, 5)])
    assert (found.unplanned, found.missing, found.gaps) == (12, 0, ())


def test_all_is_there() -> None:
    found = results(simulated(random_of(3)))
    assert (found.missing, found.gaps, found.unplanned) == (0, (), 0)
    assert found.stories[0].code == "as_planned" and found.stories[0].fit > 0.99


STORIES = {
    "stopped": (PLAN, lambda n, frame: n > 30, 300),
    "late_start": (PLAN, lambda n, frame: n < 20, 300),
    "other_interval": (PLAN, lambda n, frame: False, 600),
    "other_hours": (PLAN.replace("until=17:00", "until=19:00"), lambda n, frame: False, 300),
    "other_weekdays": (PLAN.replace("12345", "1234567"), lambda n, frame: False, 300),
    "clock_offset": (PLAN.replace("07:00", "09:00").replace("17:00", "19:00"), lambda n, frame: False, 300),
}


@pytest.mark.parametrize("code", STORIES)
def test_the_true_story_comes_first(code: str) -> None:
    plan, lost, step_s = STORIES[code]
    found = results(simulated(random_of(4), lost, step_s), f"{plan}&at=2027-04-30T12:00")
    assert found.stories[0].code == code, found.stories


def test_after_the_card_was_taken_out_nothing_is_missing() -> None:
    """Half a shoot is on the first card: whether it stopped isn't known until somebody says when it was taken out."""
    half = simulated(random_of(5), lambda n, frame: n > 30)
    assert results(half).missing == 0
    assert results(half, f"{PLAN}&at=2027-03-31T17:00").missing == 0
    # Thu 1 and Fri 2 April, 120 frames each.
    assert results(half, f"{PLAN}&at=2027-04-03T12:00").missing == 240


def test_sizes() -> None:
    files = [
        File(f.at, f.bytes if f.at.date() < date(2027, 4, 5) else f.bytes // 2, f.name) for f in simulated(random_of(6))
    ]
    found = results(files)
    assert found.size_changed_on == date(2027, 4, 5)
    assert found.size_factor == pytest.approx(0.5, rel=0.05)
    assert found.frame_bytes.low < 1.1e6 < 2.0e6 < found.frame_bytes.high
    assert results([*files, File(files[0].at + timedelta(minutes=2), 0, "CAM_X")]).broken == 1


@pytest.mark.parametrize(("days_after", "since"), [(4, date(2027, 3, 21)), (3, None), (1, None)])
def test_a_change_of_size_is_seen_after_four_days(days_after: int, since: date | None) -> None:
    """And not before, on another day."""
    for first, then in ((2_000_000, 900_000), (900_000, 2_000_000)):
        sizes = [first] * 20 + [then] * days_after
        found = size_change(File(datetime(2027, 3, 1, 12) + n * DAY, size) for n, size in enumerate(sizes))
        assert (found.since if found else None) == since


def test_a_raw_picture_and_its_copy_are_one_frame() -> None:
    files = simulated(random_of(7))
    both = [*files, *(File(f.at, 20_000_000, f.name, f.number) for f in files)]
    found = results(both)
    assert found.frames == len(files)
    assert found.frame_bytes.expected == pytest.approx(22.1e6, rel=0.01)


@pytest.mark.parametrize("apart_s", [0, 0.1])
def test_times_of_copying_are_not_trusted(apart_s: float) -> None:
    copied = [File(datetime(2027, 5, 1, 9) + timedelta(seconds=int(n * apart_s)), 2_000_000) for n in range(500)]
    found = results(copied)
    assert not found.times_trusted
    assert found.missing is None and not found.gaps and not found.stories
    assert found.frames == 500 and found.frame_bytes.expected == 2_000_000
