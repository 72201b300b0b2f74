"""The commands in README.md are the ones that are run: one line each, without this computer's paths."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
TEST_COMMAND = 'python3 -m venv .venv && .venv/bin/python -m pip install -q -e ".[test]" && .venv/bin/python -m pytest'
RUN_COMMAND = "python3 -m venv .venv && .venv/bin/python -m pip install -q . && .venv/bin/webcalc"


def lines(name: str) -> list[str]:
    return [line.strip() for line in (ROOT / name).read_text(encoding="utf-8").splitlines()]


def test_readme_has_both_commands_on_one_line_each() -> None:
    assert lines("README.md").count(TEST_COMMAND) == 1
    assert lines("README.md").count(RUN_COMMAND) == 1


def test_each_command_has_its_twin_for_windows() -> None:
    """The same steps: parted by semicolons, which every PowerShell knows, with that system's names of folders."""
    for command in (TEST_COMMAND, RUN_COMMAND):
        twin = command.replace("python3 ", "py ").replace(" && ", "; ").replace(".venv/bin/", ".venv\\Scripts\\")
        assert lines("README.md").count(twin) == 1


def test_ci_runs_the_command_of_readme(tmp_path: Path) -> None:
    """With stand-ins for packages and browser, so that nothing but the choice of command is tried."""
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "run").write_bytes((ROOT / ".ci" / "run").read_bytes())
    (tmp_path / "README.md").write_text(f"Test\n\n    {TEST_COMMAND}\n", encoding="utf-8")
    commands = tmp_path / "commands"
    commands.mkdir()
    for name, script in {"chromium": "exit 0", "apt-get": "exit 0", "python3": 'echo "python3 $*"; exit 7'}.items():
        (commands / name).write_text(f"#!/bin/sh\n{script}\n", encoding="utf-8")
        (commands / name).chmod(0o755)

    def run() -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            ["bash", str(tmp_path / ".ci" / "run")],
            env={**os.environ, "PATH": f"{commands}{os.pathsep}{os.environ['PATH']}"},
            capture_output=True,
            encoding="utf-8",
            check=False,
        )

    done = run()
    assert done.stdout == f"+ {TEST_COMMAND}\npython3 -m venv .venv\n"
    assert done.returncode == 7, "a failure must be passed on"

    (tmp_path / "README.md").write_text("no command\n", encoding="utf-8")
    done = run()
    assert done.returncode == 1
    assert "README.md must hold the test command" in done.stderr


def test_the_command_that_compares_speed_runs() -> None:
    done = subprocess.run(
        [sys.executable, str(ROOT / "tests" / "bench.py"), "--once"],
        capture_output=True,
        encoding="utf-8",
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "bare page of 20 fields" in done.stdout
