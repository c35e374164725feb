"""No tree of a plan has to give more whole sticks than it has."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.schedule_solving import Ask, season_of
from scionary.answers.season_problem import Season
from scionary.answers.whole_sticks import WholeSticks
from scionary.book.models import Method, MotherTree, Nursery
from scionary.plan.limit_writing import limit_rows
from scionary.plan.wanted import Int

pytestmark = pytest.mark.django_db
TREE = "Ash Gill by the gate"


@pytest.fixture
def season(nursery: Nursery, now: datetime) -> Season:
    small_nursery(nursery, now)
    Method.objects.update(grafts_a_stick=2.0)
    MotherTree.objects.filter(name=TREE).update(sticks_a_season=2)
    return season_of(Ask(SEASON), today=TODAY)


def _in_leaf(season: Season) -> list[int]:
    """Ways of the tree in leaf, a week each."""
    return [at for at, way in enumerate(season.ways) if way.tree and way.tree.name == TREE and way.method.leafy and not way.regraft]


def _grafts(season: Season, counts: dict[int, int]) -> Int:
    grafts = np.zeros(len(season.ways), dtype=np.int64)
    for at, count in counts.items():
        grafts[at] = count
    return grafts


def test_halves_of_two_weeks_come_together(season: Season) -> None:
    whole, ways = WholeSticks(season, limit_rows(season.problem)), _in_leaf(season)
    start = _grafts(season, {ways[0]: 1, ways[1]: 3})
    tree = int(season.problem.options.mother_tree[ways[0]])
    assert season.problem.sticks.names[tree] == TREE
    assert whole.over(start, {tree}) == 1
    found = whole.brought(start)
    assert (whole.over(found, {tree}), found.sum()) == (0, 4)


def test_where_nothing_fits_together_a_graft_is_left_out(season: Season) -> None:
    rows, ways = limit_rows(season.problem), _in_leaf(season)
    start = _grafts(season, {ways[0]: 3, ways[1]: 1})
    whole = WholeSticks(
        season, replace(rows, most=np.where(np.arange(rows.columns) < len(start), np.resize(start, rows.columns), rows.most))
    )
    tree = int(season.problem.options.mother_tree[ways[0]])
    found = whole.brought(start)
    assert (whole.over(start, {tree}), whole.over(found, {tree}), found.sum()) == (1, 0, 3)


def test_what_is_whole_stays_as_it_is(season: Season) -> None:
    whole, ways = WholeSticks(season, limit_rows(season.problem)), _in_leaf(season)
    start = _grafts(season, {ways[0]: 2, ways[3]: 2})
    assert (whole.brought(start) == start).all()
    assert season.ways[ways[0]].week != season.ways[ways[3]].week
    assert season.ways[ways[0]].week > date(2026, 5, 1)
