"""The one test server: serves folders or dicts at any prefix of one origin, and misbehaves on request.

    with Server({"/": {"index.html": b"..."}, "/shop-a/": Path("site")}) as server:
        fault = server.fault("/shop-a/app.js", cut(after=10))
        ...
        server.stop()      # the network is gone; nothing half-open answers any more
        server.start()     # back, on the same port

A fault is a function `(answer) -> None | Answer`. It gets the right answer and returns the one to give, or None for no
answer at all. The server is threaded, and records every request.
"""

from __future__ import annotations

import contextlib
import fnmatch
import mimetypes
import socket
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from types import TracebackType
from typing import Any
from urllib.parse import unquote, urlsplit

Files = Mapping[str, bytes] | Path

CSP = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "object-src 'none'; base-uri 'none'"
)
TYPES = {
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".txt": "text/plain; charset=utf-8",
}


@dataclass(frozen=True)
class Answer:
    status: int
    body: bytes
    headers: Mapping[str, str] = field(default_factory=dict)
    cut_after: int | None = None
    """Close the connection after so many bytes of the body, with the full length announced."""
    delay: float = 0
    """Seconds to wait first; a server that is stopped meanwhile gives no answer."""


Fault = Callable[[Answer], Answer | None]


@dataclass(frozen=True)
class Request:
    method: str
    path: str
    """Decoded, without the query."""
    query: str
    headers: Mapping[str, str]
    at: float
    """Seconds on the monotonic clock."""


@dataclass
class Planted:
    """A fault that was set up. `hits` counts how often it struck."""

    pattern: str
    fault: Fault
    but: str
    first: int
    last: float
    seen: int = 0
    hits: int = 0

    def strikes(self, path: str) -> bool:
        if not fnmatch.fnmatchcase(path, self.pattern) or (self.but and fnmatch.fnmatchcase(path, self.but)):
            return False
        self.seen += 1
        struck = self.first <= self.seen <= self.last
        self.hits += struck
        return struck


# --- faults ---------------------------------------------------------------------------------------------------------


def cut(after: int = 10) -> Fault:
    """Close the connection in the middle of the body."""
    return lambda answer: replace(answer, cut_after=after)


def no_answer() -> Fault:
    """Close the connection before a byte is sent."""
    return lambda answer: None


def delay(seconds: float) -> Fault:
    return lambda answer: replace(answer, delay=seconds)


