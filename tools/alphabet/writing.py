"""Letters and digits as labels show them: rendered small, then worn."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

SYMBOLS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
SIDE, CAPITAL = 40, 24  # pixels: the square that a character stands in, the height of a capital H; about 3 mm at 200 dots an inch

Grey = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Hand:
    """A typeface: its file, the Debian package that brings it, and whether it is like handwriting."""

    file: str
    package: str
    by_hand: bool


HANDS = (
    *(Hand(f"BecauseWe{name}-Regular.otf", "fonts-bwht", True) for name in ("Build", "Connect", "Create", "Learn", "Mentor", "Organize")),
    Hand("ComicNeue-Regular.otf", "fonts-comic-neue", True),
    Hand("Breip.ttf", "fonts-breip", True),
    Hand("Humor-Sans.ttf", "fonts-humor-sans", True),
    Hand("kiloji.ttf", "fonts-kiloji", True),
    Hand("setofont.ttf", "fonts-seto", True),
    Hand("Rufscript010.ttf", "fonts-rufscript", True),
    Hand("TomsonTalks.ttf", "fonts-tomsontalks", True),
    Hand("DejaVuSans.ttf", "fonts-dejavu-core", False),
    Hand("DejaVuSansMono.ttf", "fonts-dejavu-core", False),
    Hand("LiberationSans-Regular.ttf", "fonts-liberation", False),
    Hand("LiberationSansNarrow-Regular.ttf", "fonts-liberation", False),
    Hand("FreeSans.ttf", "fonts-freefont-ttf", False),
    Hand("Lato-Regular.ttf", "fonts-lato", False),
    Hand("Andika-Regular.ttf", "fonts-sil-andika", False),
)


def found(folder: Path) -> dict[str, Path]:
    """Each typeface's file under a folder; one that is missing ends the run, with the package to install."""
    files = {path.name: path for path in sorted(folder.rglob("*.?tf"))}
    missing = sorted({hand.package for hand in HANDS if hand.file not in files})
    if missing:
        raise SystemExit(f"Typefaces are missing under {folder}. Install these Debian packages, or unpack them there: {' '.join(missing)}")
    return {hand.file: files[hand.file] for hand in HANDS}


def written(file: Path) -> Grey:
    """All symbols of one typeface, ink 1 on paper 0, each in the middle of its square; shape (36, SIDE, SIDE)."""
    size = 10
    while _height(ImageFont.truetype(str(file), size), "H") < CAPITAL and size < 120:
        size += 1
    font = ImageFont.truetype(str(file), size)
    return np.stack([_one(font, symbol) for symbol in SYMBOLS])


def _height(font: ImageFont.FreeTypeFont, symbol: str) -> float:
    _, top, _, bottom = font.getbbox(symbol)
    return bottom - top


def _one(font: ImageFont.FreeTypeFont, symbol: str) -> Grey:
    left, top, right, bottom = font.getbbox(symbol)
    square = Image.new("L", (SIDE, SIDE), 0)
    place = ((SIDE - right + left) / 2 - left, (SIDE - bottom + top) / 2 - top)
    ImageDraw.Draw(square).text(place, symbol, font=font, fill=255)
    return np.asarray(square, dtype=np.float32) / 255.0


def worn(clean: Grey, rng: np.random.Generator) -> Grey:
    """One character after slanting, thinning or thickening, breaks, blur, fading and specks; each as strong as chance has it."""
    ink = _moved(clean, rng)
    stroke = rng.integers(4)
    if stroke == 0:
        ink = ndimage.grey_erosion(ink, size=(2, 2))
    elif stroke == 1:
        ink = ndimage.grey_dilation(ink, size=(int(rng.integers(2, 4)),) * 2)
    for _ in range(rng.integers(0, 3)):
        ink = ink * _unbroken(rng)
    ink = ndimage.gaussian_filter(ink, rng.uniform(0.4, 2.0))
    across = np.linspace(-1.0, 1.0, SIDE)
    angle, weakest = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(0.3, 1.0)
    slope = 0.5 + 0.35 * (np.cos(angle) * across[:, None] + np.sin(angle) * across[None, :])
    ink = ink * rng.uniform(0.35, 1.0) * np.clip(weakest + (1.0 - weakest) * slope, 0.0, 1.0)
    return np.asarray(ink + rng.normal(0.0, rng.uniform(0.02, 0.06), ink.shape), dtype=np.float32)


def _moved(clean: Grey, rng: np.random.Generator) -> Grey:
    """Slanted, turned, narrowed or widened, and a little off its place."""
    turn, slant = np.deg2rad(rng.uniform(-8.0, 8.0)), rng.uniform(-0.2, 0.2)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]]) @ np.array(
        [[1.0, 0.0], [slant, rng.uniform(0.85, 1.2)]]
    )
    middle = np.full(2, (SIDE - 1) / 2)
    moved = ndimage.affine_transform(clean, matrix, offset=middle - matrix @ middle + rng.uniform(-1.0, 1.0, 2), order=1)
    return np.asarray(moved, dtype=np.float32)


def _unbroken(rng: np.random.Generator) -> Grey:
    """1 where ink stays, 0 along one scratch of 2 to 4 pixels."""
    rows, columns = np.mgrid[0:SIDE, 0:SIDE]
    angle, through = rng.uniform(0.0, np.pi), rng.uniform(SIDE * 0.25, SIDE * 0.75, 2)
    away = np.abs((rows - through[0]) * np.cos(angle) + (columns - through[1]) * np.sin(angle))
    return np.asarray(away > rng.uniform(1.0, 2.0), dtype=np.float32)
