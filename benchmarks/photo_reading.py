"""How soon all thirty labels of a photographed sheet are read, and how many, beside plain passes over the same photo in the same run.

python benchmarks/photo_reading.py            prints the table; exit code 1 when a target is missed
python benchmarks/photo_reading.py --write    also puts it, dated, into docs/speed.md and benchmarks/results/photo_reading.json

The photo is our own label sheet, drawn, turned, out of focus, in uneven light, with noise, and saved as a JPEG. The alternatives are
what one does first: open the file and give it to the library as it is; and cut the photo up and read it label by label, which needs to
be told where each one lies (here by our own reader, outside the time). Symbols are written and read by the same library, but the
reader gets the photo alone.
"""

from __future__ import annotations

import json
import os
import platform
import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import numpy as np
import pypdfium2
import zxingcpp
from PIL import Image, ImageFilter

from scionary.files.grids import GRIDS
from scionary.files.labels import LabelText, label_sheet
from scionary.files.photos import read_photo
from scionary.names import botanical_name, code_of

ROOT = Path(__file__).resolve().parent.parent
PAGE, STORED = ROOT / "docs" / "speed.md", ROOT / "benchmarks" / "results" / "photo_reading.json"
START, END = "<!-- photos: begin -->", "<!-- photos: end -->"
TIMES, MOST_S, TURNED_DEGREES, NOISE, DARKEST = 5, 1.5, 7.0, 8.0, 0.35
CULTIVARS = ("Red Tarn", "Ash Gill", "Lanthorn", "Fell Lace", "Merrybeck")


@dataclass(frozen=True)
class Taken:
    """How a sheet is photographed; the blur is the width of a Gaussian in points of the photo."""

    words: str
    sheet: str
    symbol: str
    dpi: int
    blur: float


@dataclass(frozen=True)
class Read:
    """One way of reading one photo: the labels found, and the seconds of each run, by the clock and of the processor."""

    photo: str
    way: str
    found: int
    of: int
    seconds: tuple[float, ...]
    processor_s: tuple[float, ...]

    @property
    def median_s(self) -> float:
        return statistics.median(self.seconds)


PHOTOS = (
    Taken("30 labels with QR, 14 million points", "letter-30", "qr", 350, 2.3),
    Taken("30 labels with Data Matrix, 14 million points", "letter-30", "datamatrix", 350, 2.3),
    Taken("30 labels with QR, small and out of focus", "letter-30", "qr", 120, 1.3),
    Taken("65 small labels with QR, 3 million points", "a4-65", "qr", 150, 1.0),
)
TARGETS = 2  # so many of these must be read whole, and within the time


def texts(count: int) -> list[LabelText]:
    """Labels with everything on them."""
    names = {name: botanical_name(f"Acer palmatum '{name}'").runs for name in CULTIVARS}
    called = [CULTIVARS[number % len(CULTIVARS)] for number in range(count)]
    return [
        LabelText(f"{name} {number // 5 + 1}", code_of(number), names[name], "2026-03-12", "side veneer", "stock 24-B")
        for number, name in enumerate(called)
    ]


def photographed(taken: Taken) -> tuple[bytes, list[str]]:
    """The sheet as a photo, and its codes."""
    labels = texts(GRIDS[taken.sheet].count)
    drawn = pypdfium2.PdfDocument(label_sheet(labels, GRIDS[taken.sheet], symbol=taken.symbol))[0].render(scale=taken.dpi / 72.0)
    askew = drawn.to_pil().convert("L").rotate(TURNED_DEGREES, expand=True, fillcolor=140, resample=Image.Resampling.BICUBIC)
    grey = np.asarray(askew.filter(ImageFilter.GaussianBlur(taken.blur)), dtype=float)
    down, across = np.mgrid[0 : grey.shape[0], 0 : grey.shape[1]]
    light = DARKEST + (1.0 - DARKEST) * (0.6 * across / grey.shape[1] + 0.4 * down / grey.shape[0])
    noise = np.random.default_rng(20260312).normal(0.0, NOISE, grey.shape)
    out = BytesIO()
    Image.fromarray(np.clip((40.0 + grey * 0.75) * light + noise, 0, 255).astype(np.uint8)).convert("RGB").save(out, "JPEG", quality=85)
    return out.getvalue(), [label.code for label in labels]


def plain_pass(data: bytes) -> set[str]:
    """The library's reader on the photo as it is."""
    return {found.text for found in zxingcpp.read_barcodes(Image.open(BytesIO(data)).convert("L"))}


