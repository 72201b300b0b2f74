"""The calculation package stays pure: no web package comes along, no clock, no files."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

import webcalc.calc

MODULES = sorted(Path(webcalc.calc.__path__[0]).rglob("*.py"))
#: What may be imported besides the standard library and the package itself.
THIRD_PARTY = {"astral", "tzdata"}
WEB_PACKAGES = ("flask", "wtforms", "werkzeug", "jinja2", "waitress", "segno", "icalendar", "webcalc.web")
#: Parts of the standard library that reach outside: network, files, environment, chance, output.
REACHING_OUT = {
    "http",
    "io",
    "logging",
    "os",
    "pathlib",
    "random",
    "secrets",
    "shutil",
    "socket",
    "subprocess",
    "time",
    "urllib",
}
IMPURE_CALLS = {"open", "print", "input", "exec"}
IMPURE_METHODS = {
    "open",
    "now",
    "today",
    "utcnow",
    "monotonic",
    "read_text",
    "read_bytes",
    "write_text",
    "write_bytes",
    "getenv",
}
#: Two exceptions: time-zone rules are data files, of the package tzdata and of the operating system; and a name that
#: only the type checker imports.
EXCUSED = {"zone.py": {"import pathlib", ".open", ".read_text"}, "unknown.py": {"import typing_extensions"}}

IMPORT_ALL = """
import importlib, json, pkgutil, sys
import webcalc.calc
names = [module.name for module in pkgutil.walk_packages(webcalc.calc.__path__, "webcalc.calc.")]
for name in names:
    importlib.import_module(name)
print(json.dumps({"imported": names, "loaded": sorted(sys.modules)}))
"""


@pytest.fixture(scope="module")
def fresh_import() -> dict[str, list[str]]:
    """Import every module of the package in an interpreter of its own."""
    done = subprocess.run([sys.executable, "-c", IMPORT_ALL], capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_every_module_was_imported(fresh_import: dict[str, list[str]]) -> None:
    assert {path.stem for path in MODULES} - {"__init__"} <= {
        name.rsplit(".", 1)[-1] for name in fresh_import["imported"]
    }
    assert len(MODULES) > 5


@pytest.mark.parametrize("package", WEB_PACKAGES)
def test_no_web_package_comes_along(fresh_import: dict[str, list[str]], package: str) -> None:
    assert [name for name in fresh_import["loaded"] if name == package or name.startswith(package + ".")] == []


def impurities(source: str) -> list[str]:
    """Return what in a module's source reaches outside the package."""
    found = []
    for node in ast.walk(ast.parse(source)):
        imported: list[str] = []
        if isinstance(node, ast.Import):
            imported = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            imported = ["relative"] if node.level or node.module is None else [node.module]
            if node.module == "webcalc":
                imported = [f"webcalc.{alias.name}" for alias in node.names]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in IMPURE_CALLS:
            found.append(f"{node.func.id}()")
        elif isinstance(node, ast.Attribute) and node.attr in IMPURE_METHODS:
            found.append(f".{node.attr}")
        for name in imported:
            top = name.split(".")[0]
            ours = name == "webcalc.calc" or name.startswith("webcalc.calc.")
            standard = top in sys.stdlib_module_names and top not in REACHING_OUT
            if not (ours or standard or top in THIRD_PARTY):
                found.append(f"import {name}")
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_source_reaches_nothing_outside(path: Path) -> None:
    assert set(impurities(path.read_text(encoding="utf-8"))) == EXCUSED.get(path.name, set())


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("from webcalc.web import app", ["import webcalc.web"]),
        ("from webcalc import web", ["import webcalc.web"]),
        ("import flask.views", ["import flask.views"]),
        ("from . import clip", ["import relative"]),
        ("import os", ["import os"]),
        ("from datetime import datetime\nx = datetime.now()", [".now"]),
        ("x = date.today()", [".today"]),
        ("x = open('f')", ["open()"]),
        ("x = path.open()", [".open"]),
        ("from webcalc import calc\nfrom webcalc.calc.clip.frames import clip_s\nimport math, astral.sun", []),
    ],
)
def test_the_scan_finds_what_it_looks_for(source: str, found: list[str]) -> None:
    assert impurities(source) == found
