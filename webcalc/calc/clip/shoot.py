"""The shoot seen from its clip: frames, length, thinning, the intervals to choose from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card.space import MEGABIT
from webcalc.calc.clip import delivery, frames, solve
from webcalc.calc.clip.frames import Thinning
from webcalc.calc.clip.interval import usual_intervals_s
from webcalc.calc.clip.solve import ClipMade
from webcalc.calc.clip.timecode import elapsed_less_timecode_s, timecode_of_length
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.unknown import ask, figure, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True, eq=False)
class ShootClip:
    """What the shoot gives as a clip."""

    shoot: Shoot

    # -- what it gives --------------------------------------------------------------------------------------

    @figure
    def recorded_days(self) -> int:
        """Days with a window."""
        return need(self.shoot.schedule).recorded_days

    @figure
    def recorded_s(self) -> int:
        """Recorded time."""
        return need(self.shoot.schedule).recorded_s

    @figure
    def last(self) -> date:
        """The last day, typed or worked out."""
        return need(self.shoot.last_day)

    @figure
    def frames(self) -> int:
        """Stills of the shoot."""
        return need(self.shoot.clip_made).frames

    @figure
    def kept_frames(self) -> int:
        """Stills that the clip keeps."""
        return need(self.shoot.clip_made).kept_frames

    @figure
    def clip_s(self) -> Fraction:
        """Length of the clip."""
        return need(self.shoot.clip_made).clip_s

    @figure
    def timecode(self) -> str | None:
        """That length as SMPTE timecode; None from 24 hours on, where timecode starts again."""
        return timecode_of_length(*need(self.kept_frames, self.shoot.fps))

    @figure
    def apart_s(self) -> Fraction:
        """By how much the clip plays longer than its timecode says."""
        return elapsed_less_timecode_s(*need(self.kept_frames, self.shoot.fps))

    @figure
    def speed_up(self) -> Fraction:
        """Recorded time over clip time."""
        return frames.speed_up(*need(self.shoot.interval_s, self.shoot.fps))

    @figure
    def frames_per_day(self) -> int:
        """Stills of one window."""
        window, interval_s, stills = need(self.shoot.window, self.shoot.interval_s, self.shoot.takes_stills)
        return frames_in(window.length_s, interval_s) if stills else 0

    @figure
    def clip_s_per_recorded_day(self) -> Fraction | None:
        """Clip that one recorded day gives on average; None without stills."""
        per_day, kept_share, fps = need(self.frames_per_day, self.shoot.kept_share, self.shoot.fps)
        return frames.clip_s_per_recorded_day(per_day, kept_share, fps) if need(self.shoot.takes_stills) else None

    @figure
    def thinning(self) -> Thinning | None:
        """How the kept frames are thinned to the wanted length; None where none is wanted or none is kept."""
        if not given(self.shoot.clip):
            return None
        kept, wanted = need(self.kept_frames, self.frames_in_clip)
        return frames.thin(kept, wanted) if kept else None

    @figure
    def frames_in_clip(self) -> int:
        """Frames of the clip that is wanted."""
        if not given(self.shoot.clip):
            raise ask("clip")
        return frames.frames_in_clip(*said(self.shoot.clip, self.shoot.fps))

    @figure
    def file_bytes(self) -> int | None:
        """The finished file, thinned to the wanted length; None without a bit rate or a clip."""
        if not given(self.shoot.clip_mbps):
            return None
        rate, seconds, kept = need(self.shoot.clip_mbps, self.file_s, self.kept_frames)
        return delivery.clip_file_bytes(Fraction(said(rate)) * MEGABIT, seconds) if kept else None

    @figure
    def file_s(self) -> Fraction:
        """How long the finished clip is: as wanted, or as long as there is."""
        made_s, wanted_s = need(self.clip_s, self.shoot.clip)
        return made_s if wanted_s is None else min(made_s, wanted_s)

    # -- the intervals to choose from -----------------------------------------------------------------------

    @figure
    def frames_wanted(self) -> int:
        """Frames to record for the wanted clip."""
        return need(self.shoot.interval_answer).frames_wanted

    @figure
    def interval_exact_s(self) -> Fraction | None:
        """The interval that spreads them evenly; None where nothing is recorded."""
        return need(self.shoot.interval_answer).interval_exact_s

    @figure
    def chosen(self) -> ClipMade | None:
        """What answers: the longest interval for the wanted clip, else, with none wanted, the plan's own.

        None where no interval that can be set is short enough.
        """
        return need(self.shoot.interval_answer).chosen if given(self.shoot.clip) else need(self.shoot.clip_made)

    @figure
    def interval_s(self) -> Fraction | None:
        """The interval that answers."""
        chosen = need(self.chosen)
        return None if chosen is None else chosen.interval_s

    @figure
    def choices(self) -> tuple[ClipMade, ...]:
        """The intervals that can be set around the one that answers, shortest first, and what each gives."""
        schedule, fps, kept_share, settable, around_s = need(
            self.shoot.schedule, self.shoot.fps, self.shoot.kept_share, self.shoot.settable, self.interval_s
        )
        if around_s is None:
            around_s = need(self.interval_exact_s)
        if around_s is None:
            return ()
        return solve.interval_choices(schedule, around_s, fps, kept_share, settable_s=settable)

    @figure
    def usual(self) -> tuple[ClipMade, ...]:
        """The intervals that are usual for a shoot of this length, and what each gives."""
        schedule, fps, kept_share = need(self.shoot.schedule, self.shoot.fps, self.shoot.kept_share)
        usual = usual_intervals_s(schedule.calendar_days)
        return tuple(solve.clip_from_interval(schedule, interval_s, fps, kept_share) for interval_s in usual)

    @property
    def mending_s(self) -> Fraction | None:
        """The interval that gives the wanted clip, where that is known and isn't the plan's own."""
        answer, here = self.shoot.interval_answer, self.shoot.interval_s
        if not known(answer) or answer.chosen is None or (known(here) and here == answer.chosen.interval_s):
            return None
        return answer.chosen.interval_s
