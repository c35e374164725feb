"""What every page knows: the nursery's settings and which part it belongs to."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from scionary.book.models import Nursery


def book(request: HttpRequest) -> dict[str, Any]:
    """The nursery, read once a request, and the part that the address names."""
    nursery = getattr(request, "nursery", None) or Nursery.objects.first()
    return {"nursery": nursery, "part": request.path.split("/")[1]}
