"""A small server for looking at components alone: pages from strings, the static files, and the policy of the house."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import parse_qs, urlsplit

STATIC = Path(__file__).resolve().parents[2] / "static"
TYPES = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
    ".ttf": "font/ttf",
}
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; form-action 'self'"
)


@dataclass
class Desk:
    """The pages by path, and what was posted, in order."""

    pages: dict[str, str | Callable[[], str]]
    posted: list[dict[str, list[str]]] = field(default_factory=list)
    answers_health: bool = True
    takes: float = 0
    """Seconds until a form is answered."""
    address: str = ""
    _server: ThreadingHTTPServer | None = None

    def __enter__(self) -> Desk:
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), self._handler())
        self.address = f"http://127.0.0.1:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        assert self._server is not None
        self._server.shutdown()
        self._server.server_close()

    def _handler(self) -> type[BaseHTTPRequestHandler]:
        desk = self

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                path = urlsplit(self.path).path
                if path.startswith("/static/"):
                    file = STATIC / path.removeprefix("/static/")
                    self._answer(200, TYPES[file.suffix], file.read_bytes())
                elif path in desk.pages:
                    page = desk.pages[path]
                    self._answer(200, "text/html; charset=utf-8", (page if isinstance(page, str) else page()).encode())
                else:
                    self._answer(404, "text/plain", b"nothing here")

            def do_HEAD(self) -> None:
                if not desk.answers_health:
                    self.close_connection = True
                    self.connection.close()
                    return
                self._answer(200, "text/plain", b"")

            def do_POST(self) -> None:
                time.sleep(desk.takes)
                body = self.rfile.read(int(self.headers["Content-Length"])).decode()
                desk.posted.append(parse_qs(body, keep_blank_values=True))
                self.send_response(303)
                self.send_header("Location", "/done")
                self.send_header("Content-Length", "0")
                self.end_headers()

            def _answer(self, status: int, kind: str, body: bytes) -> None:
                self.send_response(status)
                self.send_header("Content-Type", kind)
                self.send_header("Content-Length", str(len(body)))
                self.send_header("Content-Security-Policy", POLICY)
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: object) -> None:
                """Say nothing."""

        return Handler
