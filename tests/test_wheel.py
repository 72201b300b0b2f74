"""The wheel alone: built, installed into a fresh environment, started, and every page and file fetched from it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import sysconfig
import time
import venv
import zipfile
from collections.abc import Iterator
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

import pytest
from examples import PAGES, full_query, name_of
from house import plain_paths

from webcalc.web.http.page import Page

pytestmark = pytest.mark.slow
ROOT = Path(__file__).resolve().parent.parent
PATIENCE_S = 30


def run(*command: str | Path, cwd: Path) -> str:
    """Run a command away from the checkout and return what it printed."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    done = subprocess.run(
        [str(word) for word in command], cwd=cwd, env=clean, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", folder, ROOT, cwd=folder)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def environment(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of commands of an environment that has the wheel, and of the checkout nothing.

    The dependencies are those of the environment that runs the tests; a path file lends them. What is installed
    in the new one comes first, and path files in a lent folder aren't read: an editable install doesn't come along.
    """
    folder = tmp_path_factory.mktemp("environment")
    venv.create(folder, with_pip=False, symlinks=os.name != "nt")
    commands = folder / ("Scripts" if os.name == "nt" else "bin")
    python = commands / "python"
    run(
        *(sys.executable, "-m", "pip", "--python", python, "--disable-pip-version-check"),
        *("install", "--quiet", "--no-index", "--no-deps", wheel),
        cwd=folder,
    )
    own = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    lent = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    (own / "lent.pth").write_text("\n".join(sorted(lent)) + "\n", encoding="utf-8")
    return commands


@pytest.fixture(scope="module")
def base(environment: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start the installed command and return its address."""
    # The port of the first free one; the program itself refuses one that is taken meanwhile.
    from ports import free_port

    port = free_port()
    folder = tmp_path_factory.mktemp("elsewhere")
    process = subprocess.Popen(
        [str(environment / "webcalc"), "--host", "127.0.0.1", "--port", str(port)],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
    )
    address = f"http://127.0.0.1:{port}"
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            fetch(address)
            break
        except URLError:
            if time.monotonic() > until or process.poll() is not None:
                process.kill()
                pytest.fail(f"the installed command didn't start: {process.communicate()[0]}")
            time.sleep(0.1)
    yield address
    process.send_signal(signal.SIGINT)
    said, _none = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, said


def fetch(address: str) -> bytes:
    with urlopen(address, timeout=10) as reply:  # noqa: S310 - our own server
        assert reply.status == 200
        return reply.read()


def test_the_wheel_holds_what_it_needs_and_no_more(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder in ("templates", "static"):
        expected = {f"webcalc/{folder}/{path.name}" for path in (ROOT / folder).iterdir() if path.is_file()}
        assert expected <= names
    code = {path.relative_to(ROOT).as_posix() for path in (ROOT / "webcalc").rglob("*.py")}
    assert code <= names
    assert {name.partition("/")[0] for name in names} == {"webcalc", wheel.name.rpartition("-py3")[0] + ".dist-info"}


def test_the_checkout_is_out_of_reach(environment: Path, tmp_path: Path) -> None:
    where = run(
        environment / "python",
        "-c",
        "import webcalc, webcalc.paths; print(webcalc.paths.asset_dir('static'))",
        cwd=tmp_path,
    )
    assert Path(where.strip()).is_relative_to(environment.parent.resolve())


@pytest.mark.parametrize("path", plain_paths())
def test_every_page_is_served(base: str, path: str) -> None:
    assert b"<h1>" in fetch(base + path)


@pytest.mark.parametrize("calc", PAGES, ids=name_of)
def test_every_answer_is_served(base: str, calc: Page) -> None:
    assert b"class=figure" in fetch(f"{base}/{calc.name}?{full_query(calc)}").replace(b'"', b"")
    assert fetch(f"{base}/{calc.name}.json?{full_query(calc)}").startswith(b"{")


def test_every_static_file_is_served(base: str) -> None:
    linked = re.findall(rb'="?(/static/[^" >]+)', fetch(f"{base}/interval"))
    assert {name.rpartition(b"/")[2] for name in linked} >= {b"app.css", b"app.js", b"icon.svg"}
    for address in linked:
        assert fetch(base + address.decode())
    for file in (ROOT / "static").iterdir():
        assert fetch(f"{base}/static/0/{file.name}")
