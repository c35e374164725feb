"""Photographs of labels: read whole, in reading order, or refused with what to do."""

from __future__ import annotations

import warnings
from io import BytesIO
from typing import Any

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter

from scionary.errors import BadFile
from scionary.files.grids import GRIDS
from scionary.files.labels import LabelText, label_sheet
from scionary.files.photos import in_reading_order, open_photo, read_photo
from scionary.files.symbols import Symbol, qr_modules
from scionary.limits import LIMITS
from scionary.names import code_of

CODE = "7KQ2M9X"


def symbol(text: str = CODE, module: int = 6) -> Image.Image:
    """A clean picture of a symbol with its border."""
    dark = np.kron(np.pad(qr_modules(text), 4), np.ones((module, module), bool))
    return Image.fromarray(np.where(dark, 0, 255).astype(np.uint8))


def saved(image: Image.Image, kind: str = "PNG", **how: Any) -> bytes:
    """A picture as a file."""
    out = BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


def sheet_photo(preset: str, *, kind: str = "qr", dpi: int = 200, turned: float = 7.0, blur: float = 1.3) -> tuple[bytes, list[str]]:
    """Our own label sheet as a photograph: askew, in uneven light, out of focus, with noise; and its codes in order."""
    labels = [LabelText(f"Red Tarn {number}", code_of(number)) for number in range(GRIDS[preset].count)]
    page = pypdfium2.PdfDocument(label_sheet(labels, GRIDS[preset], symbol=kind))[0].render(scale=dpi / 72.0).to_pil().convert("L")
    askew = page.rotate(turned, expand=True, fillcolor=140, resample=Image.Resampling.BICUBIC)
    grey = np.asarray(askew.filter(ImageFilter.GaussianBlur(blur)), dtype=float)
    down, across = np.mgrid[0 : grey.shape[0], 0 : grey.shape[1]]
    light = 0.35 + 0.65 * (0.6 * across / grey.shape[1] + 0.4 * down / grey.shape[0])
    noise = np.random.default_rng(7).normal(0.0, 8.0, grey.shape)
    photo = np.clip((40.0 + grey * 0.75) * light + noise, 0, 255).astype(np.uint8)
    return saved(Image.fromarray(photo), "JPEG", quality=85), [label.code for label in labels]


@pytest.mark.parametrize("kind", ["qr", "datamatrix"])
def test_all_thirty_labels_of_a_photographed_sheet_are_read_in_their_order(kind: str) -> None:
    data, codes = sheet_photo("letter-30", kind=kind)
    assert [found.text for found in read_photo(data, "sheet.jpg").symbols] == codes


@pytest.mark.parametrize("turned", [-90.0, 172.0])
def test_a_sheet_on_its_side_or_head_is_read_in_its_own_order(turned: float) -> None:
    data, codes = sheet_photo("letter-30", turned=turned, dpi=150)
    assert [found.text for found in read_photo(data, "sheet.jpg").symbols] == codes


def test_a_sheet_taken_from_aslant_is_read_in_its_order() -> None:
    labels = [LabelText(f"Red Tarn {number}", code_of(number)) for number in range(30)]
    page = pypdfium2.PdfDocument(label_sheet(labels, GRIDS["letter-30"]))[0].render(scale=2.5).to_pil().convert("L")
    width, height = page.size
    seen = ((0.1 * width, 0), (0.9 * width, 0.1 * height), (width, height), (0, height))  # the far edge is a fifth shorter
    held = ((0, 0), (width, 0), (width, height), (0, height))
    rows = [
        row
        for (x, y), (u, v) in zip(seen, held, strict=True)
        for row in ([x, y, 1, 0, 0, 0, -u * x, -u * y, u], [0, 0, 0, x, y, 1, -v * x, -v * y, v])
    ]
    bent = np.linalg.solve(np.array(rows)[:, :8], np.array(rows)[:, 8])
    aslant = page.transform(page.size, Image.Transform.PERSPECTIVE, list(bent), Image.Resampling.BICUBIC, fillcolor=130)
    assert [found.text for found in read_photo(saved(aslant, "JPEG"), "aslant.jpg").symbols] == [label.code for label in labels]


