"""What every page knows: the nursery's settings and which part it belongs to."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.translation import get_language, to_locale

from scionary.book.models import Nursery


def language_tag() -> str:
    """The reader's language as a page names it: en-GB, de."""
    return to_locale(get_language() or settings.LANGUAGE_CODE).replace("_", "-")


def book(request: HttpRequest) -> dict[str, Any]:
    """The nursery, read once a request, and the part that the address names; to a stranger nothing of the book is shown."""
    part = request.path.split("/")[1]
    user = getattr(request, "user", None)  # there is none where a request was refused before anybody could sign in
    if settings.LOGIN_REQUIRED and (user is None or not user.is_authenticated):
        return {"nursery": None, "part": part, "signed_out": True, "language": language_tag()}
    found = getattr(request, "nursery", None) or Nursery.objects.first()
    return {"nursery": found, "part": part, "signed_out": False, "language": language_tag()}
