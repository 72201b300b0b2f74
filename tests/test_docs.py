"""README's page table and DEVELOPERS.md hold what the app has."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

from flask import Flask

from webcalc.web.questions.pages import PAGES

ROOT = Path(__file__).parent.parent
README, DEVELOPERS = ((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))


def test_the_page_table_of_readme_names_every_page() -> None:
    table = "\n".join(line for line in README.splitlines() if line.startswith("| `/"))
    named = set(re.findall(r"`/([a-z]+)`", table))
    assert named == {page.name for page in PAGES} | {"run", "recorded"}


def test_every_address_in_readme_is_answered(app: Flask) -> None:
    client = app.test_client()
    for name in set(re.findall(r"`/([a-z]+)`", README)):
        assert client.get(f"/{name}").status_code == 200, name


def test_every_file_that_developers_names_is_there() -> None:
    named = set(re.findall(r"`((?:webcalc|tests|templates|static)/[\w./]+)`", DEVELOPERS))
    assert len(named) > 8
    assert [name for name in named if not (ROOT / name).exists()] == []


def test_the_rooms_drawn_in_developers_are_the_rooms() -> None:
    drawn = DEVELOPERS[DEVELOPERS.index("    webcalc/") : DEVELOPERS.index("### The calculation package")]
    for folder in ("webcalc/calc", "webcalc/web"):
        rooms = {path.name for path in (ROOT / folder).iterdir() if (path / "__init__.py").exists()}
        assert {room for room in rooms if f"{room}/" not in drawn} == set()


def test_the_lines_that_plan_a_shoot_do() -> None:
    failed, tried = doctest.testfile(str(ROOT / "DEVELOPERS.md"), module_relative=False)
    assert tried >= 6
    assert failed == 0


def test_the_examples_of_the_library_hold() -> None:
    from webcalc.calc import shoot

    failed, tried = doctest.testmod(shoot)
    assert tried >= 4
    assert failed == 0
