"""The app as the tests use it: at a fixed instant, answering under the names of the tests."""

from __future__ import annotations

from datetime import UTC, datetime

from flask import Flask

from webcalc.web.http.app import create_app

NOW = datetime(2027, 3, 2, 9, tzinfo=UTC)
#: A name that isn't this computer's own: a browser treats pages from it as it does pages from a laptop on a hotspot.
HOST = "webcalc.test"


def make_app() -> Flask:
    """Return the app at ``NOW``; a crash is raised, not answered."""
    trusted = ["127.0.0.1", "localhost", HOST]
    return create_app({"NOW": lambda: NOW, "TRUSTED_HOSTS": trusted, "TESTING": True})


#: A camera on a site, invented: a frame every 5 min on Mon-Fri, 08:00-18:00, that is 120 frames a recorded day.
SITE_WEEK = {
    "v": "1",
    "from": "08:00",
    "until": "18:00",
    "days": "12345",
    "interval": "5min",
    "fps": "25",
    "frame_mb": "2",
    "card_gb": "32",
    "cell": "li-ion",
    "battery_wh": "200",
    "standby_mw": "20",
    "frame_j": "3",
    "visit_days": "12345",
    "margin": "3",
}


def plain_paths() -> list[str]:
    """Return every address of the app that shows a page, the calculating pages among them."""
    rules = make_app().url_map.iter_rules()
    found = [rule.rule for rule in rules if "GET" in (rule.methods or ()) and not rule.arguments]
    # What /did answers is a way on, no page.
    return sorted(path for path in found if "." not in path and path != "/did")
