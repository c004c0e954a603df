"""A window of WebKitGTK, steered by WebDriver: as narrow as a phone, and what it stores outlives it.

Debian's own window for WebDriver is wider and forgets all when it is closed. Run by the system's Python, for which
Debian has the bindings: ``webkit_window.py PROFILE [camera]``; with ``camera`` the engine makes one up.
"""

import sys

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gtk, WebKit2  # noqa: E402

WIDTH, HEIGHT = 390, 844  # CSS pixels


def main(profile: str, camera: bool) -> None:
    storage = WebKit2.WebsiteDataManager(base_data_directory=f"{profile}/data", base_cache_directory=f"{profile}/cache")
    context = WebKit2.WebContext(website_data_manager=storage)
    context.get_cookie_manager().set_persistent_storage(f"{profile}/cookies", WebKit2.CookiePersistentStorage.SQLITE)
    context.set_automation_allowed(True)
    context.connect(
        "automation-started",
        lambda _, session: session.connect("create-web-view", lambda _: new_view(context, camera)),
    )
    Gtk.main()


def new_view(context: WebKit2.WebContext, camera: bool) -> WebKit2.WebView:
    settings = WebKit2.Settings(enable_media_stream=True, enable_mock_capture_devices=camera)
    view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True, settings=settings)
    view.connect("permission-request", lambda _, request: request.allow() or True)
    window = Gtk.Window(default_width=WIDTH, default_height=HEIGHT)
    window.add(view)
    window.show_all()
    return view


if __name__ == "__main__":
    main(sys.argv[1], "camera" in sys.argv[2:])
