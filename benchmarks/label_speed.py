"""How quickly a thousand labels with QR symbols are drawn, and how large the PDF is, beside symbols drawn as raster images.

python benchmarks/label_speed.py            prints the table; exit code 1 when a target is missed
python benchmarks/label_speed.py --write    also puts it, dated, into docs/speed.md and benchmarks/results/label_speed.json

The alternative is what one does first: make a picture of each symbol, some points a module, and place it. All else on the label is
the same, and both PDFs are read back by the same reader before they are timed.
"""

from __future__ import annotations

import json
import os
import platform
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from unittest import mock

import numpy as np
import pypdfium2
from PIL import Image

from scionary.files import labels as drawing
from scionary.files.grids import GRIDS
from scionary.files.labels import LabelText, label_sheet
from scionary.files.symbols import QUIET, read_symbols, symbol_modules
from scionary.names import botanical_name, code_of

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "speed.md", ROOT / "benchmarks" / "results" / "label_speed.json"
START, END = "<!-- labels: begin -->", "<!-- labels: end -->"
COUNT, TIMES, SHEET = 1000, 5, "a4-24"
MOST_S, MOST_MB = 2.5, 2.0
PIXELS_A_MODULE = 8
CULTIVARS = ("Red Tarn", "Ash Gill", "Lanthorn", "Fell Lace", "Merrybeck")


@dataclass(frozen=True)
class Drawn:
    """One way of drawing: the seconds of each run, and the size of the PDF."""

    name: str
    seconds: tuple[float, ...]
    megabytes: float

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)


def texts(count: int) -> list[LabelText]:
    """Labels with everything on them."""
    names = {name: botanical_name(f"Acer palmatum '{name}'").runs for name in CULTIVARS}
    return [
        LabelText(
            f"{CULTIVARS[number % 5]} {number // 5 + 1}",
            code_of(number),
            names[CULTIVARS[number % 5]],
            "2026-03-12",
            "side veneer",
            "stock 24-B",
        )
        for number in range(count)
    ]


@contextmanager
def raster_symbols() -> Iterator[None]:
    """Draw each symbol as a picture: the named alternative."""
    from reportlab.lib.utils import ImageReader

    def draw(canvas: Canvas, text: str, x: float, y: float, side: float, kind: str = "qr") -> None:
        modules = np.pad(symbol_modules(text, kind), QUIET[kind])
        grey = np.where(modules, 0, 255).astype(np.uint8).repeat(PIXELS_A_MODULE, 0).repeat(PIXELS_A_MODULE, 1)
        canvas.drawImage(ImageReader(Image.fromarray(grey)), x, y, side, side)

    with mock.patch.object(drawing, "draw_symbol", draw):
        yield


def is_read(pdf: bytes, labels: list[LabelText]) -> bool:
    """Whether every symbol on the first sheet is read back."""
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=3).to_pil()
    return {found.text for found in read_symbols(page)} == {label.code for label in labels[: GRIDS[SHEET].count]}


def both_ways() -> list[Drawn]:
    """Each way some times, in turn, so that a busy moment falls on both."""
    labels = texts(COUNT)
    ways: dict[str, Callable[[], AbstractContextManager[None]]] = {
        "one path a symbol, as printed": nullcontext,
        f"a picture a symbol, {PIXELS_A_MODULE} points a module": raster_symbols,
    }
    seconds: dict[str, list[float]] = {name: [] for name in ways}
    sizes: dict[str, float] = {}
    for turn in range(TIMES + 1):
        for name, way in ways.items():
            with way():
                begin = time.perf_counter()
                pdf = label_sheet(labels, GRIDS[SHEET])
                taken = time.perf_counter() - begin
            if turn:  # the first warms up: fonts are read once
                seconds[name].append(taken)
                continue
            sizes[name] = len(pdf) / 1e6
            if not is_read(pdf, labels):
                raise RuntimeError(f"{name}: a symbol was not read back")
    return [Drawn(name, tuple(seconds[name]), sizes[name]) for name in ways]


def table(ours: Drawn, other: Drawn) -> str:
    """Both ways, and how many times as long and as large the alternative is."""
    return "\n".join(
        [
            f"| {COUNT:,} labels with QR, one PDF | median | fastest to slowest | size | target |",
            "|---|--:|--:|--:|--:|",
            f"| {ours.name} | {ours.median_s:.2f} s | {min(ours.seconds):.2f} to {max(ours.seconds):.2f} s | {ours.megabytes:.2f} MB "
            f"| < {MOST_S:g} s, < {MOST_MB:g} MB{'' if met(ours) else ', **missed**'} |",
            f"| {other.name} | {other.median_s:.2f} s ({other.median_s / ours.median_s:.1f} ×) "
            f"| {min(other.seconds):.2f} to {max(other.seconds):.2f} s "
            f"| {other.megabytes:.2f} MB ({other.megabytes / ours.megabytes:.1f} ×) | |",
        ]
    )


def met(drawn: Drawn) -> bool:
    return drawn.median_s < MOST_S and drawn.megabytes < MOST_MB


def main(arguments: list[str]) -> int:
    """Measure and print, write where asked, and say whether the targets are kept."""
    load = os.getloadavg()[0]
    ours, other = both_ways()
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand) by "
        f"`benchmarks/label_speed.py`, the middle of {TIMES} runs:"
    )
    text = f"{words}\n\n{table(ours, other)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "machine": machine, "load_before": load, "count": COUNT, "sheet": SHEET}
        stored |= {"ways": [asdict(drawn) for drawn in (ours, other)]}
        STORED.write_text(json.dumps(stored, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0 if met(ours) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
