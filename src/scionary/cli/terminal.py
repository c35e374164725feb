"""Writing to the terminal: sentences, small tables, JSON; reading dates as they are typed."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scionary.book.kinds import FIRST_YEAR, LAST_YEAR
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.book.models import Nursery
_SAFE = "\n\N{NO-BREAK SPACE}\N{NARROW NO-BREAK SPACE}\N{ZERO WIDTH JOINER}\N{ZERO WIDTH NON-JOINER}"  # unprintable, and harmless


def now() -> datetime:
    """This moment; the one place where the terminal reads the clock."""
    return datetime.now(UTC)


def opened() -> Nursery:
    """The book that the settings name, ready to use."""
    from scionary.book.opening import open_book

    return open_book(now=now())


def day(text: str | None, nursery: Nursery) -> date:
    """A date typed as 2026-07-31; today at the nursery when nothing was typed."""
    if not text:
        return now().astimezone(nursery.zone).date()
    try:
        found = date.fromisoformat(text)
    except ValueError:
        raise Refused(f"{text!r} is no date.", where="date", remedy="Write year-month-day: 2026-07-31.") from None
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise Refused(f"{text} is out of range.", where="date", remedy=f"Give a day from {FIRST_YEAR} to {LAST_YEAR}.")
    return found


def say(text: str = "") -> None:
    """One line to the terminal, without what it would take for a command."""
    sys.stdout.write("".join(letter for letter in text if letter.isprintable() or letter in _SAFE) + "\n")


def say_aside(text: str) -> None:
    """One line beside the answer, which may be JSON."""
    sys.stderr.write("".join(letter for letter in text if letter.isprintable() or letter in _SAFE) + "\n")


def say_json(value: Any) -> None:
    """One JSON document to the terminal."""
    sys.stdout.write(json.dumps(value, indent=2, ensure_ascii=False, default=str) + "\n")


def table(head: Sequence[str], rows: Iterable[Sequence[object]], *, right: Iterable[int] = ()) -> None:
    """A small table in plain columns; `right` names the columns that are set flush right."""
    listed = [[str(cell) for cell in row] for row in rows]
    widths = [max(len(row[i]) for row in [list(head), *listed]) for i in range(len(head))]
    flush = set(right)
    for row in [list(head), *listed]:
        cells = [cell.rjust(width) if i in flush else cell.ljust(width) for i, (cell, width) in enumerate(zip(row, widths, strict=True))]
        say("  " + "  ".join(cells).rstrip())


def read_file(path: Path) -> bytes:
    """The bytes of a file, or a refusal that says what is wrong with it."""
    from scionary.limits import LIMITS

    try:
        size = path.stat().st_size
        if size > LIMITS["file_bytes"]:
            raise Refused(f"it holds {size} bytes.", where=str(path), remedy=f"Files of up to {LIMITS['file_bytes']} bytes are read.")
        return path.read_bytes()
    except OSError as error:
        raise Refused(f"it cannot be read ({error.strerror}).", where=str(path), remedy="Check the name and try again.") from None


def check_target(path: Path) -> None:
    """Refuse what is no name of a file to write: nothing typed, a folder, a device."""
    if not path.name:
        raise Refused("no file is named.", where=str(path), remedy="Give a file's name.")
    if path.exists() and not path.is_file():
        raise Refused("this is no file that can be written.", where=str(path), remedy="Give a file's name.")


def write_file(path: Path, data: bytes, *, quiet: bool = False) -> None:
    """Write a file whole or not at all; `quiet` says so beside the answer, which is JSON."""
    check_target(path)
    part = path.with_name(path.name + ".part")
    try:
        try:
            part.write_bytes(data)
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise Refused(f"it cannot be written ({error.strerror}).", where=str(path), remedy="Choose another place.") from None
    (say_aside if quiet else say)(f"Written: {path} ({len(data):,} bytes).")
