"""Cards: device readings, clusters, speed classes, folders and H.264 levels against published and measured values."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from storage_rows import CHECKED_PREFIXES, CHECKS, expected, rows

from webcalc.calc.card.limits import (
    DCF_FILES_PER_FOLDER,
    DCF_FIRST_FOLDER,
    DCF_LAST_FOLDER,
    DCF_MOST_FILES,
    H264_LEVELS,
    SPEED_CLASSES,
    files_in_fat_folder,
    long_name_entries,
    lowest_h264_level,
    macroblocks,
    passes_4_gib,
    speed_class_for,
    sustained_bytes_per_s,
)
from webcalc.calc.card.space import (
    CARD_SIZES_GB,
    EXFAT,
    FAT32,
    GB,
    burst_bytes,
    bytes_from_gb,
    file_system_for,
    gib_from_bytes,
    on_card_bytes,
    smallest_card_gb,
    sold_as_gb,
    usable_bytes,
)

FILE_SYSTEMS = {"FAT32": FAT32, "exFAT": EXFAT}


def test_no_published_value_is_left_unchecked():
    assert [row["id"] for row in CHECKS if not row["id"].startswith(CHECKED_PREFIXES)] == []
    assert all(row["source"] and row["provenance"] for row in CHECKS)


@pytest.mark.parametrize("row", rows("gib_"))
def test_label_and_device_reading(row):
    """IEC 80000-13 and units(7)."""
    assert float(gib_from_bytes(row["inputs"]["bytes"])) == pytest.approx(row["expected"], abs=row["tolerance"])


@pytest.mark.parametrize("row", rows("realcard_"))
def test_real_cards_hold_what_is_planned_with(row):
    """Sizes printed by fdisk for common cards; the largest file system overhead measured at these sizes."""
    nominal = int(row["id"].split("_")[1]) * GB
    worst_share = max(check["inputs"]["overhead_pct_of_nominal"] for check in CHECKS if check["id"].startswith("fs_"))
    assert float(gib_from_bytes(row["expected"])) == pytest.approx(row["inputs"]["printed_GiB"], abs=0.01)
    below_pct = 100 * (1 - row["expected"] / nominal)
    assert below_pct == pytest.approx(row["inputs"]["below_nominal_pct"], abs=0.01)
    assert usable_bytes(nominal, Fraction(0)) <= row["expected"] - nominal * worst_share / 100


@pytest.mark.parametrize("row", rows("fs_"))
def test_empty_file_systems(row):
    """mkfs.fat 4.2 and exfatprogs 1.2.0: free bytes are whole clusters and more than is planned with."""
    made = row["inputs"]
    assert made["free_clusters"] * made["cluster_bytes"] == row["expected"]
    assert on_card_bytes(row["expected"], made["cluster_bytes"]) == row["expected"]
    assert on_card_bytes(row["expected"] - 1, made["cluster_bytes"]) == row["expected"]
    assert float(gib_from_bytes(row["expected"])) == pytest.approx(made["free_GiB"], abs=0.0006)
    nominal = made["nominal_GB"] * GB
    assert usable_bytes(nominal, Fraction(0)) <= row["expected"] <= nominal


@pytest.mark.parametrize("row", rows("sd_"))
def test_file_system_by_card_size(row):
    """SD Association capacity standard: SDHC to 32 GB, SDXC to 2 TB."""
    system = FILE_SYSTEMS[row["expected"]["fs"]]
    upto, unit = row["expected"]["upto"].split()
    largest = int(upto) * {"GB": GB, "TB": 1000 * GB}[unit]
    above = int(row["expected"]["over"].strip("> GB")) * GB
    sizes = [gb * GB for gb in CARD_SIZES_GB if above < gb * GB <= largest]
    assert sizes
    assert {file_system_for(size) for size in sizes} == {system}


@pytest.mark.parametrize("row", rows("speed_"))
def test_speed_classes(row):
    """SD Association speed classes in MB/s and the same in Mbit/s."""
    mark = row["id"].removeprefix("speed_")
    (speed,) = (speed for speed in SPEED_CLASSES if mark in speed.marks)
    assert speed.bytes_per_s == row["expected"] * 10**6
    assert speed.bytes_per_s * 8 == row["inputs"]["as_Mbit_s"] * 10**6
    assert speed_class_for(speed.bytes_per_s) is speed
    assert speed_class_for(speed.bytes_per_s + 1) is not speed


def test_sustained_write_is_its_peak():
    assert sustained_bytes_per_s(2_500_000, Fraction(1)) == 2_500_000
    assert sustained_bytes_per_s(0, Fraction(60), 25_000_000) == 3_125_000
    assert sustained_bytes_per_s(6_000_000, 2, 25_000_000) == 6_125_000
    assert speed_class_for(sustained_bytes_per_s(6_000_000, 2, 25_000_000)).marks == ("C10", "U1", "V10")
    assert speed_class_for(90_000_001) is None


def test_fat32_file_limit():
    """Microsoft FAT32 File System Specification 1.03: the size field has 32 bits."""
    assert expected("fat32_maxfile") == FAT32.largest_file_bytes == 4_294_967_295
    assert not passes_4_gib(4_294_967_295)
    assert passes_4_gib(4_294_967_296)


def test_folder_entries():
    """Linux headers msdos_fs.h and exfat_raw.h."""
    assert FAT32.folder_entries == expected("fat_dir_entries")
    assert EXFAT.folder_entries == expected("exfat_dir_entries")


@pytest.mark.parametrize("row", rows("fat_entries_"))
def test_directory_entries(row):
    """mtools 4.0.32 on an image made by mkfs.fat: eight characters and three fit one entry, longer names take more."""
    name, entries = row["id"].removeprefix("fat_entries_"), row["expected"]["entries"]
    assert entries == (1 if re.fullmatch(r"[A-Z0-9_]{1,8}\.[A-Z0-9]{3}", name) else long_name_entries(len(name)))
    assert files_in_fat_folder(entries) == row["expected"]["max_files"]


def test_dcf_numbers():
    """CIPA DC-009."""
    assert expected("dcf_dirs") == [DCF_FIRST_FOLDER, DCF_LAST_FOLDER]
    assert expected("dcf_files") == [1, DCF_FILES_PER_FOLDER]
    assert expected("dcf_total") == DCF_MOST_FILES


AVC_ROWS = [param for param in rows("avc_") if "x" not in param.id and "p" not in param.id]
AVC_PICTURES = [param for param in rows("avc_") if "p" in param.id]


@pytest.mark.parametrize("row", AVC_ROWS)
def test_h264_level_limits(row):
    """ITU-T H.264 Tables A-1 and A-2."""
    (level,) = (level for level in H264_LEVELS if level.name == row["id"].removeprefix("avc_"))
    limits = row["expected"]
    assert level.macroblocks_per_s == limits["MaxMBPS"]
    assert level.frame_macroblocks == limits["MaxFS"]
    assert level.kbit_per_s == limits["MaxBR"]
    assert level.high_profile_bits_per_s == limits["VCL_kbit_s_high"] * 1000


#: Pictures that a level is named for, with the rate at which they use up its macroblocks a second exactly, and its
#: bitrate: ITU-T H.264 Table A-1 and the frame rates of Table A-6, from memory.
AVC_FULL = {
    "1": (176, 144, 15, 64),
    "1.1": (352, 288, Fraction(3_000, 396), 192),
    "1.2": (352, 288, Fraction(6_000, 396), 384),
    "1.3": (352, 288, 30, 768),
    "2": (352, 288, 30, 2_000),
    "2.1": (352, 480, 30, 4_000),
    "2.2": (720, 480, 15, 4_000),
    "3": (720, 480, 30, 10_000),
    "5": (1920, 1088, Fraction(589_824, 8_160), 135_000),
    "6": (8192, 4352, 30, 240_000),
    "6.1": (8192, 4352, 60, 480_000),
    "6.2": (8192, 4352, 120, 800_000),
}


@pytest.mark.parametrize("name", AVC_FULL)
def test_h264_levels_are_used_up_by_the_pictures_they_are_for(name):
    width, lines, rate, kbit_per_s = AVC_FULL[name]
    (level,) = (level for level in H264_LEVELS if level.name == name)
    assert macroblocks(width, lines) * rate == level.macroblocks_per_s
    assert level.kbit_per_s == kbit_per_s
    assert lowest_h264_level(width, lines, rate, kbit_per_s * 1250) is level


def test_largest_pictures_of_h264_levels():
    """MaxFS of Table A-1, from memory; those from 3.1 to 5.2 are rows above."""
    largest = {level.name: level.frame_macroblocks for level in H264_LEVELS}
    assert [largest[name] for name in AVC_FULL] == [99, *[396] * 4, 792, 1620, 1620, 22_080, *[139_264] * 3]


@pytest.mark.parametrize("row", AVC_PICTURES)
def test_lowest_h264_level(row):
    """Table A-1 arithmetic; libx264 chose the same levels."""
    lines, rate = map(int, row["id"].removeprefix("avc_").split("p"))
    width = {720: 1280, 1080: 1920, 2160: 3840}[lines]
    assert macroblocks(width, lines) == row["expected"]["MB"]
    assert macroblocks(width, lines) * rate == row["expected"]["MBPS"]
    assert lowest_h264_level(width, lines, rate).name == row["expected"]["level"]


def test_a_bitrate_can_raise_the_level():
    assert lowest_h264_level(1920, 1080, 30, 25_000_000).name == "4"
    assert lowest_h264_level(1920, 1080, 30, 25_000_001).name == "4.1"
    assert lowest_h264_level(1920, 1080, Fraction(30_000, 1_001)).name == "4"
    assert lowest_h264_level(1920, 1080, 30, 2 * 10**9) is None
    # A side of 256 macroblocks is the most at MaxFS 8,192, from memory of Annex A.3.1.
    assert lowest_h264_level(4096, 16, 1).name == "4"
    assert lowest_h264_level(4112, 16, 1).name == "4.2"


def test_card_sizes_sold():
    """Trade practice, from memory; 2 TB has come since."""
    assert list(CARD_SIZES_GB) == [*expected("card_sizes"), 2000]


def test_reserve_comes_after_the_shortfall():
    assert usable_bytes(16 * GB, Fraction(0)) == 15_840_000_000
    assert usable_bytes(16 * GB, Fraction(1, 10)) == 14_256_000_000
    for reserve in (Fraction(-1, 10), Fraction(1)):
        with pytest.raises(ValueError, match="reserve"):
            usable_bytes(16 * GB, reserve)


def test_typed_sizes():
    assert bytes_from_gb(Fraction("14.9")) == 14_900_000_000


def test_small_frames_waste_clusters():
    assert on_card_bytes(230_000, FAT32.cluster_bytes) == 262_144  # 8 clusters
    assert on_card_bytes(270_000, FAT32.cluster_bytes) == 294_912  # 9
    assert on_card_bytes(270_000, EXFAT.cluster_bytes) == 393_216  # 3
    assert on_card_bytes(0, EXFAT.cluster_bytes) == 0


@pytest.mark.parametrize(
    ("row_id", "card"),
    [
        ("arith_frames_of_518400_B_on_measured_FAT32_16_GB_/_32_KiB_clusters", "fs_FAT32_16_32768_4194304"),
        ("arith_frames_of_518400_B_on_measured_exFAT_64_GB_/_128_KiB_clusters", "fs_exFAT_64_131072_16777216"),
    ],
)
def test_frames_on_measured_cards(row_id, card):
    """Arithmetic over file systems made by mkfs.fat and mkfs.exfat."""
    system = FILE_SYSTEMS[card.split("_")[1]]
    assert expected(card) // on_card_bytes(518_400, system.cluster_bytes) == expected(row_id)


def test_frames_without_any_overhead():
    row = "arith_frames_of_518400_B_on_16e9_B_no_overhead"
    assert 16 * GB // on_card_bytes(518_400, 1) == expected(row)


@pytest.mark.parametrize(
    ("row_id", "bits_per_s", "seconds"),
    [
        ("arith_25_Mbit/s_x_3_s", 25_000_000, 3),
        ("arith_25_Mbit/s_x_1_h", 25_000_000, 3_600),
        ("arith_100_Mbit/s_x_60_s", 100_000_000, 60),
        ("arith_8_Mbit/s_x_24_h", 8_000_000, 86_400),
    ],
)
def test_bursts(row_id, bits_per_s, seconds):
    assert burst_bytes(bits_per_s, seconds) == expected(row_id)


def test_smallest_card():
    assert smallest_card_gb(0, Fraction(0)) == 8
    assert smallest_card_gb(usable_bytes(32 * GB, Fraction(1, 5)), Fraction(1, 5)) == 32
    assert smallest_card_gb(usable_bytes(32 * GB, Fraction(1, 5)) + 1, Fraction(1, 5)) == 64
    assert smallest_card_gb(1_980 * GB, Fraction(0)) == 2000
    assert smallest_card_gb(1_980 * GB + 1, Fraction(0)) is None


def test_smallest_card_looks_at_each_cards_own_clusters():
    """140 kB take five FAT32 clusters (164 kB) or two of exFAT's (262 kB).

    So 193,359 fit on 32 GB and 241,699 on 64 GB, each less 1 %.
    """

    def needed(frames):
        return lambda cluster_bytes: frames * on_card_bytes(140_000, cluster_bytes)

    assert smallest_card_gb(needed(193_359), Fraction(0)) == 32
    assert smallest_card_gb(needed(193_360), Fraction(0)) == 64
    assert smallest_card_gb(needed(241_699), Fraction(0)) == 64
    assert smallest_card_gb(needed(241_700), Fraction(0)) == 128


@given(st.integers(0, 10**13), st.integers(0, 10**13), st.fractions(0, Fraction(9, 10)))
def test_more_bytes_never_need_a_smaller_card(a, b, reserve):
    small, large = (smallest_card_gb(n, reserve) or 10**6 for n in sorted((a, b)))
    assert small <= large


@given(st.integers(1, 10**10), st.integers(0, 20).map(lambda n: 2**n))
def test_a_file_takes_at_least_itself_and_less_than_a_cluster_more(file_bytes, cluster_bytes):
    taken = on_card_bytes(file_bytes, cluster_bytes)
    assert taken % cluster_bytes == 0
    assert file_bytes <= taken < file_bytes + cluster_bytes


@pytest.mark.parametrize(
    ("typed", "sold"),
    # IEC 80000-13: 64 * 10^9 / 2^30 = 59.605; 8 -> 7.451, 128 -> 119.21, 1000 -> 931.32.
    [("59.6", 64), ("59.4", 64), ("7.5", 8), ("119.2", 128), ("931", 1000), ("64", None), ("60", None), ("58", None)],
)
def test_a_size_that_devices_show_is_told_from_a_printed_one(typed: str, sold: int | None) -> None:
    assert sold_as_gb(Fraction(typed)) == sold
