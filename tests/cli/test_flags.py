"""What is flagged is said in the terminal: when it is written, on its dome, and whenever the plant is looked up."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from scionary.book.models import Dome, Plant

pytestmark = pytest.mark.django_db


def test_a_dome_fuller_than_it_holds_is_written_down_and_flagged(scionary: Callable[..., Any]) -> None:
    written = scionary("bench", "Red Tarn", "12", "--dome", "Dome 1")
    assert (written.code, Plant.objects.count()) == (0, 12)
    assert (
        "Look: Dome 1, with the size of the usual tray until you measure it, holds 10 pots of this size and 12 stand there" in written.out
    )
    assert "the usual tray, taken until you measure this dome, holds 10 of this size" in scionary("round", "Dome 1").out


def test_a_scion_thicker_than_its_stock_is_flagged_wherever_it_is_shown(scionary: Callable[..., Any]) -> None:
    flag = "the scion is thicker than the stock"
    assert f"Look: {flag}" in scionary("bench", "Red Tarn", "2", "--dome", "Dome 1", "--stock", "4", "--scion", "6").out
    assert f"Look: Red Tarn 1 and Red Tarn 2: {flag}." in scionary("round", "Dome 1").out
    assert f"Look: Red Tarn 2: {flag}." in scionary("find", "Red Tarn 2").out
    assert scionary("find", "Red Tarn 2", "--json").json["plants"][0]["flags"] == [flag]


def test_a_score_of_what_was_sold_is_flagged(scionary: Callable[..., Any], write: Callable[..., Any], plant: Plant) -> None:
    write("left", plant, days=40, how="sale")
    write("scored", plant, days=50, sign="firm", answer="yes")
    assert "Look: Red Tarn 1: something is recorded here after it had left." in scionary("find", "Red Tarn 1").out


def test_a_date_in_the_future_is_flagged(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    assert "Look: the date 2999-12-31 lies in the future" in scionary("round", "Dome 1", "1=firm", "--on", "2999-12-31").out
    assert Dome.objects.count() == 1
