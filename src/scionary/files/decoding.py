"""From bytes to text: byte-order mark, UTF-8, UTF-16, cp1252, and a clear refusal of what is no text."""

from __future__ import annotations

import codecs
import re

from scionary.errors import BadFile
from scionary.language import mark, say
from scionary.limits import LIMITS

_KINDS = {
    b"PK\x03\x04": mark("a spreadsheet or an archive, not a text file"),
    b"%PDF": mark("a PDF, not a text file"),
    b"\x89PNG": mark("a picture, not a text file"),
    b"\xff\xd8\xff": mark("a picture, not a text file"),
    b"GIF8": mark("a picture, not a text file"),
    b"\x1f\x8b": mark("a compressed file, not a text file"),
    b"\xd0\xcf\x11\xe0": mark("an old spreadsheet or document, not a text file"),
    b"SQLite format 3": mark("a database, not a text file"),
}
# A letter beyond ASCII as UTF-8 has it; in cp1252 this would be a capital with a mark, then a sign such as © or ¼.
_TWO_BYTES = re.compile(rb"[\xc3-\xc5][\x80-\xbf]")
_MARKS = ((codecs.BOM_UTF8, "utf-8-sig"), (codecs.BOM_UTF16_LE, "utf-16"), (codecs.BOM_UTF16_BE, "utf-16"))


def check_size(data: bytes, *, name: str, limit_bytes: int = LIMITS["file_bytes"]) -> None:
    """Refuse a file that is empty or larger than the limit."""
    if not data.strip(b"\0 \t\r\n"):
        raise BadFile(say("the file is empty."), where=name, remedy=say("Export it again and look into it first."))
    if len(data) > limit_bytes:
        size = say("{size:.0f} MB; at most {most:.0f} MB are read.", size=len(data) / 1000000.0, most=limit_bytes / 1000000.0)
        raise BadFile(say("the file has {size}", size=size), where=name, remedy=say("Split it, or export a shorter time."))


def decode_text(data: bytes, *, name: str, limit_bytes: int = LIMITS["file_bytes"]) -> tuple[str, str]:
    """Give the text and the encoding that it was read with."""
    check_size(data, name=name, limit_bytes=limit_bytes)
    for magic, kind in _KINDS.items():
        if data.startswith(magic):
            raise BadFile(say("this is {kind}.", kind=kind), where=name, remedy=say("Save or export it as CSV (text) and give that file."))
    encoding = next((encoding for mark, encoding in _MARKS if data.startswith(mark)), None) or _sixteen_bits(data)
    for candidate in (encoding,) if encoding else ("utf-8", "cp1252"):
        try:
            text = data.decode(candidate)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return text, candidate.removesuffix("-sig")
    raise BadFile(say("the file holds bytes that are no text."), where=name, remedy=say("Save it as CSV in UTF-8 and give that file."))


def check_one_encoding(data: bytes, encoding: str, *, name: str) -> None:
    """Refuse text put together from files in two encodings: read as one of them, half of its names would be garbled."""
    found = _TWO_BYTES.search(data) if encoding == "cp1252" else None
    if found:
        line = data.count(b"\n", 0, found.start()) + 1
        raise BadFile(
            say("this line is written in UTF-8, and others of the file are not."),
            where=say("{name}, line {line}", name=name, line=line),
            remedy=say("Open it, see that every name is right, and save it as CSV in UTF-8."),
        )


def _sixteen_bits(data: bytes) -> str | None:
    """UTF-16 without a mark shows as a zero in every second byte."""
    sample = data[:2000]
    half = max(len(sample) // 2, 1)
    if sample[1::2].count(0) > 0.7 * half and sample[0::2].count(0) < 0.1 * half:
        return "utf-16-le"
    if sample[0::2].count(0) > 0.7 * half and sample[1::2].count(0) < 0.1 * half:
        return "utf-16-be"
    return None
