"""A plant that was sold or given away, in words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scionary.answers.leaving import kind_words, left_words
from scionary.book.models import Nursery, Plant

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        ({"how": "sale", "price": 45.0}, "Sold, 11 Dec 2026, 45.00"),
        ({"how": "sale"}, "Sold, 11 Dec 2026"),
        ({"how": "gift"}, "Given away, 11 Dec 2026"),
        ({"how": "other"}, "Left, 11 Dec 2026"),
    ],
)
def test_it_says_how_when_and_for_how_much(
    plant: Plant, nursery: Nursery, write: Callable[..., object], payload: dict[str, object], words: str
) -> None:
    assert left_words(plant, nursery.zone) == ""
    write("left", plant, days=300, **payload)
    assert left_words(Plant.objects.get(), nursery.zone) == words


def test_what_was_written_down_is_said_in_the_same_words() -> None:
    assert [kind_words("left", {"how": how}) for how in ("sale", "gift", "other")] == ["sold", "given away", "left"]
    assert kind_words("potted_on", {"how": "sale"}) == "potted on"
