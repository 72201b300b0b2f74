"""How much fits on a card: units, sizes sold, file systems, clusters, reserve.

Decimal units (GB) are those of labels and shops, binary ones (GiB) those that many devices show.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from webcalc.calc.formula import ARITHMETIC, DEFINITION, formula
from webcalc.calc.schedule.count import Counts
from webcalc.calc.schedule.recording import Recording

# IEC 80000-13:2008, clause 4
MB = 10**6
#: Bits; bit rates are decimal too.
MEGABIT = 10**6
GB = 10**9
GIB = 2**30

KIB = 2**10

#: Sizes that can be bought, in GB; trade practice, no source.
CARD_SIZES_GB = (8, 16, 32, 64, 128, 256, 512, 1000, 2000)

#: Real cards measured 0.2–0.5 % below their label, an empty file system took 0.02–0.25 % of it.
SHORTFALL_SHARE = Fraction(1, 100)

#: What a device rounds up by that shows one decimal.
_HALF_A_TENTH = Fraction(1, 20)


@dataclass(frozen=True)
class FileSystem:
    """A card's file system as cameras format it.

    largest_file_bytes : None where no file of a shoot can reach the limit
    folder_entries : directory entries that one folder can hold
    """

    name: str
    cluster_bytes: int
    largest_file_bytes: int | None
    folder_entries: int


#: Size field of 32 bits: Microsoft FAT32 File System Specification 1.03. Entries: 2 MiB of 32 bytes,
#: FAT_MAX_DIR_ENTRIES in the Linux header msdos_fs.h.
FAT32 = FileSystem("FAT32", 32 * KIB, 2**32 - 1, 2**16)
#: Entries: 256 MiB of 32 bytes, MAX_EXFAT_DENTRIES in the Linux header exfat_raw.h.
EXFAT = FileSystem("exFAT", 128 * KIB, None, 2**23)

#: Cards to this size are SDHC with FAT32, larger ones SDXC with exFAT (SD Association capacity standard).
LARGEST_FAT32_CARD_BYTES = 32 * GB


@formula("gib", "card_bytes / 1073741824", "IEC 80000-13:2008, clause 4; " + DEFINITION)
def gib_from_bytes(card_bytes: int) -> Fraction:
    """Return bytes as binary gigabytes: a card sold as 16 GB reads as 14.9 GiB."""
    return Fraction(card_bytes, GIB)


def bytes_from_gb(gigabytes: Fraction | int) -> int:
    """Return whole bytes of a number of decimal gigabytes, rounded down."""
    return math.floor(Fraction(gigabytes) * GB)


def file_system_for(card_bytes: int) -> FileSystem:
    """Return the file system that a card of this nominal size comes with (sizes from 4 GB up)."""
    return FAT32 if card_bytes <= LARGEST_FAT32_CARD_BYTES else EXFAT


@formula(
    "card_usable_bytes",
    "floor(card_bytes * (1 - shortfall_share) * (1 - reserve_share))",
    "1 % shortfall: measured cards and file systems, rounded up",
)
def usable_bytes(card_bytes: int, reserve_share: Fraction, shortfall_share: Fraction = SHORTFALL_SHARE) -> int:
    """Return the bytes to plan with on a card of a nominal size.

    ``reserve_share`` is what is kept free on purpose, 0 to below 1. Raises ValueError outside that.
    """
    if not 0 <= reserve_share < 1:
        raise ValueError("the reserve is a share from 0 to below 1")
    return math.floor(card_bytes * (1 - shortfall_share) * (1 - Fraction(reserve_share)))


@formula("on_card_bytes", "ceil(file_bytes / cluster_bytes) * cluster_bytes", "files occupy whole clusters")
def on_card_bytes(file_bytes: int, cluster_bytes: int) -> int:
    """Return what a file of ``file_bytes`` takes on the card."""
    return -(-file_bytes // cluster_bytes) * cluster_bytes


@formula("burst_bytes", "ceil(bits_per_s * burst_s / 8)", ARITHMETIC)
def burst_bytes(bits_per_s: int | Fraction, burst_s: int | Fraction) -> int:
    """Return the bytes of one burst at a bitrate, before it is rounded to clusters."""
    return math.ceil(Fraction(bits_per_s * burst_s) / 8)


@dataclass(frozen=True)
class FileSizes:
    """What one frame and one burst take on the card, in bytes of whole clusters.

    Frames of one video file share its clusters; its last one is part of what cards are taken to lack.
    """

    frame_bytes: int
    burst_bytes: int

    @classmethod
    def of(cls, recording: Recording, frame_bytes: int, cluster_bytes: int) -> FileSizes:
        """Return the sizes on a card with this cluster for a frame of ``frame_bytes``."""
        burst = burst_bytes(recording.burst_bits_per_s, recording.burst_s) if recording.burst_s else 0
        frame = frame_bytes if recording.in_one_file else on_card_bytes(frame_bytes, cluster_bytes)
        return cls(frame, on_card_bytes(burst, cluster_bytes))

    def total_bytes(self, counts: Counts) -> int:
        """Return what these counts take on the card."""
        return counts.frames * self.frame_bytes + counts.bursts * self.burst_bytes


def sold_as_gb(typed_gb: float | Fraction | Decimal) -> int | None:
    """Return the card sold whose binary gigabytes were typed for its size; None where the number fits none.

    Devices show 59.6 GiB, or up to the usual shortfall less, of a card with 64 GB printed on it.
    """
    for size_gb in CARD_SIZES_GB:
        shown = gib_from_bytes(size_gb * GB)
        if shown * (1 - SHORTFALL_SHARE) <= Fraction(typed_gb) <= shown + _HALF_A_TENTH:
            return size_gb
    return None


def smallest_card_gb(bytes_needed: int | Callable[[int], int], reserve_share: Fraction) -> int | None:
    """Return the smallest card sold that holds ``bytes_needed``, in GB; None if the largest doesn't.

    ``bytes_needed`` is a number, or a function from the cluster size of the card looked at to the
    bytes needed on it: the same files take more on exFAT's larger clusters.
    """
    needed_by_cluster: dict[int, int] = {}
    for size_gb in CARD_SIZES_GB:
        card_bytes = size_gb * GB
        if callable(bytes_needed):
            cluster_bytes = file_system_for(card_bytes).cluster_bytes
            if cluster_bytes not in needed_by_cluster:
                needed_by_cluster[cluster_bytes] = bytes_needed(cluster_bytes)
            needed = needed_by_cluster[cluster_bytes]
        else:
            needed = bytes_needed
        if needed <= usable_bytes(card_bytes, reserve_share):
            return size_gb
    return None
