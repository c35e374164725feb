"""Looks at buds with their dates, and the curve that is learned from those with a known end."""

from collections.abc import Callable, Iterable
from typing import Any
from uuid import UUID

import numpy as np
import pytest

from scionary.answers.bud_looks import BudLooks, bud_looks, last_push, learn_push, push_evidence, push_is_behind
from scionary.answers.chances import rings
from scionary.answers.take_model import without_waiting
from scionary.book import queries
from scionary.book.commands import Written, correct, undo
from scionary.book.models import Dome, Graft, Plant
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def looked_at(plant: Plant) -> tuple[tuple[int, bool], ...]:
    found = bud_looks().get(Graft.objects.filter(plant=plant).latest("grafted_at").pk)
    return found.looks if found else ()


def test_looks_stand_by_their_day_after_grafting(plant: Plant, write: Write) -> None:
    write("scored", plant, sign="bud_moving", answer="no", days=20)
    write("scored", plant, sign="bud_moving", answer="yes", days=34)
    assert looked_at(plant) == ((20, False), (34, True))


def test_the_last_look_of_a_day_counts(plant: Plant, write: Write) -> None:
    write("scored", plant, sign="bud_moving", answer="yes", days=20)
    write("scored", plant, sign="bud_moving", answer="no", days=20.1)
    assert looked_at(plant) == ((20, False),)


def test_not_sure_is_no_look(plant: Plant, write: Write) -> None:
    write("scored", plant, sign="bud_moving", answer="unsure", days=20)
    assert looked_at(plant) == ()


def test_a_corrected_look_says_what_it_says_now(plant: Plant, write: Write, now: Any) -> None:
    seen = write("scored", plant, sign="bud_moving", answer="yes", days=20)
    correct(seen.id, {"answer": "no"}, now=now)
    assert looked_at(plant) == ((20, False),)


def test_another_sign_corrected_to_a_bud_is_a_look(plant: Plant, write: Write, now: Any) -> None:
    seen = write("scored", plant, sign="stalk_drops", answer="yes", days=20)
    correct(seen.id, {"sign": "bud_moving"}, now=now)
    assert looked_at(plant) == ((20, True),)


def test_an_undone_look_is_gone(plant: Plant, write: Write, now: Any) -> None:
    undo(write("scored", plant, sign="bud_moving", answer="yes", days=20).id, now=now)
    assert looked_at(plant) == ()


def test_a_look_belongs_to_the_graft_that_stood_then(plant: Plant, write: Write) -> None:
    write("scored", plant, sign="bud_moving", answer="no", days=20)
    write("regrafted", plant, days=40)
    write("scored", plant, sign="bud_moving", answer="yes", days=65)
    first, second = Graft.objects.filter(plant=plant).order_by("grafted_at")
    assert (bud_looks()[first.pk].looks, bud_looks()[second.pk].looks) == (((20, False),), ((25, True),))


def test_a_graft_known_to_the_month_has_no_days(graft: Grafts, write: Write) -> None:
    plant = graft(precision="month").plants[0]
    write("scored", plant, sign="bud_moving", answer="yes", days=20)
    assert looked_at(plant) == ()


@pytest.mark.parametrize(("days", "spring"), [(0, np.inf), (-90, 120.0), (160, 240.0)])
def test_takes_rest_until_a_spring_only_where_a_winter_lies_between(graft: Grafts, write: Write, days: int, spring: float) -> None:
    plant = graft(days=days).plants[0]
    write("scored", plant, sign="bud_moving", answer="no", days=days + 20)
    assert bud_looks()[Graft.objects.get(plant=plant).pk].spring == spring


def scored(write: Write, plants: Iterable[Plant], begin: float, *, push: Callable[[int], float], took: Callable[[int], bool]) -> None:
    """Looks on days 20, 30 and 45 after grafting, and the end on day 60."""
    for i, plant in enumerate(plants):
        for day in (20, 30, 45):
            write("scored", plant, sign="bud_moving", answer="yes" if push(i) <= day else "no", days=begin + day)
        write("scored", plant, sign="firm", answer="yes" if took(i) else "no", days=begin + 60)


def test_few_looks_teach_no_curve(graft: Grafts, write: Write) -> None:
    scored(write, graft(9, days=-200).plants, -200, push=lambda i: 25 + i, took=lambda i: True)
    assert learn_push([]) is None
    assert not push_is_behind([])


def test_the_curve_is_learned_from_known_ends_and_kept(graft: Grafts, write: Write) -> None:
    plants = graft(24, days=-200).plants
    scored(write, plants, -200, push=lambda i: 22 + i % 9 if i < 16 else 99, took=lambda i: i < 16)
    assert push_is_behind([])
    learned = learn_push([])
    assert learned is not None
    assert (learned.took, learned.failed, learned.unknown) == (16, 8, 0)
    shares = learned.curve.curve([20, 30, 45], season="2025").mean
    assert shares[0] < 0.25
    assert shares[1] > 0.6
    assert shares[2] > 0.85
    assert not push_is_behind([])
    kept = last_push()
    assert kept is not None
    assert kept.content == learned.content


def test_plants_that_wait_are_not_learned_from(graft: Grafts, write: Write) -> None:
    plants = graft(24, days=-200).plants
    scored(write, plants, -200, push=lambda i: 22 + i % 9, took=lambda i: True)
    learned = learn_push([Graft.objects.get(plant=plants[0]).pk])
    assert learned is not None
    assert learned.took == 23


def test_a_late_look_at_a_shut_bud_says_more_than_an_early_one(graft: Grafts, write: Write) -> None:
    scored(write, graft(24, days=-200).plants, -200, push=lambda i: 22 + i % 9 if i < 16 else 99, took=lambda i: i < 16)
    learned = learn_push([])
    assert learned is not None
    early, late, none = BudLooks("2026", np.inf, ((12, False),)), BudLooks("2026", np.inf, ((50, False),)), None
    (told,) = push_evidence(learned, [early, late, none])
    ratio = np.mean(np.exp(told.if_taken), axis=0) / np.mean(np.exp(told.if_lost), axis=0)
    assert told.kind[2] == -1
    assert ratio[told.kind[1]] < 0.5 < ratio[told.kind[0]]


def test_a_page_does_not_wait_for_the_curve_and_uses_it_once_it_is_there(graft: Grafts, write: Write, dome: Dome) -> None:
    scored(write, graft(24, days=-200).plants, -200, push=lambda i: 22 + i % 9 if i < 16 else 99, took=lambda i: i < 16)
    early, late = graft(2, dome=dome.pk).plants
    write("scored", early, sign="bud_moving", answer="no", days=8)
    write("scored", late, sign="bud_moving", answer="no", days=50)

    def middles() -> dict[UUID, float]:
        with without_waiting():
            return {ident: ring.mid for ident, ring in rings(queries.plants()).items()}

    plain = middles()
    assert last_push() is None
    assert plain[early.id] == pytest.approx(plain[late.id])
    learn_push(Graft.objects.filter(plant__in=[early, late]).values_list("pk", flat=True))
    dated = middles()
    assert dated[late.id] < dated[early.id] - 0.1
