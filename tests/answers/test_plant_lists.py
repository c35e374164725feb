"""Lists of plants by how they stand."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scionary.answers.plant_lists import FILTERS, filtered
from scionary.book.commands import Written
from scionary.errors import Refused

pytestmark = pytest.mark.django_db


@pytest.fixture
def season(graft: Callable[..., Written], write: Callable[..., object]) -> None:
    """Six plants: waiting, alive, lost, missing, sold, and one whose scion is thicker than its stock."""
    _, alive, lost, missing, sold = graft(5).plants
    graft(1, scion_mm=6.0, stock_mm=3.0)
    write("scored", alive, days=40, sign="firm", answer="yes")
    write("lost", lost, days=40)
    write("observed", missing, days=40, seen="missing")
    write("left", sold, days=40, how="sale")
    write("quarantined", alive, days=41, reason="cankers")
    write("name_doubted", sold, days=41, reason="the buyer says so")


@pytest.mark.parametrize(
    ("key", "numbers"),
    [
        ("standing", [1, 2, 6]),
        ("waiting", [1, 6]),
        ("alive", [2]),
        ("dead", [3]),
        ("missing", [4]),
        ("left", [5]),
        ("doubt", [5, 6]),
        ("quarantine", [2]),
        ("name", [5]),
        ("all", [1, 2, 3, 4, 5, 6]),
    ],
)
def test_each_list_holds_its_plants(season: None, key: str, numbers: list[int]) -> None:
    assert key in FILTERS
    assert [plant.running_number for plant in filtered(key)] == numbers


def test_a_list_that_does_not_exist_is_refused(season: None) -> None:
    with pytest.raises(Refused, match="'blue' is no list of plants"):
        filtered("blue")
