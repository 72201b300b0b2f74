"""The files of the shoot: numbers, folders, size and speed while it records; copies and sending afterwards."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import forecast as filling
from webcalc.calc.card import limits, space
from webcalc.calc.card.limits import H264Level, SpeedClass
from webcalc.calc.clip import delivery
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import counts_between, counts_in
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DAY_S, Schedule
from webcalc.calc.unknown import figure, given, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Video sizes that bursts usually have, at 30 frames a second: common practice, no source.
BURST_PICTURES = ((1280, 720), (1920, 1080), (3840, 2160))
BURST_FPS = 30
#: Letters, dots and digits of a name that takes three directory entries.
LONG_NAME = 26


@dataclass(frozen=True)
class BurstLevel:
    """The smallest usual video size whose H.264 level allows a burst's bit rate, else the largest there is."""

    width_px: int
    height_px: int
    level: H264Level
    allowed: bool


def video_files(recorded_days: int, day_bytes: int) -> int:
    """Return the files of a shoot that goes into video files: a new one each day, and wherever one reaches 4 GiB.

    Common practice, no source: some cameras go on with the same file the next day.
    """
    return recorded_days * max(1, -(-day_bytes // said(space.FAT32.largest_file_bytes)))


def files_of_shoot(schedule: Schedule, recording: Recording) -> int:
    """Return the files of the whole shoot: stills, bursts and motion-triggered frames, one file each."""
    counts = counts_between(schedule, recording, schedule.starts_at, schedule.ends_at)
    return counts.frames + counts.bursts


def numbers_start_again_at(schedule: Schedule, recording: Recording) -> datetime | None:
    """Return the instant, on the camera clock, of the file that takes number 0001 for the second time.

    Counted from a first file with number 0001 (CIPA DC-009: 0001 to 9999). None where the shoot makes no more than
    9,999 files. A camera whose numbers stand higher, or that splits bursts, gets there sooner.
    """
    # Numbers run out as a card fills up on which every file, whatever its size, takes one cluster of 9,999.
    cluster_bytes = max(1, space.burst_bytes(recording.burst_bits_per_s, recording.burst_s))
    numbers = filling.forecast(
        schedule,
        recording,
        Estimate.exact(1),
        limits.DCF_FILES_PER_FOLDER * cluster_bytes,
        cluster_bytes,
        reserve_share=Fraction(0),
    )
    return numbers.full_at.low


@dataclass(frozen=True, eq=False)
class ShootFiles:
    """What the files of the shoot run into. A quantity that wasn't typed asks nothing: the figure is then None."""

    shoot: Shoot

    # -- while it records -----------------------------------------------------------------------------------

    @figure
    def files(self) -> int | None:
        """Files of the shoot; None while it has no last day."""
        days, recording = need(self.shoot.card.days, self.shoot.recording)
        if self.shoot.open_ended:
            return None
        frames = recording.stills or recording.motion_frames_per_day
        if not frames or not need(self.shoot.card.as_video):
            return files_of_shoot(days, recording)
        bursts = files_of_shoot(days, replace(recording, stills=False, motion_frames_per_day=0))
        return bursts + video_files(days.recorded_days, need(self.video_day_bytes))

    @figure
    def video_day_bytes(self) -> int:
        """What the frames of a recorded day take of a video file."""
        recording, window, frame = need(self.shoot.recording, self.shoot.window, self.shoot.card.frame)
        return counts_in(recording, window.length_s).frames * frame.high

    @figure
    def numbers_roll_over_at(self) -> datetime | None:
        """When file numbers start again, with the camera clock's offset where that is known; None if they don't."""
        card = self.shoot.card
        in_one_file = need(card.takes_frames) and need(card.as_video)
        if in_one_file and need(self.shoot.card.burst_bytes) is None:
            # A few files a day: 9999 of them take years.
            return None
        days, recording = need(card.days, card.recording)
        if in_one_file:
            recording = replace(recording, stills=False, motion_frames_per_day=0)
        return self.shoot.daylight.dated(numbers_start_again_at(days, recording))

    @figure
    def in_one_folder(self) -> tuple[int, int] | None:
        """How many files with short and with long names one folder on FAT32 holds; None on exFAT."""
        if need(self.shoot.card.file_system) is not space.FAT32:
            return None
        long = limits.files_in_fat_folder(limits.long_name_entries(LONG_NAME))
        return limits.files_in_fat_folder(1), long

    @figure
    def write_bytes_per_s(self) -> Fraction | None:
        """The write rate that the card must keep up with; None where nothing is taken on the interval."""
        recording = need(self.shoot.card.recording)
        if recording.interval_s is None or not (recording.stills or recording.burst_s):
            return None
        frame_bytes = need(self.shoot.card.frame).high if recording.stills else 0
        bits_per_s = recording.burst_bits_per_s if recording.burst_s else 0
        return limits.sustained_bytes_per_s(frame_bytes, recording.interval_s, bits_per_s)

    @figure
    def speed(self) -> SpeedClass | None:
        """The slowest speed class that keeps up; None where none promises it, or none is needed."""
        rate = need(self.write_bytes_per_s)
        return None if rate is None else limits.speed_class_for(rate)

    @figure
    def speed_class(self) -> list[str] | None:
        """Its marks."""
        speed = need(self.speed)
        return list(speed.marks) if speed else None

    @figure
    def burst_passes_4_gib(self) -> bool | None:
        """Whether it is too large for one file on FAT32; None without bursts."""
        size = need(self.shoot.card.burst_bytes)
        return None if size is None else limits.passes_4_gib(size)

    @figure
    def burst_level(self) -> BurstLevel | None:
        """What its bit rate is plausible for; None without bursts."""
        if need(self.shoot.card.burst_bytes) is None:
            return None
        bits_per_s = need(self.shoot.card.burst_bits_per_s)
        for width, height in BURST_PICTURES:
            level = said(limits.lowest_h264_level(width, height, BURST_FPS))
            if bits_per_s <= level.high_profile_bits_per_s:
                return BurstLevel(width, height, level, True)
        return BurstLevel(width, height, level, False)

    # -- after the shoot ------------------------------------------------------------------------------------

    @figure
    def file_bytes(self) -> Estimate[int]:
        """All files without what clusters add: what copying and sending move."""
        schedule, recording, frame = need(
            self.shoot.schedule, self.shoot.card.recording, self.shoot.card.frame_recorded
        )
        return filling.shoot_bytes(schedule, recording, frame, 1)

    @figure
    def kept_bytes(self) -> Estimate[int] | None:
        """All copies."""
        if not given(self.shoot.copies):
            return None
        total, copies = said(self.file_bytes, self.shoot.copies)
        return total.map(lambda size: delivery.kept_bytes(size, copies))

    @figure
    def reader_bytes_per_s(self) -> Fraction | None:
        """The card reader's speed."""
        speed = need(self.shoot.reader_mbs)
        return None if speed is None else Fraction(speed) * space.MB

    @figure
    def copy_s(self) -> Estimate[Fraction] | None:
        """Copying everything once."""
        rate = need(self.reader_bytes_per_s)
        return None if rate is None else need(self.file_bytes).map(lambda size: delivery.copy_s(size, rate))

    @figure
    def upload_bits_per_s(self) -> Fraction | None:
        """The speed of the link that frames are sent over."""
        speed = need(self.shoot.upload_mbps)
        return None if speed is None else Fraction(speed) * space.MEGABIT

    @figure
    def upload_s(self) -> Estimate[Fraction] | None:
        """Sending everything."""
        rate = need(self.upload_bits_per_s)
        return None if rate is None else need(self.file_bytes).map(lambda size: delivery.upload_s(size, rate))

    @figure
    def upload_day_s(self) -> Fraction | None:
        """Sending a recorded day of large frames."""
        rate = need(self.upload_bits_per_s)
        return None if rate is None else delivery.upload_s(need(self.shoot.card.day_bytes_in(1)).high, rate)

    @figure
    def keeps_up(self) -> bool:
        """Whether the link sends a recorded day within a day, or there is no link."""
        seconds = need(self.upload_day_s)
        return seconds is None or seconds <= DAY_S

    @figure
    def busiest_month_bytes(self) -> Estimate[int]:
        """What is sent in the calendar month with most recorded days."""
        days, day_bytes = need(self.shoot.card.days, self.shoot.card.day_bytes_in(1))
        return day_bytes.map(lambda size: delivery.busiest_month_bytes(days, size))
