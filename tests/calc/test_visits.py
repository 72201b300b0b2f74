"""The planner of visits against ``visit_simulation``, which lives through each shoot half hour by half hour."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from fractions import Fraction

import pytest
import visit_simulation as sim
from hypothesis import event, given, settings
from hypothesis import strategies as st

from webcalc.calc.estimate import Estimate
from webcalc.calc.light.daylight import LightRule
from webcalc.calc.light.place import Site
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS, DailyWindow, Schedule
from webcalc.calc.schedule.zone import load_zone
from webcalc.calc.visits.planner import MOST_VISITS, VisitPlanner
from webcalc.calc.visits.rules import (
    RENEWABLE,
    BatteryInUse,
    CardInUse,
    ClockShift,
    Reason,
    VisitPlan,
    VisitRules,
    clock_shifts,
    site_light,
)

DAY = timedelta(days=1)
HALF_HOUR = timedelta(minutes=30)
WORK_WEEK = frozenset({1, 2, 3, 4, 5})
NAMES = {"card": Reason.CARD, "battery": Reason.BATTERY, "clock": Reason.CLOCK}
BURST = {"burst_s": Fraction(2), "burst_bits_per_s": Fraction(4_000_000)}
half_hours = st.integers(0, 47).map(lambda n: time(n // 2, n % 2 * 30))


def world_of(planner: VisitPlanner) -> sim.World:
    """Put a planner's inputs into the simulation's plain values. Motion frames, harvest and ageing aren't simulated."""
    schedule, recording, rules = planner.schedule, planner.recording, planner.rules
    card, battery = planner.card, planner.battery
    load = battery.load.high if battery else Load()
    usable = battery.supply.usable_wh if battery else None
    frame = card.frame if card else Estimate.exact(0)
    return sim.World(
        first=schedule.first,
        last=schedule.last,
        window_start=schedule.window.start,
        window_s=schedule.window.length_s,
        weekdays=set(schedule.weekdays),
        skipped=set(schedule.skipped),
        interval_s=int(recording.interval_s),
        stills=recording.stills,
        burst_bytes=int(recording.burst_bits_per_s * recording.burst_s / 8),
        frame_bytes=(frame.low, frame.expected, frame.high),
        cluster_bytes=card.cluster_bytes if card else 1,
        card_bytes=card.usable_bytes if card else None,
        used_bytes=card.used_bytes if card else 0,
        usable_j=(usable.low * 3600, usable.expected * 3600, usable.high * 3600) if usable else None,
        reserve=battery.reserve_share if battery else 0.0,
        standby_w=load.standby_w,
        recording_w=load.recording_w,
        frame_j=load.frame_j,
        burst_j=load.burst_w * float(recording.burst_s),
        shifts=[(shift.at, shift.shift_s) for shift in planner.clock_shifts],
        arrival=planner.arrival,
        allowed=lambda day: day.isoweekday() in rules.weekdays and day not in rules.skipped,
        margin=rules.margin_days,
        clean=rules.clean_days,
        renews={name for name, reason in NAMES.items() if reason in rules.renews},
        drift=float(rules.drift_s_per_day),
        drift_max=None if rules.drift_max_s is None else float(rules.drift_max_s),
    )


def confirm(planner: VisitPlanner) -> VisitPlan:
    """Live through the planned visits; every one must be in time, the latest allowed, and needed."""
    plan, world = planner.plan(), world_of(planner)
    state = sim.begin(world)
    assert not plan.cut_short
    dates = [visit.date for visit in plan.visits]
    assert dates == sorted(set(dates))
    for n, visit in enumerate(plan.visits):
        found = sim.fate(world, state)
        if Reason.LAST_DAY in visit.reasons:
            assert n == len(plan.visits) - 1
            assert sim.survives(world, state, found), "the shoot doesn't get to its end"
            fetched_when_it_can_be(planner, world, state, found, visit)
        else:
            assert visit.at == planner.arrival(visit.date)
            assert world.allowed(visit.date)
            assert visit.date > state.seen
            assert not sim.survives(world, state, found), "nobody had to come"
            assert sim.in_time(world, state, found, visit.date) is not False, "too late"
            later = visit.date + DAY
            while not world.allowed(later):
                later += DAY
            assert sim.in_time(world, state, found, later) is not True, "a later day would do, so it isn't needed"
            assert reasons_hold(world, state, found, visit)
            assert_by(world, state, found, visit)
        here = sim.go_on_to(world, state, visit.at)
        found_on_arrival(planner, world, here, visit)
        state = sim.renew(world, here, visit.date)
    if plan.impossible:
        found = sim.fate(world, state)
        assert not sim.survives(world, state, found)
        assert plan.impossible.after == state.seen
        later = state.seen + DAY
        while not world.allowed(later):
            later += DAY
        assert plan.impossible.next_day == later
        if plan.impossible.renewed:
            assert sim.in_time(world, state, found, later) is not True
    else:
        assert plan.visits[-1].reasons == (Reason.LAST_DAY,)
    return plan


