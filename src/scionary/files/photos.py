"""Photographs, opened within limits and turned upright: every symbol of labels in reading order; or small and bare, to be kept."""

from __future__ import annotations

import struct
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from io import BytesIO
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from scionary.errors import BadFile
from scionary.files.symbols import Symbol, not_yet, read_symbols
from scionary.language import say
from scionary.limits import LIMITS

if TYPE_CHECKING:
    from PIL.Image import Image, Transpose

_READ = ("JPEG", "PNG", "WEBP")
KEPT_SIDE = 1600  # longer side of a photo that is kept, in points
_FIRST_LOOK, _CLOSER_LOOK = 2000, 4000  # longer side, in points; a closer look finds small symbols
_WHOLE = 3  # so many times fewer points may a picture have that is unpacked whole: a JPEG is made smaller while it is read
_ORIENTATION = 0x0112  # the EXIF tag that says how the camera was held
_ALIKE = 0.9  # symbols that point the same way: mean length of their directions; project default, unsourced
_SAME_ROW = 0.6  # of a symbol's height between two in one row; project default, unsourced
_DAMAGED = (OSError, SyntaxError, ValueError, EOFError, TypeError, KeyError, IndexError, OverflowError, struct.error)


@dataclass(frozen=True)
class Photo:
    """A photograph held upright, and its symbols as a person reads them: row by row, left to right."""

    name: str
    width: int
    height: int
    symbols: tuple[Symbol, ...]


def read_photo(data: bytes, name: str, *, closer: bool = True) -> Photo:
    """Read every symbol in a JPEG, PNG or WebP; positions are points of the picture held upright.

    Without `closer` small symbols are left out, which takes a third of the time: enough for a camera that is being held nearer.
    """
    image, width = open_photo(data, name)
    longer = max(image.size)
    found = _found(_sized(image, min(_FIRST_LOOK, longer)), width)
    if closer:
        found += not_yet(found, _found(_sized(image, min(_CLOSER_LOOK, 2 * longer)), width, blurs=(0.0,)))
    height = round(image.height * width / image.width)
    return Photo(name, width, height, tuple(in_reading_order(found)))


def open_photo(data: bytes, name: str) -> tuple[Image, int]:
    """A picture in grey, upright and no larger than is looked at, and how wide it was; refused before a too large one is unpacked."""
    from PIL import Image as Images

    with _opened(data, name) as opened:
        turn, (width, height) = _turn(opened), opened.size
        opened.draft("L", (_CLOSER_LOOK, _CLOSER_LOOK))
        grey = _grey(opened)
    upright = grey if turn is None else grey.transpose(turn)
    sideways = turn in (Images.Transpose.ROTATE_90, Images.Transpose.ROTATE_270, Images.Transpose.TRANSPOSE, Images.Transpose.TRANSVERSE)
    return upright, height if sideways else width


@dataclass(frozen=True)
class SmallPhoto:
    """A picture as it is kept: a JPEG held upright, with nothing beside the picture: no place, no time, no name of a camera."""

    data: bytes
    width: int
    height: int


def smaller(data: bytes, name: str, *, longest: int = KEPT_SIDE, quality: int = 82) -> SmallPhoto:
    """A JPEG, PNG or WebP with its longer side at most so many points, without all that a camera writes beside a picture."""
    with _opened(data, name) as opened:
        turn = _turn(opened)
        opened.draft("RGB", (longest, longest))
        shown = _in_colour(opened)
        shown.thumbnail((longest, longest), reducing_gap=2.0)
    upright = shown if turn is None else shown.transpose(turn)
    plain = upright.copy()
    plain.info.clear()
    out = BytesIO()
    plain.save(out, "JPEG", quality=quality, optimize=True)
    return SmallPhoto(out.getvalue(), plain.width, plain.height)


@contextmanager
def _opened(data: bytes, name: str) -> Iterator[Image]:
    """A picture to unpack within the block; refused before a too large one is, and in words where it is damaged."""
    from PIL import Image as Images

    if refusal := too_heavy(len(data), name):
        raise refusal
    _check_kind(data, name)
    try:
        with warnings.catch_warnings():  # what is too large is refused in words right below
            warnings.simplefilter("ignore", Images.DecompressionBombWarning)
            opened = Images.open(BytesIO(data), formats=_READ)
        most = LIMITS["photo_pixels"] if opened.format == "JPEG" else LIMITS["photo_pixels"] // _WHOLE
        if opened.width * opened.height > most:
            raise _too_many_points(name, f"{opened.width} × {opened.height}")
        yield opened
    except Images.DecompressionBombError as error:
        raise _too_many_points(name, say("far too many")) from error
    except _DAMAGED as error:
        remedy = say("Take it again, or send it again: it may not have arrived whole.")
        raise BadFile(say("the picture is damaged or breaks off."), where=name, remedy=remedy) from error


