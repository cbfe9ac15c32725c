"""A small site with every kind of file the worker meets, marked with its version through and through."""

from pathlib import Path

from generator.bundle import removing_worker, worker

OVERRIDES = Path(__file__).parents[2] / "site_overrides"
TEMPLATE = (OVERRIDES / "sw.js").read_text()
ODD_NAME = "pictures/as found, bay 2 & größe.svg"
PACKS = {"belt": ["w/belt/sheet.json", ODD_NAME]}

APP = """
import { startOffline, takeUpdate } from './phone/offline.js';
globalThis.version = '%s';
globalThis.states = [];
globalThis.takeUpdate = takeUpdate;
globalThis.stop = startOffline({ onState: (state, detail) => states.push({ state, ...detail }) });
"""

# The versions of page, style, script and a file fetched late; all one version means that nothing is mixed.
VERSIONS = """async () => {
  const up = document.getElementById('home').getAttribute('href');
  const lazy = await fetch(up + 'w/belt/sheet.json').then(answer => answer.json());
  const style = getComputedStyle(document.documentElement).getPropertyValue('--version');
  return [document.documentElement.dataset.version, JSON.parse(style), globalThis.version, lazy.version];
}"""


def _page(version: str, up: str, text: str = "") -> bytes:
    return f"""<!doctype html>
<html lang="en" data-version="{version}">
<head><meta charset="utf-8"><title>{version}</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="{up}style.css">
<script type="module" src="{up}app.js"></script>
</head>
<body><h1>{text or version}</h1><p><a id="home" href="{up}">Start</a></p><textarea id="note"></textarea></body>
</html>""".encode()


def files_of(version: str) -> dict[str, bytes]:
    return {
        "index.html": _page(version, "./"),
        "x/index.html": _page(version, "../"),
        "offline/index.html": _page(version, "../", "Not on this phone"),
        "404.html": _page(version, "./", "Not found"),
        "style.css": f':root {{ --version: "{version}" }}'.encode(),
        "app.js": (APP % version).encode(),
        "phone/offline.js": f"// {version}\n".encode() + (OVERRIDES / "phone" / "offline.js").read_bytes(),
        "phone/trusted.js": f"// {version}\n".encode() + (OVERRIDES / "phone" / "trusted.js").read_bytes(),
        "w/belt/sheet.json": f'{{"version": "{version}"}}'.encode(),
        ODD_NAME: f'<svg xmlns="http://www.w3.org/2000/svg"><!-- {version} --></svg>'.encode(),
    }


def with_worker(files: dict[str, bytes], shop: str = "lower-lane") -> dict[str, bytes]:
    text = worker(TEMPLATE, files, scope_id=shop, packs=PACKS)
    return {**files, "sw.js": text.encode()}


def site(version: str, shop: str = "lower-lane") -> dict[str, bytes]:
    return with_worker(files_of(version), shop)


def preview(version: str) -> dict[str, bytes]:
    """The same site as `mkdocs serve` shows it."""
    return {**files_of(version), "sw.js": removing_worker(TEMPLATE).encode()}
