"""Opening a book from a program: set Django up, bring the tables up to date, make the first rows."""

from __future__ import annotations

import os
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scionary.errors import BadFile

if TYPE_CHECKING:
    from scionary.book.models import Nursery

_SQLITE = b"SQLite format 3\x00"


def set_up_django() -> None:
    """Make Django ready; costs about half a second, so only what needs the book calls it."""
    import django
    from django.apps import apps

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "scionary.settings")
    if not apps.ready:
        django.setup()


def open_book(*, now: datetime) -> Nursery:
    """Open the book that the settings name, made or brought up to date where needed."""
    set_up_django()
    _prepare_file()
    from django.core.management import call_command

    from scionary.book.commands import start_book

    if _behind():
        call_command("migrate", verbosity=0, interactive=False)
    return start_book(now=now)


def _prepare_file() -> None:
    """Make the folder of a new book; a file that is no database is left alone."""
    from django.conf import settings

    database = settings.DATABASES["default"]
    path = Path(str(database["NAME"]))
    if not database["ENGINE"].endswith("sqlite3"):
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    if path.is_file():
        with path.open("rb") as file:
            begin = file.read(len(_SQLITE))
        if begin and begin != _SQLITE:
            raise BadFile("this file is no book.", where=str(path), remedy="Set SCIONARY_BOOK to a book, or to a name that is not taken.")


def _behind() -> bool:
    """Whether the tables are older than the program."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
