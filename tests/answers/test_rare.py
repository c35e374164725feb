"""A few pieces of wood: the staging is the engine's, on the book's own luck."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import numpy as np
import pytest

from scionary.answers.luck import luck_of
from scionary.answers.rare import STAGED, RareAsk, rare
from scionary.answers.rates import coming_draws
from scionary.answers.take_model import SEED, take_model
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Dome, Nursery, Tally
from scionary.errors import Refused
from scionary.take import Rate, rank_stagings, ready_stagings

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_names(cultivar: Cultivar, now: datetime) -> tuple[Cultivar, Cultivar]:
    """One that takes nine times in ten, one that takes twice in ten."""
    poor = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for each, takes in ((cultivar, 180), (poor, 40)):
        save_noun(Tally, {"cultivar": each, "season": 2024, "grafts": 200, "takes": takes, "stage": "firm"}, now=now)
    return cultivar, poor


def test_the_chances_are_the_engines_from_the_cultivars_own_draws(two_names: tuple[Cultivar, Cultivar]) -> None:
    _, poor = two_names
    answer = rare(RareAsk(3, poor, days=2, domes=2, stage="firm"))
    model = take_model("firm")
    place = model.place("cultivar", str(poor.pk))
    assert place is not None
    chance = model.fit.rate_draws("cultivar", Rate.REFERENCE)[:, place[1]]
    draws = np.log(chance / (1 - chance))
    luck = {factor: luck_of(model, factor).draws for factor in STAGED}
    expected = rank_stagings(ready_stagings(3, days=2, domes=2), draws, luck, rng=SEED)
    assert [one.chance for one in answer.stagings] == pytest.approx([one.chance for one in expected])
    assert answer.counted == "40 of 200"


def test_a_name_that_takes_badly_is_at_greater_risk(two_names: tuple[Cultivar, Cultivar]) -> None:
    good, poor = (rare(RareAsk(3, each, stage="firm")) for each in two_names)
    assert good.at_once.chance > 0.9 > poor.best.chance
    assert good.single[0] > poor.single[1]


def test_it_says_why_a_single_graft_may_differ_from_the_coming_season(two_names: tuple[Cultivar, Cultivar]) -> None:
    answer = rare(RareAsk(3, two_names[0], stage="firm"))
    draws, _ = coming_draws("firm", [two_names[0].pk])
    assert answer.single[1] != pytest.approx(float(draws.mean()), abs=1e-6)
    assert any("own mother trees and the method of most grafts" in words for words in answer.assumptions)


def test_splitting_helps_where_domes_and_days_differ(nursery: Nursery) -> None:
    """Without records the supposed luck is wide, so that everything at once is the riskiest."""
    answer = rare(RareAsk(6, name="Slate Veil", days=3, domes=3, methods=2))
    assert answer.best.chance > answer.at_once.chance
    assert answer.stagings[-1] == answer.at_once
    assert "Slate Veil" in answer.sentence
    assert "nothing is counted" in answer.assumptions[0]


def test_more_wood_is_safer(nursery: Nursery) -> None:
    few, more = (rare(RareAsk(count, days=1, domes=1)) for count in (2, 3))
    assert few.one_more == pytest.approx(more.at_once.chance)
    assert more.at_once.chance > few.at_once.chance


def test_one_graft_cannot_be_split(nursery: Nursery) -> None:
    answer = rare(RareAsk(1, days=3, domes=3))
    assert len(answer.stagings) == 1
    assert answer.sentence.startswith("One graft of a name that is new to the book: it takes in ")


def test_splitting_that_hardly_helps_is_said_to(two_names: tuple[Cultivar, Cultivar]) -> None:
    answer = rare(RareAsk(6, two_names[0], stage="firm"))
    assert "Splitting them up hardly helps." in answer.sentence
    assert "Two domes guard against it" in answer.guard


def test_domes_are_as_many_as_the_book_has_up_to_three(dome: Dome, now: datetime, graft: Callable[..., Written]) -> None:
    assert rare(RareAsk(3)).domes == 1
    for number in (2, 3, 4):
        save_noun(Dome, {"name": f"Dome {number}"}, now=now)
    assert rare(RareAsk(3)).domes == 3


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"scions": 0}, "scions: 0 scions"),
        ({"scions": 61}, "from 1 to 60"),
        ({"days": 0}, "days: 0 days"),
        ({"domes": 7}, "domes: 7 domes"),
        ({"methods": 9}, "methods: 9 methods"),
        ({"stage": "blooming"}, "'blooming' is no stage"),
    ],
)
def test_what_cannot_be_is_refused(nursery: Nursery, more: dict[str, Any], message: str) -> None:
    with pytest.raises(Refused, match=message):
        rare(RareAsk(**{"scions": 3, **more}))
