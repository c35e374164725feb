"""From the book's wishes to a season's schedule: within its limits, the same each time, beside the pages, and to the bench."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from tests.small_nursery import SEASON, TODAY, limits_broken, small_nursery

from scionary.answers.bench import planned_grafts
from scionary.answers.kept import forget
from scionary.answers.plan_figures import save_figures
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import Ask, ask_schedule, is_behind, job_of, plan_work, planned, stop, take_schedule
from scionary.answers.schedule_kept import kept_schedule
from scionary.answers.stock_offers import save_offer
from scionary.book.commands import save_noun
from scionary.book.models import AcceptedPlan, Dome, MotherTree, Nursery, RootstockLot, Wish
from scionary.errors import BadValue, Refused, Stopped

pytestmark = pytest.mark.django_db
QUICK = Ask(SEASON, effort="quick", why=False)


@pytest.fixture(autouse=True)
def _nothing_kept(settings: Any, tmp_path: Path) -> None:
    """No answer of another test is at hand."""
    settings.DATA_FOLDER = tmp_path / "first"
    forget()


def plan(now: datetime, ask: Ask = QUICK, today: date = TODAY) -> Schedule:
    return planned(ask, today=today, now=now)


def test_a_schedule_keeps_every_limit_of_the_book(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    found = plan(now)
    assert found.grafts > 20
    assert limits_broken(found) == []
    assert [wish.name for wish in found.wishes] == ["Ash Gill", "Red Tarn", "Slate Veil"]
    assert all(row.week >= TODAY - timedelta(days=6) and row.week.weekday() == 0 for row in found.rows)


def test_that_check_sees_a_broken_limit(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    found = plan(now)
    rows = tuple(replace(row, grafts=row.grafts + 40) for row in found.rows)
    assert len(limits_broken(replace(found, rows=rows))) > 3


def test_the_same_question_has_the_same_answer(nursery: Nursery, now: datetime, settings: Any, tmp_path: Path) -> None:
    small_nursery(nursery, now)
    first = plan(now)
    settings.DATA_FOLDER = tmp_path / "second"  # where nothing is kept, so that it is solved again
    forget()
    assert plan(now) == first
    assert plan(now, replace(QUICK, seed=21)).facts != first.facts


def test_scarce_wood_cuts_a_wish_and_the_plan_says_so(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    ash = next(wish for wish in plan(now).wishes if wish.name == "Ash Gill")
    assert ash.cut
    assert "there are only 4 sticks of Ash Gill by the gate" in ash.why_cut


def test_more_certainty_costs_value_and_buys_chance(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    value, sure = plan(now, replace(QUICK, sure="value")), plan(now, replace(QUICK, sure=0.95))
    assert sure.reached > value.reached
    assert all(wish.asked is None for wish in value.wishes)
    assert {wish.asked for wish in sure.wishes} == {0.95}


def test_no_plan_is_worth_more_than_a_sure_plan_says_in_money(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    value, sure = plan(now, replace(QUICK, sure="value")), plan(now, replace(QUICK, sure=0.95))
    assert value.planned is not None
    assert sure.planned is not None
    assert sure.bound is not None
    assert sure.gap is not None
    assert sure.planned < value.planned <= sure.bound
    assert sure.planned * (1 + sure.gap) == pytest.approx(sure.bound)
    assert sure.planned == pytest.approx(sure.value, rel=0.1)  # the same money, in other seasons


def test_most_value_stands_beside_a_plan_that_was_asked_to_be_sure(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    value, sure = plan(now, replace(QUICK, sure="value")), plan(now, replace(QUICK, sure=0.95))
    assert value.most_value is None
    assert sure.most_value is not None
    assert sure.most_value.value == pytest.approx(value.value, rel=0.02)
    assert sure.most_value.chances == pytest.approx([wish.chance for wish in value.wishes], abs=0.1)  # before small batches join
    assert sure.most_value.bought


def test_limits_that_cannot_all_hold_are_named(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    assert plan(now).clash == ("These two cannot all hold: 4 sticks of Ash Gill by the gate; at least 6 Ash Gill on average.")


def test_a_dome_that_is_away_holds_nothing_then(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    dome = Dome.objects.get(name="Dome 1")
    save_noun(Dome, {"away": [{"from": "2026-01-01", "until": "2026-12-31"}]}, now=now, pk=dome.pk)
    found = plan(now)
    assert {name for row in found.rows for name in row.domes} == {"Dome 2"}
    assert found.weeks[0].domes[0].words == "not to be had"


def test_without_anything_but_wishes_all_the_rest_is_assumed(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    for model in (Dome, RootstockLot):
        model.objects.update(retired=True)
    save_noun(Nursery, {"bench_hours_a_week": None}, now=now, pk=nursery.pk)
    found = plan(now)
    told = " ".join(each.words for each in found.assumed)
    assert "No dome is written down" in told
    assert "No rootstock is written down" in told
    assert "Hours at the bench do not limit the plan." in told
    assert found.rows[0].domes == ("Tray 1",)


def test_every_figure_that_is_assumed_can_be_moved(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    figures = [each for each in plan(now).assumed if each.figure]
    assert {"graft_cost", "budget", "dormant_opens", "leafy_closes", "frost"} <= {each.figure for each in figures}
    assert not any(each.moved for each in figures)


def test_no_wish_is_refused_and_a_year_that_is_over_too(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(Refused, match="no wish to plan for"):
        plan(now)
    small_nursery(nursery, now)
    with pytest.raises(Refused, match="ended on 2026-09-22"):
        plan(now, today=date(2026, 10, 3))


def test_a_wish_due_before_anything_heals_gets_nothing_and_is_told_why(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    wish = Wish.objects.get(cultivar__spoken="Red Tarn")
    save_noun(Wish, {"by_when": date(2026, 2, 20)}, now=now, pk=wish.pk)
    red = next(each for each in plan(now).wishes if each.name == "Red Tarn")
    assert red.grafts == 0
    assert red.why_cut


@pytest.mark.parametrize(
    ("bad", "said"), [({"effort": "hard"}, "quick, normal, long"), ({"seconds": 0}, "more than 0"), ({"sure": 2.0}, "0.5 to 0.999")]
)
def test_what_cannot_be_asked_is_refused(bad: dict[str, object], said: str) -> None:
    with pytest.raises(BadValue, match=said):
        Ask(SEASON, **bad)  # type: ignore[arg-type]


def test_the_work_keeps_a_first_plan_and_then_the_best(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    shown: list[bool] = []

    def progress(fraction: float, word: str) -> bool:
        last = kept_schedule(SEASON)
        shown.append(last is not None and last.first)
        return True

    last_step = plan_work(Ask(SEASON, why=False).to_dict(), progress, now)
    assert any(shown)
    assert last_step()["words"].startswith("2026: ")
    best = kept_schedule(SEASON)
    assert best is not None
    assert (best.first, best.effort, best.complete) == (False, "normal", True)


def test_a_stopped_work_keeps_the_best_so_far(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    with pytest.raises(Stopped, match="the best plan so far is kept"):
        plan_work(Ask(SEASON, why=False).to_dict(), lambda fraction, word: False, now)
    found = kept_schedule(SEASON)
    assert found is not None
    assert found.stopped
    assert found.search_words == "Stopped by you: the best plan so far."


def test_asking_twice_is_one_work_and_it_can_be_stopped(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    job = ask_schedule(QUICK, now=now)
    assert ask_schedule(QUICK, now=now) == job
    assert job_of(SEASON) == job
    stopped = stop(SEASON, now=now)
    assert stopped is not None
    assert stopped.status == "stopped"
    assert stop(SEASON, now=now) is None


def test_a_schedule_taken_to_the_bench_is_what_the_bench_counts_against(nursery: Nursery, now: datetime) -> None:
    made = small_nursery(nursery, now)
    found = plan(now)
    take_schedule(found, now=now)
    by_name = {wish.name: wish.grafts for wish in found.wishes}
    assert planned_grafts(SEASON) == {str(made[name].pk): grafts for name, grafts in by_name.items()}
    assert AcceptedPlan.objects.get().schedule["rows"][0]["week"] == found.rows[0].week.isoformat()


def _retire(model: Any) -> Callable[[datetime], object]:
    return lambda now: [save_noun(model, {"retired": True}, now=now, pk=each.pk) for each in model.objects.all()]


@pytest.mark.parametrize(
    "change",
    [
        lambda now: save_noun(Wish, {"wanted": 9}, now=now, pk=Wish.objects.get(cultivar__spoken="Red Tarn").pk),
        lambda now: save_noun(Wish, {"worth": 90.0}, now=now, pk=Wish.objects.get(cultivar__spoken="Red Tarn").pk),
        lambda now: save_noun(Wish, {"assurance": 0.95}, now=now, pk=Wish.objects.get(cultivar__spoken="Red Tarn").pk),
        lambda now: save_noun(Dome, {"retired": True}, now=now, pk=Dome.objects.get(name="Dome 2").pk),
        lambda now: save_noun(Nursery, {"bench_hours_a_week": 3.0}, now=now, pk=Nursery.objects.get().pk),
        _retire(RootstockLot),
        _retire(MotherTree),
        _retire(Wish),
        lambda now: save_figures({"penalty": 5.0}, now=now),
        lambda now: save_offer("Beck: Acer palmatum, 10 for 4, 1 week", now=now),
    ],
    ids=["number", "worth", "how sure", "dome", "hours", "stocks", "trees", "all wishes", "figure", "offer"],
)
def test_a_schedule_is_behind_once_the_book_would_give_another(
    nursery: Nursery, now: datetime, change: Callable[[datetime], object]
) -> None:
    small_nursery(nursery, now)
    found = plan(now)
    assert not is_behind(found, today=TODAY)
    change(now)
    assert is_behind(found, today=TODAY)


def test_a_schedule_is_behind_for_a_week_that_is_over_and_not_for_a_name(nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    found = plan(now)
    save_noun(Dome, {"name": "Dome by the door"}, now=now, pk=Dome.objects.get(name="Dome 2").pk)
    assert not is_behind(found, today=TODAY)
    assert is_behind(found, today=TODAY + timedelta(days=7))
