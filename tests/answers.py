"""What a set of invented plans is answered, kept as one short mark for each page: ``python tests/answers.py``.

A mark stands for a page's whole data, numbers to six figures. A mark that changes shows a link that is answered
otherwise than before: a mended fault, to be named in the commit that writes the marks anew, or a broken promise.
``python tests/answers.py --show N PAGE`` prints the data behind a mark, so that before and after can be compared.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any
from urllib.parse import urlencode

from flask.testing import FlaskClient

HERE = Path(__file__).resolve().parent
if __name__ == "__main__":
    sys.path[:0] = [str(HERE.parent), str(HERE), str(HERE / "browser")]

from examples import ALSO, FULL, PAGES  # noqa: E402
from random_plans import random_texts  # noqa: E402

KEPT = HERE / "data" / "kept_answers.json"
#: What is told of the computer, not of the shoot.
COMPUTERS_OWN = {"zone_rules", "zone_rules_origin"}
#: Of the plans, so many are all by chance; the rest are the example with a fifth of its values by chance.
BY_CHANCE, MIXED = 8, 24


def plans() -> Iterator[str]:
    """Yield the links' queries; made once, as what is typed can be told in more ways later."""
    for number in range(BY_CHANCE):
        yield urlencode({"v": "1", **random_texts(Random(number))})  # noqa: S311 - plans to try, no secrets
    for number in range(MIXED):
        random = Random(f"mixed {number}")  # noqa: S311 - the same
        plan = {**FULL, **{name: text for also in ALSO.values() for name, text in also.items()}}
        others = random_texts(random)
        plan |= {name: text for name, text in others.items() if random.random() < 0.2}
        yield urlencode({name: text for name, text in plan.items() if random.random() < 0.95 or name == "v"})


def rounded(value: Any) -> Any:
    """Return data with every number to six figures, as what comes after them may differ from computer to computer."""
    if isinstance(value, float):
        return float(f"{value:.6g}") if abs(value) > 1e-9 else 0.0
    if isinstance(value, dict):
        return {key: rounded(each) for key, each in value.items()}
    return [rounded(each) for each in value] if isinstance(value, list) else value


def answer(client: FlaskClient, page: str, query: str, keys: Sequence[str] | None = None) -> dict[str, Any]:
    """Return what a page answers as data; of the results those of ``keys``, as a later version may add others."""
    path = f"/run.json?{urlencode({'plan': f'/plan?{query}'})}" if page == "run" else f"/{page}.json?{query}"
    body = client.get(path).get_json()
    results = body["results"]
    told = {key: results.get(key) for key in (results if keys is None else keys)}
    return rounded({"results": told, **{key: body.get(key) for key in ("verdict", "errors", "needs")}})


def mark(data: dict[str, Any]) -> str:
    """Return the mark that stands for data."""
    return sha256(json.dumps(data, sort_keys=True).encode()).hexdigest()[:8]


def main() -> None:
    """Write all marks anew, or show what stands behind one."""
    from house import make_app

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--show", nargs=2, metavar=("N", "PAGE"), help="print the data behind a mark")
    asked, client = parser.parse_args(), make_app().test_client()
    kept = json.loads(KEPT.read_text("utf-8"))["plans"] if KEPT.exists() else []
    if asked.show:
        number, page = asked.show
        print(json.dumps(answer(client, page, kept[int(number)]["plan"]), indent=1))
        return
    names, queries = [*(page.name for page in PAGES), "run"], [row["plan"] for row in kept] or list(plans())
    keys = {page: sorted({*answer(client, page, queries[0])["results"]} - COMPUTERS_OWN) for page in names}
    rows = [
        {"plan": query, "marks": {page: mark(answer(client, page, query, keys[page])) for page in names}}
        for query in queries
    ]
    about = "invented plans, and a mark for each page's data (see tests/answers.py)"
    KEPT.write_text(json.dumps({"about": about, "keys": keys, "plans": rows}, indent=0) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
