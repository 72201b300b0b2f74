"""Limits besides space: write speed, file numbers, folders, file size, H.264 levels."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from webcalc.calc.card.space import FAT32, MB
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.unknown import said


@dataclass(frozen=True)
class SpeedClass:
    """Marks on a card that promise the same sequential write."""

    marks: tuple[str, ...]
    bytes_per_s: int


#: SD Association speed class, UHS speed class and video speed class, slowest first.
SPEED_CLASSES = (
    SpeedClass(("C2",), 2 * MB),
    SpeedClass(("C4",), 4 * MB),
    SpeedClass(("C6", "V6"), 6 * MB),
    SpeedClass(("C10", "U1", "V10"), 10 * MB),
    SpeedClass(("U3", "V30"), 30 * MB),
    SpeedClass(("V60",), 60 * MB),
    SpeedClass(("V90",), 90 * MB),
)


@formula("sustained_bytes_per_s", "frame_bytes / interval_s + burst_bits_per_s / 8", ARITHMETIC)
def sustained_bytes_per_s(
    frame_bytes: int, interval_s: int | Fraction, burst_bits_per_s: int | Fraction = 0
) -> Fraction:
    """Return the write rate that the card must keep up with, at its peak.

    A frame has the whole interval to be written; a burst is written while it records, and the still before it
    may still be on its way. ``frame_bytes`` is 0 without stills; motion-triggered frames come too seldom to count.
    """
    return Fraction(frame_bytes) / Fraction(interval_s) + Fraction(burst_bits_per_s) / 8


def speed_class_for(bytes_per_s: int | Fraction) -> SpeedClass | None:
    """Return the slowest class that keeps up; None where not even the fastest promises it."""
    return next((speed for speed in SPEED_CLASSES if speed.bytes_per_s >= bytes_per_s), None)


# CIPA DC-009 (DCF): numbers 0001–9999 in folders 100–999
DCF_FIRST_FOLDER = 100
DCF_LAST_FOLDER = 999
DCF_FILES_PER_FOLDER = 9_999
DCF_MOST_FILES = (DCF_LAST_FOLDER - DCF_FIRST_FOLDER + 1) * DCF_FILES_PER_FOLDER


@formula("entries", "1 + ceil(name_length / 13)", "measured on a FAT image; VFAT long names, 13 characters an entry")
def long_name_entries(name_length: int) -> int:
    """Return the FAT directory entries of a file whose name isn't a short one; length with dot and extension."""
    return 1 + math.ceil(name_length / 13)


@formula("files", "floor((65536 - 2) / entries_per_file)", "65,536 entries less the folder's own two; " + ARITHMETIC)
def files_in_fat_folder(entries_per_file: int) -> int:
    """Return how many files of so many directory entries each one FAT folder holds."""
    return (FAT32.folder_entries - 2) // entries_per_file


def passes_4_gib(file_bytes: int) -> bool:
    """Whether a file is too large for FAT32 (more than 4,294,967,295 bytes)."""
    return file_bytes > said(FAT32.largest_file_bytes)


@dataclass(frozen=True)
class H264Level:
    """One row of ITU-T H.264 Table A-1.

    macroblocks_per_s : MaxMBPS
    frame_macroblocks : MaxFS
    kbit_per_s : MaxBR, in units of 1,000 bit/s for the Baseline and Main profiles
    """

    name: str
    macroblocks_per_s: int
    frame_macroblocks: int
    kbit_per_s: int

    @property
    def high_profile_bits_per_s(self) -> int:
        """Largest video bitrate in High profile: Table A-2, cpbBrVclFactor 1250."""
        return self.kbit_per_s * 1250


#: Lowest first. Rows 3.1 to 5.2 were seen in FFmpeg's table; the others are from memory. Level 1b
#: is left out: it differs from 1 in the bitrate only.
H264_LEVELS = (
    H264Level("1", 1_485, 99, 64),
    H264Level("1.1", 3_000, 396, 192),
    H264Level("1.2", 6_000, 396, 384),
    H264Level("1.3", 11_880, 396, 768),
    H264Level("2", 11_880, 396, 2_000),
    H264Level("2.1", 19_800, 792, 4_000),
    H264Level("2.2", 20_250, 1_620, 4_000),
    H264Level("3", 40_500, 1_620, 10_000),
    H264Level("3.1", 108_000, 3_600, 14_000),
    H264Level("3.2", 216_000, 5_120, 20_000),
    H264Level("4", 245_760, 8_192, 20_000),
    H264Level("4.1", 245_760, 8_192, 50_000),
    H264Level("4.2", 522_240, 8_704, 50_000),
    H264Level("5", 589_824, 22_080, 135_000),
    H264Level("5.1", 983_040, 36_864, 240_000),
    H264Level("5.2", 2_073_600, 36_864, 240_000),
    H264Level("6", 4_177_920, 139_264, 240_000),
    H264Level("6.1", 8_355_840, 139_264, 480_000),
    H264Level("6.2", 16_711_680, 139_264, 800_000),
)


@formula("macroblocks", "ceil(width_px / 16) * ceil(height_px / 16)", "ITU-T H.264: macroblocks of 16 by 16 pixels")
def macroblocks(width_px: int, height_px: int) -> int:
    """Return the macroblocks of one picture."""
    return math.ceil(width_px / 16) * math.ceil(height_px / 16)


def lowest_h264_level(
    width_px: int, height_px: int, frames_per_s: int | Fraction, bits_per_s: int | Fraction = 0
) -> H264Level | None:
    """Return the lowest level for a picture, a frame rate and (if given) a High-profile bitrate; None above all.

    Each side may be at most sqrt(8 MaxFS) macroblocks (Annex A.3.1).
    """
    blocks = macroblocks(width_px, height_px)
    longest_side = math.ceil(max(width_px, height_px) / 16)
    for level in H264_LEVELS:
        if (
            blocks <= level.frame_macroblocks
            and longest_side**2 <= 8 * level.frame_macroblocks
            and blocks * frames_per_s <= level.macroblocks_per_s
            and bits_per_s <= level.high_profile_bits_per_s
        ):
            return level
    return None
