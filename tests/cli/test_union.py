"""scionary join and gauge: advice in the terminal is the answer's, word for word."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest


def test_join_says_how_to_set_a_thin_scion_on_a_thicker_stock(scionary: Callable[..., Any]) -> None:
    shown = scionary("join", "--stock", "7", "--scion", "3", "--method", "side_veneer")
    assert shown.code == 0
    assert shown.out.startswith("Set the scion on the middle of the cut and lean it: its foot to one side, its top 1.3 mm further")
    for words in (
        "97 of 100",
        "  1. Cut the stock's side 18 mm long",
        "Other methods:",
        "which nobody knows",
        "assumes: Gap that callus",
        "Cut away from hand",
    ):
        assert words in shown.out


def test_json_holds_the_same_advice_as_numbers_and_sentences(scionary: Callable[..., Any]) -> None:
    found = scionary("join", "--stock", "7", "--scion", "3", "--method", "side_veneer", "--skill", "experienced", "--json").json
    assert found["chosen"]["placements"][0]["lean_mm"] == 0.0
    assert found["sentence"].startswith("Set the scion straight")
    assert found["chance_low"] <= found["chosen"]["placements"][0]["chance"] <= found["chance_high"]


def test_a_pair_that_does_not_fit_ends_with_1_and_writes_no_sheet(scionary: Callable[..., Any], tmp_path: Path) -> None:
    shown = scionary("join", "--stock", "5", "--scion", "9", "--out", str(tmp_path / "sheet.pdf"))
    assert shown.code == 1
    assert shown.out.startswith("The scion, 9 mm, is too thick for a stock of 5 mm")
    assert not (tmp_path / "sheet.pdf").exists()


def test_the_sheet_is_a_pdf(scionary: Callable[..., Any], tmp_path: Path) -> None:
    assert scionary("join", "--stock", "9/32", "--scion", "8", "--unit", "64ths", "--out", str(tmp_path / "sheet.pdf")).code == 0
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (("--stock", "", "--scion", "3"), "stock: no thickness is given"),
        (("--stock", "-7", "--scion", "3"), "stock: "),
        (("--stock", "0", "--scion", "3"), "more than 0"),
        (("--stock", "seven", "--scion", "3"), "a length such as"),
        (("--stock", "7", "--scion", "3", "--method", "glue"), "no method is called 'glue'"),
        (("--stock", "7", "--scion", "3", "--stage", "asleep"), "dormant"),
        (("--stock", "7", "--scion", "3", "--skill", "master"), "beginner, practised, experienced"),
        (("--stock", "7", "--scion", "3", "--tolerance", "nan"), "from 0.05 to 2"),
        (("--stock", "7", "--scion", "3", "--stock-bark", "4"), "less than half the stem's thickness"),
        (("--stock", "7", "--scion", "3", "--unit", "feet"), "mm, in or 64ths"),
    ],
)
def test_what_cannot_be_is_refused_in_words(scionary: Callable[..., Any], wrong: tuple[str, ...], told: str) -> None:
    shown = scionary("join", *wrong)
    assert (shown.code, shown.out) == (2, "")
    assert told in shown.err


def test_inches_typed_as_millimetres_are_asked_about_and_not_changed(scionary: Callable[..., Any]) -> None:
    shown = scionary("join", "--stock", "7", "--scion", "1/8")
    assert "Look: 1/8 is taken as 0.1 mm. Were inches meant, 3.2 mm?" in shown.out
    assert shown.code == 1


def test_the_gauge_card_needs_no_book(scionary: Callable[..., Any], tmp_path: Path) -> None:
    shown = scionary("gauge", "--out", str(tmp_path / "gauge.pdf"), "--page", "letter")
    assert (shown.code, "cut-resistant glove" in shown.out) == (0, True)
    assert (tmp_path / "gauge.pdf").read_bytes().startswith(b"%PDF")
    assert scionary("gauge", "--out", str(tmp_path / "other.pdf"), "--page", "A3").code == 2
