"""Opening a book from a program: set Django up, bring the tables up to date, make the first rows."""

from __future__ import annotations

import os
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scionary.book.models import Nursery


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
    from django.core.management import call_command

    from scionary.book.commands import start_book

    if _behind():
        call_command("migrate", verbosity=0, interactive=False)
    return start_book(now=now)


def _behind() -> bool:
    """Whether the tables are older than the program."""
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor

    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))