def fetched_when_it_can_be(planner, world, state, found, visit) -> None:
    """The first allowed day on which half an hour of light is left after the end, or which begins after it."""
    end = world.right_at[found.end]

    def possible(day: date) -> bool:
        light = planner.light_on(day)
        return planner.arrival(day) >= end or bool(
            light and light[0] <= light[1] and max(light[0], end) + HALF_HOUR <= light[1]
        )

    assert world.allowed(visit.date)
    assert possible(visit.date)
    assert visit.at == max(end, planner.arrival(visit.date))
    between = [state.seen + n * DAY for n in range(1, (visit.date - state.seen).days)]
    assert not [day for day in between if world.allowed(day) and possible(day)]


def assert_by(world, state, found, visit) -> None:
    """The instant before which somebody must come is that of the first thing to go wrong, changes of clocks aside."""
    steps = [step for step in (found.card, found.clock) if step is not None]
    if found.battery is not None and found.battery < found.end:
        steps.append(found.battery)
    at = [world.right_at[int(step)] + (step - int(step)) * sim.STEP for step in steps]
    if sim.misses_cleaning(world, state, found):
        at.append(datetime.combine(state.seen + world.clean * DAY, time.max))
    if not at:
        assert visit.by is None
    else:
        # Drift passes its limit somewhere within the step.
        assert -timedelta(seconds=2) <= visit.by - min(at) <= sim.STEP


def reasons_hold(world, state, found, visit) -> bool:
    """Every reason that is named must come to pass without visits."""
    happens = {
        Reason.CARD: found.card is not None,
        Reason.BATTERY: found.battery is not None,
        Reason.CLOCK: found.clock is not None or found.change_day is not None,
        Reason.CLEANING: sim.misses_cleaning(world, state, found),
    }
    return bool(visit.reasons) and all(happens[reason] for reason in visit.reasons)


def found_on_arrival(planner, world, here, visit) -> None:
    """Compare what is expected on arrival with what the simulation has then."""
    assert (visit.counts.stills, visit.counts.bursts) == (here.stills, here.bursts)
    if planner.card:
        used = visit.card_used_bytes
        assert (used.low, used.expected, used.high) == here.used_bytes
    else:
        assert visit.card_used_bytes is None
    if planner.battery:
        left = visit.battery_left_share
        for share, usable_j in zip((left.low, left.expected, left.high), world.usable_j, strict=True):
            assert share == pytest.approx(max(0.0, 1 - here.used_j / usable_j), abs=1e-6)
    else:
        assert visit.battery_left_share is None
    apart, drifted = sim.error_s(world, here)
    assert tuple(map(float, visit.clock_error_s)) == pytest.approx((apart - drifted, apart + drifted), abs=1e-3)


