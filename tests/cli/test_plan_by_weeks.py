"""scionary plan --solve and what belongs to it: a season by weeks, as the page shows it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.small_nursery import SEASON, small_nursery

from scionary.answers.kept import forget
from scionary.answers.schedule_kept import kept_schedule
from scionary.book.models import AcceptedPlan, KeptSchedule, Nursery, StockOffer, Wish

pytestmark = pytest.mark.django_db
DAY = ("--on", "2026-02-14")


@pytest.fixture
def planned(scionary: Callable[..., Any], nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> Callable[..., Any]:
    """scionary plan, of the small nursery on its day."""
    settings.DATA_FOLDER = tmp_path
    forget()
    small_nursery(nursery, now)
    return lambda *words: scionary("plan", *words, *DAY)


def test_a_season_by_weeks_says_what_to_graft_when_and_what_it_assumes(planned: Callable[..., Any]) -> None:
    said = planned("--solve")
    assert said.code == 0
    assert "2026: " in said.out
    assert "week of" in said.out
    assert "Not all wishes can be met: These two cannot all hold: 4 sticks of Ash Gill by the gate" in said.out
    assert "assumes: A graft costs" in said.out
    assert "[graft_cost]" in said.out
    assert kept_schedule(SEASON) is not None


def test_without_solve_the_sums_are_shown_as_before(planned: Callable[..., Any]) -> None:
    assert "grafts" in planned().out
    assert not KeptSchedule.objects.exists()


def test_the_kept_plan_is_shown_by_weeks_and_as_lists_without_solving_again(planned: Callable[..., Any]) -> None:
    planned("--solve")
    said = planned("--weeks", "--order")
    assert KeptSchedule.objects.count() == 1
    assert "Dome 1" in said.out
    assert "sticks of Red Tarn by the gate" in said.out
    assert "Order: No rootstock has to be ordered." in said.out
    assert "Used up: " in said.out


def test_as_json_with_its_lists(planned: Callable[..., Any]) -> None:
    told = planned("--solve", "--order", "--json").json
    assert told["season"] == SEASON
    assert sum(row["grafts"] for row in told["rows"]) == sum(wish["grafts"] for wish in told["wishes"])
    assert told["lists"]["shopping"]["film_m"] > 0


def test_a_change_is_set_beside(planned: Callable[..., Any]) -> None:
    said = planned("--solve", "--try", "10 more sticks of Ash Gill", "--try", "a Saturday in week 28").out
    assert "Beside: 10 more: sticks of Ash Gill by the gate: Value " in said
    assert "Beside: 8 more: hours at the bench, week of 6 Jul 2026: " in said
    assert planned("--try", "more luck").code == 2


def test_taken_to_the_bench_and_planned_anew_from_today(planned: Callable[..., Any]) -> None:
    refused = planned("--from-today")
    assert (refused.code, "no plan by weeks was taken" in refused.err) == (2, True)
    assert "Taken to the bench." in planned("--solve", "--take").out
    assert AcceptedPlan.objects.get().schedule["rows"]
    assert "3 wishes: nothing is due by now, and as much is expected as then." in planned("--from-today").out
    assert "2026: " in planned("--scores").out


def test_a_wish_list_on_file_is_planned_and_nothing_of_it_is_written(planned: Callable[..., Any], tmp_path: Path) -> None:
    file = tmp_path / "wishes.csv"
    file.write_text("cultivar,number,worth\nRed Tarn,4,30\nNever Seen,3,\n")
    before = Wish.objects.count()
    said = planned("--wishes", str(file))
    assert said.code == 0
    assert "Never Seen: graft" in said.out
    assert "No mother tree is written down of Never Seen" in said.out
    assert (Wish.objects.count(), KeptSchedule.objects.exists()) == (before, False)
    file.write_text("cultivar,number\nRed Tarn,many\n")
    refused = planned("--wishes", str(file))
    assert (refused.code, "row 2" in refused.err) == (2, True)
    assert planned("--wishes", str(file), "--take").code == 2


def test_a_name_on_file_that_is_nearly_the_books_is_asked_about(planned: Callable[..., Any], tmp_path: Path) -> None:
    file = tmp_path / "wishes.csv"
    file.write_text("cultivar,Anzahl,by when\nAsh Gil,4,2026-01-02\n")
    columns = ("--column", "cultivar=cultivar", "--column", "Anzahl=number", "--column", "by when=by_when")
    assert "not read: Anzahl" in planned("--wishes", str(file)).err
    refused = planned("--wishes", str(file), *columns)
    assert (refused.code, "nearly Ash Gill" in refused.err, "or --new if" in refused.err) == (2, True, True)
    late = planned("--wishes", str(file), *columns, "--same", "Ash Gil=Ash Gill")
    assert (late.code, "nothing can be grafted" in late.out) == (1, True)
    assert "Row 2: the day by which it is wanted is past." in late.err


def test_what_is_assumed_is_moved_and_offers_are_written_down(planned: Callable[..., Any]) -> None:
    said = planned("--solve", "--assume", "graft_cost=4.5", "--offer", "Beck: Acer, 25 for 30, 3 weeks").out
    assert "A graft costs, in stock, film and work, 4.5 money (set by you)." in said
    assert StockOffer.objects.get().supplier == "Beck"
    assert planned("--solve", "--assume", "graft_cost").code == 2
    assert planned("--solve", "--assume", "luck=1").code == 2


@pytest.mark.parametrize("words", [("--effort", "hard"), ("--seconds", "0"), ("--assurance", "7"), ("--season", "2024")])
def test_what_cannot_be_planned_is_refused(planned: Callable[..., Any], words: tuple[str, str]) -> None:
    said = planned("--solve", *words)
    assert said.code == 2
    assert said.err


def test_nothing_to_graft_is_code_one(planned: Callable[..., Any], now: datetime) -> None:
    Wish.objects.update(by_when="2026-02-20")
    said = planned("--solve")
    assert said.code == 1
    assert "nothing can be grafted for these wishes" in said.out
