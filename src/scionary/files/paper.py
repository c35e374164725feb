"""What every printed page needs: fonts with their glyphs checked, text that fits its place, symbols as vectors."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

from scionary.errors import BadValue
from scionary.language import say

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

MM = 72.0 / 25.4  # points
PAGES_MM = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
PLAIN, BOLD, ITALIC, MONO, SERIF = "Scionary-Plain", "Scionary-Bold", "Scionary-Italic", "Scionary-Mono", "Scionary-Serif"
LINE = 1.18  # line height per font size
_FILES = {
    PLAIN: "DejaVuSans.ttf",
    BOLD: "DejaVuSans-Bold.ttf",
    ITALIC: "DejaVuSans-Oblique.ttf",
    MONO: "DejaVuSansMono-Bold.ttf",
    SERIF: "DejaVuSerif.ttf",
}
_STEP = 0.25  # points between two sizes that are tried
_LEAST_SIDE_MM, _MOST_SIDE_MM = 10.0, 1200.0
_OWN_PAGE = re.compile(r"(\d{1,4}(?:\.\d{1,2})?)x(\d{1,4}(?:\.\d{1,2})?)")

Run = tuple[str, str]  # text, font
_BLANKS = re.compile(r"[ \t\r\n\f\v]+")


@dataclass(frozen=True)
class Block:
    """Lines of runs at one size; `cut` says that the text did not fit and ends in an ellipsis."""

    size: float
    lines: tuple[tuple[Run, ...], ...]
    cut: bool = False

    @property
    def height(self) -> float:
        """Points from the top of the first line to the foot of the last."""
        return self.size * LINE * len(self.lines)


def page_size_mm(page: str) -> tuple[float, float]:
    """Width and height of a page by its name, or as measured: ``62x29``, in mm."""
    if page in PAGES_MM:
        return PAGES_MM[page]
    measured = _OWN_PAGE.fullmatch(page)
    sides = (float(measured[1]), float(measured[2])) if measured else (0.0, 0.0)
    if not all(_LEAST_SIDE_MM <= side <= _MOST_SIDE_MM for side in sides):
        allowed = say(
            "{pages_mm}, or width x height in mm, {least_side_mm:g} to {most_side_mm:g} each, such as 62x29",
            pages_mm=", ".join(PAGES_MM),
            least_side_mm=_LEAST_SIDE_MM,
            most_side_mm=_MOST_SIDE_MM,
        )
        raise BadValue("page", page, allowed)
    return sides


def open_canvas(page: str, title: str) -> tuple[Canvas, BytesIO]:
    """A page to draw on; the same drawing always gives the same bytes."""
    from reportlab.pdfgen.canvas import Canvas

    fonts()
    width, height = page_size_mm(page)
    out = BytesIO()
    canvas = Canvas(out, pagesize=(width * MM, height * MM), invariant=1, pageCompression=1)
    canvas.setTitle(printable(title))
    canvas.setCreator("Scionary")
    canvas.setAuthor("")
    return canvas, out


@lru_cache(maxsize=1)
def fonts() -> dict[str, Any]:
    """Register the fonts that matplotlib carries (DejaVu, a free licence) and give them by name."""
    import matplotlib
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    loaded = {name: TTFont(name, str(folder / file)) for name, file in _FILES.items()}
    for font in loaded.values():
        pdfmetrics.registerFont(font)
    return loaded


def missing_letters(texts: Iterable[str], font: str = PLAIN) -> str:
    """The letters, each once, that a print font does not have; they are printed as '?'."""
    letters = dict.fromkeys(letter for text in texts for letter in text if not letter.isspace())
    return "".join(letter for letter in letters if not _is_known(letter, font))


@lru_cache(maxsize=4096)
def _is_known(letter: str, font: str) -> bool:
    return ord(letter) in fonts()[font].face.charToGlyph


def printable(text: str, font: str = PLAIN) -> str:
    """The text on one line, with '?' for each letter that the font does not have."""
    line = _BLANKS.sub(" ", text).strip(" ")
    missing = set(missing_letters([line], font))
    return "".join("?" if letter in missing else letter for letter in line)


def text_width(text: str, font: str, size: float) -> float:
    """Width in points; it grows with the size alone, so that each text is measured once."""
    return _width_per_size(text, font) * size


@lru_cache(maxsize=20_000)
def _width_per_size(text: str, font: str) -> float:
    return float(fonts()[font].stringWidth(text, 1.0))


def fit(runs: Sequence[Run], width: float, height: float, *, largest: float, smallest: float, lines: int = 2) -> Block:
    """The largest size at which the runs fit the place in so many lines; at the smallest size they are cut with an ellipsis."""
    shown = [(printable_edges(text, font), font) for text, font in runs if text.strip()]
    size = largest
    while size >= smallest - 1e-6:
        room = max(1, min(lines, int(height / (size * LINE) + 1e-6)))
        block, done = _break(shown, width, size, room)
        if done and block.height <= height + 1e-6:
            return block
        size -= _STEP
    room = max(1, min(lines, int(height / (smallest * LINE) + 1e-6)))
    block, _ = _break(shown, width, smallest, room)
    if not block.cut:
        return block
    lines_cut = _with_ellipsis([list(line) for line in block.lines], width, smallest)
    return Block(smallest, tuple(tuple(line) for line in lines_cut), cut=True)


def printable_edges(text: str, font: str = PLAIN) -> str:
    """Like `printable`, keeping one space at either end, where a run meets the next."""
    body = printable(text, font)
    return (" " if text[:1].isspace() else "") + body + (" " if text[-1:].isspace() and body else "")


def _break(runs: Sequence[Run], width: float, size: float, room: int) -> tuple[Block, bool]:
    """Fill lines word by word, as many as there is room for; a word wider than the line is split between letters."""
    words = _words(runs)
    lines: list[list[Run]] = [[]]
    used = 0.0
    split = False
    while words:
        text, font = words.pop(0)
        start = text.lstrip(" ") if not lines[-1] else text
        wide = text_width(start, font, size)
        if used + wide <= width:
            lines[-1].append((start, font))
            used += wide
            continue
        if not lines[-1]:
            split = True
            head = _head(start, font, size, width)
            lines[-1].append((head, font))
            text = start[len(head) :]
        if len(lines) == room:
            return Block(size, tuple(tuple(line) for line in lines), cut=True), False
        lines.append([])
        used = 0.0
        words.insert(0, (text.lstrip(" ") or text, font))
    return Block(size, tuple(tuple(line) for line in lines)), not split


def _words(runs: Sequence[Run]) -> list[Run]:
    """Each word with the space before it."""
    found: list[Run] = []
    for text, font in runs:
        lead = ""
        for part in text.replace(" ", " \0").split("\0"):
            word = part.removesuffix(" ")
            if word:
                found.append((lead + word, font))
            lead = " " if part.endswith(" ") or (lead and not part) else ""
        if lead:
            found.append((lead, font))
    return found


def _head(text: str, font: str, size: float, width: float) -> str:
    count = len(text)
    while count > 1 and text_width(text[:count], font, size) > width:
        count -= 1
    return text[:count]


def _with_ellipsis(lines: list[list[Run]], width: float, size: float) -> list[list[Run]]:
    """Shorten the last line until an ellipsis fits behind it."""
    last = lines[-1]
    while last:
        text, font = last.pop()
        while text:
            shown = text.rstrip() + "…"
            before = sum(text_width(part, name, size) for part, name in last)
            if before + text_width(shown, font, size) <= width:
                last.append((shown, font))
                return lines
            text = text[:-1]
    return lines


def draw_block(canvas: Canvas, block: Block, x: float, top: float) -> float:
    """Draw lines downwards from `top`; gives the foot."""
    y = top
    for line in block.lines:
        y -= block.size * LINE
        at = x
        for text, font in line:
            canvas.setFont(font, block.size)
            canvas.drawString(at, y + block.size * (LINE - 0.93), text)
            at += text_width(text, font, block.size)
    return y


def caution_word() -> Run:
    """The word before a caution."""
    return say("Caution:") + " ", BOLD


def draw_caution(canvas: Canvas, caution: str, left: float, right: float, bottom: float) -> float:
    """The caution in a frame of its own above the foot; gives its top."""
    if not caution.strip():
        return bottom
    pad = 2.0 * MM
    block = fit([caution_word(), (caution, PLAIN)], right - left - 2 * pad, 16.0 * MM, largest=9.0, smallest=6.0, lines=4)
    canvas.setLineWidth(1.4)
    canvas.rect(left, bottom, right - left, block.height + pad)
    draw_block(canvas, block, left + pad, bottom + block.height + pad / 2.0)
    return bottom + block.height + pad + 2.0 * MM


def draw_symbol(canvas: Canvas, text: str, x: float, y: float, side: float, kind: str = "qr") -> None:
    """Draw a symbol with its quiet border into a square, lower left corner at (x, y).

    All of it is one path in whole modules, each run of dark modules one box: short in the file, and quick to write.
    """
    import numpy as np
    from reportlab.pdfgen.pathobject import PDFPathObject

    from scionary.files.symbols import QUIET, symbol_modules

    modules = symbol_modules(text, kind)
    count = len(modules)
    module = side / (count + 2 * QUIET[kind])
    canvas.saveState()
    canvas.transform(module, 0, 0, module, x + QUIET[kind] * module, y + QUIET[kind] * module)
    edges = np.diff(np.pad(modules, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    starts, ends = np.argwhere(edges == 1), np.argwhere(edges == -1)
    # A hair higher than a module, so that no light seam shows between rows.
    boxes = [f"{left} {count - 1 - row} {end - left} 1.01 re" for (row, left), (_, end) in zip(starts.tolist(), ends.tolist(), strict=True)]
    canvas.drawPath(PDFPathObject(boxes), stroke=0, fill=1)
    canvas.restoreState()