def label_by_label(data: bytes, boxes: list[tuple[int, int, int, int]]) -> set[str]:
    """The library's reader on one piece of the photo after the other."""
    photo = Image.open(BytesIO(data)).convert("L")
    return {found.text for box in boxes for found in zxingcpp.read_barcodes(photo.crop(box))}


def own_reader(data: bytes) -> set[str]:
    return {found.text for found in read_photo(data, "sheet.jpg").symbols}


def boxes_of(data: bytes) -> list[tuple[int, int, int, int]]:
    """Where each symbol lies, with its own side round it."""
    boxes = []
    for symbol in read_photo(data, "sheet.jpg").symbols:
        corners = np.array(symbol.position)
        low, high = corners.min(axis=0), corners.max(axis=0)
        (left, top), (right, foot) = 2 * low - high, 2 * high - low
        boxes.append((int(left), int(top), int(right), int(foot)))
    return boxes


def read_each_way(taken: Taken) -> list[Read]:
    """Each way some times, in turn, so that a busy moment falls on all."""
    data, codes = photographed(taken)
    boxes = boxes_of(data)
    ways: dict[str, Callable[[], set[str]]] = {
        "`read_photo`": lambda: own_reader(data),
        "plain pass": lambda: plain_pass(data),
        "label by label": lambda: label_by_label(data, boxes),
    }
    seconds: dict[str, list[float]] = {name: [] for name in ways}
    processor: dict[str, list[float]] = {name: [] for name in ways}
    found: dict[str, int] = {}
    for _ in range(TIMES):
        for name, way in ways.items():
            begin, begin_processor = time.perf_counter(), time.process_time()
            read = way()
            seconds[name].append(time.perf_counter() - begin)
            processor[name].append(time.process_time() - begin_processor)
            found[name] = len(read & set(codes))
    return [Read(taken.words, name, found[name], len(codes), tuple(seconds[name]), tuple(processor[name])) for name in ways]


def met(read: list[Read]) -> bool:
    """Whether every photo with a target was read whole and in time."""
    ours = [one for one in read if one.way == "`read_photo`"][:TARGETS]
    return all(one.found == one.of and one.median_s < MOST_S for one in ours)


def table(read: list[Read]) -> str:
    """Each photo, each way: labels read, seconds, and how many times as long as our own."""
    rows = [
        "| photo | way | read | median | fastest to slowest | processor | times `read_photo` | target |",
        "|---|---|--:|--:|--:|--:|--:|---|",
    ]
    own = {one.photo: one.median_s for one in read if one.way == "`read_photo`"}
    for place, one in enumerate(read):
        missed = "" if one.found == one.of and one.median_s < MOST_S else ", **missed**"
        aim = f"all, < {MOST_S:g} s{missed}" if one.way == "`read_photo`" and place < 3 * TARGETS else ""
        took = f"{one.median_s:.2f} s | {min(one.seconds):.2f} to {max(one.seconds):.2f} s | {statistics.median(one.processor_s):.2f} s"
        rows.append(f"| {one.photo} | {one.way} | {one.found} of {one.of} | {took} | {one.median_s / own[one.photo]:.1f} | {aim} |")
    return "\n".join(rows)


def main(arguments: list[str]) -> int:
    """Measure and print, write where asked, and say whether the targets are kept."""
    load = os.getloadavg()[0]
    read = [one for taken in PHOTOS for one in read_each_way(taken)]
    machine = f"{os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
    words = (
        f"Measured on {datetime.now(UTC).date()} ({machine}; {load:.1f} processes were waiting or running beforehand) by "
        f"`benchmarks/photo_reading.py`, the middle of {TIMES} runs; turned by {TURNED_DEGREES:g}°:"
    )
    text = f"{words}\n\n{table(read)}"
    print(text)
    if "--write" in arguments:
        before, _, rest = PAGE.read_text(encoding="utf-8").partition(START)
        PAGE.write_text(f"{before}{START}\n{text}\n{END}{rest.partition(END)[2]}", encoding="utf-8")
        stored = {"date": str(datetime.now(UTC).date()), "machine": machine, "load_before": load, "turned_degrees": TURNED_DEGREES}
        stored |= {"photos": [asdict(taken) for taken in PHOTOS], "read": [asdict(one) for one in read]}
        STORED.write_text(json.dumps(stored, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return 0 if met(read) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
