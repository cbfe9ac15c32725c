"""Places that somebody may build into, on purpose or by a slip, each in a sandbox of its own.

A place is a function that gets a stage and returns where the site is to go. Whatever is in the sandbox by then, and was
not made by a build, must survive the command, byte for byte and under its name.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from generator.site.bundle import MANIFEST
from tests.support.forked import Ended, run
from tests.support.shop_folder import BY_HAND, change, project, shot, write

EARLIER = Path(__file__).parents[1] / "earlier_site"
NOBODY = 65534


@dataclass
class Stage:
    """A sandbox: a project in `shop/`, a home folder with a file in `home/`."""

    box: Path
    program: str = "handturn"
    user: int | None = None
    made: dict[str, str] = field(default_factory=dict)
    """What a build made, by path in the sandbox, as it made it."""
    undo: ExitStack = field(default_factory=ExitStack)

    def __post_init__(self) -> None:
        self.shop = project(self.box / "shop")
        self.home = self.box / "home"
        write(self.home, {"letters/to the bank.txt": "mine\n"})

    def build(self, out: str | Path, *more: str) -> Ended:
        words = ["build", "-q", "-d", str(out)] if self.program == "mkdocs" else ["build", "--shop", "shop"]
        words += ["--out", str(out)] if self.program == "handturn" else []
        return run([*words, *more], self.shop, home=self.home, user=self.user, program=self.program)

    def site(self, out: str | Path = "site") -> Path:
        """Build a good site, and remember what was made."""
        user, self.user = self.user, None
        ended = self.build(out)
        assert ended.code == 0, ended.said
        self.user = user
        return self.remember(self.shop / out)

    def remember(self, site: Path) -> Path:
        real = site.resolve()
        self.made |= {(real / path).relative_to(self.box).as_posix(): what for path, what in shot(real).items()}
        return site

    def empty(self, folder: Path) -> None:
        """Make an empty folder that may be filled."""
        folder.mkdir(exist_ok=True)
        self.made[folder.relative_to(self.box).as_posix()] = "folder"

    def mount(self, at: Path, *words: str) -> Path:
        at.mkdir(exist_ok=True, parents=True)
        subprocess.run(["mount", *words, str(at)], check=True, capture_output=True)
        self.undo.callback(subprocess.run, ["umount", "-l", str(at)], check=True, capture_output=True)
        return at

    def must_survive(self) -> dict[str, str]:
        return {path: what for path, what in shot(self.box).items() if self.made.get(path) != what}

    def hand_over(self) -> None:
        """Give the sandbox to a user who is not allowed everything."""
        for here, folders, files in os.walk(self.box):
            for name in [".", *folders, *files]:
                os.chown(Path(here, name), NOBODY, NOBODY, follow_symlinks=False)
        self.user = NOBODY


@dataclass(frozen=True)
class Place:
    name: str
    wanted: str
    """`built` or `refused`."""
    set_up: Callable[[Stage], str | Path]
    needs: str = ""
    """`root` where only root can set it up."""
    careless: bool = False
    """Whether the control, a build that replaces whatever it finds, is tried there too and must lose something."""


PLACES: list[Place] = []


def place(name: str, wanted: str, needs: str = "", careless: bool = False) -> Callable:
    def add(set_up: Callable[[Stage], str | Path]) -> Callable:
        PLACES.append(Place(name, wanted, set_up, needs, careless))
        return set_up

    return add


# --- Folders a build may have -----------------------------------------------------------------------------------------


@place("not there yet", "built")
def _(stage: Stage) -> str:
    return "site"


@place("not there yet, nor the folders above it", "built")
def _(stage: Stage) -> str:
    return "public/www/site"


@place("an empty folder", "built")
def _(stage: Stage) -> str:
    stage.empty(stage.shop / "site")
    return "site"


@place("the last site", "built")
def _(stage: Stage) -> str:
    stage.site()
    change(stage.shop)
    return "site"


@place("the last site, with a person's files", "built", careless=True)
def _(stage: Stage) -> str:
    site = stage.site()
    hidden = {".htaccess": "deny\n", ".well-known/security.txt": "write to us\n", ".nojekyll": ""}
    odd = {"photos/bay 1.txt": "as found\n", "é/ü ß.txt": "accents\n", "w/note.txt": "beside the worksheets\n"}
    write(site, {**BY_HAND, **hidden, **odd})
    (site / "two\nlines").write_text("a name of two lines\n")
    (site / os.fsdecode(b"\xff.txt")).write_text("no UTF-8\n")
    (site / "to docs").symlink_to(stage.shop / "docs")
    (site / "to nowhere").symlink_to("nowhere")
    (site / "for later").mkdir()
    os.mkfifo(site / "pipe")
    (site / "photos/bay 1.txt").chmod(0o400)
    change(stage.shop)
    return "site"


@place("the last site, all its files read-only", "built")
def _(stage: Stage) -> str:
    for path in (site := stage.site()).rglob("*"):
        if path.is_file():
            path.chmod(0o444)
    write(site)
    return "site"


@place("the last site, withdrawn since", "built")
def _(stage: Stage) -> str:
    site = stage.site()
    assert run(["withdraw", "site"], stage.shop).code == 0
    stage.remember(site)
    write(site)
    return "site"


@place("a site of an earlier version", "built", careless=True)
def _(stage: Stage) -> str:
    shutil.copytree(EARLIER, stage.shop / "site")
    write(stage.remember(stage.shop / "site"))
    return "site"


@place("a name with spaces, accents and two lines", "built")
def _(stage: Stage) -> str:
    return "the shop's\nsité"


@place("a name as long as the system takes", "built")
def _(stage: Stage) -> str:
    stage.site("x" * 255)
    write(stage.shop / ("x" * 255))
    return "x" * 255


@place("the sources' names in capitals", "built")
def _(stage: Stage) -> str:
    return "Procedures"


@place("a link to an empty folder", "built")
def _(stage: Stage) -> str:
    stage.empty(stage.box / "www")
    (stage.shop / "site").symlink_to(stage.box / "www")
    return "site"


@place("a link to the last site", "built", careless=True)
def _(stage: Stage) -> str:
    write(stage.site(stage.box / "www"))
    (stage.shop / "site").symlink_to(stage.box / "www")
    return "site"


@place("below another site of this shop", "built")
def _(stage: Stage) -> str:
    write(stage.site())
    return "site/trial"


@place("a folder on another disk", "built", needs="root")
def _(stage: Stage) -> Path:
    stage.empty(stage.mount(stage.box / "disk", "-t", "tmpfs", "tmpfs"))
    return stage.box / "disk/site"


# --- Sources ----------------------------------------------------------------------------------------------------------


@place("the project itself", "refused", careless=True)
def _(stage: Stage) -> str:
    return "."


@place("no name at all", "refused")
def _(stage: Stage) -> str:
    return ""


@place("the project by its parent's name", "refused", careless=True)
def _(stage: Stage) -> str:
    return "../shop"


@place("the folder above the project", "refused", careless=True)
def _(stage: Stage) -> str:
    return ".."


@place("the shop's folder", "refused", careless=True)
def _(stage: Stage) -> str:
    return "shop"


@place("the procedures", "refused", careless=True)
def _(stage: Stage) -> str:
    return "procedures"


@place("the guide's pages", "refused", careless=True)
def _(stage: Stage) -> str:
    return "docs"


@place("in the procedures", "refused")
def _(stage: Stage) -> str:
    return "procedures/site"


@place("in the shop's folder", "refused")
def _(stage: Stage) -> str:
    return "shop/engines/site"


@place("in the guide's pages", "refused")
def _(stage: Stage) -> str:
    return "docs/site"


@place("a link to the sources", "refused", careless=True)
def _(stage: Stage) -> str:
    (stage.shop / "site").symlink_to("procedures")
    return "site"


@place("a link to the folder above", "refused", careless=True)
def _(stage: Stage) -> str:
    (stage.shop / "site").symlink_to("..")
    return "site"


@place("over a link into the sources", "refused")
def _(stage: Stage) -> str:
    (stage.box / "public").symlink_to(stage.shop / "procedures")
    return "../public/site"


@place("a site that holds the project", "refused", careless=True)
def _(stage: Stage) -> Path:
    whole = stage.site(stage.box / "www")
    shutil.move(stage.shop, whole / "shop")
    stage.shop = whole / "shop"
    return whole


@place("the project, reached over a link", "refused")
def _(stage: Stage) -> Path:
    (stage.box / "here").symlink_to(stage.shop)
    real, stage.shop = stage.shop, stage.box / "here"
    return real


@place("the sources, bound to a second name", "refused", needs="root")
def _(stage: Stage) -> Path:
    return stage.mount(stage.box / "second", "--bind", str(stage.shop / "procedures"))


# --- Folders of somebody else -----------------------------------------------------------------------------------------


@place("the site of another shop", "refused", careless=True)
def _(stage: Stage) -> str:
    settings = stage.shop / "shop/shop.yml"
    text = settings.read_text()
    settings.write_text(text.replace("shop: quay", "shop: harbour"))
    stage.site(stage.box / "www")
    settings.write_text(text)
    stage.made.clear()  # another shop asks here, so all of the site must stay
    return "../www"


@place("another program's site", "refused", careless=True)
def _(stage: Stage) -> str:
    write(stage.shop / "site", {"index.html": "<p>Cakes", "sw.js": "self.skipWaiting()", "packs.json": "{}"})
    return "site"


@place("a folder with hidden files alone", "refused", careless=True)
def _(stage: Stage) -> str:
    write(stage.shop / "site", {".git/HEAD": "ref\n", ".env": "mine\n"})
    return "site"


@place("a home folder", "refused", careless=True)
def _(stage: Stage) -> Path:
    return stage.home


@place("an empty home folder", "refused")
def _(stage: Stage) -> Path:
    shutil.rmtree(stage.home)
    stage.home.mkdir()
    return stage.home


@place("the folder of all homes", "refused", careless=True)
def _(stage: Stage) -> Path:
    shutil.move(stage.home, stage.box / "homes/kim")
    stage.home = stage.box / "homes/kim"
    return stage.box / "homes"


@place("the root of the disk", "refused")
def _(stage: Stage) -> str:
    return "/"


@place("a file", "refused", careless=True)
def _(stage: Stage) -> str:
    (stage.shop / "site").write_text("notes\n")
    return "site"


@place("below a file", "refused")
def _(stage: Stage) -> str:
    (stage.shop / "public").write_text("notes\n")
    return "public/site"


@place("a pipe", "refused")
def _(stage: Stage) -> str:
    os.mkfifo(stage.shop / "site")
    return "site"


@place("a link to nowhere", "refused")
def _(stage: Stage) -> str:
    (stage.shop / "site").symlink_to("nowhere")
    return "site"


@place("a link to itself", "refused")
def _(stage: Stage) -> str:
    (stage.shop / "site").symlink_to("site")
    return "site"


@place("a name longer than the system takes", "refused")
def _(stage: Stage) -> str:
    return "x" * 300


# --- Sites that somebody has been at ----------------------------------------------------------------------------------


@place("a page changed by hand", "refused", careless=True)
def _(stage: Stage) -> str:
    with (stage.site() / "index.html").open("a") as page:
        page.write("<p>Closed on Monday")
    return "site"


@place("a page changed by hand, of an earlier version", "refused", careless=True)
def _(stage: Stage) -> str:
    shutil.copytree(EARLIER, stage.shop / "site")
    stage.remember(stage.shop / "site")
    (stage.shop / "site/w/gone--toy/index.html").write_text("<p>Closed on Monday")
    return "site"


@place("a page that is a link now", "refused", careless=True)
def _(stage: Stage) -> str:
    page = stage.site() / "index.html"
    page.unlink()
    page.symlink_to(stage.home / "letters/to the bank.txt")
    return "site"


@place("a person's file that is called like a new page", "refused", careless=True)
def _(stage: Stage) -> str:
    unlisted(stage.site(), "offline/index.html").write_text("my own page\n")
    return "site"


@place("a person's file where a folder must be", "refused", careless=True)
def _(stage: Stage) -> str:
    site = stage.site()
    shutil.rmtree(site / "icons")
    (site / "icons").write_text("what the icons mean\n")
    return "site"


@place("a person's folder where a file must be", "refused", careless=True)
def _(stage: Stage) -> str:
    site = stage.site()
    (site / "index.html").unlink()
    write(site, {"index.html/photo.txt": "as found\n"})
    return "site"


@place("a list that was spoiled", "refused")
def _(stage: Stage) -> str:
    (stage.site() / MANIFEST).write_text('{"v": 1, "made_by": "handturn"')
    return "site"


@place("a list that is a link", "refused")
def _(stage: Stage) -> str:
    site = stage.site()
    shutil.move(site / MANIFEST, stage.box / "list.json")
    (site / MANIFEST).symlink_to(stage.box / "list.json")
    return "site"


# --- Disks and rights -------------------------------------------------------------------------------------------------


@place("a mounted disk itself", "refused", needs="root")
def _(stage: Stage) -> Path:
    return stage.mount(stage.box / "disk", "-t", "tmpfs", "tmpfs")


@place("the last site, a disk mounted in it", "refused", needs="root")
def _(stage: Stage) -> str:
    write(stage.mount(stage.site() / "photos", "-t", "tmpfs", "tmpfs"), {"bay 3.txt": "as found\n"})
    return "site"


@place("the last site, the sources bound into it", "refused", needs="root")
def _(stage: Stage) -> str:
    stage.mount(stage.site() / "procedures", "--bind", str(stage.shop / "procedures"))
    return "site"


@place("a full disk", "refused", needs="root")
def _(stage: Stage) -> Path:
    disk = stage.mount(stage.box / "disk", "-t", "tmpfs", "-o", "size=32m", "tmpfs")
    write(stage.site(disk / "site"))
    stage.made.clear()  # the site is not replaced, so all of it must stay
    (disk / "ballast").write_bytes(bytes(room(disk) - 90_000))
    return disk / "site"


@place("a disk that is read-only", "refused", needs="root")
def _(stage: Stage) -> Path:
    disk = stage.mount(stage.box / "disk", "-t", "tmpfs", "tmpfs")
    write(stage.site(disk / "site"))
    stage.made.clear()
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    return disk / "site"


@place("a folder of somebody else, above the site", "refused", needs="root")
def _(stage: Stage) -> str:
    write(stage.site())
    stage.made.clear()
    stage.hand_over()
    os.chown(stage.shop, 0, 0)
    return "site"


@place("the last site, with a folder that nobody may read", "refused", needs="root")
def _(stage: Stage) -> str:
    write(site := stage.site())
    stage.hand_over()
    (site / "photos").chmod(0)
    stage.undo.callback((site / "photos").chmod, 0o755)
    return "site"


@place("the last site, its folders read-only", "refused", needs="root")
def _(stage: Stage) -> str:
    write(site := stage.site())
    stage.made.clear()
    stage.hand_over()
    for path in [site, *site.rglob("*")]:
        if path.is_dir():
            path.chmod(0o555)
    return "site"


def unlisted(site: Path, path: str) -> Path:
    """Make a file of the site look as if its build had not made it."""
    told = json.loads((site / MANIFEST).read_text())
    del told["files"][path]
    (site / MANIFEST).write_text(json.dumps(told))
    return site / path


def room(disk: Path) -> int:
    about = os.statvfs(disk)
    return about.f_bavail * about.f_frsize


@contextmanager
def staged(box: Path, program: str = "handturn") -> Iterator[Stage]:
    box.chmod(0o755)
    stage = Stage(box, program)
    with stage.undo:
        yield stage
