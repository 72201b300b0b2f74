"""A page's first load fits the first flight of a connection: slow radio, many phones, one laptop.

14,600 bytes is the initial window of RFC 6928, section 2, for segments of 1,460 bytes. Pages, style and script
go out packed where the browser takes that; headers and the icon are counted on the wire in ``tests/serving``.
"""

from __future__ import annotations

import pytest
from examples import PAGES, states
from flask import Flask
from house import plain_paths
from markup import Markup

FIRST_FLIGHT_BYTES = 14_600
#: What a page may be before it is packed: own choice.
MOST_UNPACKED_BYTES = 60_000

LOADS = {
    **{f"{page.name}-{state}": path for page in PAGES for state, path in states(page).items() if state != "wrong"},
    **{path: path for path in plain_paths() if path.strip("/") not in {page.name for page in PAGES}},
}


def first_load_bytes(app: Flask, path: str) -> dict[str, int]:
    """Return the bytes, packed as browsers ask for them, of a page and of each file it loads at once."""
    client = app.test_client()
    packed = {"Accept-Encoding": "gzip"}
    page = client.get(path)
    assert len(page.data) <= MOST_UNPACKED_BYTES or path == "/link"
    loaded = {"page": len(client.get(path, headers=packed).data)}
    for tag, attributes in Markup(page.get_data(as_text=True)).elements:
        target = attributes.get("src") or (attributes.get("href") if tag == "link" else None)
        # The icon is fetched when the page stands.
        if target and target.endswith((".css", ".js")):
            loaded[target.rpartition("/")[2]] = len(client.get(target, headers=packed).data)
    return loaded


@pytest.mark.parametrize("path", LOADS.values(), ids=LOADS.keys())
def test_first_load_fits(app: Flask, path: str) -> None:
    loaded = first_load_bytes(app, path)
    assert "app.css" in loaded
    if path == "/link":
        # The reference of all names is for a desk, and grows with the table.
        return
    assert sum(loaded.values()) <= FIRST_FLIGHT_BYTES, loaded


@pytest.mark.parametrize("path", LOADS.values(), ids=LOADS.keys())
def test_nothing_else_is_loaded(app: Flask, path: str) -> None:
    own = {"/sheet": {"sheet.css", "sheet.js"}, "/recorded": {"recorded.js"}}.get(path.partition("?")[0], set())
    assert set(first_load_bytes(app, path)) <= {"page", "app.css", "app.js"} | own
