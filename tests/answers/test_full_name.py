"""A cultivar's full name, with the name it is sold under kept apart."""

from __future__ import annotations

from scionary.answers.full_name import full_name, name_warnings
from scionary.book.models import Cultivar


def cultivar(botanical: str, trade: str = "") -> Cultivar:
    return Cultivar(spoken="Red Tarn", botanical=botanical, trade_designation=trade)


def test_the_cultivar_keeps_its_quotes_and_the_trade_designation_has_none() -> None:
    name = full_name(cultivar("Acer palmatum 'Tarnred'", "Red Tarn"))
    assert name is not None
    assert name.plain == "Acer palmatum 'Tarnred' Red Tarn"
    assert name.html == '<i>Acer palmatum</i> <bdi>&#x27;Tarnred&#x27;</bdi> <bdi class="trade">Red Tarn</bdi>'


def test_one_in_an_older_botanical_name_is_kept_and_said_once() -> None:
    older = full_name(cultivar("Acer palmatum 'Tarnred' RED TARN"))
    both = full_name(cultivar("Acer palmatum 'Tarnred' RED TARN", "Red Tarn"))
    other = full_name(cultivar("Acer palmatum 'Tarnred' RED TARN", "Glowing Gill"))
    assert older is not None
    assert both is not None
    assert other is not None
    assert older.trade_designation == both.trade_designation == "RED TARN"
    assert other.plain == "Acer palmatum 'Tarnred' Glowing Gill RED TARN"


def test_no_name_is_made_up() -> None:
    assert full_name(None) is None
    assert full_name(cultivar("")) is None
    alone = full_name(cultivar("", "Red Tarn"))
    assert alone is not None
    assert (alone.plain, alone.cultivar) == ("Red Tarn", "")


def test_what_is_odd_is_said_with_its_article() -> None:
    assert name_warnings(cultivar("Acer palmatum 'Tarnred'", "Red Tarn")) == []
    said = " ".join(name_warnings(cultivar("Acer palmatum 'Tarnred'", "'Tarnred'")))
    assert "stands without quotes (ICNCP art. 17" in said
    assert "then it is none" in said
    assert "which is not written down" in " ".join(name_warnings(cultivar("Acer palmatum", "Red Tarn")))
    assert "ICNCP" in " ".join(name_warnings(cultivar("Acer palmatum 'Best Variety'")))
