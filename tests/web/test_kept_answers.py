"""What plans were answered when this was last written down: every page's data, whole."""

from __future__ import annotations

import json

import pytest
from answers import KEPT, answer, mark
from flask.testing import FlaskClient

WRITTEN = json.loads(KEPT.read_text("utf-8"))


@pytest.mark.parametrize("number", range(len(WRITTEN["plans"])))
def test_plans_are_answered_as_before(client: FlaskClient, number: int) -> None:
    row, keys = WRITTEN["plans"][number], WRITTEN["keys"]
    changed = [
        page for page, before in row["marks"].items() if mark(answer(client, page, row["plan"], keys[page])) != before
    ]
    assert not changed, f"python tests/answers.py --show {number} {changed[0]}: compare with what it was before"
