"""A page on this machine alone that shows the sheets of a watched folder and reloads them when they change.

It is served by the standard library on 127.0.0.1 to the browser beside the CAD program. Nothing but the page,
its state and the sheets of the drawings that were done can be had from it, and only under the names of this
machine.
"""

from __future__ import annotations

import contextlib
import html
import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib import resources
from pathlib import Path
from typing import Final

from perpend.clean_text import visible
from perpend.errors import InputError
from perpend.folders.orders import Order, Outcome

_HOST: Final = "127.0.0.1"
_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'self'; connect-src 'self'; frame-src 'self'; "
    "base-uri 'none'; form-action 'none'"
)


@dataclass(slots=True)
class _Shown:
    """One drawing on the page."""

    name: str
    sheet: Path
    line: str
    version: int = 0


@dataclass(slots=True)
class LivePage:
    """What the page shows; filled by the watch, read by the server's threads.

    Attributes:
        title: the watched folder.
        address: where the page is, such as ``http://127.0.0.1:49152/``.
    """

    title: str
    address: str = ""
    _drawings: dict[str, _Shown] = field(default_factory=dict)
    _latest: str = ""
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def update(self, order: Order, outcome: Outcome, line: str) -> None:
        """Take what became of a drawing; its sheet is loaded anew where it was written anew."""
        with self._lock:
            shown = self._drawings.setdefault(order.name, _Shown(visible(order.name), order.sheet, ""))
            shown.line = visible(line)
            if not outcome.sentence and not outcome.reused:
                shown.version += 1
                self._latest = shown.name

    def state(self) -> dict[str, object]:
        """Return the drawings for the page's script, in the order of their names."""
        with self._lock:
            rows = sorted(self._drawings.values(), key=lambda shown: shown.name)
            latest = next((n for n, shown in enumerate(rows) if shown.name == self._latest), -1)
            return {
                "latest": latest,
                "drawings": [{"name": r.name, "line": r.line, "version": r.version} for r in rows],
            }

    def sheet(self, number: int) -> Path | None:
        """Return the sheet of a drawing by its number in the state."""
        with self._lock:
            rows = sorted(self._drawings.values(), key=lambda shown: shown.name)
            return rows[number].sheet if 0 <= number < len(rows) else None


@contextlib.contextmanager
def live_page(folder: Path, port: int = 0) -> Iterator[LivePage]:
    """Serve a page for as long as the body runs.

    Args:
        folder: the watched folder, for the title.
        port: of this machine; 0 takes a free one.

    Raises:
        InputError: the port is taken.
    """
    page = LivePage(visible(str(folder)))
    try:
        server = _Server((_HOST, port), _Handler)
    except OSError as error:
        raise InputError(
            f"The page of the sheets can't be served on port {port} ({error.strerror or error}): name "
            "another with --port, or pass --no-page."
        ) from None
    server.page = page
    page.address = f"http://{_HOST}:{server.server_port}/"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.2}, daemon=True)
    thread.start()
    try:
        yield page
    finally:
        server.shutdown()
        server.server_close()


class _Server(ThreadingHTTPServer):
    daemon_threads = True
    allow_reuse_address = False
    page: LivePage


class _Handler(BaseHTTPRequestHandler):
    """Answers the browser; says nothing on the terminal."""

    server: _Server
    server_version = "perpend"
    sys_version = ""

    def do_GET(self) -> None:
        """Answer one request."""
        if self.headers.get("Host", "") not in self._own_names():
            self._answer(HTTPStatus.FORBIDDEN, "text/plain", b"Only from this machine.")
            return
        path = self.path.partition("?")[0]
        if path == "/":
            text = _file("live_page.html").replace("{{ title }}", html.escape(self.server.page.title))
            self._answer(HTTPStatus.OK, "text/html", text.encode("utf-8"), policy=_POLICY)
        elif path == "/live_page.js":
            self._answer(HTTPStatus.OK, "text/javascript", _file("live_page.js").encode("utf-8"))
        elif path == "/state":
            self._answer(HTTPStatus.OK, "application/json", json.dumps(self.server.page.state()).encode())
        else:
            self._sheet(path)

    def _own_names(self) -> tuple[str, str]:
        port = self.server.server_port
        return (f"{_HOST}:{port}", f"localhost:{port}")

    def _sheet(self, path: str) -> None:
        kind, _, number = path.lstrip("/").partition("/")
        sheet = self.server.page.sheet(int(number)) if kind == "sheet" and number.isdecimal() else None
        try:
            data = sheet.read_bytes() if sheet else None
        except OSError:
            data = None
        if data is None:
            self._answer(HTTPStatus.NOT_FOUND, "text/plain", b"There is no such page.")
        else:
            self._answer(HTTPStatus.OK, "text/html", data)

    def _answer(self, status: HTTPStatus, kind: str, data: bytes, policy: str = "") -> None:
        self.send_response(status)
        self.send_header("Content-Type", f"{kind}; charset=utf-8")
        self.send_header("Content-Length", str(len(data)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        if policy:
            self.send_header("Content-Security-Policy", policy)
        self.end_headers()
        with contextlib.suppress(OSError):  # the browser went away
            self.wfile.write(data)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


def _file(name: str) -> str:
    return (resources.files("perpend.folders") / name).read_text(encoding="utf-8")
