"""scionary join, match and gauge: advice in the terminal is the answer's, word for word."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from scionary.answers.measured_stems import write_measured
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, RootstockLot, ScionBag


def test_join_says_how_to_set_a_thin_scion_on_a_thicker_stock(scionary: Callable[..., Any]) -> None:
    shown = scionary("join", "--stock", "7", "--scion", "3", "--method", "side_veneer")
    assert shown.code == 0
    assert shown.out.startswith("Lean the scion by 1.3 mm over the middle of the cut: its foot half of that to one side")
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
    assert "Look: 1/8 is taken as 0.125 mm. Were inches meant, 3.2 mm?" in shown.out
    assert shown.code == 1


def test_the_gauge_card_needs_no_book(scionary: Callable[..., Any], tmp_path: Path) -> None:
    shown = scionary("gauge", "--out", str(tmp_path / "gauge.pdf"), "--page", "letter")
    assert (shown.code, "cut-resistant glove" in shown.out) == (0, True)
    assert (tmp_path / "gauge.pdf").read_bytes().startswith(b"%PDF")
    assert scionary("gauge", "--out", str(tmp_path / "other.pdf"), "--page", "A3").code == 2


def stems(folder: Path, text: str) -> str:
    (folder / "stems.txt").write_text(text, encoding="utf-8")
    return str(folder / "stems.txt")


def test_match_lists_the_pairs_as_the_stocks_stand_and_prints_them(scionary: Callable[..., Any], tmp_path: Path) -> None:
    asked = stems(tmp_path, "scions\n3 Red Tarn\n2 x 5\n\nstocks:\n9\n7\n8\n")
    shown = scionary("match", asked, "--method", "side_veneer", "--out", str(tmp_path / "list.pdf"))
    assert (shown.code, shown.out.splitlines()[0]) == (0, "3 pairs: every scion has its stock.")
    assert "Red Tarn" in shown.out
    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")
    found = scionary("match", asked, "--method", "side_veneer", "--json").json
    assert [pair["stock"] for pair in found["pairs"]] == ["1", "2", "3"]


def test_scions_that_are_left_over_end_with_1_and_say_what_to_order(scionary: Callable[..., Any], tmp_path: Path) -> None:
    shown = scionary("match", stems(tmp_path, "scions\n3\n20\nstocks\n7"), "--method", "side_veneer")
    assert shown.code == 1
    assert "Scions left over: 2 (20 mm)." in shown.out
    assert "To order: 1 stock of" in shown.out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("3\n", "line 1: '3' stands under no title"),
        ("scions\n3\nstocks\nthick\n", "line 4"),
        ("scions\n3\n", "stocks: none stand there"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_at_its_line(scionary: Callable[..., Any], tmp_path: Path, text: str, told: str) -> None:
    shown = scionary("match", stems(tmp_path, text))
    assert shown.code == 2
    assert told in shown.err


def test_a_lot_of_nobody_and_a_file_of_nothing_are_refused(scionary: Callable[..., Any], tmp_path: Path) -> None:
    assert "no stock lot is called" in scionary("match", stems(tmp_path, "scions\n3\nstocks\n7"), "--lot", "99").err
    assert scionary("match", str(tmp_path / "none.txt")).code == 2


def csv_of(folder: Path, text: str, encoding: str = "utf-8-sig") -> str:
    (folder / "stems.csv").write_bytes(text.replace("\n", "\r\n").encode(encoding))
    return str(folder / "stems.csv")


def test_a_csv_with_a_mark_semicolons_commas_and_inches_is_matched_like_the_text(scionary: Callable[..., Any], tmp_path: Path) -> None:
    table = csv_of(tmp_path, 'no;scion (mm);cultivar;stock\n11;3,1;Red Tarn;9/32"\n12;5;;9\n13;;;7,2\n')
    pairs = scionary("match", table, "--method", "side_veneer", "--json").json["pairs"]
    assert [pair["stock"] for pair in pairs] == ["11", "12"]
    lines = stems(tmp_path, "scions\n3,1 Red Tarn\n5\nstocks\n9/32 in\n9\n7,2\n")
    plain = scionary("match", lines, "--method", "side_veneer", "--json").json["pairs"]
    assert [(pair["stock_mm"], pair["scion_mm"], pair["how"]) for pair in pairs] == [
        (pair["stock_mm"], pair["scion_mm"], pair["how"]) for pair in plain
    ]


def test_a_doubt_about_a_cell_names_its_line_and_column(scionary: Callable[..., Any], tmp_path: Path) -> None:
    shown = scionary("match", csv_of(tmp_path, "scion;stock\n0,12;7\n"), "--method", "side_veneer")
    assert "Look: stems.csv, line 2, scion: 0,12 is taken as 0.12 mm. Were inches meant, 3 mm?" in shown.out


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("scion;stock\n3;7\nthick;8\n", "stems.csv, line 3, scion: "),
        ("scion;stock\n3;0\n", "stems.csv, line 2, stock: "),
        ("no;stock;scion\n1;7;3\n1;8;\n", "stems.csv, line 3: '1' stands there twice"),
        ("scion;stock;count\n3;7;5000\n", "more than 1000 stems"),
        ("a;b\n3;7\n", "stems.csv, line 1: no column says how thick"),
    ],
)
def test_a_csv_that_cannot_be_read_is_refused_at_its_line(scionary: Callable[..., Any], tmp_path: Path, text: str, told: str) -> None:
    shown = scionary("match", csv_of(tmp_path, text))
    assert (shown.code, shown.out) == (2, "")
    assert told in shown.err
    assert "Traceback" not in shown.err


def test_stocks_and_scions_of_the_book_need_no_file(
    scionary: Callable[..., Any], lot: RootstockLot, cultivar: Cultivar, now: datetime, tmp_path: Path
) -> None:
    bag = save_noun(ScionBag, {"name": "gate, February", "cultivar": cultivar, "sticks": 2}, now=now)
    refused = scionary("match", "--lot", "24-b", "--bag", "gate, february")
    assert (refused.code, "no stick of gate, February that is left was measured" in refused.err) == (2, True)
    for row, thicknesses in ((lot, (7.0, 8.0)), (bag, (3.0, 4.5))):
        for number, mm in enumerate(thicknesses, 1):
            write_measured(row, number, mm, now=now, event_id=uuid7())
    before = Event.objects.count()
    shown = scionary("match", "--lot", "24-b", "--bag", "gate, february", "--method", "side_veneer", "--out", str(tmp_path / "list.pdf"))
    assert (shown.code, shown.out.splitlines()[0]) == (0, "2 pairs: every scion has its stock.")
    assert "24-B 1" in shown.out
    assert "gate, February 1" in shown.out
    assert (tmp_path / "list.pdf").read_bytes().startswith(b"%PDF")
    assert Event.objects.count() == before
    assert "no bag is called" in scionary("match", "--bag", "nobody's").err
    assert "no stems are named" in scionary("match").err
