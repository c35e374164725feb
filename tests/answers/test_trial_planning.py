"""What a trial takes, what chance it has, and the lot that is drawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

import numpy as np
import pytest

from scionary.answers.luck import SUPPOSED_SD, luck_of, shared_luck
from scionary.answers.take_model import take_model
from scionary.answers.trial_planning import TrialAsk, keep_trial, plan_trial
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Nursery, Tally, Trial
from scionary.errors import Refused, UnknownSubject
from scionary.take import arms_needed, chance_to_tell_apart, trays_needed

pytestmark = pytest.mark.django_db
ASK = TrialAsk("Film or rubber", ("film", "rubber"), date(2026, 2, 14))


@pytest.fixture
def domes(dome: Dome, now: datetime) -> list[Dome]:
    return [dome, *(save_noun(Dome, {"name": f"Dome {number}"}, now=now) for number in (2, 3, 4))]


def test_the_numbers_are_the_engines_with_the_books_own_luck(domes: list[Dome]) -> None:
    plan = plan_trial(ASK)
    block_sd, _ = shared_luck(take_model("firm"), "day", "dome")
    hope = plan.hope
    assert hope.needed == arms_needed(hope.rate, hope.against, block_sd=block_sd)
    assert hope.chance == chance_to_tell_apart(hope.rate, hope.against, plan.an_arm, block_sd=block_sd)
    assert abs(hope.rate - hope.against) == pytest.approx(0.15)
    assert plan.an_arm == sum(len(each.places) for each in plan.domes) // 2
    assert f"It takes {hope.needed} grafts of each" in plan.why


def test_places_are_those_of_the_domes_trays(domes: list[Dome], graft: Callable[..., Written]) -> None:
    graft(3, dome=domes[0].pk)
    whole, free = plan_trial(ASK), plan_trial(replace(ASK, free_only=True))
    holds = len(whole.domes[0].places)
    assert whole.domes[0].places == tuple(range(1, holds + 1))
    assert free.domes[0].places == tuple(range(4, holds + 1))
    assert any("Dome 1 holds 3 plants now" in remark for remark in whole.remarks)
    assert not any("holds 3 plants" in remark for remark in free.remarks)
    assert [len(each.places) for each in plan_trial(replace(ASK, grafts_a_dome=4)).domes] == [4, 4, 4, 4]


def test_more_fillings_give_more_chance(domes: list[Dome]) -> None:
    once, often = plan_trial(ASK), plan_trial(replace(ASK, fillings=6))
    assert often.an_arm == 6 * once.an_arm
    assert often.hope.chance > once.hope.chance
    assert (once.advice != "", often.hope.needed) == (True, once.hope.needed)


def test_three_arms_share_out_the_risk_of_a_false_claim(domes: list[Dome]) -> None:
    two, three = plan_trial(ASK), plan_trial(replace(ASK, arms=("film", "rubber", "raffia")))
    assert two.hope.needed is not None
    assert three.hope.needed is not None
    assert three.hope.needed > two.hope.needed
    assert any("shared out over 3 comparisons" in words for words in three.assumptions)


def test_whole_domes_are_counted_as_domes(domes: list[Dome]) -> None:
    plan = plan_trial(replace(ASK, whole_dome=True))
    block_sd, _ = shared_luck(take_model("firm"), "day", "dome")
    assert plan.an_arm == 2
    assert plan.hope.needed == trays_needed(plan.hope.rate, plan.hope.against, len(plan.domes[0].places), tray_sd=block_sd)
    assert "2 filled domes of each" in plan.sentence
    apart = [one.sentence.split("tell ")[1].split(" apart")[0] for one in (plan, plan_trial(ASK))]
    assert apart[0] == apart[1]
    assert any("domes are compared, not grafts" in remark for remark in plan.remarks)


def test_the_usual_rate_is_that_of_the_cultivars_that_take_part(domes: list[Dome], cultivar: Cultivar, now: datetime) -> None:
    poor = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for each, takes in ((cultivar, 190), (poor, 40)):
        save_noun(Tally, {"cultivar": each, "season": 2024, "grafts": 200, "takes": takes, "stage": "firm"}, now=now)
    good, bad = (plan_trial(replace(ASK, stage="firm", cultivars=(each.pk,))).hope.rate for each in (cultivar, poor))
    assert good > 0.75 > 0.45 > bad


def test_without_records_the_luck_is_supposed_and_said_to_be(nursery: Nursery) -> None:
    luck = luck_of(take_model("firm"), "dome")
    assert luck.middle == pytest.approx(SUPPOSED_SD * 0.6745, rel=0.1)  # the median of a half-normal is 0.6745 of its scale
    assert "project default, unsourced" in luck.words


def test_one_filling_teaches_nothing_of_how_fillings_differ(
    domes: list[Dome], graft: Callable[..., Written], write: Callable[..., Any]
) -> None:
    def score(days: int, dome: Dome) -> str:
        for plant in graft(6, dome=dome.pk, days=days).plants:
            write("scored", plant, days=days + 40, sign="firm", answer="yes")
        return luck_of(take_model("firm"), "dome").words

    assert "one so far: this is what is supposed (project default, unsourced)" in score(0, domes[0])
    assert "; learned from 2 (shared evenly" in score(1, domes[1])


def test_factors_that_fall_alike_share_their_luck_evenly(
    domes: list[Dome], graft: Callable[..., Written], write: Callable[..., Any]
) -> None:
    for day, dome in enumerate(domes[:2]):
        for plant in graft(6, dome=dome.pk, days=day).plants:
            write("scored", plant, days=40, sign="firm", answer="yes")
    model = take_model("firm")
    assert model.alias["day"][0] == "dome"
    whole = model.fit.scale_draws[:, model.fit.design.factors.index("dome")]
    for factor in ("day", "dome"):
        luck = luck_of(model, factor)
        assert np.allclose(2.0 * luck.draws**2, whole**2)
        assert "shared evenly among what falls alike" in luck.words
    assert shared_luck(model, "day", "dome")[0] == pytest.approx(float(np.median(whole)))


def test_the_lot_is_kept_as_drawn_and_drawn_once(domes: list[Dome], now: datetime) -> None:
    ident = uuid7()
    kept = keep_trial(ASK, now=now, ident=ident)
    assert keep_trial(replace(ASK, name="Another"), now=now, ident=ident) == kept
    assert Trial.objects.count() == 1
    assert [block["name"] for block in kept.layout] == ["Dome 1", "Dome 2", "Dome 3", "Dome 4"]
    for block in kept.layout:
        assert abs(block["arms"].count(0) - block["arms"].count(1)) <= 1
    other = keep_trial(replace(ASK, name="Another"), now=now, ident=uuid7())
    assert [block["arms"] for block in other.layout] != [block["arms"] for block in kept.layout]


def test_the_same_seed_draws_the_same_lot(domes: list[Dome], now: datetime) -> None:
    first, second = (keep_trial(replace(ASK, name=name), now=now, ident=uuid7(), seed=20) for name in ("one", "two"))
    assert (first.layout, first.seed) == (second.layout, 20)


def test_a_whole_dome_has_one_arm(domes: list[Dome], now: datetime) -> None:
    kept = keep_trial(replace(ASK, whole_dome=True, fillings=2), now=now, ident=uuid7())
    assert [(block["name"], block["filling"]) for block in kept.layout] == [(f"Dome {n}", f) for f in (1, 2) for n in (1, 2, 3, 4)]
    assert all(len(set(block["arms"])) == 1 for block in kept.layout)
    assert sorted(block["arms"][0] for block in kept.layout) == [0, 0, 0, 0, 1, 1, 1, 1]


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"arms": ("film",)}, "arms: it compares 1 thing\\."),
        ({"arms": ("film", " Film")}, "the same name"),
        ({"name": "  "}, "name: the trial has no name"),
        ({"stage": "blooming"}, "'blooming' is no stage"),
        ({"fillings": 0}, "fillings: 0 fillings"),
        ({"fillings": 13}, "from 1 to 12"),
        ({"grafts_a_dome": 0}, "grafts: 0 grafts"),
        ({"grafts_a_dome": 1}, "too few to set them side by side"),
        ({"difference": 0.5}, "difference: a difference of 0.5"),
        ({"domes": (UUID(int=5),)}, "no such dome"),
    ],
)
def test_what_cannot_be_tried_is_refused(domes: list[Dome], now: datetime, more: dict[str, Any], message: str) -> None:
    with pytest.raises(Refused, match=message):
        keep_trial(replace(ASK, **more), now=now, ident=uuid7())
    assert not Trial.objects.exists()


def test_whole_domes_need_as_many_domes_as_arms(dome: Dome) -> None:
    with pytest.raises(Refused, match="Choose more domes"):
        plan_trial(replace(ASK, whole_dome=True))


def test_a_full_dome_has_no_free_place(dome: Dome, graft: Callable[..., Written]) -> None:
    graft(40, dome=dome.pk)
    with pytest.raises(Refused, match="Dome 1 has no free place"):
        plan_trial(replace(ASK, free_only=True))


def test_a_book_without_domes_says_where_to_add_one(nursery: Nursery) -> None:
    with pytest.raises(Refused, match="no dome yet"):
        plan_trial(ASK)
    with pytest.raises(UnknownSubject):
        plan_trial(replace(ASK, domes=(UUID(int=1),)))
