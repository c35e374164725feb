"""The pages as they are served to phones: the server takes requests of any length, so what is too long is turned away here."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from django.core.handlers.wsgi import WSGIRequest
from django.utils import translation

from scionary.language import say
from scionary.limits import longest_request
from scionary.web.wsgi import application as pages

_LONGEST = longest_request()


def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
    """A request that a page can answer, also one whose file is too large."""
    given = str(environ.get("CONTENT_LENGTH") or "0")
    if given.isdecimal() and int(given[:20]) <= _LONGEST:
        return pages(environ, start_response)
    with translation.override(translation.get_language_from_request(WSGIRequest(environ))):
        words = f"{say('That is more than {longest:,} bytes at once.', longest=_LONGEST)}\n".encode()
    start_response("413 Content Too Large", [("Content-Type", "text/plain; charset=utf-8"), ("Content-Length", str(len(words)))])
    return [words]
