"""PDF answers, and which label sheet a person asks for."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse

from scionary.errors import Refused


def pdf_response(pdf: bytes, name: str) -> HttpResponse:
    """A PDF that opens beside the page."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def sheet_wanted(request: HttpRequest) -> dict[str, Any]:
    """Label sheet and first free place, from the address."""
    first = request.GET.get("first", "1") or "1"
    if not first.isascii() or not first.isdigit() or not 1 <= int(first[:6]) <= 500:
        raise Refused(f"{first[:20]!r} is no place on a sheet.", where="first label", remedy="Give a number from 1.")
    return {"preset": request.GET.get("sheet", "")[:40], "start_at": int(first) - 1}
