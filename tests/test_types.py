"""The calculation and the reading of links are typed throughout, as the settings in pyproject.toml say."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_mypy_finds_nothing(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "mypy", "--cache-dir", str(tmp_path)]
    run = subprocess.run(command, cwd=Path(__file__).parents[1], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
