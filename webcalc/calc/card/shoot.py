"""The shoot seen from its card: what a frame takes, which card lasts, until when."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import forecast as filling
from webcalc.calc.card import frame_size, space
from webcalc.calc.card.forecast import CardForecast
from webcalc.calc.card.space import FileSystem
from webcalc.calc.clip.interval import next_interval_that_holds
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import NotKnown, ask, figure, figure_for, given, known, need, said, united, unless_wrong

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


#: Stands for the size of frames where none are taken.
_NO_FRAME = Estimate.exact(1)


@dataclass(frozen=True, eq=False)
class ShootCard:
    """What the typed quantities say of the card."""

    shoot: Shoot

    @property
    def kept(self) -> bool:
        """Whether frames are kept on a card at all; taken so while that isn't known."""
        return not known(self.shoot.kept_on) or self.shoot.kept_on != "sent"

    @property
    def asked_for(self) -> tuple[str, ...]:
        """The names to fill in: a card gives the day it is full, a last day the card that is needed."""
        shoot = self.shoot
        if given(shoot.card_gb):
            lacking = united(self.filled)
        elif not shoot.open_ended:
            lacking = united(self.smallest_gb, self.used_bytes)
        else:
            lacking = united(
                *(shoot.endless_schedule, self.recording, self.frame_recorded, self.reserve_share),
                NotKnown(("card_gb", "last")),
            )
        return lacking.names if lacking is not None else ()

    @figure
    def sold_as_gb(self) -> int | None:
        """The card sold that devices show as what was typed; None where there is none."""
        return space.sold_as_gb(said(self.shoot.card_gb)) if given(self.shoot.card_gb) else None

    # -- what goes on it ------------------------------------------------------------------------------------

    @figure
    def as_video(self) -> bool:
        """Whether frames go into one video file instead of a file each."""
        return need(self.shoot.recorded_as) == "video"

    @figure
    def frame(self) -> Estimate[int]:
        """A frame's bytes: its share of a video file, else measured, else from size and quality."""
        shoot = self.shoot
        if need(self.as_video):
            if not given(shoot.video_mb_min):
                raise ask("video_mb_min")
            return Estimate.exact(frame_size.video_frame_bytes(*said(shoot.video_mb_min, shoot.fps)))
        if given(shoot.frame_mb):
            _frame_mb, largest_mb = need(shoot.frame_mb, shoot.frame_mb_max)
            return frame_size.measured(said(shoot.frame_mb), largest_mb)
        if not (given(shoot.size) and given(shoot.picture)):
            raise ask("frame_mb")
        (width, height), picture = said(shoot.size, shoot.picture)
        return frame_size.frame_bytes(width, height, frame_size.PICTURES[picture])

    @figure
    def takes_frames(self) -> bool:
        """Whether there are single frames on the card, not bursts only."""
        stills, motion = need(self.shoot.takes_stills, self.shoot.motion)
        return stills or bool(motion)

    @figure
    def frame_recorded(self) -> Estimate[int]:
        """A frame's bytes; anything where no frame is recorded."""
        return need(self.frame) if need(self.takes_frames) else _NO_FRAME

    @figure_for
    def recording_at(self, interval_s: Fraction | None) -> Recording:
        """What is recorded at an interval, bursts with their bit rate, frames as they are filed."""
        recording = need(self.shoot.recording_at(interval_s))
        if recording.burst_s:
            recording = replace(recording, burst_bits_per_s=need(self.burst_bits_per_s))
        frames = recording.stills or recording.motion_frames_per_day
        return replace(recording, in_one_file=True) if frames and need(self.as_video) else recording

    @figure
    def burst_bits_per_s(self) -> Fraction:
        """The bit rate of bursts."""
        return Fraction(need(self.shoot.burst_mbps)) * space.MEGABIT

    @figure
    def burst_bytes(self) -> int | None:
        """A burst's file; None without bursts."""
        burst_s = need(self.shoot.recording).burst_s
        return space.burst_bytes(need(self.burst_bits_per_s), burst_s) if burst_s else None

    @figure
    def recording(self) -> Recording:
        """What is recorded by the plan, bursts with their bit rate."""
        return need(self.recording_at(need(self.shoot.recording).interval_s))

    # -- the card -------------------------------------------------------------------------------------------

    @figure
    def card_bytes(self) -> int:
        """The card's nominal size."""
        return space.bytes_from_gb(Fraction(need(self.shoot.card_gb)))

    @figure
    def used_at_start_bytes(self) -> int:
        """What stands on the card when the shoot begins."""
        return space.bytes_from_gb(Fraction(need(self.shoot.used_gb)))

    @figure
    def used_bytes(self) -> int:
        """What stands on the card in use when it begins to fill: nothing once it was renewed."""
        return 0 if need(self.shoot.done.card_renewed) else need(self.used_at_start_bytes)

    @figure
    def since(self) -> datetime | None:
        """From when the card in use fills, camera clock; None: from the shoot's start."""
        return need(self.shoot.done.card_since)

    @figure
    def reserve_share(self) -> Fraction:
        """The share of the card that is kept free."""
        return Fraction(need(self.shoot.card_reserve)) / 100

    @figure
    def usable_bytes(self) -> int:
        """The bytes to plan with, before what stands on the card already."""
        return space.usable_bytes(*need(self.card_bytes, self.reserve_share))

    @figure
    def free_bytes(self) -> int:
        """The bytes to plan with that nothing stands on yet."""
        usable, used = need(self.usable_bytes, self.used_bytes)
        return max(0, usable - used)

    @figure
    def smallest_gb(self) -> int | None:
        """The smallest card sold, empty, that lasts at the pessimistic end; None where none does."""
        return need(self.smallest_gb_at(need(self.recording).interval_s))

    @figure_for
    def smallest_gb_at(self, interval_s: Fraction | None) -> int | None:
        """The same at an interval."""
        schedule, recording, frame, reserve, since = need(
            self.shoot.schedule, self.recording_at(interval_s), self.frame_recorded, self.reserve_share, self.since
        )
        return space.smallest_card_gb(
            lambda cluster: filling.shoot_bytes(schedule, recording, frame, cluster, since).high, reserve
        )

    @figure
    def file_system(self) -> FileSystem:
        """That of the card typed, else of the smallest that lasts, else of a large one."""
        if given(self.shoot.card_gb):
            return space.file_system_for(need(self.card_bytes))
        size_gb = unless_wrong(self.smallest_gb) or space.CARD_SIZES_GB[-1]
        return space.file_system_for(size_gb * space.GB)

    @figure
    def frames_held(self) -> int:
        """The frames that the card of the start surely holds: the last day may come from it."""
        usable, used, frame = need(self.usable_bytes, self.used_at_start_bytes, self.on_card_frame_bytes)
        return max(0, usable - used) // frame.high

    # -- what a frame and a day take ------------------------------------------------------------------------

    @figure
    def on_card_frame_bytes(self) -> Estimate[int]:
        """A frame in whole clusters; by itself where it is part of a video file."""
        frame, files, as_video = need(self.frame, self.file_system, self.as_video)
        if as_video:
            return frame
        return frame.map(lambda size: space.on_card_bytes(size, files.cluster_bytes))

    @figure
    def cluster_cost_share(self) -> Fraction:
        """What clusters add to an expected frame."""
        frame, on_card = need(self.frame, self.on_card_frame_bytes)
        return Fraction(on_card.expected, frame.expected) - 1

    @figure_for
    def day_bytes_in(self, cluster_bytes: int) -> Estimate[int]:
        """What a recorded day takes in clusters of this size; 1 for the files alone."""
        recording, window, frame = need(self.recording, self.shoot.window, self.frame_recorded)
        return filling.day_bytes(recording, window.length_s, frame, cluster_bytes)

    @figure
    def day_bytes(self) -> Estimate[int]:
        """What a recorded day takes on the card."""
        return need(self.day_bytes_in(need(self.file_system).cluster_bytes))

    @figure
    def bursts_held(self) -> int | None:
        """The bursts that the free card holds; None where it holds frames."""
        takes_frames, free, burst, files = need(self.takes_frames, self.free_bytes, self.burst_bytes, self.file_system)
        if takes_frames or burst is None:
            return None
        return free // space.on_card_bytes(burst, files.cluster_bytes)

    # -- how far it goes ------------------------------------------------------------------------------------

    @figure
    def days(self) -> Schedule:
        """The days that may fill it: without a last day the pattern goes on, for ten years at most."""
        return need(self.shoot.endless_schedule if self.shoot.open_ended else self.shoot.schedule)

    @figure_for
    def needed_at(self, interval_s: Fraction | None) -> Estimate[int]:
        """The bytes that the shoot takes at an interval, from when the card in use was put in."""
        schedule, recording, frame, files, since = need(
            self.shoot.schedule, self.recording_at(interval_s), self.frame_recorded, self.file_system, self.since
        )
        return filling.shoot_bytes(schedule, recording, frame, files.cluster_bytes, since)

    @figure
    def needed_bytes(self) -> Estimate[int]:
        """The bytes that the shoot takes on a card."""
        return need(self.needed_at(need(self.recording).interval_s))

    @figure_for
    def forecast_of(
        self, schedule: Schedule, interval_s: Fraction | None, frame: Estimate[int], past_last: bool = False
    ) -> CardForecast:
        """How far the card goes on these days, with such frames."""
        recording, files, usable, used, reserve, since = need(
            *(self.recording_at(interval_s), self.file_system, self.usable_bytes),
            *(self.used_bytes, self.reserve_share, self.since),
        )
        card = (usable, files.cluster_bytes, used, since)
        return filling.forecast(schedule, recording, frame, *card, past_last=past_last, reserve_share=reserve)

    @figure_for
    def forecast_at(self, interval_s: Fraction | None) -> CardForecast:
        """How far the card goes at an interval, to the last day."""
        schedule, frame, _card = need(self.shoot.schedule, self.frame_recorded, self.usable_bytes)
        return need(self.forecast_of(schedule, interval_s, frame))

    @figure
    def forecast(self) -> CardForecast:
        """How far the card goes by the plan, to the last day."""
        schedule, recording, frame, _card = need(
            self.shoot.schedule, self.recording, self.frame_recorded, self.usable_bytes
        )
        return need(self.forecast_of(schedule, recording.interval_s, frame))

    @figure
    def filled(self) -> CardForecast:
        """How far the card goes over ``days``."""
        frame, days, recording, _card = need(self.frame_recorded, self.days, self.recording, self.usable_bytes)
        return need(self.forecast_of(days, recording.interval_s, frame))

    @figure
    def full_at(self) -> Estimate[datetime | None]:
        """When it is full, with the camera clock's offset where that is known; None where it isn't in that time."""
        return need(self.filled).full_at.map(self.shoot.daylight.dated)

    @figure
    def full_if_left_running_at(self) -> Estimate[datetime | None]:
        """The same if nobody ends the shoot."""
        if self.shoot.open_ended:
            raise ask("last")
        frame, days, recording, _card = need(self.frame_recorded, self.days, self.recording, self.usable_bytes)
        left_running = need(self.forecast_of(days, recording.interval_s, frame, past_last=True))
        return left_running.full_at.map(self.shoot.daylight.dated)

    @figure
    def last_whole_day(self) -> date | None:
        """The last date whose whole window it surely holds; None if not even the first."""
        days, forecast = need(self.days, self.filled)
        full, dates = forecast.full_at.low, days.recorded_dates
        whole = dates if full is None else [day for day in dates if days.window_on(day)[1] <= full]
        return whole[-1] if whole else None

    @figure
    def left_bytes(self) -> Estimate[int]:
        """The free bytes at the end."""
        free, needed = need(self.free_bytes, self.needed_bytes)
        return needed.map_falling(lambda size: max(0, free - size))

    # -- what makes it hold ---------------------------------------------------------------------------------

    @figure
    def interval_that_lasts_s(self) -> Fraction | None:
        """The shortest interval that can be set, longer than the plan's, at which this card lasts."""
        recording, free, settable, needed = need(
            self.recording, self.free_bytes, self.shoot.settable, self.needed_bytes
        )
        found = need(self.shoot.last_found)
        if recording.interval_s is None or "clip" in found.worked_out_from or needed.high <= free:
            return None
        return next_interval_that_holds(
            recording.interval_s, settable, lambda interval_s: need(self.needed_at(interval_s)).high <= free
        )

    @figure_for
    def taken(self, since: datetime, until: datetime) -> Estimate[int]:
        """What is put on the card in [since, until), camera clock, as if there were always room."""
        schedule, recording, frame, files = need(
            self.shoot.schedule, self.recording, self.frame_recorded, self.file_system
        )
        return filling.used_at(schedule, recording, frame, files.cluster_bytes, until, since=since).used_bytes

    @figure
    def lower_pictures(self) -> tuple[frame_size.LowerPicture, ...]:
        """The next lower kinds of picture, to the first that lasts; none where the frame was measured."""
        shoot = self.shoot
        if not need(self.takes_frames) or need(self.as_video):
            return ()
        if given(shoot.frame_mb):
            need(shoot.frame_mb)
            return ()
        free, schedule, recording, files, since, _frame = need(
            self.free_bytes, shoot.schedule, self.recording, self.file_system, self.since, self.frame
        )
        (width, height), picture = said(shoot.size, shoot.picture)
        found, lower = [], frame_size.smaller_picture(frame_size.PICTURES[picture])
        while lower is not None:
            frame = frame_size.frame_bytes(width, height, lower)
            lasts = filling.shoot_bytes(schedule, recording, frame, files.cluster_bytes, since).high <= free
            filled = need(self.forecast_of(need(self.days), recording.interval_s, frame))
            found.append(frame_size.LowerPicture(lower.name, lasts, filled.full_at.low))
            if lasts:
                break
            lower = frame_size.smaller_picture(lower)
        return tuple(found)
