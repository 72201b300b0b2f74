"""Links that were given out once and must mean the same for good.

Each entry of ``tests/data/golden_links.json`` holds a link as somebody has it, its canonical form, and answers. The
answers of the first three were worked out by hand (see ``by_hand``); the others record what version 1.0 answered.
Entries are added, never changed: an entry that fails shows a link that would mean something else.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from flask.testing import FlaskClient

GOLDEN = json.loads((Path(__file__).parents[1] / "data" / "golden_links.json").read_text(encoding="utf-8"))["links"]


def _at(body: dict[str, Any], path: str) -> Any:
    """Return the value at a dotted path, list places by number."""
    found: Any = body
    for step in path.split("."):
        found = found[int(step)] if isinstance(found, list) else found[step]
    return found


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["what"])
def test_a_golden_link_means_the_same(client: FlaskClient, golden: dict[str, Any]) -> None:
    link = urlsplit(golden["link"])
    body = client.get(f"{link.path}.json?{link.query}").get_json()
    assert body["errors"] == {}
    assert body["link"] == golden["canonical"]
    for path, value in golden["answers"].items():
        found = _at(body["results"], path)
        assert found == (pytest.approx(value, rel=1e-9) if isinstance(value, float) else value), path


@pytest.mark.parametrize("golden", GOLDEN, ids=lambda golden: golden["what"])
def test_a_canonical_link_is_its_own_canonical_form(client: FlaskClient, golden: dict[str, Any]) -> None:
    link = urlsplit(golden["canonical"])
    assert client.get(f"{link.path}.json?{link.query}").get_json()["link"] == golden["canonical"]


def test_every_golden_link_opens_as_a_page(client: FlaskClient) -> None:
    for golden in GOLDEN:
        assert client.get(golden["canonical"]).status_code == 200
