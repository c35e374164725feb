"""Protected cultivars, said where propagating is decided."""

from __future__ import annotations

from datetime import date

import pytest

from scionary.answers.protected import all_protected_words, protected_words
from scionary.book.models import Cultivar

TODAY = date(2026, 3, 1)


def cultivar(**more: object) -> Cultivar:
    return Cultivar(spoken="Red Tarn", **more)


def test_nothing_is_said_of_what_nobody_wrote_down() -> None:
    assert protected_words(None, TODAY) == ""
    assert protected_words(cultivar(protected_until=TODAY), TODAY) == ""


@pytest.mark.parametrize("until", [None, date(2026, 3, 1), date(2026, 2, 28)])
def test_the_register_is_named_and_never_a_permission(until: date | None) -> None:
    words = protected_words(cultivar(protected=True, protected_until=until, protection_register="the Tarnland register"), TODAY)
    assert "Check the Tarnland register" in words
    assert until is None or until.isoformat() in words
    assert "may be propagated" not in words
    assert "free" not in words


def test_each_cultivar_is_said_once() -> None:
    one, other = cultivar(protected=True), Cultivar(spoken="Ash Gill", protected=True)
    assert len(all_protected_words([one, other, one, None, cultivar()], TODAY)) == 2
