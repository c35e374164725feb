"""The plainest difference between two cultivars."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.contrast import contrast
from scionary.answers.rates import rates
from scionary.book.commands import GraftSetup, cultivar_called, save_noun, write_grafts
from scionary.book.models import Nursery, RootstockLot, Tally

pytestmark = pytest.mark.django_db


def counted(name: str, takes: int, grafts: int, now: datetime) -> None:
    values = {"cultivar": cultivar_called(name, now=now), "season": 2024, "grafts": grafts, "takes": takes, "stage": "firm"}
    save_noun(Tally, values, now=now)


def test_a_plain_difference_is_said_with_its_chance(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 55, 60, now)
    counted("Ash Gill", 10, 60, now)
    told = contrast(rates("firm"))
    assert told.startswith("Ash Gill is lower than Red Tarn with a chance of ")
    assert "100 %" not in told


def test_a_lot_that_all_its_grafts_share_is_named(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 55, 60, now)
    counted("Ash Gill", 10, 60, now)
    lot = save_noun(RootstockLot, {"name": "24-B"}, now=now)
    write_grafts(GraftSetup(cultivar_called("Ash Gill", now=now).pk, now, lot=lot.pk), 2, now=now)
    assert contrast(rates("firm")).endswith("All its grafts stand on stock lot 24-B, so it may be the lot.")


def test_alike_cultivars_do_not_stand_out(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 30, 50, now)
    counted("Ash Gill", 30, 50, now)
    assert contrast(rates("firm")) == "No cultivar stands out from the others yet."


def test_few_grafts_or_another_factor_say_nothing(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 55, 60, now)
    counted("Ash Gill", 0, 7, now)
    assert contrast(rates("firm")) == ""
    assert contrast(rates("firm", "lot")) == ""