@st.composite
def planners(draw) -> VisitPlanner:
    first = date(2027, 1, 1) + draw(st.integers(0, 300)) * DAY
    days = draw(st.integers(1, 45) | st.integers(20, 45) | st.integers(30, 45))
    window = DailyWindow(draw(half_hours), draw(half_hours))
    all_days = [first + n * DAY for n in range(days)]
    schedule = Schedule(
        first,
        all_days[-1],
        window,
        draw(st.just(ALL_WEEKDAYS) | st.frozensets(st.integers(1, 7), min_size=1)),
        draw(st.frozensets(st.sampled_from(all_days), max_size=4)),
    )
    bursts = draw(st.booleans())
    recording = Recording(
        Fraction(draw(st.sampled_from([1800, 3600, 5400, 14_400]))),
        stills=not bursts or draw(st.booleans()),
        **(BURST if bursts else {}),
    )
    # As real changes, at night: never while somebody arrives.
    nights = st.tuples(st.sampled_from(all_days), st.integers(0, 6), st.sampled_from([3600, -3600, 1800, -1800]))
    changes = [(datetime.combine(day, time()) + n * HALF_HOUR, by) for day, n, by in draw(st.lists(nights, max_size=2))]
    shifts = tuple(sorted(change for change in changes if change[0] > schedule.starts_at))
    if len(shifts) == 2 and shifts[1][0] - shifts[0][0] < 2 * DAY:
        shifts = shifts[:1]
    renews = draw(st.just(RENEWABLE) | st.just(RENEWABLE) | st.frozensets(st.sampled_from(sorted(RENEWABLE))))
    if Reason.CLOCK in renews and renews != RENEWABLE:
        shifts = ()  # a card that stays in while the clock is set is counted by the clock's face; see Standing
    kept_days = draw(st.just(ALL_WEEKDAYS) | st.frozensets(st.integers(1, 7), min_size=1))
    around = [first + n * DAY for n in range(days + 20)]
    rules = VisitRules(
        kept_days,
        draw(st.frozensets(st.sampled_from(around), max_size=8)),
        draw(st.integers(0, 3)),
        draw(st.none() | st.integers(4, 20)),
        renews,
        Fraction(draw(st.integers(0, 200)), 10),
        draw(st.none() | st.integers(30, 5400).map(Fraction)),
    )
    return VisitPlanner(
        schedule,
        recording,
        rules,
        draw(st.none() | cards(recording, window.length_s) | cards(recording, window.length_s)),
        draw(st.none() | batteries(recording, window.length_s) | batteries(recording, window.length_s)),
        tuple(ClockShift(at, by) for at, by in shifts),
        draw(lights()),
    )


