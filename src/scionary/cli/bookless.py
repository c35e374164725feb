"""Commands that look at a file alone: the book's place and units where there is a book, and no book made where there is none."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import TYPE_CHECKING

from scionary.cli.terminal import opened
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.book.models import Nursery


def with_or_without_book(time_zone: str | None = None) -> tuple[Nursery, bool]:
    """The book's nursery, or one that says only how this machine reads a clock; and whether there is a book."""
    if _book_is_there():
        nursery = opened()
        if time_zone:
            nursery.time_zone = _zone(time_zone)
        return nursery, True
    zone = _zone(time_zone) if time_zone else _machine_zone()  # asked first: the settings set a zone of their own
    os.environ.setdefault("SCIONARY_SECRET_KEY", secrets.token_urlsafe(50))  # nothing is signed, and nothing kept
    os.environ.setdefault("SCIONARY_LOGS", "off")
    from scionary.book.opening import set_up_django

    set_up_django()
    from scionary.book.models import Nursery

    return Nursery(time_zone=zone), False


def _zone(name: str) -> str:
    """A zone that both the file's clock and the report can be told in."""
    from zoneinfo import ZoneInfo

    try:
        return str(ZoneInfo(name).key)
    except (KeyError, ValueError, OSError):
        raise Refused(f"{name!r} is no time zone.", where="--time-zone", remedy="Write one such as Europe/Vienna or Etc/GMT-1.") from None


def _machine_zone() -> str:
    """The name of this machine's time zone; UTC where it does not say."""
    for named in (os.environ.get("TZ", ""), str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]):
        try:
            return _zone(named)
        except Refused:
            continue
    return "UTC"


def _book_is_there() -> bool:
    """Whether a book was kept before, by the settings' own rule; asked before the settings are loaded, which make its folder."""
    from django.apps import apps
    from platformdirs import user_data_path

    named = os.environ.get("SCIONARY_BOOK")
    path = Path(named).expanduser() if named else user_data_path("scionary", appauthor=False) / "book.sqlite3"
    return apps.ready or bool(os.environ.get("DATABASE_URL")) or path.exists()
