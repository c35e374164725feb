"""Long answers kept in files beside the book, so that pages, worker and terminal need not compute them twice; never facts.

A file may be deleted at any time. Only what this program computed itself is read back: the folder is the person's own. In memory an answer
is held as it is and handed out itself, since some are large: whoever gets it only reads. Its texts are in English: what is shown of it is
said anew where it is shown.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import zlib
from collections.abc import Callable
from contextlib import suppress
from functools import cache as cache_once
from pathlib import Path
from typing import Any, TypeVar

from django.conf import settings

from scionary import __version__
from scionary.language import in_english

T = TypeVar("T")
_MOST_FILES = 40
_MOST_IN_MEMORY = 200
_memory: dict[str, Any] = {}


def kept(function: str, version: int, subject: str, content: str, compute: Callable[[], T], *, stamp: str = "") -> T:
    """What `compute` gives, from memory or from a file when the same was asked of the same content before.

    `stamp` says of which state of the book the content was found; `last_kept` gives it back.
    """
    name = _name(function, version, content)
    found = _memory.get(name) or _read(name)
    if found is None:
        with in_english():  # whoever reads it may speak another language than whoever had it worked out
            found = (compute(),)
        _write(name, found)
    _remember(name, found)
    _point(_name(function, version, subject), f"{name} {stamp}")
    result: T = found[0]
    return result


def last_kept(function: str, version: int, subject: str) -> tuple[Any, str] | None:
    """The last answer about a subject, whatever its content, and its stamp; None when there is none."""
    name, _, stamp = _pointed(_name(function, version, subject)).partition(" ")
    found = (_memory.get(name) or _read(name)) if name else None
    if found is None:
        return None
    _remember(name, found)
    return found[0], stamp


def newest() -> int:
    """What changes whenever an answer is kept, by this process or by the worker: the moment of the folder's last change."""
    try:
        return _folder().stat().st_mtime_ns
    except OSError:
        return 0


def forget() -> None:
    """Hold nothing in memory any more, as a process that has just begun."""
    _memory.clear()


def _remember(name: str, found: Any) -> None:
    while len(_memory) >= _MOST_IN_MEMORY and name not in _memory:
        _memory.pop(next(iter(_memory)), None)
    _memory[name] = found


def _name(function: str, version: int, content: str) -> str:
    return hashlib.sha256(f"{function}/{version}/{_program()}/{content}".encode()).hexdigest()


@cache_once
def _program() -> str:
    """The program's version and the state of its engines' files: an answer of other code is not read back."""
    files = sorted((Path(__file__).parents[1] / "take").glob("*.py"))
    states = [(path.name, path.stat().st_size, path.stat().st_mtime_ns) for path in files]
    return hashlib.sha256(repr((__version__, states)).encode()).hexdigest()


def _point(subject: str, text: str) -> None:
    """Write down which answer about a subject is the last; the pages read what the worker wrote."""
    before = _memory.get(subject)
    if before == text:
        return
    if before and before.partition(" ")[0] != text.partition(" ")[0]:
        _memory.pop(before.partition(" ")[0], None)  # large: in memory only the last one is held
    _remember(subject, text)
    part = _folder() / f"{subject}.{os.getpid()}.part"
    try:
        _folder().mkdir(parents=True, exist_ok=True)
        part.write_text(text, encoding="utf-8")
        part.replace(_folder() / f"{subject}.last")
    except OSError:
        _drop(part)


def _pointed(subject: str) -> str:
    try:
        return (_folder() / f"{subject}.last").read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return str(_memory.get(subject) or "")


def _folder() -> Path:
    return Path(settings.DATA_FOLDER) / "answers"


def _path(name: str) -> Path:
    return _folder() / f"{name}.answer"


def _read(name: str) -> Any:
    """From its file, which counts as used; None where there is none that can be read."""
    try:
        os.utime(_path(name))
        return pickle.loads(zlib.decompress(_path(name).read_bytes()))  # noqa: S301  our own file in the person's own folder
    except (OSError, zlib.error, pickle.UnpicklingError, EOFError, AttributeError, ImportError, IndexError, TypeError, ValueError):
        return None


def _write(name: str, found: Any) -> None:
    """Keep an answer; a full or read-only disk only means that it is computed again."""
    path = _path(name)
    part = path.with_suffix(f".{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(zlib.compress(pickle.dumps(found, protocol=pickle.HIGHEST_PROTOCOL), 1))
        part.replace(path)
        files = sorted(path.parent.glob("*.answer"), key=lambda each: each.stat().st_mtime, reverse=True)
        for old in files[_MOST_FILES:]:
            old.unlink(missing_ok=True)
    except OSError:
        _drop(part)


def _drop(part: Path) -> None:
    with suppress(OSError):
        part.unlink(missing_ok=True)
