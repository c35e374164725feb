"""Each wish is about as sure as it was asked to be: not much surer, which would take many more grafts."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_solving import Ask, assurance_of, season_of, solved
from scionary.answers.schedule_surety import enough_assurance
from scionary.book.commands import save_noun
from scionary.book.models import Dome, MotherTree, Nursery, RootstockLot
from scionary.plan import Effort, solve_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def ample(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> None:
    """Nothing is short."""
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    save_noun(Nursery, {"bench_hours_a_week": None}, now=now, pk=nursery.pk)
    for model in (Dome, RootstockLot, MotherTree):
        model.objects.update(retired=True)  # type: ignore[attr-defined]


def test_with_room_for_all_each_chance_is_about_what_was_asked(ample: None) -> None:
    ask = Ask(SEASON, effort="quick", sure=0.8)
    result = solved(season_of(ask, today=TODAY), ask)
    assert np.all(np.abs(result.chance - 0.8) < 0.06)


def test_asking_the_engine_outright_grafts_many_more(ample: None) -> None:
    ask = Ask(SEASON, effort="quick", sure=0.8)
    season = season_of(ask, today=TODAY)
    outright = solve_plan(season.problem, assurance=0.8, effort=Effort.QUICK, rng=ask.seed)
    assert outright.chance.min() > 0.83
    assert solved(season, ask).grafts.sum() < 0.9 * outright.grafts.sum()


def test_most_value_asks_for_no_chance_and_a_stop_leaves_what_was_asked(ample: None) -> None:
    ask = Ask(SEASON, sure="value")
    season = season_of(ask, today=TODAY)
    asked = assurance_of(season, ask)
    assert np.isnan(enough_assurance(season.problem, asked, seed=1, rounds=2, keep_on=lambda share: True)).all()
    wanted = np.full(3, 0.9)
    assert enough_assurance(season.problem, wanted, seed=1, rounds=2, keep_on=lambda share: False).tolist() == wanted.tolist()
