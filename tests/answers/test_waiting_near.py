"""In a large book pages read only what stands beside the plants that they show; a plant has the same chance as when all is read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any

import pytest
from django.db import OperationalError

from conftest import NOW
from counting_large import counts_as_large
from scionary.answers import due_plants, early_signs, take_model
from scionary.answers.chances import rings
from scionary.answers.domes import dome_answers, standing_in
from scionary.answers.domes_held import Held
from scionary.answers.due_lines import DueLine
from scionary.answers.early_signs import reads_near, waiting_chances
from scionary.answers.learning import learn
from scionary.answers.put_off import NOT_NEEDED, answer_line, set_asides
from scionary.book import queries
from scionary.book.commands import Written, save_noun, undo
from scionary.book.models import Cultivar, Dome, Event, Method, Nursery, Plant
from scionary.book.one_page import one_page
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def large(graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome, now: datetime, monkeypatch: Any) -> Iterator[None]:
    """A book that counts as large, with plants of two fillings of a dome, of a bench day without one, and of a known month alone."""
    counts_as_large(monkeypatch, 5)
    graft(12, days=-200, dome=dome.pk)
    for i, plant in enumerate(Plant.objects.order_by("id")):
        write("scored", plant, sign="bud_moving", answer="yes" if i < 8 else "no", days=-170)
        write("scored", plant, sign="firm", answer="yes" if i < 8 else "no", days=-140)
    graft(3, days=-20, dome=dome.pk)
    graft(3, days=-16, dome=dome.pk)
    graft(2, days=-9)
    graft(2, days=-90, precision="month")
    first = Plant.objects.order_by("-id")[5]
    write("scored", first, sign="bud_moving", answer="yes", days=-2)
    learn({}, lambda share, word: True, now)()
    with take_model.without_waiting():
        yield


def waiting() -> list[Plant]:
    return list(queries.plants().filter(state__in=queries.STANDING).order_by("id"))


def test_a_plant_has_the_chance_that_it_has_when_the_whole_book_is_read(large: None) -> None:
    assert reads_near()
    near = waiting_chances(waiting())
    token = take_model._may_wait.set(True)
    assert not reads_near()
    assert waiting_chances(waiting()) == near
    take_model._may_wait.reset(token)
    assert len({chance.mid for chance in near.values()}) > 1


def test_what_is_written_down_moves_the_chance_at_once(large: None, write: Callable[..., Answer]) -> None:
    before = waiting_chances(waiting())
    seen, *others = [plant for plant in waiting() if plant.pk in before and plant.dome_id]
    write("scored", seen, sign="bud_moving", answer="yes", days=-1)
    after = waiting_chances(waiting())
    assert after[seen.pk].mid > before[seen.pk].mid
    assert all(after[plant.pk].mid > before[plant.pk].mid for plant in others)
    elsewhere = [plant.pk for plant in waiting() if plant.pk in before and not plant.dome_id]
    assert elsewhere
    assert all(after[ident] == before[ident] for ident in elsewhere)


def test_a_dome_that_is_held_changes_with_its_plants(large: None, graft: Callable[..., Written], dome: Dome, now: datetime) -> None:
    def standing() -> int:
        return next(answer for answer in dome_answers(today=now.date()) if answer.dome == dome).standing

    before = standing()
    assert standing() == before
    graft(1, dome=dome.pk)
    assert standing() == before + 1


def test_a_plant_that_moves_away_leaves_the_dome_that_is_held(large: None, write: Callable[..., Answer], dome: Dome, now: datetime) -> None:
    before = next(answer for answer in dome_answers(today=now.date()) if answer.dome == dome)
    moved = next(pot.plant for pot in before.pots if pot.plant)
    write("moved", moved, stands="bed 1")
    after = next(answer for answer in dome_answers(today=now.date()) if answer.dome == dome)
    assert after.standing == before.standing - 1


def test_a_round_shows_the_plants_and_rings_that_a_fresh_look_finds_after_whatever_is_written(
    large: None, graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome, cultivar: Cultivar, now: datetime
) -> None:
    def written() -> Iterator[object]:
        yield None
        yield graft(2, days=-10, dome=dome.pk)
        first, second, third = queries.plants_in(dome)[:3]
        yield write("moved", first, stands="bed 1")
        yield write("moved", second, dome=dome.pk, place=40)
        yield write("lost", third, sign="dried up")
        yield undo(Event.objects.filter(kind="lost").get().pk, now=now)
        yield save_noun(Cultivar, {"spoken": "Quiet Ember"}, now=now, pk=cultivar.pk)
        yield graft(1, days=-3, dome=dome.pk)

    for step, _ in enumerate(written()):
        plants, shown = standing_in(dome, today=now.date())
        fresh = list(queries.plants_in(dome))
        assert [(plant.pk, plant.spoken, plant.state, plant.place) for plant in plants] == [
            (plant.pk, plant.spoken, plant.state, plant.place) for plant in fresh
        ], step
        assert shown == rings(fresh), step


def freshly_due(nursery: Nursery) -> list[DueLine]:
    """What is due by a look at all plants."""
    due = due_plants._all_due(nursery, set_asides(), NOW.date())
    return [due_plants._plant_line(step, members, NOW.date()) for step, members in due.items() if members]


@pytest.fixture
def due_now(large: None, graft: Callable[..., Written], write: Callable[..., Answer], nursery: Nursery, method: Method) -> list[Plant]:
    """Three plants for which a step is due, told once."""
    made = graft(3, days=-200, method=method.pk).plants
    for plant in made:
        write("scored", plant, sign="firm", answer="yes", days=-160)
    lines = due_plants.plant_lines(nursery, set_asides(), NOW.date())
    assert {plant.key for plant in made} <= {key for line in lines for key in line.keys}
    return made


def test_a_look_at_what_is_due_that_fails_leaves_nothing_out_of_the_next(
    due_now: list[Plant], write: Callable[..., Answer], nursery: Nursery, now: datetime, monkeypatch: Any
) -> None:
    write("headed_back", due_now[0], days=-1)
    undo(Event.objects.get(kind="grafted", subjects__key=due_now[1].key).pk, now=now)
    with monkeypatch.context() as broken:
        broken.setattr(due_plants, "_all_due", failing)
        with pytest.raises(OperationalError):
            due_plants.plant_lines(nursery, set_asides(), NOW.date())
    assert due_plants.plant_lines(nursery, set_asides(), NOW.date()) == freshly_due(nursery)


def test_what_was_answered_while_somebody_looked_is_not_due(due_now: list[Plant], nursery: Nursery, now: datetime) -> None:
    before = set_asides()
    answer_line("head_back", [due_now[0].key], NOT_NEEDED, today=now.date(), now=now)
    due_plants.plant_lines(nursery, before, NOW.date())  # as somebody does who read the answers a moment too early
    assert due_plants.plant_lines(nursery, set_asides(), NOW.date()) == freshly_due(nursery)


def test_a_graft_that_is_undone_while_due_is_drawn_is_left_out(
    due_now: list[Plant], write: Callable[..., Answer], nursery: Nursery
) -> None:
    write("watered", due_now[1])
    with one_page():
        queries.stamp()  # what the page shows is what there was by now
        Plant.objects.filter(pk=due_now[0].pk).delete()
        lines = due_plants.plant_lines(nursery, set_asides(), NOW.date())
    assert due_now[0].pk not in {plant.pk for line in lines for plant in line.plants}


def test_a_look_at_a_dome_that_fails_leaves_nothing_out_of_the_next(
    large: None, write: Callable[..., Answer], dome: Dome, now: datetime, monkeypatch: Any
) -> None:
    plant = standing_in(dome, today=now.date())[0][0]
    write("lost", plant, sign="dried up")
    with monkeypatch.context() as broken:
        broken.setattr(Held, "_touched", failing)
        with pytest.raises(OperationalError):
            standing_in(dome, today=now.date())
    assert next(each.state for each in standing_in(dome, today=now.date())[0] if each.pk == plant.pk) == "dead"


def failing(*_: object) -> Any:
    raise OperationalError("the server closed the connection")


def test_plants_that_are_due_are_those_that_a_fresh_look_finds_after_whatever_is_written(
    large: None, graft: Callable[..., Written], write: Callable[..., Answer], nursery: Nursery, method: Method, now: datetime
) -> None:
    """In the large book only those that something was written about are looked at again."""

    def written() -> Iterator[object]:
        yield None
        made = graft(3, days=-200, method=method.pk).plants
        yield made
        for plant in made:
            yield write("scored", plant, sign="firm", answer="yes", days=-160)
        yield write("headed_back", made[0], days=-1)
        yield answer_line("head_back", [made[1].key], NOT_NEEDED, today=now.date(), now=now)
        yield write("lost", made[2], sign="dried up")
        yield undo(Event.objects.filter(kind="lost").get().pk, now=now)
        yield save_noun(Cultivar, {"spoken": "Quiet Ember"}, now=now, pk=Cultivar.objects.get(spoken="Red Tarn").pk)
        yield save_noun(Method, {"after_care": []}, now=now, pk=method.pk)

    told = []
    for step, _ in enumerate(written()):
        found = due_plants.plant_lines(nursery, set_asides(), now.date())
        assert found == freshly_due(nursery), step
        told.append([line.keys for line in found])
    assert len({str(keys) for keys in told}) > 4


def test_after_a_new_graft_and_an_undone_sign_chances_are_what_a_fresh_look_finds(
    large: None, graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome, method: Method, now: datetime
) -> None:
    waiting_chances(waiting())
    graft(2, days=-16, dome=dome.pk, method=method.pk)
    seen = write("scored", Plant.objects.order_by("-id")[0], sign="bud_moving", answer="yes", days=-1)
    moved = waiting_chances(waiting())
    undo(seen.id, now=now)
    held = waiting_chances(waiting())
    early_signs._NEAR.held = None
    assert held == waiting_chances(waiting())
    assert held != moved
    undo(Event.objects.filter(kind="grafted").order_by("-id")[0].pk, now=now)
    held = waiting_chances(waiting())
    early_signs._NEAR.held = None
    assert held == waiting_chances(waiting())
    assert len(held) == len(moved) - 1
