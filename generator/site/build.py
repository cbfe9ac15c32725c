"""The only composer of the stages: sources in, the files of a site out. Text and bytes; no disk, no MkDocs."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import Any

from generator import render
from generator.canonical import canonical
from generator.check import Library, check_all
from generator.compile import compile_library, digest_of
from generator.compile.calculators import calculators
from generator.compile.compose import Composed
from generator.faults import Fault, in_order
from generator.faults.consequences import causes
from generator.faults.source import SendsAway
from generator.inputs.door import files_of
from generator.inputs.pictures import check_pictures
from generator.model import Job
from generator.place import Place
from generator.quantities.dates import today_in, zone_of
from generator.sheet_types import WorksheetJson
from generator.site import bundle, guide_pages, policy

TEMPLATES = "templates/"


@dataclass(frozen=True)
class Findings:
    """What check found: the library, a worksheet for each whole job and engine it fits, and the faults. `notes` says
    what gave no worksheet although nothing is wrong with it. Without faults there is at least one worksheet, if the
    library has its folders. `jobs` has what each worksheet was written from, by the worksheet's name."""

    library: Library
    sheets: tuple[WorksheetJson, ...]
    faults: tuple[Fault, ...]
    notes: tuple[Fault, ...] = ()
    jobs: Mapping[str, Composed] = field(default_factory=dict)


@dataclass(frozen=True)
class Built:
    """The files of a site by path, and a pack for each worksheet. If there are `checked.faults`, nothing was built."""

    checked: Findings
    files: Mapping[str, bytes] = field(default_factory=dict)
    packs: Mapping[str, bundle.Pack] = field(default_factory=dict)
    scope_id: str = ""


def check_texts(
    texts: Mapping[str, bytes | str],
    pictures: Mapping[str, bytes] | frozenset[str] = frozenset(),
    day: datetime.date | None = None,
) -> Findings:
    """Read, check and compile every source. A file with faults of its own is not judged as part of a job too. The
    names of pictures are enough to judge the sources; with their bytes the pictures are judged as well. `day` is as
    in `check_all`."""
    library, found = check_all(texts, day)
    looks = check_pictures(pictures) if isinstance(pictures, Mapping) else ()
    pictured = files_of(pictures)
    found = [*pictured.missing, *pictured.refused, *found, *looks]
    compiled = compile_library(library, frozenset(pictures), write=not found)
    found = in_order(causes([*found, *compiled.faults]))
    if found:
        return Findings(library, (), tuple(found))
    return Findings(library, tuple(compiled.sheets), (), tuple(compiled.notes), compiled.jobs)


def build(
    texts: Mapping[str, bytes],
    pictures: Mapping[str, bytes],
    overrides: Mapping[str, bytes],
    day: datetime.date | None = None,
) -> Built:
    """Build all pages of a site except the theme's: start, jobs, worksheets and the phone's code. The same sources
    give the same bytes. `day` is today in the shop: it tells the printed torque sheets whose calibration is overdue,
    and no value can have been read after it (see `check_all`)."""
    checked = check_texts(texts, pictures, day)
    if checked.faults:
        return Built(checked)
    shop = checked.library.shop
    today = (day or today_of(checked.library)).isoformat()
    shop_id, title = shop_of(checked.library), shop.noun.title if shop else "The shop"
    templates = {path.removeprefix(TEMPLATES): text.decode() for path, text in overrides.items() if _template(path)}
    site = render.Site.of(shop_id, title, templates, "guide/")
    files = {path: content for path, content in overrides.items() if not _template(path) and path != "sw.js"}
    packs: dict[str, bundle.Pack] = {}
    for sheet in checked.sheets:
        made = _worksheet(sheet, site, pictures, today)
        packs[sheet["worksheet"]] = _pack(sheet, tuple(made))
        files |= made
    files |= _pages(checked, site)
    return Built(checked, dict(sorted(files.items())), packs, shop_id)


def today_of(library: Library) -> datetime.date:
    """Return the day that it is now in the shop. Without a time zone it is the day of this machine's own clock."""
    return today_in(zone_of(library.shop.noun.time_zone) if library.shop else None)


def shop_of(library: Library) -> str:
    """Return the shop's id, by which its site is known."""
    return library.shop.noun.shop if library.shop else "shop"


def check_pages(pages: Mapping[str, bytes], sources: Mapping[str, tuple[str, str]]) -> tuple[Fault, ...]:
    """Return the faults of the guide's pages as they were made. `sources` has the name and the text each was made
    from, by the page's path. Something in the page that is not in its source, because a setting put it there, gets
    the source's first line as its place."""
    made = {path: body.decode(errors="replace") for path, body in pages.items() if path.endswith(policy.PAGES)}
    away = [sources.get(path, (path, "")) for path, page in sorted(made.items()) if policy.refreshes(page)]
    return tuple(
        SendsAway(Place(name, text[:at].count("\n") + 1, at - text.rfind("\n", 0, at)))
        for name, text in away
        for at in policy.refreshes(text)[:1] or [0]
    )


