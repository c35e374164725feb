"""Taking the book home: tables and backups; the list of long work."""

from __future__ import annotations

import tempfile
from pathlib import Path
from uuid import UUID

from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_GET, require_http_methods

from scionary.answers.jobs import job, start
from scionary.answers.taking_home import file_name, is_large, taken_home, write_home
from scionary.book.models import Job
from scionary.limits import LIMITS
from scionary.web.pages import go_to, now_at


@require_http_methods(["GET", "POST"])
def take_home(request: HttpRequest, what: str) -> HttpResponseBase:
    """The backup, or all tables, in one archive; of a large book it is made beside the pages once it is asked for."""
    now = now_at(request)
    if not is_large():
        return _download(what, file_name(what, now), request)
    if request.method == "POST":
        return go_to(f"/work/{start('take home', {'what': what}, now=now).pk}/")
    return render(request, "records/take_home.html", {"what": what})


@require_GET
def fetch(request: HttpRequest, ident: UUID) -> FileResponse:
    """The archive that was made beside the pages."""
    path, called = taken_home(job(ident))
    return FileResponse(path.open("rb"), as_attachment=True, filename=called)


@require_GET
def jobs(request: HttpRequest) -> HttpResponse:
    """Long work, the latest first."""
    return render(request, "records/jobs.html", {"jobs": Job.objects.all()[: LIMITS["page_rows"]]})


def _download(what: str, name: str, request: HttpRequest) -> FileResponse:
    """A file made in a folder of its own, which is gone once the file is open."""
    with tempfile.TemporaryDirectory(prefix="scionary-") as folder:
        path = Path(folder) / name
        write_home(what, path, now=now_at(request))
        handle = path.open("rb")
    return FileResponse(handle, as_attachment=True, filename=name)
