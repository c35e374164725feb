"""What every page knows: the nursery's settings."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from scionary.book.models import Nursery


def book(request: HttpRequest) -> dict[str, Any]:
    """The nursery, read once a page."""
    return {"nursery": Nursery.objects.first()}