def test_small_labels_need_the_closer_look() -> None:
    data, codes = sheet_photo("a4-65", dpi=150, blur=1.0)
    assert [found.text for found in read_photo(data, "sheet.jpg").symbols] == codes
    assert len(read_photo(data, "sheet.jpg", closer=False).symbols) < 65


def test_a_symbol_is_told_where_it_stands_in_the_picture_held_upright() -> None:
    canvas = Image.new("L", (900, 500), 255)
    canvas.paste(symbol(), (600, 100))
    held = Image.Exif()
    held[0x0112] = 6  # the camera was held upright: turn it clockwise to see it so
    photo = read_photo(saved(canvas.rotate(90, expand=True), "JPEG", exif=held), "held.jpg")
    assert (photo.width, photo.height) == (900, 500)
    corners = np.array(photo.symbols[0].position)
    assert corners.min(axis=0) == pytest.approx([624, 124], abs=6)
    assert corners.max(axis=0) == pytest.approx([624 + 21 * 6, 124 + 21 * 6], abs=6)


@pytest.mark.parametrize("turn", range(1, 9))
def test_however_the_camera_was_held_two_labels_are_read_from_left_to_right(turn: int) -> None:
    canvas = Image.new("L", (700, 300), 255)
    for left, text in ((20, "AYH83AK"), (400, CODE)):
        canvas.paste(symbol(text), (left, 40))
    taken = {
        1: None,
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }[turn]
    held = Image.Exif()
    held[0x0112] = turn
    data = saved(canvas if taken is None else canvas.transpose(taken), "JPEG", exif=held)
    assert [found.text for found in read_photo(data, "held.jpg").symbols] == ["AYH83AK", CODE]


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGB"), ("PNG", "P"), ("WEBP", "RGB"), ("JPEG", "CMYK"), ("PNG", "1")])
def test_each_kind_of_picture_is_read(kind: str, mode: str) -> None:
    assert [found.text for found in read_photo(saved(symbol().convert(mode), kind), "photo").symbols] == [CODE]


def test_sixteen_bits_a_point_are_read() -> None:
    deep = Image.fromarray(np.asarray(symbol(), dtype=np.uint16) * 200 + 3000)
    assert [found.text for found in read_photo(saved(deep), "deep.png").symbols] == [CODE]


def test_what_is_seen_through_counts_as_white() -> None:
    dark = np.asarray(symbol()) == 0
    clear = np.zeros((*dark.shape, 4), np.uint8)
    clear[dark, 3] = 255
    grey, _ = open_photo(saved(Image.fromarray(clear)), "clear.png")
    assert (grey.getextrema(), grey.getpixel((0, 0))) == ((0, 255), 255)
    assert [found.text for found in read_photo(saved(Image.fromarray(clear)), "clear.png").symbols] == [CODE]


def test_a_picture_without_a_symbol_gives_none() -> None:
    assert read_photo(saved(Image.new("L", (400, 300), 180), "JPEG"), "bark.jpg").symbols == ()


def test_forty_megabytes_are_refused_before_they_are_opened() -> None:
    with pytest.raises(BadFile, match=r"big\.jpg: the picture has 40\.0 MB; at most 30\.0 MB are read\. Send a smaller one"):
        read_photo(b"\xff\xd8\xff" + bytes(40_000_000 - 3), "big.jpg")


