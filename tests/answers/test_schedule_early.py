"""A plan that was ended early by its seconds says so, and is never given to who asks for a whole one."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_asking import Ask
from scionary.answers.schedule_solving import season_of, solved
from scionary.book.models import Nursery

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_kept(settings: Any, tmp_path: Path) -> None:
    """No answer of another test is at hand."""
    settings.DATA_FOLDER = tmp_path
    forget()


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_a_plan_cut_short_is_not_kept_in_place_of_the_whole_one(nursery: Nursery, now: datetime, effort: str) -> None:
    small_nursery(nursery, now)
    ask = Ask(SEASON, effort=effort, sure="value", why=False)
    season = season_of(ask, today=TODAY)
    early = solved(season, replace(ask, seconds=1e-6))
    assert (early.complete, early.stopped) == (False, False)
    forget()  # as another process, that reads the files
    whole = solved(season, ask)
    assert whole.complete
    assert solved(season, replace(ask, seconds=1e-6)) is whole  # what is known needs no time
