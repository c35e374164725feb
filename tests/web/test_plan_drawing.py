"""What is needed against what is there, as bars."""

from __future__ import annotations

import pytest

from scionary.answers.plan_answer import Resource
from scionary.web.plan.drawing import resource_bars


def test_enough_fills_part_of_the_outline() -> None:
    bar = resource_bars([Resource("sticks", "Sticks", 10, 40)])[0]
    assert bar.have == pytest.approx(4 * bar.covered)
    assert not bar.is_short
    assert bar.words == "10 needed, 40 there"


def test_what_is_short_begins_where_what_is_there_ends() -> None:
    bar = resource_bars([Resource("stocks", "Acer stocks", 30, 20)])[0]
    assert bar.covered == bar.have
    assert bar.short == pytest.approx(bar.covered / 2, abs=0.2)
    assert bar.words == "30 needed, 20 there: 10 short"


def test_unknown_is_said_and_not_drawn_as_none_there() -> None:
    bar = resource_bars([Resource("hours", "Bench hours", 7.5, None)])[0]
    assert bar.have is None
    assert not bar.is_short
    assert bar.words == "7.5 needed; how many there are is not written down"


def test_nothing_needed_of_nothing_is_drawn() -> None:
    assert resource_bars([Resource("sticks", "Sticks", 0, 0)])[0].covered == 0
