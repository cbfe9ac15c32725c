"""A WebKit window whose storage outlives it, driven over a pipe. Run by the system's Python, which has PyGObject.

    /usr/bin/python3 webkit_launcher.py DATA_FOLDER CACHE_FOLDER

Reads one JSON command from each line and answers each with one JSON line, {"ok": ...} or {"error": "..."}:
    {"do": "load", "url": "http://..."}          answers when the page has loaded
    {"do": "evaluate", "js": "document.title"}   an expression or a function; waits for a promise; "ok" is its value
    {"do": "screenshot", "path": "shot.png"}
    {"do": "watch"}                              from now on note what pages ask for, say and must not do
    {"do": "noted"}                              "ok" is the list of it since the last call: [{"what", "text"}, ...]
    {"do": "quit"}
"""

import json
import sys
import threading
from collections.abc import Callable
from typing import Any

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import Gdk, GLib, Gtk, WebKit2  # noqa: E402

WIDTH, HEIGHT = 412, 915

Command = dict[str, Any]
Reply = Callable[..., None]

WRAPPED = """
const given = await (%s);
const value = typeof given === 'function' ? await given() : given;
return JSON.stringify(value === undefined ? null : value);
"""


def reply(**answer: object) -> None:
    print(json.dumps(answer), flush=True)


def open_view(data: str, cache: str) -> WebKit2.WebView:
    manager = WebKit2.WebsiteDataManager(base_data_directory=data, base_cache_directory=cache)
    view = WebKit2.WebView(web_context=WebKit2.WebContext.new_with_website_data_manager(manager))
    window = Gtk.Window()
    window.set_default_size(WIDTH, HEIGHT)
    window.add(view)
    window.show_all()
    return view


def load(view: WebKit2.WebView, command: Command) -> None:
    handlers: list[int] = []

    def end(**answer: object) -> None:
        for handler in handlers:
            view.disconnect(handler)
        reply(**answer)

    def changed(_view: WebKit2.WebView, event: WebKit2.LoadEvent) -> None:
        if event != WebKit2.LoadEvent.FINISHED:
            return
        if view.get_uri() == "about:blank" != command["url"]:
            end(error="WebKit refuses this address.")
        else:
            end(ok=view.get_uri())

    def failed(_view: WebKit2.WebView, _event: WebKit2.LoadEvent, _url: str, error: GLib.Error) -> bool:
        end(error=error.message)
        return True

    handlers += [view.connect("load-changed", changed), view.connect("load-failed", failed)]
    view.load_uri(command["url"])


def evaluate(view: WebKit2.WebView, command: Command) -> None:
    def done(_view: WebKit2.WebView, result: object) -> None:
        try:
            text = view.call_async_javascript_function_finish(result).to_string()
        except GLib.Error as error:
            reply(error=error.message)
        else:
            reply(ok=json.loads(text))

    view.call_async_javascript_function(WRAPPED % command["js"], -1, None, None, None, None, done)


def screenshot(view: WebKit2.WebView, command: Command) -> None:
    window = view.get_toplevel().get_window()
    picture = Gdk.pixbuf_get_from_window(window, 0, 0, window.get_width(), window.get_height())
    picture.savev(command["path"], "png", [], [])
    reply(ok=command["path"])


# Breaches of a policy in a page and in its frames. The page's own code never sees this.
BREACHES = """document.addEventListener('securitypolicyviolation', event => webkit.messageHandlers.breach.postMessage(
  `${event.effectiveDirective} ${event.blockedURI} ${event.sample}`));"""
NOTED: list[dict[str, str]] = []


def watch(view: WebKit2.WebView, _command: Command) -> None:
    def note(what: str, text: str) -> bool:
        NOTED.append({"what": what, "text": text})
        return True

    manager = view.get_user_content_manager()
    manager.connect("script-message-received::breach", lambda _, said: note("breach", said.get_js_value().to_string()))
    manager.register_script_message_handler("breach")
    frames, start = WebKit2.UserContentInjectedFrames.ALL_FRAMES, WebKit2.UserScriptInjectionTime.START
    manager.add_script(WebKit2.UserScript(BREACHES, frames, start, None, None))
    view.connect("script-dialog", lambda _, dialog: note("dialog", dialog.get_message() or ""))
    view.connect("resource-load-started", lambda _, _resource, request: note("request", request.get_uri()) and None)
    reply(ok=True)


def noted(_view: WebKit2.WebView, _command: Command) -> None:
    reply(ok=NOTED[:])
    NOTED.clear()


def leave(_view: WebKit2.WebView, _command: Command) -> None:
    reply(ok=True)
    Gtk.main_quit()


DOES = {"load": load, "evaluate": evaluate, "screenshot": screenshot, "watch": watch, "noted": noted, "quit": leave}


def listen(view: WebKit2.WebView) -> None:
    """Hand each line to the window's own thread. The end of the input closes the window."""
    for line in sys.stdin:
        command = json.loads(line)
        GLib.idle_add(lambda command: DOES[command["do"]](view, command), command)
    GLib.idle_add(Gtk.main_quit)


def main() -> None:
    view = open_view(*sys.argv[1:3])
    threading.Thread(target=listen, args=(view,), daemon=True).start()
    reply(ok="ready")
    Gtk.main()


if __name__ == "__main__":
    main()
