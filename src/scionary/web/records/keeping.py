"""Taking the book home: tables and backups; the list of long work."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from scionary.book.backup import backup
from scionary.book.export import export
from scionary.book.models import Job
from scionary.limits import LIMITS
from scionary.web.pages import now_at


@require_GET
def export_tables(request: HttpRequest) -> FileResponse:
    """Every table as CSV and XLSX in one archive."""
    now = now_at(request)
    return _download(f"scionary-tables-{now:%Y-%m-%d}.zip", lambda path: export(path, now=now))


@require_GET
def backup_book(request: HttpRequest) -> FileResponse:
    """The whole book in one archive, from which it can be put back."""
    now = now_at(request)
    return _download(f"scionary-backup-{now:%Y-%m-%d}.zip", lambda path: backup(path, now=now))


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Long work, the latest first."""
    return render(request, "records/jobs.html", {"jobs": Job.objects.all()[: LIMITS["page_rows"]]})


def _download(name: str, write: Callable[[Path], Any]) -> FileResponse:
    """A file made in a folder of its own, which is gone once the file is open."""
    with tempfile.TemporaryDirectory(prefix="scionary-") as folder:
        path = Path(folder) / name
        write(path)
        handle = path.open("rb")
    return FileResponse(handle, as_attachment=True, filename=name)
