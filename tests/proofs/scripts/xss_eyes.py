"""Two browsers that see what a hostile text manages to do: run, ask another host, leave the page, become markup."""

from __future__ import annotations

import json
from typing import Any, Protocol
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext

from tests.browser.engines import WebKit, wait_for

# Everything in the page that text cannot be, also inside templates and shadows.
AUDIT = """() => {
  const found = [];
  const all = (root) => [...root.querySelectorAll('*')].flatMap((one) => [
    one,
    ...one.content instanceof DocumentFragment ? all(one.content) : [],
    ...one.shadowRoot ? all(one.shadowRoot) : [],
  ]);
  const leads = /^(href|src|action|formaction|data|xlink:href|srcset|poster|background|ping|srcdoc)$/i;
  const isOurs = (one, { protocol, host }) => (protocol.startsWith('http') && host === location.host)
    || protocol === 'blob:' || (protocol === 'data:' && ['img', 'link'].includes(one.localName));
  for (const one of all(document)) {
    if (one.hasAttribute('data-hostile')) found.push(`<${one.localName}> was made`);
    for (const { name, value } of one.attributes) {
      if (/^on/i.test(name)) found.push(`<${one.localName} ${name}>`);
      if (leads.test(name) && URL.canParse(value, document.baseURI) && !isOurs(one, new URL(value, document.baseURI))) {
        found.push(`<${one.localName} ${name}=${value.slice(0, 60)}>`);
      }
    }
  }
  if ('ran' in globalThis || 'hostile' in {} || 'hostile' in []) found.push('something ran');
  return [...new Set(found)];
}"""
# How many hostile texts are in the page as text, to know that they got there.
SHOWN = """() => {
  const boxes = [...document.querySelectorAll('input, textarea, option, [alt], [title]')];
  const text = [document.documentElement.textContent, ...boxes.map((one) => `${one.value ?? ''} ${one.alt ?? ''}`)];
  return text.join(' ').split(/hostile|alert\\(1\\)|other\\.invalid/).length - 1;
}"""


class Eye(Protocol):
    """One engine: open an address, run a script in the page, report what it should not have seen."""

    name: str

    def open(self, url: str) -> None: ...
    def run(self, js: str, argument: Any = None) -> Any: ...
    def seen(self) -> list[str]: ...


def _is_other(url: str, site: str) -> bool:
    return urlsplit(url).scheme not in ("blob", "data", "about") and urlsplit(url).netloc != urlsplit(site).netloc


class ChromiumEye:
    name = "Chromium"

    def __init__(self, context: BrowserContext, site: str) -> None:
        self.site, self._seen = site, list[str]()
        self.page = context.new_page()
        self.page.set_default_timeout(20_000)
        note = self._seen.append
        self.page.on("dialog", lambda dialog: (note(f"dialog: {dialog.message}"), dialog.dismiss()))
        self.page.on("popup", lambda popup: note(f"window: {popup.url}"))
        self.page.on("console", lambda said: _is_breach(said.text) and note(f"breach: {said.text[:200]}"))
        self.page.on("request", lambda asked: _is_other(asked.url, site) and note(f"request: {asked.url[:100]}"))
        self.page.on("framenavigated", lambda frame: _is_other(frame.url, site) and note(f"left for {frame.url[:100]}"))

    def open(self, url: str) -> None:
        self.page.goto("about:blank")
        self.page.goto(url)

    def run(self, js: str, argument: Any = None) -> Any:
        return self.page.evaluate(js, argument)

    def seen(self) -> list[str]:
        said, self._seen[:] = list(dict.fromkeys(self._seen)), []
        return said


def _is_breach(text: str) -> bool:
    return "Content Security Policy" in text or "This document requires 'Trusted" in text


class WebKitEye:
    name = "WebKit"

    def __init__(self, window: WebKit, site: str) -> None:
        self.window, self.site = window, site
        window.watch()

    def open(self, url: str) -> None:
        self.window.load("about:blank")
        self.window.load(url)

    def run(self, js: str, argument: Any = None) -> Any:
        return self.window.evaluate(f"() => ({js})({json.dumps(argument)})")

    def seen(self) -> list[str]:
        noted = self.window.noted("dialog", "breach", "request")
        bad = [one for one in noted if one["what"] != "request" or _is_other(one["text"], self.site)]
        return list(dict.fromkeys(f"{one['what']}: {one['text'][:200]}" for one in bad))


def until(eye: Eye, js: str, what: str, seconds: float = 20) -> None:
    wait_for(lambda: eye.run(js), what, seconds, step=0.03)
