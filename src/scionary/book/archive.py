"""A backup's archive: one ZIP of JSON Lines, CSV and files as they were given, with the SHA-256 of each member.

Nothing is taken out of an archive before all of it is checked: names, sizes and hashes.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import secrets
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from scionary.errors import BadFile, Refused
from scionary.language import mark, say
from scionary.limits import LIMITS

FORMAT, VERSION = "scionary book", 1
MANIFEST = "manifest.json"
_MANIFEST_BYTES = 10_000_000
_PIECE = 1 << 20
_UUID = r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}"
_WEATHER = rf"weather/{_UUID}-(day|hour)-(record|forecast)\.csv"
_MEMBER = re.compile(
    rf"nouns/[a-z_]+\.jsonl|(events|kept_aside|devices|leases|files)\.jsonl|readings/{_UUID}\.csv|{_WEATHER}|files/[0-9a-f]{{64}}"
)
_DAMAGED = mark("It is damaged, or was changed; take another backup.")


class ArchiveWriter:
    """Writes members one after another and remembers their hashes for the manifest."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        self.members: dict[str, dict[str, Any]] = {}

    def add(self, name: str, pieces: Iterable[bytes]) -> int:
        """Write a member from pieces; returns how many there were."""
        digest, length, count = hashlib.sha256(), 0, 0
        with self.archive.open(name, "w", force_zip64=True) as member:
            for piece in pieces:
                member.write(piece)
                digest.update(piece)
                length, count = length + len(piece), count + 1
        self.members[name] = {"sha256": digest.hexdigest(), "bytes": length}
        return count

    def add_rows(self, name: str, rows: Iterable[dict[str, Any]]) -> int:
        """Write a member of JSON Lines, one object a line; returns the number of lines."""
        lines = (json.dumps(row, ensure_ascii=False, sort_keys=True, allow_nan=False).encode() + b"\n" for row in rows)
        count = self.add(name, lines)
        self.members[name]["rows"] = count
        return count

    def finish(self, now: datetime) -> None:
        manifest = {"format": FORMAT, "version": VERSION, "made_at": now.isoformat(), "members": self.members}
        self.archive.writestr(MANIFEST, json.dumps(manifest, indent=1, sort_keys=True))


@contextmanager
def written(path: Path, now: datetime) -> Iterator[ArchiveWriter]:
    """An archive that appears under its name when it is whole and on the disk; until then it has another name."""
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        with part.open("xb") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                writer = ArchiveWriter(archive)
                yield writer
                writer.finish(now)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
        _force_folder(path.parent)
    except OSError as error:
        reason = error.strerror or say("it cannot be written")
        raise Refused(f"{reason}.", where=str(path), remedy=say("Name a file in a folder that exists, with room on the disk.")) from error
    finally:
        part.unlink(missing_ok=True)


def _force_folder(folder: Path) -> None:
    """Force the new name to the disk, where the system can do that for a folder."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class ArchiveReader:
    """Reads an archive whose manifest has been read; call `check` before taking anything."""

    def __init__(self, archive: zipfile.ZipFile, path: Path) -> None:
        self.archive, self.path = archive, path
        self.members: dict[str, dict[str, Any]] = self._manifest()

    def names(self, folder: str) -> list[str]:
        return sorted(name for name in self.members if name.startswith(f"{folder}/"))

    def check(self) -> None:
        """Refuse an archive with a name, size, or hash that is not as its manifest says."""
        infos = {info.filename: info for info in self.archive.infolist()}
        if len(infos) != len(self.archive.infolist()) or set(infos) != {*self.members, MANIFEST}:
            raise self._bad(say("its members are not those of its manifest."))
        if sum(info.file_size for info in infos.values()) > LIMITS["backup_bytes"]:
            raise self._bad(
                say("it is too large."),
                remedy=say(
                    "SCIONARY_LIMIT_BACKUP_BYTES allows {backup_bytes:,} bytes; set it higher.", backup_bytes=LIMITS["backup_bytes"]
                ),
            )
        for name, said in self.members.items():
            if not _MEMBER.fullmatch(name) or infos[name].flag_bits & 1:
                raise self._bad(say("it holds something that is no part of a book."), name)
            digest, length = hashlib.sha256(), 0
            for piece in self.pieces(name):
                digest.update(piece)
                length += len(piece)
            if (digest.hexdigest(), length) != (said.get("sha256"), said.get("bytes")):
                raise self._bad(say("its content is not what was written."), name)

    def pieces(self, name: str) -> Iterator[bytes]:
        with self._reading(name), self.archive.open(name) as member:
            while piece := member.read(_PIECE):
                yield piece

    def lines(self, name: str, take: Callable[[str], Any], *, header: str = "") -> Iterator[Any]:
        """What `take` makes of each line of a member after its header; a line of which it makes nothing is named."""
        if name not in self.members:
            return
        with self._reading(name), self.archive.open(name) as member:
            for number, line in enumerate(member, 1):
                try:
                    if number > 1 or not header:
                        yield take(line.decode())
                    elif line.decode().strip() != header:
                        raise ValueError(say("the header is not {header}", header=header))
                except (ValueError, TypeError, KeyError, AttributeError) as error:
                    raise self._bad(say("this line is none of a book."), name, number) from error

    def _manifest(self) -> dict[str, dict[str, Any]]:
        try:
            info = self.archive.getinfo(MANIFEST)
            with self._reading(MANIFEST), self.archive.open(info) as member:
                manifest = json.loads(member.read(_MANIFEST_BYTES))
            members = manifest["members"]
            if manifest["format"] != FORMAT or not all(isinstance(said, dict) for said in members.values()):
                raise ValueError
            version = int(manifest["version"])
        except (KeyError, ValueError, TypeError, AttributeError):
            raise self._bad(say("this is no backup of a book."), remedy=say("Choose a file that `scionary backup` wrote.")) from None
        if version > VERSION:
            raise self._bad(say("a newer version of the program wrote it."), remedy=say("Bring this program up to date first."))
        return dict(members)

    @contextmanager
    def _reading(self, name: str) -> Iterator[None]:
        try:
            yield
        except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
            raise self._bad(say("it cannot be read."), name) from error

    def _bad(self, what: str, name: str = "", line: int = 0, *, remedy: str = _DAMAGED) -> BadFile:
        place = ", ".join([str(self.path), *([name] if name else []), *([say("line {line}", line=line)] if line else [])])
        return BadFile(what, where=place, remedy=remedy)


@contextmanager
def opened(path: Path) -> Iterator[ArchiveReader]:
    """A backup to read."""
    try:
        archive = zipfile.ZipFile(path)
    except (zipfile.BadZipFile, OSError, ValueError) as error:
        what = say("there is no such file.") if isinstance(error, FileNotFoundError) else say("this is no backup of a book.")
        raise BadFile(what, where=str(path), remedy=say("Choose a file that `scionary backup` wrote.")) from error
    with archive:
        yield ArchiveReader(archive, path)
