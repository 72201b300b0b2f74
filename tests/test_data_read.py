"""Every check value of tests/data is read by a test: none looks checked that isn't.

That each makes its test fail when it changes is shown by ``python tests/mutants.py data``.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from data_reads import DATA, FILES, paths

TESTS = Path(__file__).parent
#: Links that must never change, and marks of what links are answered: each is read by its own test.
NOT_CHECKS = {"golden_links.json", "kept_answers.json"}


@pytest.mark.slow
def test_every_row_is_read_by_a_test(tmp_path: Path) -> None:
    readers = [path for path in sorted((TESTS / "calc").glob("test_*.py")) if asks(path.read_text(encoding="utf-8"))]
    assert readers
    seen = tmp_path / "read.json"
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-n", "0", "-p", "data_reads", "-p", "no:cacheprovider", *map(str, readers)],
        cwd=TESTS.parent,
        env={**os.environ, "DATA_READS": str(seen), "PYTHONPATH": os.pathsep.join([str(TESTS), str(TESTS.parent)])},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout
    read = json.loads(seen.read_text(encoding="utf-8"))
    unread = [row for row in every_row() if row not in read and not any(other.startswith(row + "/") for other in read)]
    assert not unread, "\n".join(unread)


def asks(source: str) -> bool:
    """Whether a module of tests takes values from tests/data."""
    return any(name in source for name in (*FILES.values(), "battery_data", "storage_rows"))


def every_row() -> list[str]:
    files = [path for path in sorted(DATA.glob("*.json")) if path.name not in NOT_CHECKS]
    return [row for path in files for row in paths(json.loads(path.read_text(encoding="utf-8")), path.name)]


def test_rows_were_found() -> None:
    assert len(every_row()) > 300
