"""The page for the hand: its bare frame, the worker that keeps it on the phone, and how a phone shows it among its programs."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from scionary.web.context import language_tag
from scionary.web.hand.words import words_address, words_sent

_FOLDER = "scionary"
_LOOK = ("look.css", "ring.svg")  # other pages use them too: the page for the hand asks for the very version that it was made with
_PAPER = "#f6f7f4"


@require_safe
def shell(request: HttpRequest) -> HttpResponse:
    """The frame, without anything of the book in it."""
    return HttpResponse(_frame(), headers={"Cache-Control": "no-cache"})


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The service worker, told which files it keeps; one file changed makes another worker."""
    kept = {"version": _version(), "page": "/hand/", "files": list(_addresses())}
    text = f"self.KEPT = {json.dumps(kept)};\n{_read('sw.js').decode()}"
    headers = {"Service-Worker-Allowed": "/", "Cache-Control": "no-cache"}
    return HttpResponse(text, content_type="text/javascript", headers=headers)


@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """Name, icons and first page, for a phone that keeps the page among its programs."""
    sizes = [("ring.svg", "any", "any"), ("ring-192.png", "192x192", "any"), ("ring-512.png", "512x512", "any maskable")]
    icons = [{"src": static(f"{_FOLDER}/{name}"), "sizes": size, "purpose": purpose} for name, size, purpose in sizes]
    told = {
        "id": "/hand/",
        "name": "Scionary",
        "short_name": "Scionary",
        "lang": language_tag(),
        "start_url": "/hand/",
        "scope": "/",
        "display": "standalone",
        "background_color": _PAPER,
        "theme_color": _PAPER,
        "icons": icons,
    }
    return JsonResponse(told, content_type="application/manifest+json", headers={"Cache-Control": "no-cache"})


def _frame() -> str:
    versions = {name.partition(".")[0]: _short(_read(name)) for name in _LOOK}
    return render_to_string("hand/shell.html", {"version": versions, "language": language_tag(), "words": words_address()})


def _version() -> str:
    """Changes with every file that the phone keeps, and with its language."""
    parts = [_frame().encode(), words_sent(), _read("sw.js"), *(_read(f"hand/{name}") for name in _scripts())]
    return _short(b"".join(hashlib.sha256(part).digest() for part in parts))


def _addresses() -> list[str]:
    look = [f"{static(f'{_FOLDER}/{name}')}?v={_short(_read(name))}" for name in _LOOK]
    return [*look, words_address(), *(static(f"{_FOLDER}/hand/{name}") for name in _scripts())]


def _scripts() -> list[str]:
    return sorted(path.name for path in _file("hand/app.js").parent.glob("*.js"))


def _short(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:12]


def _read(name: str) -> bytes:
    return _file(name).read_bytes()


def _file(name: str) -> Path:
    found = finders.find(f"{_FOLDER}/{name}")
    assert isinstance(found, str), name
    return Path(found)