def too_heavy(size: int, name: str) -> BadFile | None:
    """Why a file of this size is not even read; None when it may be."""
    most = LIMITS["photo_bytes"]
    if size <= most:
        return None
    said = say("the picture has {size:,.1f} MB; at most {most:,.1f} MB are read.", size=size / 1000000.0, most=most / 1000000.0)
    return BadFile(said, where=name, remedy=say("Send a smaller one: a phone's usual photo is enough."))


def in_reading_order(symbols: Sequence[Symbol]) -> list[Symbol]:
    """Row by row, left to right; a sheet that lies askew is read along its own rows."""
    if len(symbols) < 2:
        return list(symbols)
    corners = np.array([symbol.position for symbol in symbols], dtype=float)
    middles = corners.mean(axis=1) @ _level(corners[:, 1] - corners[:, 0])
    side = float(np.median(np.linalg.norm(corners[:, 3] - corners[:, 0], axis=1)))
    rows: list[list[int]] = []
    for place in np.argsort(middles[:, 1], kind="stable").tolist():
        if rows and middles[place, 1] - middles[rows[-1], 1].mean() < _SAME_ROW * side:
            rows[-1].append(place)
        else:
            rows.append([place])
    return [symbols[place] for row in rows for place in sorted(row, key=lambda one: middles[one, 0])]


def _level(along: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """The turn that brings the symbols' own direction level; none when they point this way and that."""
    directions = (along[:, 0] + 1j * along[:, 1]) / np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    mean = complex(directions.mean())
    if abs(mean) < _ALIKE:
        return np.eye(2)
    cosine, sine = mean.real / abs(mean), mean.imag / abs(mean)
    return np.array([[cosine, -sine], [sine, cosine]])


def _sized(image: Image, side: int) -> Image:
    """The picture with its longer side so many points long."""
    share = side / max(image.size)
    width, height = (max(1, round(length * share)) for length in image.size)
    return image if share == 1.0 else image.resize((width, height), reducing_gap=2.0)


def _found(shown: Image, width: int, **how: Sequence[float]) -> list[Symbol]:
    """The symbols of a picture looked at in some size, with their places in its full size."""
    larger = width / shown.width
    return [
        replace(symbol, position=tuple((round(x * larger), round(y * larger)) for x, y in symbol.position))
        for symbol in read_symbols(shown, **how)
    ]


def _check_kind(data: bytes, name: str) -> None:
    """A file that is none of the kinds read is told apart by its first bytes, never by its name."""
    if not data:
        raise BadFile(say("the picture is empty."), where=name, remedy=say("Take the photo again."))
    if data[4:8] == b"ftyp":
        remedy = say("Set the phone's camera to JPEG (often called most compatible), or send a picture of the screen that shows the photo.")
        raise BadFile(say("this is a HEIC or AVIF picture or a film, which is not read here."), where=name, remedy=remedy)
    if not (data.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n")) or (data[:4] == b"RIFF" and data[8:12] == b"WEBP")):
        raise BadFile(say("this is no picture that can be read."), where=name, remedy=say("Give a JPEG, PNG or WebP."))


def _too_many_points(name: str, how_many: str) -> BadFile:
    most = LIMITS["photo_pixels"]
    said = say(
        "the picture has {how_many} points; at most {most:,} are read, of a PNG or WebP {whole:,}.",
        how_many=how_many,
        most=most,
        whole=most // _WHOLE,
    )
    return BadFile(said, where=name, remedy=say("Send a smaller one."))


def _turn(image: Image) -> Transpose | None:
    """How the picture is turned to stand upright; damage in what the camera wrote beside it turns nothing."""
    from PIL.Image import Transpose

    turns = (
        Transpose.FLIP_LEFT_RIGHT,
        Transpose.ROTATE_180,
        Transpose.FLIP_TOP_BOTTOM,
        Transpose.TRANSPOSE,
        Transpose.ROTATE_270,
        Transpose.TRANSVERSE,
        Transpose.ROTATE_90,
    )
    try:
        said = image.getexif().get(_ORIENTATION)
    except _DAMAGED:
        return None
    return turns[said - 2] if isinstance(said, int) and 2 <= said <= 8 else None


def _in_colour(image: Image) -> Image:
    """In colour, with white where nothing is; sixteen bits are taken down to eight."""
    from PIL import Image as Images

    if image.has_transparency_data:
        colour = image.convert("RGBA")
        return Images.composite(colour.convert("RGB"), Images.new("RGB", image.size, "white"), colour.getchannel("A"))
    return _grey(image).convert("RGB") if image.mode.startswith("I") else image.convert("RGB")


def _grey(image: Image) -> Image:
    """In grey, with white where nothing is; sixteen bits are taken down to eight."""
    from PIL import Image as Images

    if image.has_transparency_data:
        grey, there = image.convert("LA").split()
        return Images.composite(grey, Images.new("L", image.size, 255), there)
    if image.mode.startswith("I"):
        return Images.fromarray((np.asarray(image) // 256).clip(0, 255).astype(np.uint8))
    return image.convert("L")
