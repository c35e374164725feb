"""What is learned beside the pages, and when that is wanted."""

from collections.abc import Callable
from typing import Any

import pytest

from scionary.answers.bud_looks import last_push
from scionary.answers.jobs import learn_beside
from scionary.answers.learning import is_behind, learn
from scionary.book.commands import Written
from scionary.book.models import Job
from scionary.book.record import Answer
from scionary.errors import Stopped

pytestmark = pytest.mark.django_db


@pytest.fixture
def looks(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    """Twelve grafts whose buds were looked at, with a known end."""
    for i, plant in enumerate(graft(12, days=-200).plants):
        write("scored", plant, sign="bud_moving", answer="yes" if i < 8 else "no", days=-170)
        write("scored", plant, sign="firm", answer="yes" if i < 8 else "no", days=-140)


def test_a_small_book_without_looks_needs_nothing_beside_the_pages(graft: Callable[..., Written], now: Any) -> None:
    graft(3)
    assert not is_behind()
    assert learn_beside(now=now) is None


def test_looks_are_learned_from_beside_the_pages_once(looks: None, now: Any) -> None:
    assert is_behind()
    assert learn_beside(now=now) is not None
    assert learn_beside(now=now) is None
    assert Job.objects.count() == 1
    told: list[tuple[float, str]] = []
    learn({}, lambda share, word: told.append((share, word)) or True, now)()
    assert last_push() is not None
    assert not is_behind()
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert {word for _, word in told} >= {"reading the records", "when buds push", "the season's total"}


def test_it_can_be_stopped_before_the_curve(looks: None, now: Any) -> None:
    with pytest.raises(Stopped):
        learn({}, lambda share, word: word != "when buds push", now)
    assert last_push() is None
