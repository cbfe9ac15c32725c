"""A small site with every kind of file that the worker meets. Every file shows its version.

    Server({"/": site("v1")})                        # as `bundle` lists it, with sw.js and packs.json
    server.put("/", with_worker({**files_of("v2"), "more.txt": b"in the shell"}, packs=PACKS))

It has all that `phone/site/offline.js` imports (OURS). A page stores all packs until `choose([names])`, and the choice
outlives the page. Its globals are `choose`, `states` (what openOffline reported), `site` (what openOffline returned)
and `takeUpdate`. Files of no pack belong to the shell. A pack's file must be among the files.
"""

import hashlib
import json
from dataclasses import replace
from pathlib import Path

from generator.site.bundle import Pack, holding, removing_worker, worker_files

OVERRIDES = Path(__file__).parents[2] / "site_overrides"
TEMPLATE = (OVERRIDES / "sw.js").read_text()
ODD_NAME = "pictures/as found, bay 2 & größe.svg"
OURS = ("site/offline.js", "base/own.js", "base/trusted.js", "words/site.js", "site/workers.js")
PACKS = {
    "belt": Pack("Belt", ("w/belt/index.html", "w/belt/sheet.json", ODD_NAME), engine="2.0 in line"),
    "guide": Pack("Guide", ("guide/index.html",), "guide"),
    "pump": Pack("Pump", ("w/pump/index.html", "w/pump/sheet.json"), engine="2.0 in line"),
}

APP = """
import { openOffline, takeUpdate } from './phone/site/offline.js';
globalThis.version = '%s';
globalThis.states = [];
globalThis.takeUpdate = takeUpdate;
globalThis.site = openOffline({
  patience: Number(sessionStorage.getItem('patience')) || undefined, // ms; for a test that has less of it
  pins: async () => await (await caches.match('/choice'))?.json() ?? null,
});
site.start((state, detail) => states.push({ state, ...detail }));
globalThis.choose = async names => {
  await (await caches.open('choice')).put('/choice', new Response(JSON.stringify(names)));
  await site.chosen();
};
"""

# The versions of page, style, script and a file fetched late. If all are one version, nothing is mixed.
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
        **{f"phone/{name}": f"// {version}\n".encode() + (OVERRIDES / "phone" / name).read_bytes() for name in OURS},
        "guide/index.html": _page(version, "../", "Guide"),
        "w/belt/index.html": _page(version, "../../", "Belt"),
        "w/pump/index.html": _page(version, "../../", "Pump"),
        "w/pump/sheet.json": f'{{"version": "{version}"}}'.encode(),
        "w/belt/sheet.json": f'{{"version": "{version}"}}'.encode(),
        ODD_NAME: f'<svg xmlns="http://www.w3.org/2000/svg"><!-- {version} --></svg>'.encode(),
    }


def with_worker(files: dict[str, bytes], shop: str = "lower-lane", packs: dict[str, Pack] = PACKS) -> dict[str, bytes]:
    """Return the files with their worker and index. Every worksheet pack gets the digest of its sheet."""
    held = holding(files, {name: _with_digest(name, pack, files) for name, pack in packs.items()})
    return {**files, **{path: text.encode() for path, text in worker_files(TEMPLATE, held, shop).items()}}


def _with_digest(name: str, pack: Pack, files: dict[str, bytes]) -> Pack:
    sheet = files.get(f"w/{name}/sheet.json")
    return replace(pack, sheet=hashlib.sha256(sheet).hexdigest()) if sheet else pack


def version_of(files: dict[str, bytes]) -> str:
    """Return the version that a site's own sw.js states."""
    return json.loads(files["sw.js"].decode().removeprefix("const SITE = ").split(";\n", 1)[0])["version"]


def site(version: str, shop: str = "lower-lane") -> dict[str, bytes]:
    return with_worker(files_of(version), shop)


def preview(version: str, why: str = "preview") -> dict[str, bytes]:
    """Return the same site as `mkdocs serve` shows it, or given up."""
    return {**files_of(version), "sw.js": removing_worker(TEMPLATE, why).encode()}
