"""Finding a browser for the tests: the order in which one is looked for, and the one sentence when there is none."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Sequence
from typing import Any

import chromium
import pytest


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """A computer whose browsers and installers are made up; ``tried`` lists what was tried, in order."""
    state: dict[str, Any] = {"starts": set(), "commands": {"apt-get"}, "installs": {}, "root": True, "tried": []}

    def starts(path: str | None) -> bool:
        state["tried"].append(f"start {path}")
        return path in state["starts"]

    def run(command: Sequence[str]) -> bool:
        state["tried"].append(" ".join(command).replace(sys.executable, "python"))
        for words, (path, name) in state["installs"].items():
            if words in " ".join(command):
                state["starts"].add(path)
                state["commands"].add(name)
                return True
        return False

    monkeypatch.setattr(chromium, "_starts", starts)
    monkeypatch.setattr(chromium, "_run", run)
    monkeypatch.setattr(shutil, "which", lambda name: f"/bin/{name}" if name in state["commands"] else None)
    monkeypatch.setattr(chromium.os, "geteuid", lambda: 0 if state["root"] else 1000)
    return state


def test_playwrights_own_comes_first(machine: dict[str, Any]) -> None:
    machine["starts"] = {None, "/bin/chromium"}
    machine["commands"].add("chromium")
    assert chromium.executable.__wrapped__() is None
    assert machine["tried"] == ["start None"]


def test_then_one_on_the_path_that_starts(machine: dict[str, Any]) -> None:
    machine["commands"] |= {"chromium-browser", "google-chrome"}
    machine["starts"] = {"/bin/google-chrome"}
    assert chromium.executable.__wrapped__() == "/bin/google-chrome"
    assert machine["tried"] == ["start None", "start /bin/chromium-browser", "start /bin/google-chrome"]


def test_then_playwrights_download(machine: dict[str, Any]) -> None:
    machine["installs"] = {"playwright install": (None, "own")}
    assert chromium.executable.__wrapped__() is None
    assert machine["tried"] == ["start None", "python -m playwright install chromium", "start None"]


@pytest.mark.parametrize(("root", "before"), [(True, ""), (False, "sudo -n ")])
def test_then_the_systems_package(machine: dict[str, Any], root: bool, before: str) -> None:
    machine["root"] = root
    machine["installs"] = {"apt-get -q update": ("-", "-"), "apt-get -q install": ("/bin/chromium", "chromium")}
    assert chromium.executable.__wrapped__() == "/bin/chromium"
    assert machine["tried"][1:] == [
        "python -m playwright install chromium",
        f"{before}apt-get -q update",
        f"{before}apt-get -q install -y --no-install-recommends chromium",
        "start /bin/chromium",
    ]


@pytest.mark.parametrize("commands", [{"apt-get"}, set()])
def test_without_any_there_is_one_sentence(machine: dict[str, Any], commands: set[str]) -> None:
    machine["commands"] = commands
    with pytest.raises(chromium.NoChromium) as problem:
        chromium.executable.__wrapped__()
    assert str(problem.value) == chromium.NONE_FOUND


def test_a_run_without_a_browser_fails_at_once(tmp_path: Any) -> None:
    """The whole way: another pytest, in which no browser starts, ends with the sentence and runs no test."""
    without = "import chromium\nchromium._candidates = lambda: iter(())\n"
    (tmp_path / "no_browser.py").write_text(without, encoding="utf-8")
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pytest", "-n", "0", "-p", "no_browser", "tests/browser", "tests/test_chromium.py"),
            *("-p", "no:cacheprovider", "-o"),
            f"pythonpath={tmp_path} tests tests/serving tests/calc tests/browser tests/web",
        ],
        cwd=chromium.__file__.rpartition("tests")[0],
        env={**chromium.os.environ, "PYTHONPATH": f"{tmp_path}{chromium.os.pathsep}tests/browser"},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode not in (0, 5)
    assert chromium.NONE_FOUND in done.stdout + done.stderr
    assert "passed" not in done.stdout
