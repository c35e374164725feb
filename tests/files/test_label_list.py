"""The list for labels written by hand, read back from the printed page."""

from __future__ import annotations

import pypdfium2
import pytest
from pypdfium2 import raw

from scionary.errors import BadValue
from scionary.files.label_list import label_list
from scionary.files.labels import LabelText
from scionary.names import code_of

MM = 72 / 25.4
RUNS = (("Acer palmatum", True), (" 'Red Tarn'", False))


def labels(count: int, name: str = "Red Tarn") -> list[LabelText]:
    """So many labels."""
    return [LabelText(f"{name} {number + 1}", code_of(number), RUNS) for number in range(count)]


def texts(pdf: bytes) -> list[str]:
    """Text of every page."""
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pypdfium2.PdfDocument(pdf)]


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_every_name_stands_once_with_its_code_on_as_many_pages_as_it_takes(page: str) -> None:
    found = texts(label_list(labels(60), page=page, title="Labels to write", printed="2026-03-12"))
    assert len(found) == 3
    assert all(f"page {number} of 3" in text and "written" in text and "hung" in text for number, text in enumerate(found, 1))
    whole = " ".join(found)
    for number in range(60):
        code = code_of(number)
        assert whole.count(f"{code[:3]} {code[3:]}") == 1
        assert f"Red Tarn {number + 1} Acer palmatum" in whole


def test_every_line_has_two_boxes_of_at_least_six_mm() -> None:
    page = pypdfium2.PdfDocument(label_list(labels(5), page="A4", title="Labels to write"))[0]
    sides = []
    for item in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        left, foot, right, top = item.get_bounds()
        if abs((right - left) - (top - foot)) < 0.1:
            sides.append((right - left) / MM)
    assert len(sides) == 10
    assert min(sides) >= 6.0


def test_no_letter_of_a_long_name_leaves_its_line() -> None:
    long = labels(3, "The Very Long Name of a Tree That Nobody at Tarn Bridge Can Say Aloud in One Breath")
    text = pypdfium2.PdfDocument(label_list(long, page="A4", title="Labels to write"))[0].get_textpage()
    for at in range(text.count_chars()):
        letter, (left, foot, right, top) = text.get_text_range(at, 1), text.get_charbox(at)
        if letter.strip():
            assert 12 * MM - 1 <= left <= right <= 198 * MM + 1, letter
            row, row_2 = ((297 - 34) * MM - top) // (9.5 * MM), ((297 - 34) * MM - foot) // (9.5 * MM)
            assert row == row_2 or row < 0, letter


def test_a_plant_without_a_code_says_so() -> None:
    assert "Red Tarn 1 code pending" in texts(label_list([LabelText("Red Tarn 1")], page="A4", title="Labels"))[0]


def test_nothing_to_write_and_no_box_are_refused() -> None:
    with pytest.raises(BadValue, match="labels is 0"):
        label_list([], page="A4", title="Labels")
    with pytest.raises(BadValue, match="1 to 4 words"):
        label_list(labels(1), page="A4", title="Labels", boxes=())
