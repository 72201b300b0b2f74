"""How many files a shoot makes, and when the four digits of their numbers are used up."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

from webcalc.calc.card.forecast import forecast
from webcalc.calc.card.limits import DCF_FILES_PER_FOLDER
from webcalc.calc.card.space import FAT32, burst_bytes
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import counts_between
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import said


def video_files(recorded_days: int, day_bytes: int) -> int:
    """Return the files of a shoot that goes into video files: a new one each day, and wherever one reaches 4 GiB.

    Common practice, no source: some cameras go on with the same file the next day.
    """
    return recorded_days * max(1, -(-day_bytes // said(FAT32.largest_file_bytes)))


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
    cluster_bytes = max(1, burst_bytes(recording.burst_bits_per_s, recording.burst_s))
    numbers = forecast(
        schedule,
        recording,
        Estimate.exact(1),
        DCF_FILES_PER_FOLDER * cluster_bytes,
        cluster_bytes,
        reserve_share=Fraction(0),
    )
    return numbers.full_at.low
