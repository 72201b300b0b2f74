"""What the page on the card answers as data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import space
from webcalc.calc.estimate import Estimate
from webcalc.calc.results import Results, key, meaning, ranged
from webcalc.calc.unknown import known, or_none
from webcalc.calc.verdict import records_nothing

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class FolderResults(Results):
    """Files in one folder on FAT32."""

    short_names: int = field(metadata=meaning("with names of 8.3"))
    long_names: int = field(metadata=meaning("with names of up to 26 characters"))


@dataclass(frozen=True)
class BurstLevelResults(Results):
    """The smallest usual video size whose H.264 level allows the bit rate of bursts."""

    width_px: int = field(metadata=meaning("pixels"))
    height_px: int = field(metadata=meaning("pixels"))
    level: str = field(metadata=meaning("by ITU-T H.264 Table A-1"))


@dataclass(frozen=True)
class CardResults(Results):
    """Will the card last?"""

    frame_bytes: Estimate[int] | None = ranged("a frame, bytes")
    on_card_frame_bytes: Estimate[int] | None = ranged("a frame in whole clusters, bytes")
    cluster_bytes: int | None = key("a cluster of the card's file system, bytes")
    cluster_cost_share: Fraction | None = key("what clusters add to an expected frame, 0 to 1")
    file_system: str | None = key("its name")
    day_bytes: Estimate[int] | None = ranged("a recorded day on the card, bytes")
    card_usable_bytes: int | None = key("room to plan with on the card, bytes")
    card_gib: Fraction | None = key("how a device reads the card, GiB")
    used_bytes: int | None = key("what stands on it already, bytes")
    frames_on_card: Estimate[int] | None = ranged("frames that the free room holds", "fewest", "most")
    bursts_on_card: int | None = key("the same where only bursts are taken")
    full_at: Estimate[datetime | None] | None = ranged(
        "when the card is full; null at an end: not in that time", "earliest", "latest"
    )
    full_if_left_running_at: Estimate[datetime | None] | None = ranged(
        "the same if nobody ends the shoot", "earliest", "latest"
    )
    lasts: bool | None = key("whether it lasts to the last day even with large frames")
    lasts_expected: bool | None = key("the same with frames of the expected size")
    last: date | None = key("last day; without one the last that the card holds whole")
    needed_bytes: Estimate[int] | None = ranged("what the shoot takes on a card, bytes")
    left_bytes: Estimate[int] | None = ranged("room left at the end, bytes")
    card_needed_gb: int | None = key("smallest card sold that lasts, GB")
    interval_that_lasts_s: Fraction | None = key("shortest longer interval with which this card lasts, seconds")
    picture_that_lasts: str | None = key("next lower kind of picture with which it lasts")
    files: int | None = key("files of the shoot")
    numbers_roll_over_at: datetime | None = key("when file numbers start again")
    files_in_one_folder: FolderResults | None = key("on FAT32")
    write_bytes_per_s: Fraction | None = key("write rate needed, bytes a second")
    speed_class: list[str] | None = key("marks of the slowest class that keeps up")
    burst_bytes: int | None = key("a burst's file, bytes")
    burst_passes_4_gib: bool | None = key("whether it is too large for one file on FAT32")
    burst_h264: BurstLevelResults | None = key("what its bit rate is plausible for")
    file_bytes: Estimate[int] | None = ranged("all files without what clusters add, bytes")
    kept_bytes: Estimate[int] | None = ranged("all copies, bytes", whole_null=True)
    copy_s: Estimate[Fraction] | None = ranged("copying everything once, seconds", whole_null=True)
    upload_s: Estimate[Fraction] | None = ranged("sending everything, seconds", whole_null=True)
    upload_day_s: Fraction | None = key("sending a recorded day, seconds")
    busiest_month_bytes: Estimate[int] | None = ranged("what is sent in the busiest calendar month, bytes")


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
