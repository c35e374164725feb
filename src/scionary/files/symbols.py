"""Two-dimensional symbols: QR and Data Matrix modules to draw, and symbols read back from a picture."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadFile, BadValue

if TYPE_CHECKING:
    from PIL.Image import Image

QUIET_MODULES = 4  # ISO/IEC 18004: the blank border of a QR symbol
QUIET = {
    "qr": QUIET_MODULES,
    "datamatrix": 2,
}  # ISO/IEC 16022 asks for one module; two forgive a cut or dirty edge (project default, unsourced)
_FORMATS = "QRCode,MicroQRCode,DataMatrix,Code128"
_LARGEST_PIXELS = 60_000_000
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
        raise BadValue("text", text, f"1 to {_LONGEST_TEXT} characters")
    import zxingcpp

    symbol = zxingcpp.create_barcode(text, getattr(zxingcpp.BarcodeFormat, name), **options)
    picture: npt.NDArray[np.uint8] = np.array(symbol.to_image(scale=1, add_quiet_zones=False))
    dark: npt.NDArray[np.bool_] = np.equal(picture, 0)
    return dark


def read_symbols(image: Image | npt.NDArray[np.uint8] | bytes, *, name: str = "picture") -> list[Symbol]:
    """Read every symbol in a picture; for faint or rough ones it is read again, blurred and with its contrast stretched."""
    import zxingcpp
    from PIL import ImageFilter, ImageOps

    grey = _grey(image, name)
    formats = zxingcpp.barcode_formats_from_str(_FORMATS)
    found: list[Symbol] = []
    for blur in (0.0, 1.0, 2.0):
        shown = grey if not blur else ImageOps.autocontrast(grey.filter(ImageFilter.GaussianBlur(blur)), cutoff=1)
        read = [_symbol(one) for one in zxingcpp.read_barcodes(shown, formats=formats)]
        new = [one for one in read if not any(_same(one, other) for other in found)]
        found += new
        if found and not new:
            break
    return found


def _same(one: Symbol, other: Symbol) -> bool:
    """Whether two readings are of one symbol: the same text in the same place."""
    if one.text != other.text:
        return False
    middle, other_middle = np.mean(one.position, axis=0), np.mean(other.position, axis=0)
    side = np.max(np.ptp(np.asarray(other.position), axis=0))
    return bool(np.max(np.abs(middle - other_middle)) < side / 2.0)


def _grey(image: Image | npt.NDArray[np.uint8] | bytes, name: str) -> Image:
    from PIL import Image as Images
    from PIL import ImageOps, UnidentifiedImageError

    if isinstance(image, np.ndarray):
        return Images.fromarray(image).convert("L")
    if not isinstance(image, bytes):
        return image.convert("L")
    try:
        opened = Images.open(BytesIO(image))
        if opened.width * opened.height > _LARGEST_PIXELS:
            raise BadFile(f"the picture has {opened.width} × {opened.height} points.", where=name, remedy="Give a smaller one.")
        return ImageOps.exif_transpose(opened).convert("L")
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, EOFError, Images.DecompressionBombError) as error:
        raise BadFile("this is no picture that can be read.", where=name, remedy="Give a JPEG or PNG.") from error


def _symbol(found: Any) -> Symbol:
    corners = (found.position.top_left, found.position.top_right, found.position.bottom_right, found.position.bottom_left)
    return Symbol(found.text, str(found.format), tuple((corner.x, corner.y) for corner in corners))
