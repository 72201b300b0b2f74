"""The laws of the verdict, held against every output; ``python tests/laws.py`` holds them against many more plans."""

from __future__ import annotations

from random import Random

import pytest
from flask import Flask
from laws import NONE, broken_laws, law_plan, records_nothing
from random_plans import random_texts

PLANS, AT_ONCE = 300, 50


@pytest.mark.parametrize("first", range(0, PLANS, AT_ONCE))
def test_every_output_keeps_the_laws(app: Flask, first: int) -> None:
    client = app.test_client()
    faults = []
    for number in range(first, first + AT_ONCE):
        faults += broken_laws(client, number, files_too=number % 5 == 0)
    assert not faults, "\n".join(faults[:10])


def test_the_plans_try_every_law() -> None:
    plans = [law_plan(Random(number)) for number in range(PLANS)]  # noqa: S311
    assert sum(map(records_nothing, plans)) > 20
    assert sum("clip" in plan for plan in plans) > 100
    assert sum("battery_wh" not in plan for plan in plans) > 50


@pytest.mark.parametrize("page", NONE)
def test_pages_that_judge_nothing_have_no_verdict(app: Flask, page: str) -> None:
    plan = random_texts(Random(1))  # noqa: S311
    assert app.test_client().get(f"/{page}.json", query_string={"v": "1", **plan}).get_json()["verdict"] is None
