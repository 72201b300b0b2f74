"""Compare CPU times and count bytes, in one run on one computer: ``python tests/bench.py``.

Every page is measured between two runs of a bare page of the same web framework and form library, with 20 fields and
10 facts. Each request carries a plan that no request before had, so nothing is merely kept from the one before. Ratios
carry over to other computers better than times do. Nothing here is asserted: the tests take no times.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path
from statistics import mean, median
from urllib.parse import quote, urlencode

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE), str(HERE / "browser"), str(HERE / "web")]

from examples import ALSO, FULL, PAGES  # noqa: E402
from flask import Flask, render_template_string, request  # noqa: E402
from house import make_app  # noqa: E402
from test_first_load import first_load_bytes  # noqa: E402
from wtforms import Form, StringField  # noqa: E402

ROUNDS = 9
CAMERAS = 40
#: Last days of the example's shoot, which begins on 2027-03-01.
LASTS = {"half-year": "2027-08-31", "two years": "2029-02-28"}
#: What is measured with the two-year plan besides.
TWO_YEARS = ("plan", "visits", "daylight", "battery", "call", "sheet")
#: Ratios to stay within; they are aims, printed beside what was measured.
AIMS = {
    ("clip", "half-year"): 2,
    ("storage", "half-year"): 2,
    ("interval", "half-year"): 3,
    ("battery", "half-year"): 3,
    ("plan", "half-year"): 6,
    ("visits", "half-year"): 6,
    ("call", "half-year"): 6,
    ("plan", "two years"): 12,
    ("visits", "two years"): 12,
    ("daylight", "two years"): 8,
    ("run", "two years"): 60,
}
BARE = """<!doctype html><html lang="en"><title>{{ title }}</title><h1>{{ title }}</h1>
<form>{% for field in form %}<p>{{ field.label }} {{ field() }}</p>{% endfor %}<button>Work out</button></form>
<dl>{% for name, value in facts %}<dt>{{ name }}</dt><dd>{{ value }}</dd>{% endfor %}</dl></html>"""

_numbers = count(1)


def new_plan(last: str, page: str) -> dict[str, str]:
    """Return the example with other hours, another place and other loads than any plan before."""
    n = next(_numbers)
    also = ALSO.get(page, {})
    return {
        **FULL,
        **also,
        "name": f"Example site {n} (invented)",
        "last": last,
        "from": f"07:{n % 60:02d}",
        "until": f"17:{n // 60 % 60:02d}",
        "lat": f"{40 + n % 977 / 300:.4f}",
        "lon": f"{-3.7 + n % 83 / 500:.4f}",
        "frame_j": f"{8 + n % 331 / 1000:.3f}",
        "battery_wh": f"{100 + n % 409 / 100:.2f}",
        "card_gb": f"{64 + n % 59 / 100:.2f}",
    }


def query_of(plan: dict[str, str]) -> str:
    """Return the plan's query."""
    return urlencode([(name, text) for name, text in plan.items() if text], quote_via=quote)


def addresses(page: str, last: str) -> Iterator[str]:
    """Yield addresses of the page, each with a plan of its own."""
    while True:
        if page == "run":
            cameras = [("plan", f"/plan?{query_of(new_plan(last, page))}") for _ in range(CAMERAS)]
            yield f"/run?{urlencode(cameras)}"
        else:
            yield f"/{page}?{query_of(new_plan(last, page))}"


def cpu_s(work: Callable[[], object], rounds: int) -> tuple[float, float]:
    """Return the CPU time of the first call and the median of ``rounds`` more."""
    times = []
    for _ in range(rounds + 1):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return times[0], median(times[1:])


def bare_page() -> Flask:
    """Return an app with one page of 20 fields and 10 facts, and no arithmetic."""
    names = [f"field_{n}" for n in range(20)]
    form_class = type("BareForm", (Form,), {name: StringField(name) for name in names})
    app = Flask("bare")

    @app.get("/")
    def show() -> str:
        form = form_class(request.args)
        facts = [(f"Fact {n}", n) for n in range(10)]
        return render_template_string(BARE, title="bare", form=form, facts=facts)

    return app


def start_up_s() -> float:
    """Return the CPU time of a new process until the app stands."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    code = "import webcalc.web.questions; from webcalc.web.http.app import create_app; create_app()"
    subprocess.run([sys.executable, "-c", code], cwd=HERE.parent, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def get_ok(client: object, path: str) -> None:
    """Ask for a page and see that it came."""
    response = client.get(path)  # type: ignore[attr-defined]
    if response.status_code != 200:
        raise SystemExit(f"{response.status_code} for {path[:200]}")


def main() -> None:
    """Print the comparison."""
    parser = argparse.ArgumentParser(description="Compare CPU times and count bytes.")
    parser.add_argument("--once", action="store_true", help="measure once only, to see that it runs")
    parser.add_argument("--only", default="", help="measure these pages only, divided by commas")
    asked = parser.parse_args()
    rounds = 1 if asked.once else ROUNDS
    only = set(filter(None, asked.only.split(",")))

    print(f"start-up: {start_up_s() * 1000:.0f} ms of CPU time")
    app = make_app()
    client, bare_client = app.test_client(), bare_page().test_client()
    bare_query = "/?" + urlencode({f"field_{n}": str(n) for n in range(20)})
    bare_times = []

    def bare_s() -> float:
        """Measure the bare page again: the computer's pace changes while this runs."""
        bare_times.append(cpu_s(lambda: get_ok(bare_client, bare_query), rounds * 5)[1])
        return bare_times[-1]

    # The first requests of a process are the slowest.
    cpu_s(lambda: get_ok(bare_client, bare_query), rounds * 20)
    print(f"{'page':<12}{'plan':<12}{'cold ms':>9}{'warm ms':>9}{'x bare':>8}{'aim':>6}{'page B':>9}{'load B':>9}")
    rows = [(page.name, "half-year") for page in PAGES]
    rows += [(name, "two years") for name in (*TWO_YEARS, "run")]
    for name, length in rows:
        if only and name not in only:
            continue
        paths = addresses(name, LASTS[length])
        before = bare_s()
        cold, warm = cpu_s(lambda paths=paths: get_ok(client, next(paths)), 3 if name == "run" else rounds)
        bare = mean((before, bare_s()))
        loaded = first_load_bytes(app, next(paths))
        aim = AIMS.get((name, length), "")
        print(
            f"{name:<12}{length:<12}{cold * 1000:>9.1f}{warm * 1000:>9.1f}{warm / bare:>8.1f}{aim:>6}"
            f"{loaded['page']:>9}{sum(loaded.values()):>9}"
        )
    least, usual, most = (f"{1000 * of(bare_times):.2f}" for of in (min, median, max))
    print(f"\nbare page of 20 fields and 10 facts: {usual} ms of CPU time, {least} to {most} beside the pages")
    print(f"most memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")


if __name__ == "__main__":
    main()
