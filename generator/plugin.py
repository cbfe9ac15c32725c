"""MkDocs is an adapter: it checks before the old site is wiped, adds a page for each procedure, and the worker last."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from mkdocs.config import base
from mkdocs.config import config_options as c
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files

from generator import build, bundle, disk, policy, report


class HandturnConfig(base.Config):  # type: ignore[no-untyped-call]
    procedures = c.Type(str, default="procedures")
    shop = c.Type(str, default="demo_jobs")


class HandturnPlugin(BasePlugin[HandturnConfig]):  # type: ignore[no-untyped-call]
    """Declared in mkdocs.yml as `handturn`; needs nothing of the theme."""

    built: build.Built | None = None
    serving = False

    def on_startup(self, *, command: str, **kwargs: Any) -> None:
        self.serving = command == "serve"
        self.scripts_of_texts: set[str] = set()

    def on_config(self, config: MkDocsConfig, **kwargs: Any) -> MkDocsConfig:
        root = Path(config.config_file_path).parent
        config.watch += [str(root / folder) for folder in self._folders() if (root / folder).is_dir()]
        return config

    def on_pre_build(self, *, config: MkDocsConfig, **kwargs: Any) -> None:
        root = Path(config.config_file_path).parent
        texts = disk.read_sources(root, self._folders())
        self.overrides = disk.read_overrides()
        built = build.build(texts, disk.read_pictures(root, self.config.procedures), self.overrides)
        if not built.checked.faults:
            self.built = built
            return
        said = "\n" + report.text(built.checked.faults, texts)
        if not (self.serving and self.built):
            raise PluginError(said)
        print(said, file=sys.stderr)  # the preview goes on with the last good sources; an exception would stop it

    def on_files(self, files: Files, *, config: MkDocsConfig, **kwargs: Any) -> Files:
        assert self.built
        for path, text in build.reference_pages(self.built.checked.library).items():
            files.append(File.generated(config, path, content=text))
        return files

    @event_priority(-100)
    def on_page_content(self, html: str, **kwargs: Any) -> None:
        self.scripts_of_texts.update(policy.inline_scripts(html))

    @event_priority(-100)
    def on_post_build(self, *, config: MkDocsConfig, **kwargs: Any) -> None:
        assert self.built
        site, template = Path(config.site_dir), self.overrides["sw.js"]
        if not self.serving:  # the preview's own script reloads its pages
            disk.write_files(policy.for_theme(disk.read_site(site), self.scripts_of_texts), site)
        disk.write_files(self.built.files, site)
        if self.serving:
            (site / "sw.js").write_text(bundle.removing_worker(template.decode()))
        else:
            disk.write_files(build.add_worker(self.built, disk.read_site(site), template), site)

    def _folders(self) -> tuple[str, str]:
        return self.config.procedures, self.config.shop
