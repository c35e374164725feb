"""A search that time cut short says so, whichever step was cut; only then may its plan differ from that of a full search."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scionary.plan import Effort, solve_plan
from scionary.plan.limit_writing import limit_rows
from scionary.plan.programme import Point, Programme
from scionary.plan.relaxing import relax
from scionary.plan.searching import Search, solve_relaxation
from scionary.plan.seasons import seasons_of
from scionary.plan.whole import search_whole
from small_seasons import small

MADE = seasons_of(small(3), assurance=None, rng=np.random.default_rng(1))


class OutOfTime(Programme):
    """A programme whose time runs out while it looks for whole numbers the nth time."""

    def __init__(self, *args: Any, at: int) -> None:
        super().__init__(*args)
        self.calls, self.at = 0, at

    def integers(self, *args: Any, **names: Any) -> Point:
        self.calls += 1
        return replace(super().integers(*args, **names), complete=self.calls != self.at)


def searched(effort: Effort, at: int) -> tuple[Search, OutOfTime]:
    rows = limit_rows(small(3))
    search = Search(rows, effort, 1e9, None)
    programme = OutOfTime(rows, MADE, at=at)
    search_whole(search, programme, programme.relax())
    return search, programme


def test_a_search_with_time_enough_is_not_late() -> None:
    search, programme = searched(Effort.EXACT, at=0)
    assert not search.late
    assert programme.calls >= 2


def test_quick_rounding_that_was_cut_short_is_late() -> None:
    search, programme = searched(Effort.QUICK, at=1)
    assert programme.calls == 1
    assert search.late
    assert search.best is not None


def test_a_round_of_whole_numbers_that_was_cut_short_is_late() -> None:
    search, programme = searched(Effort.EXACT, at=2)
    assert programme.calls >= 2
    assert search.late


def test_a_relaxation_that_was_cut_short_is_late(monkeypatch: pytest.MonkeyPatch) -> None:
    for complete in (True, False):
        monkeypatch.setattr(
            "scionary.plan.searching.relax", lambda *args, done=complete, **names: replace(relax(*args, **names), complete=done)
        )
        search = Search(limit_rows(small(3)), Effort.QUICK, None, None)
        solve_relaxation(search, MADE, luck=False)
        assert search.late is not complete


@pytest.mark.parametrize("effort", [Effort.QUICK, Effort.NORMAL])
def test_a_plan_cut_short_by_seconds_is_never_called_complete(effort: Effort) -> None:
    found = solve_plan(small(3), effort=effort, seconds=1e-6, rng=1)
    assert (found.complete, found.stopped) == (False, False)
