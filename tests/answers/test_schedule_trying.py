"""Another season's plan is set beside the present one, said in words or given as a change."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers import schedule_trying
from scionary.answers.kept import forget
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, planned
from scionary.answers.schedule_kept import keep_schedule, kept_schedule
from scionary.answers.schedule_solving import season_of, solved
from scionary.answers.schedule_trying import change_said, try_beside
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.plan import Instead, try_instead

pytestmark = pytest.mark.django_db
ASK = Ask(SEASON, effort="quick", why=False)


@pytest.fixture
def schedule(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> Schedule:
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    return keep_schedule(planned(ASK, today=TODAY, now=now), now=now)


def test_more_wood_of_what_is_short_is_worth_something(schedule: Schedule) -> None:
    tried = try_beside(schedule, "10 more sticks of Ash Gill", today=TODAY).tried[-1]
    assert tried.words == "10 more: sticks of Ash Gill by the gate"
    assert tried.more > 20
    at = [wish.name for wish in schedule.wishes].index("Ash Gill")
    assert tried.chances[at] > schedule.wishes[at].chance


def test_what_is_tried_is_kept_beside_the_plan_and_the_plan_stays(schedule: Schedule) -> None:
    tried = try_beside(schedule, "one more dome", today=TODAY)
    assert (tried.rows, tried.value) == (schedule.rows, schedule.value)
    assert tried.tried[-1].more >= 0
    assert kept_schedule(SEASON) == tried
    assert [each.number for each in try_beside(tried, "a Saturday in week 28", today=TODAY).tried] == [1, 2]


def test_what_would_help_is_worth_what_trying_it_gives(schedule: Schedule, now: datetime) -> None:
    found = planned(Ask(SEASON, effort="quick", sure=0.9), today=TODAY, now=now)
    assert found.changes
    for change in found.changes:
        tried = try_beside(found, change.ask, today=TODAY).tried[-1]
        assert change.score is not None
        assert change.worth == pytest.approx(tried.value - found.value, abs=0.05 * found.value + change.within), change.words
        assert change.score == pytest.approx(tried.more, abs=0.05 * max(abs(tried.more), found.value) + change.within), change.words


def test_what_the_plan_keeps_for_a_wish_is_kept_in_another_season_where_that_has_room(
    schedule: Schedule, monkeypatch: pytest.MonkeyPatch
) -> None:
    present = solved(season_of(ASK, today=TODAY), ASK)
    tried: list[Instead] = []

    def instead(*args: Any, **more: Any) -> Instead:
        tried.append(try_instead(*args, **more))
        return tried[-1]

    monkeypatch.setattr(schedule_trying, "try_instead", instead)
    way = next(at for at, most in enumerate(present.rows.most.tolist()) if most >= 3 and present.grafts[at] == 0)
    for least in (3, 0, 10_000):  # the last has no room in any season
        options = present.made_from.problem.options
        numbers = np.where(np.arange(len(options)) == way, least, options.least)
        keeps = replace(present.made_from, problem=replace(present.made_from.problem, options=replace(options, least=numbers)))
        given = replace(present, made_from=keeps)
        monkeypatch.setattr(schedule_trying, "solved", lambda *args, given=given, **more: given)
        try_beside(schedule, "8 more hours", today=TODAY)
    assert tried[0].result.grafts[way] >= 3 > tried[1].result.grafts[way]
    assert tried[2].result.grafts.tolist() == tried[1].result.grafts.tolist()


def test_fewer_of_what_is_needed_costs(schedule: Schedule) -> None:
    assert try_beside(schedule, "1 fewer dome", today=TODAY).tried[-1].more < 0


def test_changes_are_understood_as_they_are_said(schedule: Schedule) -> None:
    season = season_of(ASK, today=TODAY)
    assert change_said("one more tray in week 28", season) == {"what": "trays", "number": 1.0, "from": "2026-07-06", "until": "2026-07-06"}
    assert change_said("a saturday in week 28", season)["number"] == 8.0
    assert change_said("50 more stocks of 26-A", season) == {"what": "stocks", "number": 50.0, "which": "26-A"}
    assert change_said("only 4-inch square pots", season)["which"] == "4-inch square"
    assert change_said("50 more stocks", season)["which"] == "26-A"
    assert change_said("another dome like Dome 2 in week 27 to 28", season)["until"] == "2026-07-06"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("more luck", "no change that can be tried"),
        ("many more trays", "has no number"),
        ("one more tray in week 60", "week 60 is none of the weeks"),
        ("5 more stocks of 99-Z", "names no lot"),
        ("5 more sticks", "names no mother tree"),
        ("one more dome like Dome 9", "no dome 'Dome 9'"),
    ],
)
def test_what_cannot_be_tried_is_refused_with_what_can(schedule: Schedule, text: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        try_beside(schedule, text, today=TODAY)
