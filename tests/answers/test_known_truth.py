"""The demo's truth held against the ranges that the pages show."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.known_truth import TruthAnswer, known_truth
from scionary.answers.rates import rates
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Nursery, Tally

pytestmark = pytest.mark.django_db


@pytest.fixture
def counted(cultivar: Cultivar, now: datetime) -> Cultivar:
    save_noun(Tally, {"cultivar": cultivar, "season": 2024, "grafts": 60, "takes": 42, "stage": "firm"}, now=now)
    return cultivar


def truth_of(nursery: Nursery, cultivar: Cultivar, chance: float) -> Nursery:
    nursery.demo_truth = {"long_run": {str(cultivar.pk): {"firm": chance}}}
    return nursery


def test_a_real_book_has_no_truth(nursery: Nursery, counted: Cultivar) -> None:
    assert known_truth(nursery, rates("firm")) is None


def test_a_range_that_holds_the_truth_counts_and_one_that_misses_it_is_named(nursery: Nursery, counted: Cultivar) -> None:
    inside = known_truth(truth_of(nursery, counted, 0.7), rates("firm"))
    assert inside == TruthAnswer(1, 1, [])
    outside = known_truth(truth_of(nursery, counted, 0.05), rates("firm"))
    assert outside == TruthAnswer(0, 1, ["Red Tarn"])


def test_only_long_run_rates_by_cultivar_are_compared(nursery: Nursery, counted: Cultivar) -> None:
    assert known_truth(truth_of(nursery, counted, 0.7), rates("firm", kind="reference")) is None
    assert known_truth(truth_of(nursery, counted, 0.7), rates("firm", "lot")) is None


def test_the_sentence_says_what_should_be_expected() -> None:
    answer = TruthAnswer(18, 20, ["Red Tarn", "Ash Gill"])
    assert answer.sentence == "18 of 20 ranges hold the demo's own truth; about 18 of 20 should."
    assert answer.to_dict()["sentence"] == answer.sentence
