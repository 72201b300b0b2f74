"""Compare speeds and count bytes, in one run on one computer: ``python tests/bench.py``.

Each page stands beside a bare template page of the same web framework, and a year of sunrise and sunset beside
astral's own two functions for the same days. Ratios carry over to other computers better than times do.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from statistics import median
from zoneinfo import ZoneInfo

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent), str(HERE), str(HERE / "browser"), str(HERE / "web")]

from astral import Observer  # noqa: E402
from astral.sun import sunrise, sunset  # noqa: E402
from examples import PAGES, states  # noqa: E402
from flask import Flask, render_template_string  # noqa: E402
from house import make_app  # noqa: E402
from test_first_load import first_load_bytes  # noqa: E402

from webcalc.calc.light.place import Site  # noqa: E402
from webcalc.calc.light.sun import SUNRISE_DEG, crossings  # noqa: E402

ROUNDS = 15
#: A year in Madrid: astral finds both events on every day of it, so both sides do the same work.
LATITUDE, LONGITUDE, ZONE = 40.4167, -3.7033, ZoneInfo("Europe/Madrid")
YEAR = [date(2027, 1, 1) + timedelta(n) for n in range(365)]


def seconds(work: Callable[[], object], rounds: int) -> float:
    """Return the median time of one call, after one call to warm up."""
    work()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return median(times)


def bare_page() -> Flask:
    """Return an app with one page that only fills in a template."""
    app = Flask("bare")
    app.add_url_rule(
        "/", view_func=lambda: render_template_string("<!doctype html><title>{{ t }}</title><h1>{{ t }}</h1>", t="bare")
    )
    return app


def our_year(site: Site) -> None:
    """Find sunrise and sunset of each day; with the shortcut tables emptied, as a new process has them."""
    for cached in (f for f in vars(sys.modules["webcalc.calc.light.sun"]).values() if hasattr(f, "cache_clear")):
        cached.cache_clear()
    for day in YEAR:
        crossings(site, ZONE, day, SUNRISE_DEG)


def astral_year(observer: Observer) -> None:
    """Find the same by astral's own functions."""
    for day in YEAR:
        sunrise(observer, day, tzinfo=ZONE)
        sunset(observer, day, tzinfo=ZONE)


def main() -> None:
    """Print the comparison."""
    parser = argparse.ArgumentParser(description="Compare speeds and count bytes.")
    parser.add_argument("--once", action="store_true", help="measure once only, to see that it runs")
    rounds = 1 if parser.parse_args().once else ROUNDS

    app = make_app()
    client, bare_client = app.test_client(), bare_page().test_client()
    bare = seconds(lambda: bare_client.get("/"), rounds * 10)
    print(f"bare template page: {bare * 1000:.2f} ms\n")
    print(f"{'page':<12}{'state':<8}{'ms':>8}{'x bare':>8}{'page B':>9}{'load B':>9}")
    for page in PAGES:
        for state in ("empty", "filled"):
            path = states(page)[state]
            took = seconds(lambda path=path: client.get(path), rounds)
            loaded = first_load_bytes(app, path)
            print(
                f"{page.name:<12}{state:<8}{took * 1000:>8.1f}{took / bare:>8.1f}"
                f"{loaded['page']:>9}{sum(loaded.values()):>9}"
            )

    ours = seconds(lambda: our_year(Site(LATITUDE, LONGITUDE)), rounds)
    theirs = seconds(lambda: astral_year(Observer(LATITUDE, LONGITUDE)), rounds)
    print(
        f"\na year of sunrise and sunset: {ours * 1000:.0f} ms; astral's own {theirs * 1000:.0f} ms; "
        f"ratio {ours / theirs:.2f}"
    )


if __name__ == "__main__":
    main()
