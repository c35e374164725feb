"""The words of a method's window."""

from datetime import date
from types import SimpleNamespace

import numpy as np

from scionary.answers.method_season import KindWindow, _window_words

BEGINS = date(2025, 12, 21)


def window(**changed: object) -> SimpleNamespace:
    return SimpleNamespace(**({"opens": 10, "closes": 40, "years": 9, "opens_range": (8, 12), "closes_range": (38, 42)} | changed))


def test_a_day_that_is_always_the_same_is_no_range() -> None:
    told = _window_words(window(closes_range=(78, 78)), BEGINS)  # type: ignore[arg-type]
    assert told.endswith("it opened between 29 December and 2 January and shut on 9 March.")
    told = _window_words(window(opens_range=(3, 3)), BEGINS)  # type: ignore[arg-type]
    assert told.endswith("In eight years of ten it shut between 28 January and 1 February.")


def test_the_table_leaves_out_what_no_year_knows() -> None:
    chance = np.full(365, 0.5)
    chance[14] = np.nan
    found = KindWindow(True, [], SimpleNamespace(chance=chance), BEGINS, "")  # type: ignore[arg-type]
    assert found.table()[:2] == [(BEGINS, 0.5), (date(2026, 1, 18), 0.5)]
