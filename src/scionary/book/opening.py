"""Opening a book from a program: set Django up, bring the tables up to date, make the first rows."""

from __future__ import annotations

import os
import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scionary.errors import BadFile
from scionary.language import say

if TYPE_CHECKING:
    from scionary.book.models import Nursery

_TRIES, _PAUSE_S = 8, 0.5
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
    from django.db import DatabaseError

    from scionary.book.commands import start_book
    from scionary.book.projection import follow_the_rules

    for left in reversed(range(_TRIES)):
        if not _behind():
            break
        try:
            _bring_up_to_date()
        except DatabaseError:  # another program may be bringing the same book up to date at this moment
            if not left:
                raise
            time.sleep(_PAUSE_S)
    follow_the_rules()
    return start_book(now=now)


def _bring_up_to_date() -> None:
    """Take the steps that are left; what is killed on the way is taken up by the next start."""
    from django.core.management.sql import emit_post_migrate_signal, emit_pre_migrate_signal
    from django.db import connection

    from scionary.book.whole_steps import WholeSteps

    executor = WholeSteps(connection)
    executor.loader.check_consistent_history(connection)
    emit_pre_migrate_signal(0, False, connection.alias)
    executor.migrate(executor.loader.graph.leaf_nodes())
    emit_post_migrate_signal(0, False, connection.alias)


def _prepare_file() -> None:
    """Make the folder of a new book; a file that is no database is left alone."""
    from django.conf import settings

    database = settings.DATABASES["default"]
    path = Path(str(database["NAME"]))
    if not database["ENGINE"].endswith("sqlite3"):
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    thing, remedy = "folder" if path.is_dir() else "file", say("Set SCIONARY_BOOK to a book, or to a name that is not taken.")
    no_book = BadFile(say("this {thing} is no book.", thing=thing), where=str(path), remedy=remedy)
    if path.exists() and not path.is_file():
        raise no_book
    if path.is_file():
        with path.open("rb") as file:
            begin = file.read(len(_SQLITE))
        if begin and begin != _SQLITE:
            raise no_book


def _behind() -> bool:
    """Whether the tables are older than the program; a book of a newer program is left alone."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    known = executor.loader.disk_migrations
    if any(label == "book" and (label, name) not in known for label, name in executor.loader.applied_migrations):
        raise BadFile(
            say("this book was written by a newer version of the program."),
            where=str(connection.settings_dict["NAME"]),
            remedy=say("Bring the program up to date; the book is left as it is."),
        )
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
