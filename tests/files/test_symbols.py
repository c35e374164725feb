"""Symbols written and read back."""

from __future__ import annotations

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageFilter

from scionary.errors import BadValue
from scionary.files.symbols import data_matrix_modules, qr_modules, read_symbols, symbol_modules


def picture_of(text: str, module: int = 8) -> Image.Image:
    """A clean picture of a symbol with its border."""
    dark = np.kron(np.pad(qr_modules(text), 4), np.ones((module, module), bool))
    return Image.fromarray(np.where(dark, 0, 255).astype(np.uint8))


def test_picture_and_array_give_the_same_symbol() -> None:
    image = picture_of("7KQ2M9X")
    for given in (image, np.asarray(image), image.convert("RGB").rotate(90, expand=True)):
        assert [(symbol.text, symbol.format) for symbol in read_symbols(given)] == [("7KQ2M9X", "QR Code")]


def test_position_is_where_the_symbol_stands() -> None:
    sheet = Image.new("L", (600, 500), 255)
    sheet.paste(picture_of("7KQ2M9X"), (300, 200))
    corners = np.array(read_symbols(sheet)[0].position)
    assert corners.min(axis=0) == pytest.approx([332, 232], abs=6)
    assert corners.max(axis=0) == pytest.approx([300 + 25 * 8, 200 + 25 * 8], abs=6)


def test_faded_and_noisy_print_is_read_at_the_second_try() -> None:
    clean = np.asarray(picture_of("7KQ2M9X", 10), dtype=float)
    noise = np.random.default_rng(3).normal(0, 14, clean.shape)
    faded = Image.fromarray(np.clip(200 + clean / 255 * 0.10 * 255 + noise, 0, 255).astype(np.uint8))
    assert [symbol.text for symbol in read_symbols(faded)] == ["7KQ2M9X"]


def test_blurred_print_is_read() -> None:
    assert read_symbols(picture_of("7KQ2M9X", 6).filter(ImageFilter.GaussianBlur(2.5)))[0].text == "7KQ2M9X"


def test_picture_without_a_symbol_gives_none() -> None:
    assert read_symbols(Image.new("L", (300, 300), 200)) == []


@pytest.mark.parametrize("text", ["", "x" * 201])
def test_text_too_short_or_too_long_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="1 to 200 characters"):
        qr_modules(text)


def test_a_code_is_a_square_data_matrix_of_14_modules_and_read_back() -> None:
    dark = data_matrix_modules("7KQ2M9X")
    assert dark.shape == (14, 14)
    picture = np.where(np.kron(np.pad(dark, 2), np.ones((8, 8), bool)), 0, 255).astype(np.uint8)
    assert [(symbol.text, symbol.format) for symbol in read_symbols(picture)] == [("7KQ2M9X", "Data Matrix")]


def test_an_unknown_kind_of_symbol_is_refused() -> None:
    with pytest.raises(BadValue, match="kind is 'maxi'; allowed: qr or datamatrix"):
        symbol_modules("7KQ2M9X", "maxi")


def test_a_faint_symbol_is_read_beside_clear_ones_and_none_twice() -> None:
    sheet = np.full((480, 1100), 255.0)
    for left, text in ((20, "7KQ2M9X"), (380, "7KQ2M9X"), (740, "AYH83AK")):
        clear = np.asarray(picture_of(text, 10), dtype=float)
        sheet[40 : 40 + len(clear), left : left + len(clear)] = clear
    sheet[:, 740:] = 230 + sheet[:, 740:] * 0.1 + np.random.default_rng(3).normal(0, 14, sheet[:, 740:].shape)
    picture = Image.fromarray(np.clip(sheet, 0, 255).astype(np.uint8))
    assert sorted(symbol.text for symbol in read_symbols(picture)) == ["7KQ2M9X", "7KQ2M9X", "AYH83AK"]
    assert len(zxingcpp.read_barcodes(picture)) == 2
