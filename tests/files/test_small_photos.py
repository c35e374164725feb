"""Photos that are kept: small, upright, and with nothing beside the picture."""

from __future__ import annotations

import zlib
from io import BytesIO
from typing import Any

import pytest
from PIL import Image

from scionary.errors import BadFile
from scionary.files.photos import KEPT_SIDE, smaller
from scionary.limits import LIMITS

ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def saved(image: Image.Image, kind: str = "JPEG", **how: Any) -> bytes:
    out = BytesIO()
    image.save(out, kind, **how)
    return out.getvalue()


def with_place(image: Image.Image, turn: int = 1) -> bytes:
    """A photograph as a phone keeps it: how it was held, who made the camera, where it was taken."""
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKER] = turn, "Camera of nobody"
    exif.get_ifd(GPS).update({1: "N", 2: (47.0, 12.0, 0.0), 3: "E", 4: (8.0, 30.0, 0.0)})
    return saved(image, exif=exif, comment=b"by the beck")


def test_a_photo_is_made_small_and_its_place_is_taken_out() -> None:
    sent = with_place(Image.effect_noise((4000, 3000), 60).convert("RGB"))
    assert Image.open(BytesIO(sent)).getexif().get_ifd(GPS)
    kept = smaller(sent, "photo.jpg")
    shown = Image.open(BytesIO(kept.data))
    assert (shown.format, shown.size, (kept.width, kept.height)) == ("JPEG", (KEPT_SIDE, 1200), (KEPT_SIDE, 1200))
    assert dict(shown.getexif()) == {}
    assert not {"exif", "comment", "icc_profile", "photoshop", "xmp"} & set(shown.info)
    assert b"Exif" not in kept.data
    assert b"nobody" not in kept.data
    assert b"beck" not in kept.data
    assert len(kept.data) < len(sent)


def test_it_stands_upright_however_the_camera_was_held() -> None:
    lying = Image.new("RGB", (80, 40), "white")
    lying.paste("red", (0, 0, 40, 40))
    kept = smaller(with_place(lying, turn=6), "photo.jpg")  # to be turned by a quarter, clockwise
    upright = Image.open(BytesIO(kept.data)).convert("RGB")
    assert upright.size == (40, 80)
    assert upright.getpixel((20, 10))[1] < 90  # type: ignore[index] # red above
    assert upright.getpixel((20, 70))[1] > 200  # type: ignore[index] # white below


@pytest.mark.parametrize(
    ("image", "kind"),
    [
        (Image.new("RGBA", (30, 20), (255, 0, 0, 0)), "PNG"),
        (Image.new("P", (30, 20)), "PNG"),
        (Image.new("I;16", (30, 20), 60_000), "PNG"),
        (Image.new("1", (30, 20), 1), "PNG"),
        (Image.new("CMYK", (30, 20)), "JPEG"),
        (Image.new("L", (30, 20), 200), "JPEG"),
        (Image.new("RGBA", (30, 20), (0, 0, 255, 128)), "WEBP"),
    ],
)
def test_every_kind_of_picture_becomes_a_plain_jpeg(image: Image.Image, kind: str) -> None:
    kept = smaller(saved(image, kind), "photo")
    shown = Image.open(BytesIO(kept.data))
    assert (shown.format, shown.mode, shown.size) == ("JPEG", "RGB", (30, 20))


def test_the_same_photo_gives_the_same_bytes_and_a_small_one_is_not_made_larger() -> None:
    sent = with_place(Image.effect_noise((300, 200), 40).convert("RGB"))
    assert smaller(sent, "a.jpg") == smaller(sent, "b.jpg")
    assert smaller(sent, "a.jpg").width == 300


def test_what_is_too_heavy_no_picture_damaged_or_a_bomb_is_refused_in_words() -> None:
    whole = saved(Image.effect_noise((400, 300), 60).convert("RGB"))
    size = (60_000).to_bytes(4, "big")
    parts = (b"IHDR" + size * 2 + b"\x08\x02\x00\x00\x00", b"IDAT" + zlib.compress(bytes(9)), b"IEND")
    bomb = b"\x89PNG\r\n\x1a\n" + b"".join((len(p) - 4).to_bytes(4, "big") + p + zlib.crc32(p).to_bytes(4, "big") for p in parts)
    for sent, words in (
        (b"\xff" * (LIMITS["photo_bytes"] + 1), "at most"),
        (b"", "empty"),
        (b"%PDF-1.7", "no picture that can be read"),
        (b"\0\0\0\x20ftypheic", "HEIC"),
        (whole[: len(whole) // 2], "damaged or breaks off"),
        (bomb, "points"),
    ):
        with pytest.raises(BadFile, match=words):
            smaller(sent, "photo.jpg")
