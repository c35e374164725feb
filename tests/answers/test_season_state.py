"""The same season has the same state, in whatever language its names come; another number is another season."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from scionary.answers.season_state import content_of, state_of
from small_seasons import small


def test_names_are_no_part_of_the_state_and_are_part_of_the_content() -> None:
    here, there = small(1), replace(small(1), weeks=tuple(f"Woche {at}" for at in range(6)))
    assert state_of(here) == state_of(there)
    assert content_of(here) != content_of(there)


def test_each_number_is_part_of_the_state() -> None:
    problem = small(1)
    others = [
        replace(problem, budget=1e6),
        replace(problem, bench_hours=np.full(6, 1.25)),
        replace(problem, takes=problem.takes * 0.99),
        replace(problem, targets=replace(problem.targets, assurance=0.9)),
        replace(problem, pots=replace(problem.pots, owned=(5, 0))),
        replace(problem, options=replace(problem.options, latest_week=4)),
    ]
    assert len({state_of(each) for each in [problem, *others]}) == 1 + len(others)
    assert state_of(small(1)) == state_of(problem)
