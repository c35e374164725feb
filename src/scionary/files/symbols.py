"""Two-dimensional symbols: QR and Data Matrix modules to draw, and symbols read back from a picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say

if TYPE_CHECKING:
    from PIL.Image import Image

QUIET_MODULES = 4  # ISO/IEC 18004: the blank border of a QR symbol
QUIET = {
    "qr": QUIET_MODULES,
    "datamatrix": 2,
}  # ISO/IEC 16022 asks for one module; two forgive a cut or dirty edge (project default, unsourced)
_FORMATS = "QRCode,MicroQRCode,DataMatrix,Code128"
_BLURS = (0.0, 1.0, 2.0)
_LONGEST_TEXT = 200


@dataclass(frozen=True)
class Symbol:
    """A symbol found in a picture: its text, its kind, and its corners in pixels, clockwise from its own top left."""

    text: str
    format: str
    position: tuple[tuple[int, int], ...]


def qr_modules(text: str) -> npt.NDArray[np.bool_]:
    """Dark modules of a QR symbol at recovery level H, without the quiet border."""
    return _modules(text, "QRCode", ec_level="H")


def data_matrix_modules(text: str) -> npt.NDArray[np.bool_]:
    """Dark modules of a square Data Matrix symbol, which carries its own recovery, without the quiet border."""
    return _modules(text, "DataMatrix")


def symbol_modules(text: str, kind: str) -> npt.NDArray[np.bool_]:
    """Dark modules of a symbol of a kind: ``qr`` or ``datamatrix``."""
    if kind not in QUIET:
        raise BadValue("kind", kind, " or ".join(QUIET))
    return qr_modules(text) if kind == "qr" else data_matrix_modules(text)


def _modules(text: str, name: str, **options: str) -> npt.NDArray[np.bool_]:
    if not text or len(text) > _LONGEST_TEXT:
        raise BadValue("text", text, say("1 to {longest_text} characters", longest_text=_LONGEST_TEXT))
    import zxingcpp

    symbol = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, name), **options)
    picture: npt.NDArray[np.uint8] = np.array(symbol.to_image(scale=1, add_quiet_zones=False))
    dark: npt.NDArray[np.bool_] = np.equal(picture, 0)
    return dark


def read_symbols(image: Image | npt.NDArray[np.uint8], *, blurs: Sequence[float] = _BLURS) -> list[Symbol]:
    """Read every symbol in a picture; for faint or rough ones it is read again, blurred and with its contrast stretched."""
    import zxingcpp
    from PIL import ImageFilter, ImageOps

    grey = _grey(image)
    formats = zxingcpp.barcode_formats_from_str(_FORMATS)
    found: list[Symbol] = []
    for blur in blurs:
        shown = grey if not blur else ImageOps.autocontrast(grey.filter(ImageFilter.GaussianBlur(blur)), cutoff=1)
        new = not_yet(found, [_symbol(one) for one in zxingcpp.read_barcodes(shown, formats=formats)])
        found += new
        if found and not new:
            break
    return found


def not_yet(found: Iterable[Symbol], read: Iterable[Symbol]) -> list[Symbol]:
    """Those of the symbols read that were not found before: not the same text in the same place."""
    return [one for one in read if not any(_same(one, other) for other in found)]


def _same(one: Symbol, other: Symbol) -> bool:
    if one.text != other.text:
        return False
    middle, other_middle = np.mean(one.position, axis=0), np.mean(other.position, axis=0)
    side = np.max(np.ptp(np.asarray(other.position), axis=0))
    return bool(np.max(np.abs(middle - other_middle)) < side / 2.0)


def _grey(image: Image | npt.NDArray[np.uint8]) -> Image:
    from PIL import Image as Images

    return (Images.fromarray(image) if isinstance(image, np.ndarray) else image).convert("L")


def _symbol(found: Any) -> Symbol:
    corners = (found.position.top_left, found.position.top_right, found.position.bottom_right, found.position.bottom_left)
    return Symbol(found.text, str(found.format), tuple((corner.x, corner.y) for corner in corners))
