"""Comments on cells, read from the parts of an XLSX file that hold them. Documents with a DTD or entities are refused."""

from __future__ import annotations

import posixpath
import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from xml.parsers import expat
from zipfile import BadZipFile, ZipFile

from scionary.errors import BadFile
from scionary.language import say

_LARGEST_PART_BYTES = 20_000_000
_CELL = re.compile(r"^([A-Z]{1,3})([1-9]\d{0,6})$")


@dataclass
class _Element:
    """One element: its name without prefix, attributes without prefix, and all text inside it."""

    name: str
    attributes: dict[str, str]
    text: list[str] = field(default_factory=list)


def sheet_notes(archive: ZipFile, sheet: str, *, name: str) -> dict[tuple[int, int], str]:
    """Comments of a sheet by (row number from 1, column from 0); none when the sheet has none."""
    part = _sheet_part(archive, sheet, name)
    if part is None:
        return {}
    found: dict[tuple[int, int], str] = {}
    for target in _related(archive, part, "/comments", name):
        for element in _elements(archive, target, name, "comment"):
            place = _CELL.match(element.attributes.get("ref", ""))
            text = _said("".join(element.text))
            if place and text:
                found[int(place[2]), _column(place[1])] = text
    return found


def _said(text: str) -> str:
    """The comment itself, without the notice that stands before threaded ones."""
    if text.startswith("[Threaded comment]") and "Comment:" in text:
        text = text.split("Comment:", 1)[1]
    return " ".join(text.split())


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _sheet_part(archive: ZipFile, sheet: str, name: str) -> str | None:
    """The path inside the archive of the sheet with this name."""
    workbook = "xl/workbook.xml"
    named = [one.attributes for one in _elements(archive, workbook, name, "sheet")]
    wanted = next((attributes.get("id") for attributes in named if attributes.get("name") == sheet), None)
    for one in _elements(archive, _relations(workbook), name, "Relationship"):
        if one.attributes.get("Id") == wanted and wanted:
            return _resolved(workbook, one.attributes.get("Target", ""))
    return None


def _related(archive: ZipFile, part: str, kind: str, name: str) -> list[str]:
    relations = _elements(archive, _relations(part), name, "Relationship")
    return [_resolved(part, one.attributes.get("Target", "")) for one in relations if one.attributes.get("Type", "").endswith(kind)]


def _relations(part: str) -> str:
    folder, file = posixpath.split(part)
    return posixpath.join(folder, "_rels", f"{file}.rels")


def _resolved(part: str, target: str) -> str:
    if target.startswith("/"):
        return target[1:]
    return posixpath.normpath(posixpath.join(posixpath.dirname(part), target))


def _elements(archive: ZipFile, part: str, name: str, wanted: str) -> Iterator[_Element]:
    """All elements of one name in a part, in order; nothing when there is no such part."""
    try:
        size = archive.getinfo(part).file_size
    except KeyError:
        return
    if size > _LARGEST_PART_BYTES:
        raise BadFile(
            say("{part} is larger than {part2} MB.", part=part, part2=_LARGEST_PART_BYTES // 1000000),
            where=name,
            remedy=say("Save the sheet as CSV."),
        )
    try:
        content = archive.read(part)
    except (BadZipFile, zlib.error, NotImplementedError, RuntimeError, OSError, EOFError) as error:
        raise BadFile(
            say("{part} cannot be unpacked ({error}).", part=part, error=error),
            where=name,
            remedy=say("Save or send it again, without a password."),
        ) from error
    yield from _parse(content, wanted, f"{name}, {part}")


def _parse(data: bytes, wanted: str, where: str) -> list[_Element]:
    found: list[_Element] = []
    depth = [0]

    def start(tag: str, attributes: dict[str, str]) -> None:
        if tag.rsplit(":", 1)[-1] == wanted:
            found.append(_Element(wanted, {key.rsplit(":", 1)[-1]: value for key, value in attributes.items()}))
            depth[0] += 1

    def end(tag: str) -> None:
        if tag.rsplit(":", 1)[-1] == wanted:
            depth[0] -= 1

    def text(content: str) -> None:
        if depth[0]:
            found[-1].text.append(content)

    def refuse(*_: object) -> None:
        raise BadFile(say("it defines entities of its own."), where=where, remedy=say("Save the sheet as CSV."))

    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(data, True)
    except expat.ExpatError as error:
        raise BadFile(
            say("a part of it is damaged ({error}).", error=error), where=where, remedy=say("Save it again, or as CSV.")
        ) from error
    return found
