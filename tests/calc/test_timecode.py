"""Timecode against published rows and, live, against two independent packages.

opentimelineio counts frames from zero; the package ``timecode`` counts ``frames`` from one and
``frame_number`` from zero.
"""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from opentimelineio.opentime import RationalTime
from timecode import Timecode

from webcalc.calc.clip.frames import FRAME_RATES, clip_s
from webcalc.calc.clip.timecode import (
    DROP_FRAME_RATES,
    elapsed_less_timecode_s,
    timecode,
    timecode_of_length,
    uses_drop_frame,
)

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "timecode_checks.json").read_text(encoding="utf-8"))["checks"]
NTSC = Fraction(30_000, 1_001)
NTSC_60 = Fraction(60_000, 1_001)

#: Names that the package ``timecode`` gives the rates.
RATE_NAMES = {
    Fraction(24): "24",
    Fraction(25): "25",
    Fraction(30): "30",
    Fraction(50): "50",
    Fraction(60): "60",
    Fraction(24_000, 1_001): "23.976",
    NTSC: "29.97",
    NTSC_60: "59.94",
}
#: Every count there is: each rate without drop-frame, two with it.
COUNTS = [(fps, False) for fps in FRAME_RATES] + [(fps, True) for fps in sorted(DROP_FRAME_RATES)]


#: Frames in a day of drop-frame labels: 144 times ten minutes of 17,982 (35,964) frames.
DROP_FRAME_DAY = {NTSC: 2_589_408, NTSC_60: 5_178_816}


def labels_per_day(fps: Fraction, drop_frame: bool) -> int:
    """Frames until the labels start again after 23:59:59."""
    return DROP_FRAME_DAY[fps] if drop_frame else 86_400 * round(fps)


def by_opentimelineio(frame: int, fps: Fraction, drop_frame: bool) -> str:
    return RationalTime(frame, float(fps)).to_timecode(float(fps), drop_frame)


def opentimelineio_counts(frame: int, fps: Fraction) -> bool:
    """opentimelineio starts again after a day of drop-frame labels even where it drops none.

    The standard's hours run to 23 in both counts, and the package ``timecode`` has them so.
    """
    return frame < DROP_FRAME_DAY.get(fps, frame + 1)


def by_timecode_package(frame: int, fps: Fraction, drop_frame: bool) -> str:
    reference = Timecode(RATE_NAMES[fps], frames=frame + 1, force_non_drop_frame=not drop_frame)
    assert reference.frame_number == frame
    return str(reference)


@pytest.mark.parametrize("check", CHECKS, ids=[check["id"] for check in CHECKS])
def test_published_rows(check: dict) -> None:
    frame, fps, drop_frame = check["inputs"]["frame"], Fraction(check["inputs"]["rate"]), check["inputs"]["drop_frame"]
    if check["quantity"] == "timecode":
        assert timecode(frame, fps, drop_frame) == check["expected"]
    elif check["quantity"] == "elapsed_s":
        assert float(clip_s(frame, fps)) == pytest.approx(check["expected"], abs=check["tolerance"])
    else:
        assert check["quantity"] == "elapsed_less_timecode_s"
        assert float(elapsed_less_timecode_s(frame, fps, drop_frame)) == pytest.approx(
            check["expected"], abs=check["tolerance"]
        )


@pytest.mark.parametrize(("fps", "drop_frame"), COUNTS)
def test_every_label_near_the_minute_marks_agrees_with_both_packages(fps: Fraction, drop_frame: bool) -> None:
    """The first 21 minutes' marks, an hour's and the day's last frames, each with its surroundings."""
    per_minute = 60 * round(fps)
    marks = [minute * per_minute for minute in (*range(22), 60, 61, 600)] + [labels_per_day(fps, drop_frame) - 40]
    frames = sorted({frame for mark in marks for frame in range(max(0, mark - 40), mark + 40)})
    for frame in frames:
        ours = timecode(frame, fps, drop_frame)
        assert ours == by_timecode_package(frame, fps, drop_frame), frame
        if opentimelineio_counts(frame, fps):
            assert ours == by_opentimelineio(frame, fps, drop_frame), frame


@settings(max_examples=400)
@given(count=st.sampled_from(COUNTS), data=st.data())
def test_any_label_of_a_day_agrees_with_both_packages(count: tuple[Fraction, bool], data: st.DataObject) -> None:
    fps, drop_frame = count
    frame = data.draw(st.integers(0, labels_per_day(fps, drop_frame) - 1))
    ours = timecode(frame, fps, drop_frame)
    assert ours == by_timecode_package(frame, fps, drop_frame)
    if opentimelineio_counts(frame, fps):
        assert ours == by_opentimelineio(frame, fps, drop_frame)


@pytest.mark.parametrize(("fps", "drop_frame"), COUNTS)
def test_labels_start_again_after_a_day_but_a_length_does_not(fps: Fraction, drop_frame: bool) -> None:
    day = labels_per_day(fps, drop_frame)
    assert timecode(day - 1, fps, drop_frame).startswith("23:59:59")
    assert timecode(day, fps, drop_frame) == timecode(0, fps, drop_frame)
    assert timecode_of_length(day - 1, fps, drop_frame) == timecode(day - 1, fps, drop_frame)
    assert timecode_of_length(day, fps, drop_frame) is None


def test_drop_frame_is_the_default_only_where_it_exists() -> None:
    assert {fps for fps in FRAME_RATES if uses_drop_frame(fps)} == {NTSC, NTSC_60}
    assert timecode(1_800, NTSC) == "00:01:00;02"
    assert timecode(1_800, NTSC, drop_frame=False) == "00:01:00:00"
    assert timecode(1_440, Fraction(24_000, 1_001)) == "00:01:00:00"


def test_a_ten_hour_day_at_one_a_minute_is_twenty_seconds() -> None:
    """Common practice, no source: 600 frames, 20 s at 30 fps."""
    assert timecode_of_length(600, Fraction(30)) == "00:00:20:00"


@given(frame=st.integers(0, 10_000_000), count=st.sampled_from(COUNTS))
def test_the_label_differs_from_real_time_as_the_standard_says(frame: int, count: tuple[Fraction, bool]) -> None:
    """None at whole rates, 0.1 % slow at the others without drop-frame, almost none with it."""
    fps, drop_frame = count
    difference = elapsed_less_timecode_s(frame, fps, drop_frame)
    if fps.denominator == 1:
        assert difference == 0
    elif not drop_frame:
        assert difference == Fraction(frame, round(fps)) / 1_000
    else:
        days = frame / labels_per_day(fps, True)
        assert abs(float(difference) + 0.0864 * days) < 0.07


@pytest.mark.parametrize("fps", [Fraction(24), Fraction(24_000, 1_001), Fraction(30)])
def test_drop_frame_is_refused_where_there_is_none(fps: Fraction) -> None:
    with pytest.raises(ValueError, match="drop-frame exists only at"):
        timecode(0, fps, drop_frame=True)


def test_frames_and_rates_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="frame is 0 or more"):
        timecode(-1, Fraction(25))
    with pytest.raises(ValueError, match="no timecode is defined"):
        timecode(0, Fraction(15))
