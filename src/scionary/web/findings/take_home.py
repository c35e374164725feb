"""The take model taken home: its draws or its summary as a file for a notebook."""

from __future__ import annotations

import tempfile
from pathlib import Path

from django.http import FileResponse, HttpRequest
from django.views.decorators.http import require_GET

from scionary.answers.model_export import model_file_name, write_model
from scionary.web.findings.views import stage_asked
from scionary.web.pages import now_at


@require_GET
def model(request: HttpRequest, what: str) -> FileResponse:
    """The file of one stage, made in a folder of its own, which is gone once the file is open."""
    stage, now = stage_asked(request), now_at(request)
    name = model_file_name(what, stage, now)
    with tempfile.TemporaryDirectory(prefix="scionary-") as folder:
        path = Path(folder) / name
        write_model(what, path, stage=stage, now=now)
        handle = path.open("rb")
    return FileResponse(handle, as_attachment=True, filename=name)
