"""Each row of a plan says in one sentence why it stands in its week, on its lot and in its pot."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from tests.small_nursery import SEASON, TODAY, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_asking import planned
from scionary.answers.schedule_reasons import Reasons
from scionary.answers.schedule_solving import Ask, season_of
from scionary.answers.season_problem import Season
from scionary.book.commands import save_noun
from scionary.book.models import Nursery, PotKind, RootstockLot
from scionary.plan.limit_writing import limit_rows

pytestmark = pytest.mark.django_db
ASK = Ask(SEASON, effort="quick", sure="value", why=False)


@pytest.fixture
def book(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> None:
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)


def reason(season: Season, grafts: int, *, lot: str = "26-A", elsewhere: int = 0, used_up: str = "") -> str:
    """Why so many Red Tarn stand in the first week open to them, with so many others in every other week, and a lot all used."""
    rows = limit_rows(season.problem)
    ways, options = season.ways, season.problem.options
    red = [at for at, way in enumerate(ways) if season.facts.wishes[way.wish].name == "Red Tarn" and not rows.closed[at]]
    option = next(at for at in red if ways[at].lot is not None and ways[at].lot.name == lot)
    plan = np.zeros(len(ways), dtype=np.int64)
    plan[option] = grafts
    alike = [
        at for at in red if (ways[at].method, ways[at].lot, ways[at].tree) == (ways[option].method, ways[option].lot, ways[option].tree)
    ]
    for at in alike:
        if options.week[at] != options.week[option]:
            plan[at] = elsewhere
    left = Reasons(season, rows, plan)
    if used_up and left.left is not None:
        left.left[[used_up in limit.words for limit in rows.limits]] = 0.0
    return left.of(option)


def test_every_row_of_a_solved_plan_has_its_reason(book: None, now: datetime) -> None:
    rows = planned(ASK, today=TODAY, now=now).rows
    assert rows
    assert all(row.why.endswith("; no other stocks serve it then; its stocks stand in that pot.") and row.why[0].isupper() for row in rows)


def test_a_week_with_room_elsewhere_says_so(book: None) -> None:
    assert reason(season_of(ASK, today=TODAY), 3).startswith("The week of 6 Jul 2026 has room too, but each week more is a batch more; ")


def test_what_is_used_up_in_the_other_weeks_is_named(book: None) -> None:
    season = season_of(ASK, today=TODAY)
    assert reason(season, 3, used_up="hours at the bench").startswith("In the other weeks there is no more of: hours at the bench; ")
    assert reason(season, 3, used_up="× ").startswith("In the other weeks there is no more of: places under the domes; ")


def test_another_lot_is_said_to_do_as_well_or_to_be_used_up(book: None, now: datetime) -> None:
    gallon = PotKind.objects.exclude(name="4-inch square").first()
    lot = {"name": "26-B", "species": "Acer palmatum", "count": 60, "arrived_on": date(2025, 10, 1), "pot_kind": gallon}
    save_noun(RootstockLot, lot, now=now)
    season = season_of(ASK, today=TODAY)
    assert "; 26-B would do as well; its stocks stand in that pot." in reason(season, 3)
    assert "; of 26-B none is left for it; " in reason(season, 3, used_up="stocks of 26-B")


def test_a_plan_that_breaks_a_limit_gives_no_reasons(book: None) -> None:
    assert reason(season_of(ASK, today=TODAY), 3, elsewhere=200) == ""
