"""What the page on the card answers as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import space
from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results, ranged
from webcalc.calc.unknown import known, or_none
from webcalc.calc.verdict import records_nothing

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class FolderResults(Results):
    """Files in one folder on FAT32.

    short_names : with names of 8.3
    long_names : with names of up to 26 characters
    """

    short_names: int
    long_names: int


@dataclass(frozen=True)
class BurstLevelResults(Results):
    """The smallest usual video size whose H.264 level allows the bit rate of bursts.

    width_px : pixels
    height_px : pixels
    level : by ITU-T H.264 Table A-1
    """

    width_px: int
    height_px: int
    level: str


@dataclass(frozen=True)
class CardResults(Results):
    """Will the card last?

    frame_bytes : a frame, bytes
    on_card_frame_bytes : a frame in whole clusters, bytes
    cluster_bytes : a cluster of the card's file system, bytes
    cluster_cost_share : what clusters add to an expected frame, 0 to 1
    file_system : its name
    day_bytes : a recorded day on the card, bytes
    card_usable_bytes : room to plan with on the card, bytes
    card_gib : how a device reads the card, GiB
    used_bytes : what stands on it already, bytes
    frames_on_card : frames that the free room holds
    bursts_on_card : the same where only bursts are taken
    full_at : when the card is full; null at an end: not in that time
    full_if_left_running_at : the same if nobody ends the shoot
    lasts : whether it lasts to the last day even with large frames
    lasts_expected : the same with frames of the expected size
    last : last day; without one the last that the card holds whole
    needed_bytes : what the shoot takes on a card, bytes
    left_bytes : room left at the end, bytes
    card_needed_gb : smallest card sold that lasts, GB
    interval_that_lasts_s : shortest longer interval with which this card lasts, seconds
    picture_that_lasts : next lower kind of picture with which it lasts
    files : files of the shoot
    numbers_roll_over_at : when file numbers start again
    files_in_one_folder : on FAT32
    write_bytes_per_s : write rate needed, bytes a second
    speed_class : marks of the slowest class that keeps up
    burst_bytes : a burst's file, bytes
    burst_passes_4_gib : whether it is too large for one file on FAT32
    burst_h264 : what its bit rate is plausible for
    file_bytes : all files without what clusters add, bytes
    kept_bytes : all copies, bytes
    copy_s : copying everything once, seconds
    upload_s : sending everything, seconds
    upload_day_s : sending a recorded day, seconds
    busiest_month_bytes : what is sent in the busiest calendar month, bytes
    """

    frame_bytes: Estimate[int] | None = ranged()
    on_card_frame_bytes: Estimate[int] | None = ranged()
    cluster_bytes: int | None = None
    cluster_cost_share: Fraction | None = None
    file_system: str | None = None
    day_bytes: Estimate[int] | None = ranged()
    card_usable_bytes: int | None = None
    card_gib: Fraction | None = None
    used_bytes: int | None = None
    frames_on_card: Estimate[int] | None = ranged("fewest", "most")
    bursts_on_card: int | None = None
    full_at: Estimate[datetime | None] | None = ranged("earliest", "latest")
    full_if_left_running_at: Estimate[datetime | None] | None = ranged("earliest", "latest")
    lasts: bool | None = None
    lasts_expected: bool | None = None
    last: date | None = None
    needed_bytes: Estimate[int] | None = ranged()
    left_bytes: Estimate[int] | None = ranged()
    card_needed_gb: int | None = None
    interval_that_lasts_s: Fraction | None = None
    picture_that_lasts: str | None = None
    files: int | None = None
    numbers_roll_over_at: datetime | None = None
    files_in_one_folder: FolderResults | None = None
    write_bytes_per_s: Fraction | None = None
    speed_class: list[str] | None = None
    burst_bytes: int | None = None
    burst_passes_4_gib: bool | None = None
    burst_h264: BurstLevelResults | None = None
    file_bytes: Estimate[int] | None = ranged()
    kept_bytes: Estimate[int] | None = ranged(whole_null=True)
    copy_s: Estimate[Fraction] | None = ranged(whole_null=True)
    upload_s: Estimate[Fraction] | None = ranged(whole_null=True)
    upload_day_s: Fraction | None = None
    busiest_month_bytes: Estimate[int] | None = ranged()


def card_results(shoot: Shoot) -> CardResults:
    """Return the answer to ``/storage`` as data; only the sizes that need no schedule while it can't be answered."""
    card, files = shoot.card, shoot.files
    has_card = known(card.card_bytes)
    sizes = {
        "frame_bytes": or_none(card.frame),
        "card_usable_bytes": or_none(card.usable_bytes),
        "card_gib": space.gib_from_bytes(card.card_bytes) if known(card.card_bytes) else None,
        "used_bytes": or_none(card.used_bytes) if has_card else None,
    }
    if not card.kept or card.asked_for or records_nothing(shoot):
        return CardResults(**sizes)  # type: ignore[arg-type]
    filled, forecast, file_system = or_none(card.filled), or_none(card.forecast), or_none(card.file_system)
    folder, burst = or_none(files.in_one_folder), or_none(files.burst_level)
    picture = next((lower.picture for lower in or_none(card.lower_pictures) or () if lower.lasts), None)
    open_ended = shoot.open_ended
    fails = filled is not None and not open_ended and forecast is not None and not forecast.lasts
    return CardResults.of(
        card,
        files,
        **sizes,
        cluster_bytes=file_system.cluster_bytes if file_system else None,
        file_system=file_system.name if file_system else None,
        frames_on_card=filled.frames_on_card if filled else None,
        bursts_on_card=or_none(card.bursts_held),
        lasts=forecast.lasts if forecast and not open_ended else None,
        lasts_expected=forecast.lasts_expected if forecast and not open_ended else None,
        last=or_none(card.last_whole_day if open_ended else shoot.last_day),
        left_bytes=None if open_ended else or_none(card.left_bytes),
        card_needed_gb=or_none(card.smallest_gb),
        interval_that_lasts_s=or_none(card.interval_that_lasts_s) if fails else None,
        picture_that_lasts=picture if fails else None,
        files_in_one_folder=FolderResults(*folder) if folder else None,
        burst_h264=BurstLevelResults(burst.width_px, burst.height_px, burst.level.name)
        if burst and burst.allowed
        else None,
    )