@pytest.mark.parametrize("side", [9_000, 14_000])
def test_a_small_file_of_very_many_points_is_refused_before_it_is_unpacked(side: int, monkeypatch: pytest.MonkeyPatch) -> None:
    data = saved(Image.new("1", (side, side)))
    assert len(data) < 100_000
    monkeypatch.setattr("PIL.ImageFile.ImageFile.load", lambda self: pytest.fail("it was unpacked"))
    with pytest.raises(BadFile, match=r"bomb\.png: the picture has .* points; at most 60,000,000 are read"):
        read_photo(data, "bomb.png")


def test_nothing_but_the_refusal_is_said_of_very_many_points(recwarn: pytest.WarningsRecorder) -> None:
    warnings.simplefilter("always")
    with pytest.raises(BadFile, match="12000 × 12000 points"):
        read_photo(saved(Image.new("1", (12_000, 12_000))), "bomb.png")
    assert [str(each.message) for each in recwarn] == []


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_breaks_off_is_refused(kind: str) -> None:
    noisy = Image.fromarray(np.random.default_rng(5).integers(0, 255, (300, 300), dtype=np.uint8))
    data = saved(noisy, kind)
    with pytest.raises(BadFile, match=r"half\.jpg: the picture is damaged or breaks off\. Take it again, or send it again"):
        read_photo(data[: len(data) // 2], "half.jpg")


def test_damage_in_what_the_camera_wrote_beside_it_does_not_matter() -> None:
    held = Image.Exif()
    held[0x0112] = 6
    data = saved(symbol(), "JPEG", exif=held)
    assert b"Exif\x00\x00MM\x00*" in data
    broken = data.replace(b"Exif\x00\x00MM\x00*\x00\x00\x00\x08", b"Exif\x00\x00MM\x00*\xff\xff\xff\xff")
    assert [found.text for found in read_photo(broken, "odd.jpg").symbols] == [CODE]


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "the picture is empty"),
        (b"%PDF-1.4 labels", "this is no picture that can be read. Give a JPEG, PNG or WebP"),
        (b"GIF89a" + bytes(40), "this is no picture that can be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "this is no picture that can be read"),
        (b"\x00\x00\x00\x18ftypheic" + bytes(40), "HEIC or AVIF picture or a film, which is not read here. Set the phone's camera to JPEG"),
        (b"\xff\xd8\xff no JPEG after all", "the picture is damaged or breaks off"),
        (b"\x89PNG\r\n\x1a\n", "the picture is damaged or breaks off"),
    ],
)
def test_what_is_no_photo_is_refused_with_its_name_and_what_to_do(data: bytes, said: str) -> None:
    with pytest.raises(BadFile) as refusal:
        read_photo(data, "IMG 7.jpg")
    assert str(refusal.value).startswith("IMG 7.jpg: ")
    assert said in str(refusal.value)


def test_the_limits_are_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    data = saved(symbol())
    monkeypatch.setitem(LIMITS, "photo_pixels", 100)
    with pytest.raises(BadFile, match="at most 100 are read"):
        read_photo(data, "x.png")
    monkeypatch.setitem(LIMITS, "photo_bytes", 10)
    with pytest.raises(BadFile, match=r"at most 0\.0 MB are read"):
        read_photo(data, "x.png")


def placed(text: str, x: int, y: int, *, along: tuple[int, int] = (40, 0)) -> Symbol:
    """A symbol whose top edge runs so."""
    (dx, dy) = along
    return Symbol(text, "QR Code", ((x, y), (x + dx, y + dy), (x + dx - dy, y + dy + dx), (x - dy, y + dx)))


def test_labels_hung_this_way_and_that_are_read_as_the_picture_stands() -> None:
    hung = [placed("c", 50, 300), placed("b", 400, 60, along=(0, 40)), placed("a", 60, 50, along=(-40, 0)), placed("d", 500, 310)]
    assert [found.text for found in in_reading_order(hung)] == ["a", "b", "c", "d"]


def test_one_or_no_symbol_needs_no_order() -> None:
    assert in_reading_order([]) == []
    assert [found.text for found in in_reading_order([placed("a", 0, 0)])] == ["a"]
