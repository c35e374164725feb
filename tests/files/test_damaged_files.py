"""Damaged files of every kind are read in part or refused; nothing else ever comes out."""

from __future__ import annotations

import random
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scionary.errors import Refused
from scionary.files.loggers import read_logger
from scionary.files.past_records import read_past_records
from scionary.files.photos import read_photo
from scionary.files.spreadsheets import read_table
from scionary.files.symbols import qr_modules
from scionary.files.wishes import read_wishes

DATA = Path(__file__).parent.parent / "data"
PIECES = (
    b'"',
    b";",
    b",",
    b"\n",
    b"\r",
    b"\t",
    b"?",
    b"8/10",
    b"2025",
    b"99/99/99",
    b"\xff",
    b"\x00",
    b"1e999",
    b"nan",
    b"0" * 40,
    b"12:61",
)


def damaged(data: bytes, rng: random.Random) -> bytes:
    """A file with a few bytes changed, cut out, put in or doubled, or cut short."""
    out = bytearray(data)
    for _ in range(rng.randint(1, 12)):
        at, kind = rng.randrange(len(out) or 1), rng.random()
        if kind < 0.3 and out:
            out[at] = rng.randrange(256)
        elif kind < 0.5:
            del out[at : at + rng.randint(1, 60)]
        elif kind < 0.7:
            out[at:at] = rng.choice(PIECES)
        elif kind < 0.85:
            out[at:at] = out[at : at + rng.randint(1, 80)]
        else:
            del out[rng.randint(0, len(out)) :]
    return bytes(out)


def as_logger(data: bytes) -> None:
    """Read as a logger's file, first asking nothing, then with order and unit given."""
    read_logger(data, name="damaged", time_zone="Europe/Vienna", date_order="dmy", unit="C")
    read_logger(data, name="damaged", time_zone="Europe/Vienna")


def as_records(data: bytes) -> None:
    """Read as a table of past records and of wishes."""
    table = read_table(data, name="damaged")
    read_past_records(table)
    read_wishes(table)


def as_picture(data: bytes) -> None:
    """Read as a picture with symbols."""
    read_photo(data, "photo.png")


def picture() -> bytes:
    """A picture of a symbol as a file."""
    out = BytesIO()
    dark = np.kron(np.pad(qr_modules("7KQ2M9X"), 4), np.ones((3, 3), bool))
    Image.fromarray(np.where(dark, 0, 255).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()


SOURCES = [path.read_bytes() for path in sorted(DATA.glob("loggers/*")) + sorted(DATA.glob("*.csv")) + [DATA / "past_counts.xlsx"]]


def refusals(read: Callable[[bytes], None], sources: list[bytes], *, tries: int, seed: int) -> list[str]:
    """What was said of those that were refused."""
    rng = random.Random(seed)
    said = []
    for _ in range(tries):
        try:
            read(damaged(rng.choice(sources), rng))
        except Refused as error:
            said.append(str(error))
    return said


@pytest.mark.parametrize("read", [as_logger, as_records])
def test_damaged_tables_are_read_or_refused(read: Callable[[bytes], None]) -> None:
    said = refusals(read, SOURCES, tries=400, seed=11)
    assert 0 < len(said) < 400
    assert all(said)


def test_damaged_pictures_are_read_or_refused() -> None:
    said = refusals(as_picture, [picture()], tries=150, seed=12)
    assert 0 < len(said) < 150
    assert all("picture" in one for one in said)
