"""Draw the two pictures of README.md anew: ``python tests/browser/screenshots.py``."""

from __future__ import annotations

import sys
import threading
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
sys.path[:0] = [str(ROOT), str(HERE)]

from chromium import ARGUMENTS, executable  # noqa: E402
from playwright.sync_api import sync_playwright  # noqa: E402
from waitress.server import create_server  # noqa: E402

from webcalc.web.http.app import create_app  # noqa: E402
from webcalc.web.http.start import example_query  # noqa: E402

#: The moment that the pictures show, so that they change only when the pages do.
MOMENT = datetime(2027, 3, 2, 9, tzinfo=UTC)
SCREEN = {"width": 360, "height": 740}


def main() -> None:
    """Write ``.readme/plan.png`` and ``.readme/daylight.png``."""
    server = create_server(create_app({"NOW": lambda: MOMENT}), host="127.0.0.1", port=0)
    threading.Thread(target=server.run, daemon=True).start()
    query = example_query(MOMENT.date())
    chromium = executable()
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=[*ARGUMENTS])
        page = browser.new_page(viewport=SCREEN, device_scale_factor=1.5, locale="en-GB")
        for name in ("plan", "daylight"):
            page.goto(f"http://127.0.0.1:{server.effective_port}/{name}?{query}")
            page.screenshot(path=ROOT / ".readme" / f"{name}.png")
        browser.close()


if __name__ == "__main__":
    main()
