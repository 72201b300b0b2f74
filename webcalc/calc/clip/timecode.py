"""Timecode by SMPTE ST 12-1: the label of a frame, and how far the label is from real time.

A timecode is a notation, not text for people: hh:mm:ss:ff, with ";" before the frames where it is drop-frame.
Labels count whole frames at the nominal rate (30 for 30000/1001), so at the 1000/1001 rates they run slow: 3.6 s
an hour. Drop-frame skips labels, never frames: ;00 and ;01 (;00 to ;03 at 60000/1001) at the start
of every minute except each tenth.
"""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.clip.frames import FRAME_RATES, clip_s

#: The rates that have a drop-frame count; 24000/1001 has none.
DROP_FRAME_RATES = frozenset({Fraction(30_000, 1_001), Fraction(60_000, 1_001)})

_MINUTES_PER_DAY = 24 * 60
#: Minutes out of ten at whose start labels are skipped.
_SKIPPING_MINUTES = 9


def uses_drop_frame(fps: Fraction, drop_frame: bool | None = None) -> bool:
    """Return whether the count is drop-frame; None means: wherever the rate has such a count.

    Raises ValueError for a rate outside ``FRAME_RATES``, and for drop-frame at a rate that has none.
    """
    if fps not in FRAME_RATES:
        raise ValueError("no timecode is defined for this frame rate")
    if drop_frame is None:
        return fps in DROP_FRAME_RATES
    if drop_frame and fps not in DROP_FRAME_RATES:
        raise ValueError("drop-frame exists only at 30000/1001 and 60000/1001")
    return drop_frame


def timecode(frame: int, fps: Fraction, drop_frame: bool | None = None) -> str:
    """Return the label of a frame counted from zero: frame 0 is 00:00:00:00.

    ``frame`` >= 0; ``drop_frame`` None: drop-frame at 30000/1001 and 60000/1001, non-drop elsewhere. After 23:59:59 the
    labels start again at 00:00:00, as the standard has them. Raises ValueError for a negative frame, a rate
    outside ``FRAME_RATES``, or drop-frame where there is none.
    """
    dropping = uses_drop_frame(fps, drop_frame)
    nominal = round(fps)
    label = _label_number(frame, nominal, dropping) % (_MINUTES_PER_DAY * 60 * nominal)
    seconds, frames = divmod(label, nominal)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    separator = ";" if dropping else ":"
    return f"{hours:02d}:{minutes:02d}:{seconds:02d}{separator}{frames:02d}"


def timecode_of_length(frames: int, fps: Fraction, drop_frame: bool | None = None) -> str | None:
    """Return the length of a clip of ``frames`` >= 0 frames as timecode: 600 frames at 30 fps are 00:00:20:00.

    It is the label of the frame that would follow the last one. None from 24 hours of labels on: timecode starts
    again there, and a length that did so would read as a short clip.
    """
    dropping = uses_drop_frame(fps, drop_frame)
    nominal = round(fps)
    if _label_number(frames, nominal, dropping) >= _MINUTES_PER_DAY * 60 * nominal:
        return None
    return timecode(frames, fps, dropping)


def elapsed_less_timecode_s(frame: int, fps: Fraction, drop_frame: bool | None = None) -> Fraction:
    """Return the real time up to a frame minus the time its label reads, in seconds.

    Positive: more time has passed than the label says (non-drop 30000/1001: +3.6 s an hour). The label is
    taken as counting on past 24 hours here. A drop-frame label stays within 0.07 s of real time in the first hour
    and gains 0.0864 s a day.
    """
    dropping = uses_drop_frame(fps, drop_frame)
    nominal = round(fps)
    return clip_s(frame, fps) - Fraction(_label_number(frame, nominal, dropping), nominal)


def _label_number(frame: int, nominal: int, dropping: bool) -> int:
    """Return the frame's place among all labels, skipped ones counted too."""
    if frame < 0:
        raise ValueError("frame is 0 or more")
    if not dropping:
        return frame
    skipped = nominal // 15  # 2 at 30, 4 at 60: nine times that is 0.1 % of ten minutes' labels
    per_ten_minutes = 600 * nominal - _SKIPPING_MINUTES * skipped
    tens, rest = divmod(frame, per_ten_minutes)
    # The first minute of each ten has all its labels; the nine after it lack some.
    minutes = max(0, rest - skipped) // (60 * nominal - skipped)
    return frame + skipped * (_SKIPPING_MINUTES * tens + minutes)
