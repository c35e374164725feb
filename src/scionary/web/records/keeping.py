"""Taking the book home: tables and backups; records kept aside; long work."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any
from uuid import UUID

from django.core.paginator import Paginator
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_POST

from scionary.answers.jobs import ask_to_stop
from scionary.answers.jobs import job as job_called
from scionary.book.backup import backup
from scionary.book.export import export
from scionary.book.models import Event, Job, KeptAside
from scionary.limits import LIMITS
from scionary.web.pages import go_to, now_at, tell


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
def aside(request: HttpRequest) -> HttpResponse:
    """Records that came under the id of another: both, side by side."""
    page = Paginator(KeptAside.objects.order_by("-received_at"), LIMITS["page_rows"]).get_page(request.GET.get("page"))
    first = Event.objects.in_bulk([row.event_id for row in page.object_list])
    rows = [(row, first.get(row.event_id)) for row in page.object_list]
    return render(request, "records/aside.html", {"page": page, "rows": rows})


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Long work, the latest first."""
    return render(request, "records/jobs.html", {"jobs": Job.objects.all()[: LIMITS["page_rows"]]})


@require_GET
def job(request: HttpRequest, ident: UUID) -> HttpResponse:
    """One piece of long work; the page looks again by itself while it is under way."""
    return render(request, "records/job.html", {"job": job_called(ident)})


@require_POST
def stop(request: HttpRequest, ident: UUID) -> HttpResponse:
    """Ask a piece of long work to stop."""
    ask_to_stop(ident, now=now_at(request))
    tell(request, "Asked to stop; nothing half-done is kept.")
    return go_to(f"/book/jobs/{ident}/")


def _download(name: str, write: Callable[[Path], Any]) -> FileResponse:
    """A file made in a folder of its own, which is gone once the file is open."""
    with tempfile.TemporaryDirectory(prefix="scionary-") as folder:
        path = Path(folder) / name
        write(path)
        handle = path.open("rb")
    return FileResponse(handle, as_attachment=True, filename=name)