def whole(built: Built, theme: Mapping[str, bytes], template: bytes, foreign: Collection[str]) -> dict[str, bytes]:
    """Return the files of the whole site that are not yet among the theme's: the theme's pages with their policy
    (see `policy.for_theme`), our own pages, the worker."""
    made = {**policy.for_theme(theme, foreign), **built.files}
    return {**made, **add_worker(built, {**theme, **made}, template)}


def preview(built: Built, template: bytes) -> dict[str, bytes]:
    """Do the same for a preview. It puts a script of its own into the pages, so they get no policy, and no phone
    stores it."""
    return {**built.files, "sw.js": bundle.removing_worker(template.decode()).encode()}


def add_worker(built: Built, files: Mapping[str, bytes], template: bytes) -> dict[str, bytes]:
    """Add `packs.json` and `sw.js` for the whole site. Files that were not built here (the theme's pages and all
    they need) make up one pack, the guide."""
    ours = {*built.files, bundle.INDEX}
    more = {path: content for path, content in files.items() if path not in ours}
    pages = tuple(path for path in more if bundle.worth_keeping(path))
    packs = {
        **built.packs,
        **({bundle.GUIDE: bundle.Pack("Guide and procedures to read", pages, "guide")} if pages else {}),
    }
    held = bundle.holding({**more, **built.files}, packs)
    made = bundle.worker_files(template.decode(), held, built.scope_id)
    return {path: text.encode() for path, text in made.items()}


def made_pages(checked: Findings, pictures: Mapping[str, bytes]) -> dict[str, str | bytes]:
    """Return what the guide has of the library and the worksheets, by its path in the docs folder: a page for each
    procedure, one of trade words with their drawings, one of cautions and one of questions for each worksheet."""
    library = checked.library
    engines = [library.engines[name].noun for name in sorted(library.engines)]
    procedures = {name: library.procedures[name].noun for name in sorted(library.procedures)}
    drawings = {word: drawn.means for word, drawn in library.trade.drawings.items()}
    cautions = {sheet["worksheet"]: guide_pages.cautions_page(sheet) for sheet in checked.sheets}
    questions = {name: page for name, job in checked.jobs.items() if (page := _questions(job))}
    return {
        **{f"procedures/{name}.md": guide_pages.reference_page(one, engines) for name, one in procedures.items()},
        "guide/reading-room.md": guide_pages.reading_room(checked.sheets, questions.keys()),
        "guide/words.md": guide_pages.words_page(procedures.values(), drawings, "../drawings/{}"),
        **{f"guide/cautions/{name}.md": page for name, page in cautions.items()},
        **{f"guide/questions/{name}.md": page for name, page in questions.items()},
        **{f"guide/drawings/{name}": content for name, content in pictures.items()},
    }


def _questions(job: Composed) -> str:
    """Return the page of questions for the stages of one job, each once and in its order; "" where nobody asks any."""
    uses = {(placed.scope.prefix, placed.stage.loc): placed.stage for placed in job.present}
    stages = [(use.scope.title(use.stage.stage), use.stage.questions) for use in uses.values()]
    title, engine = job.procedure.noun.title, job.engine.noun.title
    return guide_pages.questions_page(title, engine, stages) if any(asked for _, asked in stages) else ""


def _template(path: str) -> bool:
    return path.startswith(TEMPLATES)


def _pack(sheet: WorksheetJson, paths: tuple[str, ...]) -> bundle.Pack:
    engine, steps = sheet["engine"]["title"], len(sheet["steps"])
    return bundle.Pack(sheet["title"], paths, "worksheet", engine, sheet["revision"], steps, digest_of(sheet))


def _worksheet(sheet: WorksheetJson, site: render.Site, pictures: Mapping[str, bytes], day: str) -> dict[str, bytes]:
    folder = f"w/{sheet['worksheet']}/"
    text = canonical(sheet).encode()
    shown = {step["picture"]["file"] for step in sheet["steps"] if step["picture"]}
    made = {f"{folder}pictures/{name}": pictures[name] for name in sorted(shown)}
    page = render.worksheet_page(sheet, digest_of(sheet), site).encode()
    torque = render.torque_page(sheet, digest_of(sheet), site, day).encode()
    pages = {f"{folder}index.html": page, f"{folder}torque/index.html": torque}
    return {**pages, f"{folder}sheet.json": text, **made}


def _pages(checked: Findings, site: render.Site) -> dict[str, bytes]:
    jobs = [_written(job.noun) for _, job in sorted(checked.library.jobs.items())]
    return {
        "index.html": render.start_page(site, checked.sheets, jobs).encode(),
        "jobs/index.html": render.jobs_page(site, checked.sheets).encode(),
        "calculators/index.html": render.calculators_page(site).encode(),
        "calculators/data.json": canonical(calculators(checked.library)).encode(),
        "offline/index.html": render.offline_page(site).encode(),
        "manifest.webmanifest": render.manifest(site).encode(),
    }


def _written(job: Job) -> dict[str, Any]:
    """A job the lead wrote beforehand, as the start page links to it."""
    return {**dict(job), "worksheet": f"{job.procedure}--{job.engine}"}
