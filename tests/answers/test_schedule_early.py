"""A plan that was ended early by its seconds says so, and is never given to who asks for a whole one."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_asking import Ask, planned
from scionary.answers.schedule_solving import season_of, solved
from scionary.answers.waiting_time import Wait
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


class Clock:
    """A clock that goes on a little whenever it is looked at."""

    def __init__(self, step: float) -> None:
        self.at, self.step = 0.0, step

    def __call__(self) -> float:
        self.at += self.step
        return self.at


def test_the_seconds_bound_the_whole_wait_and_what_had_no_time_is_said(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    found = planned(Ask(SEASON, effort="quick", seconds=1e-6), today=TODAY, now=now)
    assert (found.complete, found.stopped, found.left_out) == (False, False, ("sure", "why", "clash"))
    assert found.search_words == (
        "The time was up: the best plan so far; it may differ next time. "
        "No time was left to look at how sure each wish can be made, what would help and which limits clash."
    )
    assert found.grafts > 20
    assert (found.changes, found.cheap, found.clash) == ((), (), "")
    assert all("not checked" in each.words for each in found.held_up)
    whole = planned(Ask(SEASON, effort="quick", why=False), today=TODAY, now=now)
    assert (whole.complete, whole.left_out, whole.search_words) == (True, (), "")
    assert whole.clash


def test_what_ends_within_its_seconds_is_the_plan_that_has_no_end(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    ask = Ask(SEASON, effort="quick", why=False)
    ample = planned(replace(ask, seconds=3_000.0), today=TODAY, now=now)
    forget()
    assert replace(ample, asked={}) == replace(planned(ask, today=TODAY, now=now), asked={})


@pytest.mark.parametrize("step", [0.08, 0.15, 0.4])
def test_a_plan_that_is_cut_short_at_any_moment_is_not_kept(nursery: Nursery, now: datetime, step: float) -> None:
    small_nursery(nursery, now)
    ask = Ask(SEASON, effort="quick", why=False)
    season = season_of(ask, today=TODAY)
    early = solved(season, ask, wait=Wait(1.0, clock=Clock(step)))
    assert not early.complete
    assert early.grafts.sum() > 0  # the plan for most value is there in any case
    forget()
    assert solved(season, ask).complete


def test_each_step_of_a_wait_ends_with_its_share() -> None:
    clock = Clock(0.0)
    wait = Wait(10.0, clock=clock)
    clock.at = 5.0
    assert (wait.left(0.6), wait.over(0.6), wait.over(0.5)) == (pytest.approx(1.0), False, True)
    assert wait.has_room("why")
    clock.at = 7.0
    assert not wait.has_room("clash")
    assert wait.left_out == ["clash"]
    assert Wait().left() is None
