"""The steps that bring a book's tables up to date, each whole or not at all."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.migrations.executor import MigrationExecutor


class WholeSteps(MigrationExecutor):
    """Each step is one change with the note that it was taken, so that a kill between the two cannot leave a step to be taken twice."""

    def apply_migration(self, state: Any, migration: Any, *args: Any, **options: Any) -> Any:
        """Take one step, unless another program took it meanwhile."""
        connection = self.connection
        with connection.constraint_checks_disabled(), transaction.atomic(using=connection.alias):
            if (migration.app_label, migration.name) in self.recorder.applied_migrations():
                return migration.mutate_state(state, preserve=False)
            return super().apply_migration(state, migration, *args, **options)
