"""Printed labels read back: faded, photographed at an angle; and how quickly a thousand are drawn, beside plain drawing.

python benchmarks/label_reading.py            prints the tables; exit code 1 when a target is missed
python benchmarks/label_reading.py --write    also puts them between their marks in docs/codes.md

Fading takes contrast away: of so much the black turns to the paper's white. What is read has noise and is a little blurred, as a
photograph is. Symbols are written and read by the same library, but the reader gets the picture alone.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from unittest import mock

import numpy as np
import pypdfium2
import zxingcpp
from PIL import Image, ImageFilter

from scionary.files import labels as drawing
from scionary.files.grids import GRIDS
from scionary.files.labels import LabelText, label_sheet
from scionary.files.symbols import QUIET, read_symbols, symbol_modules
from scionary.names import botanical_name, code_of

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

PAGE = Path(__file__).resolve().parent.parent / "docs" / "codes.md"
START, END = "<!-- label reading: begin -->", "<!-- label reading: end -->"
KINDS = {"qr": "QR", "datamatrix": "Data Matrix"}
SHEETS = ("a4-24", "a4-65", "a4-strips")
FADED, DPI, NOISE, BLUR = (0.0, 0.3, 0.5, 0.7, 0.9), 150, 6.0, 0.6
PHOTO_DPI, TURNED_DEGREES = 200, 7.0
MOST_PHOTO_S, MOST_DRAWING_S, MOST_MB, MANY = 1.5, 2.5, 2.0, 1000
CULTIVARS = ("Red Tarn", "Ash Gill", "Lanthorn", "Fell Lace", "Merrybeck")

Reader = Callable[[Image.Image], set[str]]


def texts(count: int, first: int = 0) -> list[LabelText]:
    """Labels with everything on them."""
    return [
        LabelText(
            f"{CULTIVARS[number % 5]} {number // 5 + 1}",
            code_of(number),
            botanical_name(f"Acer palmatum '{CULTIVARS[number % 5]}'").runs,
            "2026-03-12",
            "side veneer",
            "stock 24-B",
        )
        for number in range(first, first + count)
    ]


def rastered(pdf: bytes, dpi: int) -> Image.Image:
    """The first page as a printer shows it."""
    return pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72.0).to_pil().convert("L")


def faded(page: Image.Image, share: float, rng: np.random.Generator) -> Image.Image:
    """A share of the contrast taken away on grey paper, with the noise and blur of a camera."""
    white = 235.0
    light = white - (255.0 - np.asarray(page.filter(ImageFilter.GaussianBlur(BLUR)), dtype=float)) * (white / 255.0) * (1.0 - share)
    return Image.fromarray(np.clip(light + rng.normal(0.0, NOISE, light.shape), 0, 255).astype(np.uint8))


def plain_reader(page: Image.Image) -> set[str]:
    """The library's reader as it is."""
    return {found.text for found in zxingcpp.read_barcodes(page)}


def own_reader(page: Image.Image) -> set[str]:
    """`read_symbols`, which looks again when a picture is faint."""
    return {found.text for found in read_symbols(page)}


def fading_rows() -> list[str]:
    """The table of what is read, by sheet, symbol, and fading."""
    rows = ["| sheet | symbol | " + " | ".join(f"{share:.0%} faded" for share in FADED) + " |", "|---|---|" + "--:|" * len(FADED)]
    for sheet in SHEETS:
        labels = texts(GRIDS[sheet].count)
        codes = {label.code for label in labels}
        for kind, words in KINDS.items():
            page = rastered(label_sheet(labels, GRIDS[sheet], symbol=kind), DPI)
            cells = []
            for share in FADED:
                shown = faded(page, share, np.random.default_rng(20260312))
                plain, own = (len(reader(shown) & codes) / len(codes) for reader in (plain_reader, own_reader))
                cells.append(f"{plain:.0%} → {own:.0%}" if round(plain, 2) != round(own, 2) else f"{own:.0%}")
            rows.append(f"| {sheet} | {words} | {' | '.join(cells)} |")
    return [row.replace("%", " %") for row in rows]


