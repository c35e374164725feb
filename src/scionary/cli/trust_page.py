"""A plain page for a phone that comes for the first time: how to trust this machine's authority, and the authority's certificate."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.cli.authority import Papers

_SLOWEST_S = 10  # a line that says nothing for so long is closed
_CERTIFICATE = "application/x-x509-ca-cert"


@contextmanager
def trust_page(host: str, port: int, papers: Papers) -> Iterator[None]:
    """Serve the page beside the others, without TLS, since the phone cannot trust it yet; nothing of the book is on it."""
    files = _files(papers)

    class Answer(BaseHTTPRequestHandler):
        timeout = _SLOWEST_S
        server_version, sys_version = "Scionary", ""

        def do_GET(self) -> None:
            found = files.get(self.path.partition("?")[0])
            kind, content = found or ("text/plain; charset=utf-8", b"There is only one page here: /\n")
            self.send_response(200 if found else 404)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Cache-Control", "no-store")
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Content-Security-Policy", "default-src 'none'; style-src 'self'")
            if kind == _CERTIFICATE:
                self.send_header("Content-Disposition", 'attachment; filename="scionary-authority.crt"')
            self.end_headers()
            if self.command == "GET":
                self.wfile.write(content)

        def do_HEAD(self) -> None:
            self.do_GET()

        def log_message(self, *words: object) -> None:
            """Nobody is written down."""

    try:
        server = ThreadingHTTPServer((host, port), Answer)
    except (OSError, OverflowError) as error:
        remedy = "Choose another: scionary share --trust-port 8081."
        raise Refused(f"port {port} cannot be used ({getattr(error, 'strerror', error)}).", where="share", remedy=remedy) from None
    server.daemon_threads = True
    Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()


def _files(papers: Papers) -> dict[str, tuple[str, bytes]]:
    """All that is served, by its address."""
    from django.conf import settings
    from django.contrib.staticfiles import finders
    from django.template.loader import render_to_string

    look = Path(str(finders.find("scionary/look.css")))
    page = render_to_string("records/trust.html", {"fingerprint": papers.fingerprint, "shared": settings.SHARED_ADDRESS})
    return {
        "/": ("text/html; charset=utf-8", page.encode()),
        "/authority.crt": (_CERTIFICATE, papers.authority),
        "/look.css": ("text/css", look.read_bytes()),
    }
