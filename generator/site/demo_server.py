"""A plain file server for the demo, on this machine alone: the files of one site and nothing else."""

from __future__ import annotations

import functools
import http.server
import io
import os
import sys
from http import HTTPStatus
from pathlib import Path
from typing import Any, BinaryIO


def serving(site: Path, port: int) -> Server:
    """Return a server for this site, bound but not running yet. Raises OSError when the port is taken."""
    return Server(("127.0.0.1", port), functools.partial(SiteHandler, directory=str(site)))


class Server(http.server.ThreadingHTTPServer):
    def handle_error(self, request: Any, client_address: Any) -> None:
        if not isinstance(sys.exception(), ConnectionError):  # the browser has gone away
            super().handle_error(request, client_address)


class SiteHandler(http.server.SimpleHTTPRequestHandler):
    """Serves the files of one site. It tells browsers to ask again each time, lists no folder, follows no link out
    of the site and logs little."""

    extensions_map = {  # noqa: RUF012 - the base class has it so
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".webmanifest": "application/manifest+json",
    }

    def send_head(self) -> io.BytesIO | BinaryIO | None:
        if not self._is_of_the_site():
            self.send_error(HTTPStatus.NOT_FOUND)
            return None
        return super().send_head()

    def _is_of_the_site(self) -> bool:
        """True if the path is inside the site after following every link."""
        try:
            asked = Path(self.translate_path(self.path))
            real = [asked.resolve(strict=True), *((asked / name).resolve() for name in self._index(asked))]
        except (
            OSError,
            ValueError,
            RuntimeError,
        ):  # a character or a length that no file name can have, or links in a circle
            return False
        top = Path(os.path.realpath(self.directory))
        return all(each.is_relative_to(top) for each in real)

    def _index(self, asked: Path) -> tuple[str, ...]:
        """Return the names of the files that the base class may send for a folder."""
        return ("index.html", "index.htm") if asked.is_dir() else ()

    def list_directory(self, path: str | os.PathLike[str]) -> None:
        self.send_error(HTTPStatus.NOT_FOUND)

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        pass
