"""The one worker process beside the pages."""

from __future__ import annotations

import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection, connections
from django.utils import timezone

_LOOK_EVERY_S = 0.5
_ONLY_WORKER = 7_205_332


def run_worker(*, parent: int | None = None) -> None:
    """Work off jobs until told to end; waits while another worker serves this book.

    With `parent`, the worker also ends once that process, which started it, is gone.
    """
    from django.conf import settings
    from django_tasks_db.management.commands.db_worker import Worker

    from scionary.answers.jobs import resume_after_restart

    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    with _the_only_one(Path(settings.BOOK_PATH)):
        resume_after_restart(now=timezone.now())
        worker = Worker(
            queue_names=["default"],
            interval=_LOOK_EVERY_S,
            batch=False,
            backend_name="default",
            startup_delay=False,
            max_tasks=None,
            worker_id=f"worker-{os.getpid()}-{time.time_ns()}",
            excluded_queue_names=[],
        )
        worker.configure_signals()
        worker.run()


@contextmanager
def _the_only_one(book: Path) -> Iterator[None]:
    """Hold the lock that only one worker of a book can have; it falls with the process, however that ends."""
    if connection.vendor == "postgresql":
        with _the_only_one_of_a_crew():
            yield
        return
    try:
        import fcntl
    except ImportError:  # no such locks on this system: whoever starts a second worker there has to know
        yield
        return
    book.parent.mkdir(parents=True, exist_ok=True)
    with book.with_name(f"{book.name}.worker.lock").open("w") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


@contextmanager
def _the_only_one_of_a_crew() -> Iterator[None]:
    """The same on a database that several machines share: its own lock, held over a connection that does nothing else."""
    holding = connections.create_connection("default")
    with closing(holding), holding.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [_ONLY_WORKER])
        yield


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(_LOOK_EVERY_S)
    os.kill(os.getpid(), signal.SIGTERM)
