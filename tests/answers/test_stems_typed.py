"""Stems typed or pasted, one a line: thickness first, then whose it is and what limits it."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.stems_typed import read_lines
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, RootstockLot
from scionary.errors import Refused


def test_a_line_is_a_thickness_and_a_name(cultivar: Cultivar, now: datetime) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn'"}, now=now, pk=cultivar.pk)
    (scion,), doubts = read_lines("3.1 red tarn", "scions", "mm")
    assert (scion.label, scion.thickness_mm, scion.said, scion.name, doubts) == ("1", 3.1, "Red Tarn", "Acer palmatum 'Red Tarn'", [])


@pytest.mark.parametrize(
    ("line", "mm"),
    [
        ("3.1", 3.1),
        ("3,1", 3.1),
        ("3.1 mm", 3.1),
        ("1/8 in", 3.175),
        ('1/8"', 3.175),
        ("1 1/8 in Red", 28.575),
        ("? Ash Gill", None),
        ("7, 24-B", 7.0),
    ],
)
def test_thicknesses_are_read_as_they_are_typed(db: None, line: str, mm: float | None) -> None:
    assert read_lines(line, "scions", "mm")[0][0].thickness_mm == mm


def test_several_alike_are_numbered_one_by_one(db: None) -> None:
    stems, _ = read_lines("2 x 3.1 Ash Gill\n\n2.8", "scions", "mm")
    assert [(stem.label, stem.thickness_mm, stem.said) for stem in stems] == [
        ("1", 3.1, "Ash Gill"),
        ("2", 3.1, "Ash Gill"),
        ("3", 2.8, ""),
    ]


def test_64ths_are_whole_numbers(db: None) -> None:
    assert read_lines("16", "stocks", "64ths")[0][0].thickness_mm == pytest.approx(6.35)


def test_a_lot_of_the_book_tells_species_pot_and_usual_thickness(lot: RootstockLot, now: datetime) -> None:
    save_noun(RootstockLot, {"species": "Acer palmatum"}, now=now, pk=lot.pk)
    (known, other), _ = read_lines("7.2 24-b\n7.3; lot 99; pot one-gallon round", "stocks", "mm")
    assert (known.said, known.name, known.lot, known.usual_mm) == ("24-B", "Acer palmatum", "24-b", 7.0)
    assert (other.lot, other.pot, other.name) == ("99", "one-gallon round", "")


def test_exclamation_marks_say_what_comes_first(db: None) -> None:
    assert [stem.first for stem in read_lines("3.1 Red Tarn!!\n3.2", "scions", "mm")[0]] == [2, 0]


def test_inches_typed_as_millimetres_are_asked_about(db: None) -> None:
    assert read_lines("7\n0.25", "stocks", "mm")[1] == ["line 2: 0.25 is taken as 0.25 mm. Were inches meant, 6.3 mm?"]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("7\nRed Tarn", "stocks: line 2: 'Red Tarn' begins with no thickness"),
        ("0", "stocks: line 1: .*more than 0"),
        ("-3", "begins with no thickness"),
        ("0 x 3", "none of them"),
        ("7 24-B; 25-A", "two names stand there: 24-B and 25-A"),
        ("9999 x 7", "more than 1000 stems"),
        ("99999 x 7", "more than 1000 stems"),
        ("7\n1001", "stocks: line 2: '1001' is no thickness of a stem"),
        ("7 " + "b" * 300, "begins with no thickness"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line(db: None, text: str, told: str) -> None:
    with pytest.raises(Refused, match=told):
        read_lines(text, "stocks", "mm")
