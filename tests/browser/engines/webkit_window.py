"""A phone-sized window for WebKit's driver; run by the system's Python. ``--there``: only see whether it could."""

import sys

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402


def show(context: WebKit2.WebContext) -> WebKit2.WebView:
    """Return a view in a window that the driver controls; kept pages make Back as quick as on a phone."""
    view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
    view.get_settings().set_enable_page_cache(True)
    view.get_settings().set_enable_javascript("--plain" not in sys.argv)
    view.set_size_request(360, 740)
    window = Gtk.Window()
    window.add(view)
    window.set_default_size(360, 740)
    window.show_all()
    return view


if "--there" not in sys.argv:
    shared = WebKit2.WebContext.new_ephemeral()
    shared.set_automation_allowed(True)
    shared.set_cache_model(WebKit2.CacheModel.WEB_BROWSER)
    shared.connect(
        "automation-started",
        lambda _context, session: session.connect("create-web-view", lambda _session: show(shared)),
    )
    Gtk.main()
