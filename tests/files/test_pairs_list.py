"""The bench list of pairs on paper: every pair a line, titles and caution on each page, notes behind the last."""

from __future__ import annotations

import pypdfium2
import pytest

from scionary.errors import BadValue
from scionary.files.pairs_list import PairRow, pairs_list


def pages(count: int, notes: int = 2, page: str = "A4") -> list[str]:
    rows = [
        PairRow(f"24-B {at}", f"{at} Red Tarn", "7 mm and 3 mm", "cut 18 mm, leaning by 1.3 mm: 97 of 100") for at in range(1, count + 1)
    ]
    pdf = pairs_list(rows, page=page, title="Pairs: side veneer", notes=[f"Note {at}." for at in range(1, notes + 1)], printed="2026-02-14")
    return [" ".join(one.get_textpage().get_text_range().split()) for one in pypdfium2.PdfDocument(pdf)]


@pytest.mark.parametrize("page", ["A4", "letter"])
def test_every_pair_and_every_note_stands_once(page: str) -> None:
    text = " ".join(pages(70, 3, page))
    assert [text.count(f"24-B {at} ") for at in range(1, 71)] == [1] * 70
    assert [text.count(f"Note {at}.") for at in (1, 2, 3)] == [1, 1, 1]


def test_each_page_is_titled_and_warns() -> None:
    found = pages(70)
    assert len(found) > 2
    assert all(f"Pairs: side veneer, page {at} of {len(found)}" in text for at, text in enumerate(found, 1))
    assert all("cut away from hand and body" in text for text in found)


def test_notes_that_find_no_room_begin_a_page() -> None:
    full = next(count for count in range(1, 60) if len(pages(count, 0)) == 2) - 1
    assert len(pages(full, 0)) == 1
    first, second = pages(full, 2)
    assert "Note 2." in second
    assert ("with scion" in first, "with scion" in second) == (True, False)


def test_the_longest_way_of_setting_is_not_cut_off() -> None:
    how = "cut 42 mm, 10.9 mm deep, leaning by 11.3 mm (foot 12.8 mm to one side, top 14.2 mm to the other): over 99 of 100"
    pdf = pairs_list([PairRow("24-B 17", "16 Red Tarn", "stock 17.1 mm, scion 12.2 mm", how)], page="A4", title="Pairs")
    assert how in " ".join(pypdfium2.PdfDocument(pdf)[0].get_textpage().get_text_range().split())


def test_a_list_of_nothing_is_refused() -> None:
    with pytest.raises(BadValue, match="1 to 5000 pairs"):
        pairs_list([], page="A4", title="Pairs")
