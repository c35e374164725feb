"""Draw the ring as the icons of an installed page: `python tools/icons.py` writes them beside `ring.svg`."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

STATIC = Path(__file__).resolve().parent.parent / "src" / "scionary" / "web" / "static" / "scionary"
PAPER, WOOD, BARE, LIVING = "#f6f7f4", "#c69a70", "#a9b4ae", "#13804a"
FINE = 8  # drawn so many times larger, then made small, so that edges are smooth
START, END = -90, 198  # degrees that the living arc reaches round, as in ring.svg


def icon(pixels: int) -> Image.Image:
    """The ring on paper, inside the circle that any phone leaves of an icon."""
    size = pixels * FINE
    image = Image.new("RGB", (size, size), PAPER)
    pen = ImageDraw.Draw(image)
    unit = size / 44  # the ring takes 28 of 44 units
    _disc(pen, size / 2, 14 * unit, BARE)
    box = [size / 2 - 14 * unit, size / 2 - 14 * unit, size / 2 + 14 * unit, size / 2 + 14 * unit]
    pen.pieslice(box, START, END, fill=LIVING)
    _disc(pen, size / 2, 10 * unit, PAPER)
    _disc(pen, size / 2, 8 * unit, WOOD)
    return image.resize((pixels, pixels), Image.Resampling.LANCZOS).quantize(48)


def _disc(pen: ImageDraw.ImageDraw, middle: float, radius: float, colour: str) -> None:
    pen.ellipse([middle - radius, middle - radius, middle + radius, middle + radius], fill=colour)


if __name__ == "__main__":
    for pixels in (192, 512):
        icon(pixels).save(STATIC / f"ring-{pixels}.png", optimize=True)