def corrupt() -> Fault:
    """Turn one bit in the middle byte of the body. The length stays."""

    def turned(answer: Answer) -> Answer:
        body = bytearray(answer.body or b"\0")
        body[len(body) // 2] ^= 1
        return replace(answer, body=bytes(body))

    return turned


def aged(body: bytes, max_age: int = 86400) -> Fault:
    """Send an old body and call it fresh for `max_age` seconds."""
    return lambda answer: replace(answer, body=body, headers={**answer.headers, "Cache-Control": f"max-age={max_age}"})


def status(code: int, body: bytes = b"<!doctype html><title>Fault</title>") -> Fault:
    return lambda answer: Answer(code, body, {"Content-Type": TYPES[".html"]})


def portal() -> Fault:
    """Send the log-in page of somebody else's network in place of anything."""
    return lambda answer: Answer(200, b"<!doctype html><title>Welcome guest</title>", {"Content-Type": TYPES[".html"]})


def redirect(to: str, code: int = 302) -> Fault:
    return lambda answer: Answer(code, b"", {"Location": to})


def headers(**more: str) -> Fault:
    """Send the right answer with other headers: `headers(Vary="Accept", Cache_Control="max-age=60")`."""
    named = {name.replace("_", "-"): value for name, value in more.items()}
    return lambda answer: replace(answer, headers={**answer.headers, **named})


# --- the server -----------------------------------------------------------------------------------------------------


class Server:
    """Serve `sites` (prefix -> folder or {path: bytes}). The longest matching prefix answers."""

    def __init__(self, sites: Mapping[str, Files] | None = None, *, csp: str = CSP) -> None:
        self.csp = csp
        self.port = 0
        self._sites: dict[str, Files] = {}
        self._faults: list[Planted] = []
        self._requests: list[Request] = []
        self._lock = threading.Lock()
        self._open: set[socket.socket] = set()
        self._stopping = threading.Event()
        self._running: tuple[_Listener, threading.Thread] | None = None
        for prefix, files in (sites or {}).items():
            self.put(prefix, files)

    def __enter__(self) -> Server:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def put(self, prefix: str, files: Files) -> None:
        """Serve `files` at `prefix` (begins and ends with a slash) in place of what was there."""
        assert prefix.startswith("/") and prefix.endswith("/"), prefix
        with self._lock:
            self._sites = dict(sorted({**self._sites, prefix: files}.items(), key=lambda site: -len(site[0])))

    def url(self, path: str = "/", host: str = "127.0.0.1") -> str:
        return f"http://{host}:{self.port}{path}"

    def start(self) -> None:
        """Listen, on the same port as before after a stop."""
        assert self._running is None, "already running"
        self._stopping.clear()
        listener = _Listener(("127.0.0.1", self.port), self)
        self.port = listener.server_address[1]
        thread = threading.Thread(target=listener.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
        thread.start()
        self._running = (listener, thread)

    def stop(self) -> None:
        """Stop listening and break every open connection, even one that was opened ahead of need."""
        if self._running is None:
            return
        listener, thread = self._running
        self._running = None
        self._stopping.set()
        listener.shutdown()
        thread.join()
        listener.server_close()
        with self._lock:
            for connection in self._open:
                _break(connection)

    def fault(self, pattern: str, fault: Fault, *, but: str = "", nth: int | None = None, from_nth: int = 1) -> Planted:
        """Let `fault` strike requests whose path matches `pattern` (`*` spans slashes) and not `but`.

        `nth` strikes that one request only, `from_nth` that one and all later ones. Both count from 1, and count only
        requests that match. If several faults match, the last one set up wins.
        """
        planted = Planted(pattern, fault, but, nth or from_nth, nth or float("inf"))
        with self._lock:
            self._faults.insert(0, planted)
        return planted

    def heal(self) -> None:
        """Remove all faults."""
        with self._lock:
            self._faults.clear()

    @property
    def requests(self) -> list[Request]:
        with self._lock:
            return list(self._requests)

    def forget(self) -> None:
        """Clear the record of requests."""
        with self._lock:
            self._requests.clear()

    def asked(self, prefix: str = "/") -> list[str]:
        """Return the paths under `prefix` that were asked for, in order, with repeats."""
        return [request.path for request in self.requests if request.path.startswith(prefix)]

    # For the thread of a connection.

    def answer_to(self, request: Request) -> Answer | None:
        with self._lock:
            self._requests.append(request)
            sites = self._sites
            struck = [planted.fault for planted in self._faults if planted.strikes(request.path)][:1]
        answer: Answer | None = _right_answer(sites, request)
        for fault in struck:
            answer = fault(answer) if answer else None
        if answer and answer.delay and self._stopping.wait(answer.delay):
            return None
        return answer

    def note(self, connection: socket.socket, is_open: bool) -> None:
        with self._lock:
            (self._open.add if is_open else self._open.discard)(connection)


class _Listener(ThreadingHTTPServer):
    daemon_threads = True
    allow_reuse_address = True
    request_queue_size = 64

    def __init__(self, address: tuple[str, int], owner: Server) -> None:
        self.owner = owner
        super().__init__(address, _Connection)

    def process_request(self, request: Any, client_address: Any) -> None:
        self.owner.note(request, True)
        super().process_request(request, client_address)

    def shutdown_request(self, request: Any) -> None:
        self.owner.note(request, False)
        super().shutdown_request(request)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Ignore a browser that hangs up, or our own stop. It is not an error."""


class _Connection(BaseHTTPRequestHandler):
    server: _Listener

    def do_GET(self) -> None:
        owner = self.server.owner
        address = urlsplit(self.path)
        answer = owner.answer_to(
            Request(self.command, unquote(address.path), address.query, dict(self.headers), time.monotonic())
        )
        if answer is None:
            _break(self.connection)
        else:
            self._send(answer)

    do_HEAD = do_POST = do_GET

    def _send(self, answer: Answer) -> None:
        self.send_response(answer.status)
        for name, value in {"Content-Security-Policy": self.server.owner.csp, **answer.headers}.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(answer.body)))
        self.end_headers()
        if self.command == "HEAD":
            return
        self.wfile.write(answer.body if answer.cut_after is None else answer.body[: answer.cut_after])
        if answer.cut_after is not None:
            self.wfile.flush()
            _break(self.connection)

    def log_message(self, format: str, *args: Any) -> None:
        pass


def _right_answer(sites: Mapping[str, Files], request: Request) -> Answer:
    """Return what a plain static host would answer: folders get a slash, unknown paths the site's 404 page."""
    for prefix, files in sites.items():
        if request.path.startswith(prefix):
            return _from_site(files, request.path.removeprefix(prefix), request)
    return _page(404, b"<!doctype html><title>Nothing here</title>")


def _from_site(files: Files, name: str, request: Request) -> Answer:
    if request.method == "POST":
        return _page(HTTPStatus.METHOD_NOT_ALLOWED, b"")
    path = f"{name}index.html" if name == "" or name.endswith("/") else name
    body = _read(files, path)
    if body is not None:
        kind = TYPES.get(PurePosixPath(path).suffix) or mimetypes.guess_type(path)[0]
        return Answer(200, body, {"Content-Type": kind or "application/octet-stream"})
    if _read(files, f"{path}/index.html") is not None:
        query = f"?{request.query}" if request.query else ""
        return Answer(301, b"", {"Location": f"{request.path}/{query}"})
    return _page(404, _read(files, "404.html") or b"<!doctype html><title>Not found</title>")


def _page(code: int, body: bytes) -> Answer:
    return Answer(code, body, {"Content-Type": TYPES[".html"]})


def _read(files: Files, path: str) -> bytes | None:
    if isinstance(files, Mapping):
        return files.get(path)
    root = files.resolve()
    file = (root / path).resolve()
    return file.read_bytes() if file.is_relative_to(root) and file.is_file() else None


def _break(connection: socket.socket) -> None:
    with contextlib.suppress(OSError):  # it is gone already
        connection.shutdown(socket.SHUT_RDWR)
