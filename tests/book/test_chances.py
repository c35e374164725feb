"""How the chance of an inferred name is said."""

from __future__ import annotations

import pytest

from scionary.book.chances import chance_words


@pytest.mark.parametrize(
    ("chance", "words"),
    [(0.93, "0.93"), (0.9399, "0.93"), (0.29, "0.29"), (0.9999999999999, "0.99"), (1.0, "1.00"), (0.0099, "under 0.01"), (0.0, "0.00")],
)
def test_it_is_cut_off_and_never_rounded_up(chance: float, words: str) -> None:
    assert chance_words(chance) == words
