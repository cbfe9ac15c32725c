"""One build of the whole site around a theme's builder: started before it and finished after it."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from generator.faults import Fault
from generator.site import build, disk, earlier, places, policy, swap
from generator.terminal import report

LOOK = "HANDTURN_LOOK"
"""Set in the environment of a build that is only for a look: it is not compared with the last one."""


class Stopped(Exception):
    """A build that stops here. Its text says why and what to do."""


class Making:
    """Remembers the last good sources from one build of a preview to the next."""

    built: build.Built | None = None
    fresh: swap.Fresh | None = None

    def __init__(self, serving: bool) -> None:
        self.serving = serving
        self.scripts: set[str] = set()
        """Inline scripts that came with a page's own text. They get no hash in the policy."""

    def begin(self, root: Path, own: tuple[str, str], site: Path, others: tuple[str, ...]) -> Path:
        """The folder that the theme's builder writes to, for sources in the folders `own` of `root` and in `others`: a
        preview's is `site` itself. Raises Stopped for faults, Refused where no site may go."""
        if not self.serving:
            self.fresh = swap.Fresh(site, places.sources_of(root, *own, *others))
        texts, self.overrides = disk.read_sources(root, own), disk.read_overrides()
        pictures = disk.read_pictures(root, own[0])
        built = build.build(texts, pictures, self.overrides)
        self._tell(built.checked.faults, texts)
        self.since = self._since(built)
        self._tell(self.since.faults, texts)
        if not built.checked.faults:
            self.built, self.pictures = built, pictures
        return self.fresh.open(built.scope_id) if self.fresh else site

    def pages(self) -> dict[str, str | bytes]:
        """Return the pages that the builder makes besides its own, and their drawings, by path."""
        assert self.built
        return build.made_pages(self.built.checked, self.pictures)

    def add_text(self, html: str) -> None:
        """Take the text of one page before the theme goes around it."""
        self.scripts.update(policy.inline_scripts(html))

    def finish(self, folder: Path, sources: Mapping[str, tuple[str, str]], is_good: bool) -> Path:
        """Add our own pages to what the builder wrote into the folder, and let all of it take the site's place if it
        `is_good`; gives the site. `sources` as `build.check_pages` has them. Raises as `begin`."""
        assert self.built
        site, template = disk.read_site(folder), self.overrides["sw.js"]
        self._tell(build.check_pages(site, sources), dict(sources.values()))
        if not self.fresh:
            disk.write_files(build.preview(self.built, template), folder)
            return folder
        disk.write_files(build.whole(self.built, site, template, self.scripts), folder)
        if is_good:
            self.fresh.take_place()
            for note in [*self.fresh.notes, *filter(None, [report.noted(self.since.notes)])]:
                print(note, file=sys.stderr)
        return self.fresh.site

    def give_up(self, error: Exception) -> str | None:
        """Drop what was started. Return what to tell a person about this error, or None if whoever raised it says
        it."""
        fresh = self.fresh
        if fresh:
            fresh.close()
        if fresh and isinstance(error, OSError):
            return str(places.in_words(error, fresh.named))
        return str(error) if isinstance(error, Stopped | places.PlaceRefused) else None

    def _since(self, built: build.Built) -> earlier.Compared:
        """Compare with the last build. A preview takes no site's place, so a lead may look at every draft."""
        if self.fresh is None or LOOK in os.environ or built.checked.faults:
            return earlier.Compared()
        return earlier.compare(self.fresh.earlier(built.scope_id), built.checked)

    def _tell(self, faults: tuple[Fault, ...], texts: Mapping[str, str | bytes]) -> None:
        """Stop the build. A preview goes on with the last good sources instead, because an exception would end it."""
        if not faults:
            return
        said = report.text(faults, texts)
        if not (self.serving and self.built):
            raise Stopped(said)
        print(f"\n{said}", file=sys.stderr)
