"""An invented shoot that every page can answer from, and each page's own wrong and empty states."""

from __future__ import annotations

from urllib.parse import quote, urlencode

from webcalc.web.http.page import Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.pages import PAGES

#: The invented example: a building site in Madrid, with all that the pages ask for. Names in the link's order.
FULL: dict[str, str] = {
    "v": "1",
    "name": "Example site (invented)",
    "first": "2027-03-01",
    "last": "2027-08-31",
    "from": "08:00",
    "until": "18:00",
    "days": "12345",
    "skip": "2027-03-25,2027-03-26",
    "interval": "5min",
    "fps": "30",
    "clip": "2min",
    "kept": "80",
    "size": "3840x2160",
    "picture": "standard",
    "card_gb": "64",
    "card_reserve": "10",
    "cell": "li-ion",
    "battery_wh": "100",
    "standby_mw": "50",
    "frame_j": "8",
    "temp_c": "5",
    "battery_reserve": "20",
    "lat": "40.4167",
    "lon": "-3.7033",
    "tz": "Europe/Madrid",
    "light": "sun",
}
#: What a page needs beyond the shoot, or wants left out; by the page's name.
#: A page that can't answer from the shoot alone has an entry here.
ALSO: dict[str, dict[str, str]] = {
    "framing": {"sensor": "1/2.8in", "focal_mm": "4", "distance_m": "40", "camera_m": "12", "subject_m": "6"},
    "motion": {"sensor": "1/2.8in", "focal_mm": "4", "distance_m": "40", "kind": "traffic", "shutter": "1/50"},
    "remount": {
        **{"sensor": "1/2.8in", "focal_mm": "4", "ref1": "412,318", "ref2": "3400,1800"},
        **{"now1": "430,325", "now2": "3416,1812"},
    },
    "sun": {"sensor": "1/2.8in", "focal_mm": "4", "bearing": "150"},
    "solar": {
        **{"panel_w": "5", "panel_tilt": "50", "sky": "mixed"},
        "sunshine": "48,53,56,58,60,69,79,79,67,56,50,46",
    },
    "sheet": {"mounting": "Bracket on rung 2"},
    "check": {"since": "2027-03-01T08:00", "at": "2027-03-02T09:00", "found_frames": "130", "found_gb": "0.3"},
}


def full_query(page: Page | None = None) -> str:
    """Return the example's query, with what the page needs besides."""
    pairs = {**FULL, **(ALSO.get(page.name, {}) if page else {})}
    ordered = ["v", *(name for name in QUANTITIES if name in pairs)]
    return urlencode([(name, pairs[name]) for name in ordered if pairs[name]], quote_via=quote)


def wrong_text(name: str) -> str:
    """Return a text that is wrong for any quantity: no number, no choice, and too long for free words."""
    return "?!" * (1_001 if QUANTITIES[name].kind.lines else 40)


def wrong_query(page: Page) -> str:
    """Return a query in which every field of the page is wrong that can be."""
    return urlencode([("v", "1"), *((name, wrong_text(name)) for name in page.all_fields)])


def states(page: Page) -> dict[str, str]:
    """Return the page's three states and their addresses."""
    return {
        "empty": f"/{page.name}",
        "filled": f"/{page.name}?{full_query(page)}",
        "wrong": f"/{page.name}?{wrong_query(page)}",
    }


def name_of(page: Page) -> str:
    """Return a page's name, for the ids of tests."""
    return page.name


__all__ = ["ALSO", "FULL", "PAGES", "full_query", "name_of", "states", "wrong_query", "wrong_text"]