@st.composite
def cards(draw, recording, window_s):
    """Cards that some days of the largest frames fill."""
    ends = sorted(draw(st.lists(st.integers(1, 3_000_000), min_size=3, max_size=3)))
    day_bytes = (
        (3_200_000 * recording.stills + 1_200_000 * bool(recording.burst_s)) * window_s // int(recording.interval_s)
    )
    usable = day_bytes * draw(st.integers(20, 300)) // 20
    used = draw(st.sampled_from([0, usable // 3]))
    return CardInUse(Estimate(*ends), usable, draw(st.sampled_from([1, 32_768, 131_072])), used)


@st.composite
def batteries(draw, recording, window_s):
    """Batteries that some days empty."""
    load = Load(
        standby_w=draw(st.integers(0, 100)) / 100,
        recording_w=draw(st.integers(0, 100)) / 100,
        frame_j=float(draw(st.integers(0, 500))),
        burst_w=float(draw(st.integers(0, 20))),
    )
    day_wh = load.standby_w * 24 + (load.recording_w + load.frame_j / float(recording.interval_s)) * window_s / 3600
    days = sorted(draw(st.lists(st.integers(20, 250), min_size=3, max_size=3)))
    # A little more than whole days: which side of a tie rounding falls on is no fault of anybody.
    usable = Estimate(*(max(day_wh, 0.01) * (each + 0.0173) / 10 for each in days))
    return BatteryInUse(Estimate.exact(load), Supply(usable), draw(st.sampled_from([0.0, 0.2, 0.37])))


@st.composite
def lights(draw):
    """Days that begin and end at changing half hours, some of them without light."""
    begin, step, dark = draw(st.integers(9, 20)), draw(st.integers(0, 7)), draw(st.integers(2, 40))

    def light_on(day: date):
        n = day.toordinal()
        if n % dark == 0:
            return None
        start = datetime.combine(day, time()) + (begin + n * step % 5) * HALF_HOUR
        return start, start + (12 + n * step % 7) * HALF_HOUR

    return light_on


@settings(max_examples=200, deadline=None)
@given(planners())
def test_visits_of_random_shoots_are_confirmed_by_living_through_them(planner: VisitPlanner) -> None:
    plan = confirm(planner)
    event("impossible" if plan.impossible else f"{min(len(plan.services), 5)} visits")
    for visit in plan.services:
        for reason in visit.reasons:
            event(reason)


# Two years by a real calendar, with real daylight

ZONES = {
    "Europe/London": Site(51.5, -0.12, "Europe/London"),
    "America/New_York": Site(40.7, -74.0, "America/New_York"),
    "Australia/Sydney": Site(-33.9, 151.2, "Australia/Sydney"),
    "Africa/Casablanca": Site(33.6, -7.6, "Africa/Casablanca"),
    "America/Phoenix": Site(33.4, -112.1, "America/Phoenix"),
}
OFFICE_HOURS = DailyWindow(time(8), time(18))


def half_hour_light(key: str):
    """Return the daylight of a place, inward to whole half hours as the simulation knows them."""
    real = site_light(ZONES[key], load_zone(key), LightRule.sun(), load_zone(key))

    def light_on(day: date):
        start, end = real(day)
        ceiled = start.replace(minute=0) + HALF_HOUR * -(-start.minute // 30)
        return ceiled, end.replace(minute=end.minute // 30 * 30)

    return light_on


def two_years(key: str, year: int = 2026) -> VisitPlanner:
    """Two years of five weekdays a week, a frame every half hour, a 16 GB card and 24 Wh; crews come on weekdays."""
    first, last = date(year, 1, 4), date(year + 1, 12, 29)
    schedule = Schedule(first, last, OFFICE_HOURS, WORK_WEEK, frozenset({date(year, 12, 24)}))
    zone = load_zone(key)
    return VisitPlanner(
        schedule,
        Recording(Fraction(1800)),
        VisitRules(WORK_WEEK, frozenset({date(year, 4, 2)}), 3, None, drift_max_s=Fraction(600)),
        CardInUse(Estimate(4_000_000, 6_000_000, 9_000_000), 14_000_000_000, 32_768),
        BatteryInUse(
            Estimate.exact(Load(standby_w=0.01, frame_j=8.0)), Supply(Estimate(22.0, 24.0, 26.0)), reserve_share=0.2
        ),
        clock_shifts(zone, datetime(year, 1, 1, tzinfo=UTC), datetime(year + 2, 1, 31, tzinfo=UTC)),
        half_hour_light(key),
    )


@pytest.mark.parametrize(("key", "year"), [*((key, 2026) for key in ZONES), ("Europe/London", 2027)])
def test_two_years_of_five_weekdays_are_confirmed(key: str, year: int) -> None:
    plan = confirm(two_years(key, year))
    assert plan.holds
    # A card takes 14e9 / 9,011,200 = 1,553 frames, 77 days of 20: 15 weeks.
    assert 7 <= len(plan.services) <= 16
    clock = [visit.date for visit in plan.services if Reason.CLOCK in visit.reasons]
    assert bool(clock) == (key != "America/Phoenix")


def test_the_clock_is_set_on_the_first_weekday_after_each_change() -> None:
    """Changes in London by the IANA database: 28 March and 31 October 2027, 26 March and 29 October 2028."""
    plan = two_years("Europe/London", 2027).plan()
    clock = [visit.date for visit in plan.services if Reason.CLOCK in visit.reasons]
    assert clock == [date(2027, 3, 29), date(2027, 11, 1), date(2028, 3, 27), date(2028, 10, 30)]
    spring = next(visit for visit in plan.services if visit.date == clock[0])
    assert spring.clock_error_s[0] < -3600 < spring.clock_error_s[1]
    assert next(visit for visit in plan.services if visit.date == clock[1]).clock_error_s[1] > 3600


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("Europe/London", [("2026-03-29T01:00", 3600), ("2026-10-25T02:00", -3600)]),
        ("America/New_York", [("2026-03-08T02:00", 3600), ("2026-11-01T02:00", -3600)]),
        ("Australia/Sydney", [("2026-04-05T03:00", -3600), ("2026-10-04T02:00", 3600)]),
        (
            "Africa/Casablanca",
            [("2026-02-15T03:00", -3600), ("2026-03-22T02:00", 3600), ("2026-09-20T02:00", -3600)],
        ),
        ("America/Phoenix", []),
    ],
)
def test_changes_read_just_before_they_happen(key: str, expected: list[tuple[str, int]]) -> None:
    """IANA database 2026f, as stored with the tests of the zones."""
    found = clock_shifts(load_zone(key), datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC))
    assert [(shift.at.isoformat(timespec="minutes"), shift.shift_s) for shift in found] == expected


# By hand


def weekdays_of(**more: object) -> VisitPlanner:
    """Monday 1 to Friday 26 June 2026, 600 frames of 1 MB on each weekday (clusters of 1 byte), a card of 3 GB."""
    given_rules = more.pop("rules", VisitRules())
    schedule = Schedule(date(2026, 6, 1), date(2026, 6, 26), OFFICE_HOURS, WORK_WEEK)
    card = CardInUse(Estimate.exact(1_000_000), 3_000_000_000, 1)
    return VisitPlanner(schedule, Recording(Fraction(60)), given_rules, card, **more)


def dates(plan: VisitPlan) -> list[str]:
    return [f"{visit.date:%d}" for visit in plan.visits]


def test_a_card_a_week_by_hand() -> None:
    # 3,000 frames fill it with Friday's last; Monday's first at eight doesn't fit, so noon of Monday is too late.
    planner = weekdays_of()
    plan = planner.plan()
    assert dates(plan) == ["07", "14", "21", "27"]
    first = plan.visits[0]
    assert first.at == datetime(2026, 6, 7, 12)
    assert first.by == datetime(2026, 6, 8, 8)
    assert first.counts.stills == 3_000
    assert planner.in_all(Reason.CARD, len(plan.services)) == 4


def test_margin_and_visiting_days_bring_it_forward() -> None:
    rules = VisitRules(weekdays=frozenset({3}), margin_days=3)
    assert dates(weekdays_of(rules=rules).plan())[0] == "03"


def test_a_card_that_is_not_changed_makes_it_impossible() -> None:
    plan = weekdays_of(rules=VisitRules(renews=frozenset({Reason.BATTERY, Reason.CLOCK}), clean_days=4)).plan()
    assert plan.impossible.reason is Reason.CARD
    assert not plan.impossible.renewed
    assert plan.visits == ()
    assert not plan.holds


def test_a_margin_as_long_as_the_time_between_cleanings_is_impossible() -> None:
    plan = replace(weekdays_of(rules=VisitRules(margin_days=7, clean_days=7)), card=None).plan()
    assert plan.impossible.reason is Reason.CLEANING


def test_a_clock_kept_at_a_fixed_offset_has_no_changes() -> None:
    assert clock_shifts(UTC, datetime(2027, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC)) == ()


def test_a_list_that_is_too_long_says_so() -> None:
    schedule = Schedule(date(2027, 1, 1), date(2027, 1, 1) + (MOST_VISITS + 9) * DAY, OFFICE_HOURS)
    plan = VisitPlanner(schedule, Recording(Fraction(3600)), VisitRules(clean_days=1)).plan()
    assert plan.cut_short
    assert not plan.holds
    assert len(plan.visits) == MOST_VISITS


@pytest.mark.parametrize(("until", "due"), [(time(12), None), (time(12, 1), date(2027, 3, 20))])
def test_what_is_late_waits_for_the_last_visit_from_the_end_on(until: time, due: date | None) -> None:
    """Cleaning every 5 days, nobody came. Today is the last day, and without light somebody is there at noon."""
    schedule = Schedule(date(2027, 3, 1), date(2027, 3, 20), DailyWindow(time(8), until))
    planner = VisitPlanner(schedule, Recording(Fraction(300)), VisitRules(clean_days=5))
    late = planner.as_of(planner.next_visit(planner.start()), planner.start(), schedule.last)
    assert (late.day if late else None) == due
