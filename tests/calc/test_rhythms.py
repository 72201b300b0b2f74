"""Rhythms of visits: dates by hand, card and battery against the forecast and the walk of the same stretch."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from fractions import Fraction

import dateutil.relativedelta
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.estimate import Estimate
from webcalc.calc.power import runtime
from webcalc.calc.power.load import Load
from webcalc.calc.power.runtime import Supply
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rhythms import (
    Rhythm,
    Stretch,
    add_months,
    battery_lasts,
    card_bytes_needed,
    rated_wh_needed,
    rhythm_dates,
    stretch_values,
    stretch_wh,
    stretches,
)
from webcalc.calc.visits.rules import BatteryInUse, Reason, VisitRules

WORK_WEEK = frozenset({1, 2, 3, 4, 5})
SUMMER = Schedule(date(2026, 6, 1), date(2026, 8, 28), DailyWindow(time(8), time(18)), WORK_WEEK)
MINUTE = Recording(Fraction(60))
DAY = timedelta(1)


def planner(**more: object) -> VisitPlanner:
    return VisitPlanner(SUMMER, MINUTE, VisitRules(**more))


@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.integers(0, 60))
def test_months_as_dateutil_adds_them(day: date, months: int) -> None:
    assert add_months(day, months) == day + dateutil.relativedelta.relativedelta(months=months)


def test_dates_by_hand() -> None:
    # 1 June 2026 is a Monday.
    assert rhythm_dates(Rhythm.WEEKLY, planner())[:2] == (date(2026, 6, 8), date(2026, 6, 15))
    assert len(rhythm_dates(Rhythm.WEEKLY, planner())) == 12
    assert len(rhythm_dates(Rhythm.FORTNIGHTLY, planner())) == 6
    # 1 July is a Wednesday, 1 August a Saturday: snapped back to Friday.
    assert rhythm_dates(Rhythm.MONTHLY, planner(weekdays=WORK_WEEK)) == (date(2026, 7, 1), date(2026, 7, 31))
    assert rhythm_dates(Rhythm.TWO_MONTHLY, planner()) == (date(2026, 8, 1),)
    assert rhythm_dates(Rhythm.NONE, planner()) == ()


def test_a_visit_without_an_allowed_day_falls_out() -> None:
    closed = frozenset(date(2026, 6, 2) + n * DAY for n in range(7))
    assert rhythm_dates(Rhythm.WEEKLY, planner(skipped=closed))[0] == date(2026, 6, 15)


def test_stretches_reach_as_far_as_the_margin() -> None:
    by_month = planner(margin_days=2)
    assert stretches(by_month, rhythm_dates(Rhythm.MONTHLY, by_month), Reason.CARD) == (
        Stretch(datetime(2026, 6, 1, 8), datetime(2026, 7, 3, 12)),
        Stretch(datetime(2026, 7, 1, 12), datetime(2026, 8, 3, 12)),
        Stretch(datetime(2026, 8, 1, 12), datetime(2026, 8, 28, 18)),
    )
    kept = planner(renews=frozenset({Reason.BATTERY}))
    assert stretches(kept, rhythm_dates(Rhythm.MONTHLY, kept), Reason.CARD) == (
        Stretch(datetime(2026, 6, 1, 8), datetime(2026, 8, 28, 18)),
    )


def test_a_weeks_card_by_hand() -> None:
    # Monday noon to Monday noon: 240 frames, four days of 600, and 360 of Monday... five days in all.
    by_week = planner()
    spans = stretches(by_week, rhythm_dates(Rhythm.WEEKLY, by_week), Reason.CARD)
    assert card_bytes_needed(by_week, MINUTE, spans[1:2], 1_000_000, 1) == 3_000 * 1_000_000


def test_energy_by_hand() -> None:
    # A week of 0.1 W and 3,000 frames of 6 J: 16.8 Wh and 5 Wh.
    span = Stretch(datetime(2026, 6, 1, 8), datetime(2026, 6, 8, 8))
    values = stretch_values(Load(standby_w=0.1, frame_j=6), MINUTE, SUMMER, span)
    assert stretch_wh(**values) == pytest.approx(21.8)


@st.composite
def cases(draw):
    days = draw(st.integers(3, 60))
    schedule = Schedule(
        date(2027, 1, 1),
        date(2027, 1, 1) + days * DAY,
        DailyWindow(time(draw(st.integers(0, 23))), time(draw(st.integers(0, 23)))),
        draw(st.frozensets(st.integers(1, 7), min_size=1)),
    )
    recording = Recording(Fraction(draw(st.sampled_from([600, 3600]))), motion_frames_per_day=draw(st.integers(0, 20)))
    load = Load(standby_w=draw(st.floats(0.01, 0.5)), recording_w=draw(st.floats(0, 1)), frame_j=draw(st.floats(0, 50)))
    wh = draw(st.floats(1, 400))
    supply = Supply(Estimate(wh * 0.8, wh * 0.9, wh), Estimate.exact(wh * 1.1), Estimate(0.01, 0.02, 0.05))
    battery = BatteryInUse(Estimate.exact(load), supply, draw(st.sampled_from([0.0, 0.2])))
    rules = VisitRules(margin_days=draw(st.integers(0, 3)))
    return VisitPlanner(schedule, recording, rules, battery=battery)


@settings(max_examples=150, deadline=None)
@given(cases(), st.sampled_from(list(Rhythm)))
def test_a_rhythm_lasts_where_the_walk_of_each_stretch_does(case: VisitPlanner, rhythm: Rhythm) -> None:
    spans = stretches(case, rhythm_dates(rhythm, case), Reason.BATTERY)
    battery, lasts, close = case.battery, [], False
    for span in spans:
        left = runtime.energy_left_at(
            case.schedule, case.recording, battery.load, battery.supply, span.until, since=span.since
        ).low
        lasts.append(left >= battery.reserve_share and left > 0)
        # Within a frame or a share of the reserve the two need not agree: motion frames are spread evenly by the walk.
        close = close or abs(left - battery.reserve_share) < 0.02
    if not close:
        assert battery_lasts(case, case.recording, spans, battery) == all(lasts)
        needed = rated_wh_needed(case, case.recording, spans, battery)
        assert needed is not None
        assert (needed <= battery.supply.rated_wh.low) == all(lasts)


@settings(max_examples=60, deadline=None)
@given(cases(), st.sampled_from(list(Rhythm)), st.integers(1, 3_000_000))
def test_a_rhythms_card_is_not_full_in_any_stretch(case: VisitPlanner, rhythm: Rhythm, frame_bytes: int) -> None:
    spans = stretches(case, rhythm_dates(rhythm, case), Reason.CARD)
    needed = card_bytes_needed(case, case.recording, spans, frame_bytes, 32_768)

    def full_in_time(usable: int) -> list[bool]:
        return [
            (
                full := card_forecast.forecast(
                    case.schedule,
                    case.recording,
                    Estimate.exact(frame_bytes),
                    usable,
                    32_768,
                    since=span.since,
                    reserve_share=Fraction(0),
                ).full_at.low
            )
            is not None
            and full < span.until
            for span in spans
        ]

    assert not any(full_in_time(needed))
    if needed:
        assert any(full_in_time(needed - 1))


def test_with_a_panel_the_walk_decides() -> None:
    load, by_week = Load(standby_w=0.1), planner()
    spans = stretches(by_week, rhythm_dates(Rhythm.WEEKLY, by_week), Reason.BATTERY)
    # 2.4 Wh a day, 16.8 Wh a week and 0.4 to noon of the first visit; 12 Wh carry it with 1.5 Wh a day from the sun.
    for daily_wh, lasts in ((0.0, False), (1.5, True)):
        supply = Supply(Estimate.exact(12.0), harvest_wh=lambda day, wh=daily_wh: wh)
        battery = BatteryInUse(Estimate.exact(load), supply, 0.0)
        assert battery_lasts(by_week, MINUTE, spans, battery) is lasts
        assert rated_wh_needed(by_week, MINUTE, spans, battery) is None


def test_no_battery_carries_what_its_self_discharge_takes() -> None:
    supply = Supply(Estimate.exact(10.0), Estimate.exact(10.0), Estimate.exact(0.5))
    battery = BatteryInUse(Estimate.exact(Load(standby_w=0.001)), supply, 0.2)
    spans = stretches(planner(), (), Reason.BATTERY)
    assert rated_wh_needed(planner(), MINUTE, spans, battery) is None
