"""The published and measured storage values of tests/data/storage_checks.json, by the start of their id."""

import json
from pathlib import Path

import pytest

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "storage_checks.json").read_text("utf-8"))["checks"]

#: Every prefix that some test checks; ``test_card.py`` asserts that no row is left over.
CHECKED_PREFIXES = (
    *("gib_", "realcard_", "fs_", "sd_", "speed_", "fat32_", "fat_", "exfat_", "dcf_", "card_sizes", "avc_"),
    *("bpp_", "rawsim_", "arith_"),
)


def rows(prefix):
    """Return the rows whose id starts so, as pytest parameters; none is an error."""
    if not prefix.startswith(CHECKED_PREFIXES):
        raise ValueError(f"list {prefix} among the checked prefixes")
    found = [pytest.param(row, id=row["id"]) for row in CHECKS if row["id"].startswith(prefix)]
    if not found:
        raise ValueError(f"no row starts with {prefix}")
    return found


def expected(row_id):
    """Return the expected value of one row."""
    (row,) = (row for row in CHECKS if row["id"] == row_id)
    return row["expected"]