def photo_rows() -> tuple[list[str], bool]:
    """A sheet of thirty photographed at an angle: how many are read, how soon."""
    rows, good = ["| symbol | read of 30 | seconds |", "|---|--:|--:|"], True
    labels = texts(30)
    codes = {label.code for label in labels}
    for kind, words in KINDS.items():
        page = rastered(label_sheet(labels, GRIDS["letter-30"], symbol=kind), PHOTO_DPI)
        turned = page.rotate(TURNED_DEGREES, expand=True, fillcolor=180, resample=Image.Resampling.BICUBIC)
        photo = faded(turned, 0.3, np.random.default_rng(7))
        begin = time.perf_counter()
        found = own_reader(photo)
        taken = time.perf_counter() - begin
        good = good and found == codes and taken < MOST_PHOTO_S
        rows.append(f"| {words} | {len(found & codes)} | {taken:.2f} |")
    return rows, good


def drawing_rows() -> tuple[list[str], bool]:
    """A thousand labels in one PDF, beside the same with each dark module drawn as a box of its own."""
    labels = texts(MANY)
    label_sheet(labels[:1], GRIDS["a4-24"])  # fonts are read once
    (seconds, size), (plain_s, plain_size) = _drawn(labels), (0.0, 0)
    with plain_symbols():
        plain_s, plain_size = _drawn(labels)
    rows = [
        "| 1,000 labels with QR | seconds | MB |",
        "|---|--:|--:|",
        f"| as printed | {seconds:.2f} | {size / 1e6:.2f} |",
        f"| every module a box of its own | {plain_s:.2f} ({plain_s / seconds:.1f} ×) | "
        f"{plain_size / 1e6:.2f} ({plain_size / size:.1f} ×) |",
    ]
    return rows, seconds < MOST_DRAWING_S and size < MOST_MB * 1e6


def _drawn(labels: list[LabelText]) -> tuple[float, int]:
    begin = time.perf_counter()
    size = len(label_sheet(labels, GRIDS["a4-24"]))
    return time.perf_counter() - begin, size


@contextmanager
def plain_symbols() -> Iterator[None]:
    """Draw each dark module by its own command, in points: the named alternative."""

    def draw(canvas: Canvas, text: str, x: float, y: float, side: float, kind: str = "qr") -> None:
        modules = symbol_modules(text, kind)
        module = side / (len(modules) + 2 * QUIET[kind])
        for row, column in np.argwhere(modules):
            left, foot = x + (column + QUIET[kind]) * module, y + side - (row + QUIET[kind] + 1) * module
            canvas.rect(left, foot, module, module, stroke=0, fill=1)

    with mock.patch.object(drawing, "draw_symbol", draw):
        yield


def main() -> int:
    """Print the tables, write them where asked; 1 when a target is missed."""
    (photo, photo_good), (drawn, drawn_good) = photo_rows(), drawing_rows()
    heights = ", ".join(f"{GRIDS[sheet].label_height_mm:g}" for sheet in SHEETS)
    words = [
        f"A whole sheet of each at {DPI} points an inch, with noise and blur; the labels are {heights} mm high.",
        "Before an arrow: the reader as it is; behind it: `scionary`, which looks again at a faint picture.",
    ]
    photo_words = (
        f"A sheet of 30 as a photograph turned by {TURNED_DEGREES:g}°, 30 % faded, {PHOTO_DPI} points an inch "
        f"(target: all, under {MOST_PHOTO_S:g} s):"
    )
    drawn_words = f"Drawn in one run (target: under {MOST_DRAWING_S:g} s and {MOST_MB:g} MB):"
    table = "\n".join([" ".join(words), "", *fading_rows(), "", photo_words, "", *photo, "", drawn_words, "", *drawn])
    print(table)
    if "--write" in sys.argv[1:]:
        page = PAGE.read_text(encoding="utf-8")
        head, _, rest = page.partition(START)
        PAGE.write_text(f"{head}{START}\n{table}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return 0 if photo_good and drawn_good else 1


if __name__ == "__main__":
    sys.exit(main())
