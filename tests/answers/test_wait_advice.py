"""Wait, graft the stock again, or give the place to another plant."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from scionary.answers.due import due
from scionary.answers.wait_advice import Figures, graft_again, wait_advice
from scionary.book import queries
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Dome, Method, Plant, Wish
from scionary.book.record import Answer
from scionary.take import wait_or_regraft

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]
TODAY = date(2026, 3, 5)  # the dormant method's time ends about 19 April
LAST_DAYS = date(2026, 4, 17)


@pytest.fixture
def dormant(nursery: object) -> Method:
    return Method.objects.get(name="Side veneer, dormant, winter")


def again(plant: Plant) -> Plant:
    return queries.plant(plant.pk)


def test_a_good_chance_is_waited_for(graft: Grafts, dormant: Method) -> None:
    advice = wait_advice(again(graft(method=dormant.pk).plants[0]), today=TODAY)
    assert advice is not None
    assert advice.step == "wait"
    assert advice.turning is not None
    assert advice.turning < advice.chance
    assert advice.sentence.startswith(f"Wait: {round(100 * advice.chance)} %, turns at ")


def test_the_advice_is_the_engine_s_with_the_figures_told(graft: Grafts, dormant: Method) -> None:
    figures = Figures(worth=50.0, place=2.0, graft=5.0, until=TODAY + timedelta(days=5))
    advice = wait_advice(again(graft(method=dormant.pk).plants[0]), today=TODAY, figures=figures)
    assert advice is not None
    stakes = advice.stakes
    assert (stakes.days_left, stakes.days_to_know) == (5, 12)
    plain = wait_or_regraft(
        advice.chance, slot_price=2.0, regraft_chance=stakes.regraft_chance, worth=50.0, days_left=5, days_to_know=12, regraft_cost=5.0
    )
    assert advice.turning == pytest.approx(plain.turning_chance)
    assert advice.values["regraft"] == pytest.approx(stakes.regraft_chance * 50 - 5 - 2 * 31 / 7)


def test_worth_comes_from_the_wish_then_from_the_cultivar(graft: Grafts, dormant: Method, cultivar: Cultivar, now: Any) -> None:
    plant = again(graft(method=dormant.pk).plants[0])

    def told() -> tuple[float, str]:
        advice = wait_advice(again(plant), today=TODAY)
        assert advice is not None
        return advice.stakes.worth, advice.stakes.worth_from

    assert told() == (40.0, "project default, unsourced")
    save_noun(Cultivar, {"price": 30}, now=now, pk=cultivar.pk)
    assert told() == (30.0, "the cultivar's price")
    save_noun(Wish, {"cultivar": cultivar, "wanted": 3, "season": 2026, "worth": 55}, now=now)
    assert told() == (55.0, "from your wish for 2026")


@pytest.mark.parametrize(("name", "today", "until"), [
    ("Side veneer, dormant, winter", date(2026, 3, 5), date(2026, 4, 18)),
    ("Side veneer, dormant, winter", date(2026, 6, 5), None),
    ("Side graft, leafy, summer", date(2026, 8, 5), date(2026, 10, 21)),
    ("Side graft, leafy, summer", date(2026, 12, 5), None),
])  # fmt: skip
def test_leafy_scions_have_their_time_in_leaf_and_others_while_bare(graft: Grafts, name: str, today: date, until: date | None) -> None:
    plant = again(graft(method=Method.objects.get(name=name).pk).plants[0])
    advice = wait_advice(plant, today=today)
    assert advice is not None
    assert advice.stakes.until == until
    assert ("regraft" in advice.values) == (until is not None)


def test_a_plant_whose_take_is_known_asks_for_nothing(graft: Grafts, write: Write) -> None:
    firm, lost, rough = graft(2).plants[0], graft().plants[0], graft(precision="month").plants[0]
    write("scored", firm, sign="firm", answer="yes", days=31)
    write("lost", lost, days=20)
    for plant in (firm, lost, rough):
        assert wait_advice(again(plant), today=TODAY) is None


def doubtful(graft: Grafts, write: Write, dome: Dome) -> list[Plant]:
    """A book where a stalk that stays says a lot; then four plants late in the season, on three of which it stays.

    By which method is not written down: grafted while trees are bare, they are grafted again while they are.
    """
    for i, plant in enumerate(graft(40, days=-380).plants):
        write("scored", plant, sign="stalk_drops", answer="yes" if i < 30 else "no", days=-366)
        write("scored", plant, sign="firm", answer="yes" if i < 30 else "no", days=-340)
    plants = graft(4, dome=dome.pk, days=50).plants
    write("scored", plants[0], sign="stalk_drops", answer="yes", days=60)
    for plant in plants[1:]:
        write("scored", plant, sign="stalk_drops", answer="no", days=60)
    return list(plants)


def test_likely_lost_late_in_the_season_is_grafted_again(graft: Grafts, write: Write, dome: Dome) -> None:
    good, *poor = doubtful(graft, write, dome)
    found, until = graft_again(queries.plants_in(dome), today=LAST_DAYS)
    assert {plant.pk for plant in found} == {plant.pk for plant in poor}
    assert until == date(2026, 4, 18)
    for plant in poor:
        advice = wait_advice(again(plant), today=LAST_DAYS)
        assert advice is not None
        assert advice.step == "regraft"
        assert advice.sentence.startswith("Graft the stock again: ")
    waits = wait_advice(again(good), today=LAST_DAYS)
    assert waits is not None
    assert waits.step == "wait"


def test_due_says_so_in_one_line_while_there_is_time(graft: Grafts, write: Write, dome: Dome) -> None:
    doubtful(graft, write, dome)
    (line,) = [line for line in due(today=LAST_DAYS).lines if line.step == "again"]
    assert line.what == "3 plants are likely lost and could be grafted again until 18 April"
    assert len(line.plants) == 3
    assert not [line for line in due(today=date(2026, 4, 20)).lines if line.step == "again"]


def test_one_plant_alone_is_no_line_of_due(graft: Grafts, write: Write, dome: Dome) -> None:
    poor = doubtful(graft, write, dome)[1:]
    for plant in poor[1:]:
        write("lost", plant, days=61)
    assert len(graft_again(queries.plants_in(dome), today=LAST_DAYS)[0]) == 1
    assert not [line for line in due(today=LAST_DAYS).lines if line.step == "again"]
