"""Taking the book home: at once when it is small, else beside the pages, with a file to fetch at the end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db.models import Sum

from scionary.answers.works import LastStep, Progress, tell
from scionary.book.backup import backup
from scionary.book.export import export
from scionary.book.models import Event, Job, SensorDay
from scionary.errors import BadValue, UnknownSubject
from scionary.language import say
from scionary.limits import LIMITS

BACKUP, TABLES = "backup", "tables"
_WRITE: dict[str, Callable[..., Any]] = {BACKUP: backup, TABLES: export}
_READINGS_AN_EVENT = 25  # so many readings take as long as one event


def is_large() -> bool:
    """Whether taking this book home takes longer than a page should wait."""
    readings = SensorDay.objects.aggregate(total=Sum("count"))["total"] or 0
    return Event.objects.count() + readings // _READINGS_AN_EVENT > LIMITS["download_events"]


def file_name(what: str, now: datetime) -> str:
    return f"scionary-{what}-{now:%Y-%m-%d}.zip"


def write_home(what: str, path: Path, *, now: datetime) -> None:
    """Write the backup, or the tables, into one archive."""
    if what not in _WRITE:
        raise BadValue("what", what, say("one of {choices}", choices=", ".join(_WRITE)))
    _WRITE[what](path, now=now)


def take_home(arguments: Mapping[str, Any], progress: Progress, now: datetime) -> LastStep:
    """The work "take home". Arguments: what. The newest file of each kind is kept beside the book, older ones are deleted."""
    what = str(arguments.get("what"))
    tell(progress, 0.05, say("writing the archive"))
    folder = _folder()
    path = folder / f"{what}-{now:%Y%m%dT%H%M%S%f}.zip"
    write_home(what, path, now=now)
    tell(progress, 0.95, say("putting it where it can be fetched"))

    def last_step() -> dict[str, Any]:
        for older in set(folder.glob(f"{what}-*.zip")) - {path}:
            older.unlink(missing_ok=True)
        return {"words": say("{file_name} is ready.", file_name=file_name(what, now)), "file": path.name, "called": file_name(what, now)}

    return last_step


def taken_home(job: Job) -> tuple[Path, str]:
    """The file that a job made, and what to call it."""
    result = job.result or {}
    path = _folder() / Path(str(result.get("file") or "none")).name
    if job.work != "take home" or not path.is_file():
        remedy = say("Start it again under Book, Take home.")
        raise UnknownSubject(say("this file is no longer kept; a newer one took its place."), where=say("take home"), remedy=remedy)
    return path, str(result["called"])


def _folder() -> Path:
    folder = Path(settings.DATA_FOLDER) / "taken-home"
    folder.mkdir(parents=True, exist_ok=True)
    return folder
