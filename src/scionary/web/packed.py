"""Scripts and styles go packed over the line: a phone at the end of the yard loads a third of the bytes."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponseBase
from django.middleware.gzip import GZipMiddleware

_TEXT = ("text/", "application/json", "image/svg")


class PackedFiles:
    """Packs files of the program that are text and asked for as a whole; a part of one, or the word that it is the same, goes as it is."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response
        self.packing = GZipMiddleware(get_response)

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        if not request.path.startswith(settings.STATIC_URL):
            return self.get_response(request)
        known = request.META.get("HTTP_IF_NONE_MATCH", "")
        if known.startswith("W/"):  # as it was packed; the file behind it is told by the same mark
            request.META["HTTP_IF_NONE_MATCH"] = known[2:]
        response = self.get_response(request)
        if response.status_code != 200 or not response.get("Content-Type", "").startswith(_TEXT):
            return response
        return self.packing.process_response(request, response)
