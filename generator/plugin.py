"""MkDocs is an adapter: it checks first, builds beside the old site, adds pages of procedures, the worker last."""

from __future__ import annotations

import logging
from pathlib import Path
from typing import Any

from mkdocs.config import base
from mkdocs.config import config_options as c
from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.plugins import BasePlugin, event_priority
from mkdocs.structure.files import File, Files
from mkdocs.utils import CountHandler

from generator.site.making import Making


class HandturnConfig(base.Config):  # type: ignore[no-untyped-call]
    procedures = c.Type(str, default="procedures")
    shop = c.Type(str, default="demo_jobs")


class HandturnPlugin(BasePlugin[HandturnConfig]):  # type: ignore[no-untyped-call]
    """Declared in mkdocs.yml as `handturn`; needs nothing of the theme."""

    def __init__(self) -> None:
        self.making = Making(serving=False)  # a program that calls MkDocs itself sends no startup

    def on_startup(self, *, command: str, **kwargs: Any) -> None:
        self.making = Making(serving=command == "serve")

    def on_config(self, config: MkDocsConfig, **kwargs: Any) -> MkDocsConfig:
        root = Path(config.config_file_path).parent
        config.watch += [str(root / folder) for folder in self._folders() if (root / folder).is_dir()]
        return config

    @event_priority(100)
    def on_pre_build(self, *, config: MkDocsConfig, **kwargs: Any) -> None:
        root, others = Path(config.config_file_path).parent, (config.docs_dir, *config.theme.dirs)
        config.site_dir = str(self.making.begin(root, self._folders(), Path(config.site_dir), others))

    def on_files(self, files: Files, *, config: MkDocsConfig, **kwargs: Any) -> Files:
        for path, text in self.making.pages().items():
            files.append(File.generated(config, path, content=text))
        return files

    @event_priority(-100)
    def on_page_content(self, html: str, **kwargs: Any) -> None:
        self.making.add_text(html)

    def on_env(self, env: Any, *, config: MkDocsConfig, files: Files, **kwargs: Any) -> None:
        docs, pages = Path(config.docs_dir).name, files.documentation_pages()
        self.texts = {file.dest_uri: (f"{docs}/{file.src_uri}", file.content_string) for file in pages}

    @event_priority(-100)
    def on_post_build(self, *, config: MkDocsConfig, **kwargs: Any) -> None:
        counters = [log for log in logging.getLogger("mkdocs").handlers if isinstance(log, CountHandler)]
        warned = any(log.get_counts() for log in counters)  # a strict build: MkDocs ends it next
        config.site_dir = str(self.making.finish(Path(config.site_dir), self.texts, is_good=not warned))

    def on_build_error(self, *, error: Exception, **kwargs: Any) -> None:
        if told := self.making.give_up(error):
            raise PluginError(f"\n{told}")

    def _folders(self) -> tuple[str, str]:
        return self.config.procedures, self.config.shop
