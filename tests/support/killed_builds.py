"""Builds that are killed before one of their steps on the disk, and what the next command makes of that."""

from __future__ import annotations

import shutil
from pathlib import Path

from tests.support.forked import Ended, run
from tests.support.shop_folder import change, leftovers, project, shot, spoil, write

BUILD = ("build", "--shop", "shop")


class Before:
    """A shop with a good site, a person's own things in it, and changed sources."""

    def __init__(self, folder: Path, program: str = "handturn") -> None:
        self.folder, self.program = project(folder / "shop"), program
        self.words = BUILD if program == "handturn" else ("build", "-q")
        assert self.build().code == 0
        self.site = self.folder / "site"
        write(self.site)
        self.good = shot(self.site)
        change(self.folder)
        self.sources = shot(self.folder / "shop") | shot(self.folder / "procedures") | shot(self.folder / "docs")
        shutil.copytree(self.folder, folder / "kept", symlinks=True)
        self.kept = folder / "kept"
        ended = self.build()
        assert ended.code == 0, ended.said
        self.steps, self.new = ended.steps, shot(self.site)
        assert self.new != self.good and not leftovers(self.folder)

    def build(self, kill=None) -> Ended:
        return run(self.words, self.folder, kill=kill, program=self.program)

    def again(self) -> None:
        shutil.rmtree(self.folder)
        shutil.copytree(self.kept, self.folder, symlinks=True)

    def trial(self, kill) -> str:
        """Kill one build, then run a command that builds nothing, then a good build. Return what the kill left."""
        self.again()
        assert self.build(kill).code == -9
        was = "new" if self._is(self.new) else "old" if self._is(self.good) else "none"
        assert was != "none" or not self.site.exists(), "the site is neither the old one nor the new one"
        sources = self.folder / "shop/shop.yml"
        text = sources.read_text()
        spoil(self.folder)
        stopped = self.build()
        assert stopped.code == 1 and "Traceback" not in stopped.said, stopped.said
        assert self._is(self.new if was == "new" else self.good), f"not put back: {stopped.said}"
        assert not leftovers(self.folder), stopped.said
        sources.write_text(text)
        assert self.build().code == 0
        assert self._is(self.new) and not leftovers(self.folder)
        return was

    def _is(self, wanted: dict[str, str]) -> bool:
        return shot(self.site) == wanted


def in_the_gap(site: Path):
    """Kill the build before the second of the two renames."""
    return lambda number, event, args: event == "os.rename" and Path(args[1]) == site and Path(args[0]).name == "new"
