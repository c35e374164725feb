"""Ranking nameless plants against values from outside."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from scionary.names import CandidateKind, Evidence, FindingAssumptions, index_plants, rank_plants
from scionary.names.field_chances import choice_fit, day_fit


def test_the_weights_of_agreement_are_those_of_the_textbook() -> None:
    # Record linkage, the usual example of month of birth (Fellegi & Sunter 1969; as in public encyclopaedias; values from memory):
    # m = 0.95, u = 1/12: agreement log2(m/u) = 3.51, disagreement log2((1-m)/(1-u)) = -4.20
    agreement, disagreement = 3.51, -4.20
    # many plants, twelve places in equal shares, so that the average over the book comes near u
    book = index_plants(cultivar=["Red Tarn"] * 120_000, stands=[f"Bed {one % 12}" for one in range(120_000)])
    fit = choice_fit(book.columns["stands"], "Bed 3", 0.95)
    weights = np.log2(fit.table / fit.none)
    assert weights[book.columns["stands"].position("Bed 3")] == pytest.approx(agreement, abs=0.005)
    assert weights[book.columns["stands"].position("Bed 4")] == pytest.approx(disagreement, abs=0.005)


def test_a_posterior_is_that_of_bayes_in_numbers() -> None:
    # Bayes's theorem worked by hand. Three plants, one place each; with one added to each count, and a place yet unknown, usual shares
    # are 2/7, 2/7, 2/7, 1/7. m = 0.75; another place's plant is said to stand here with 0.25 * (2/7) / (5/7) = 0.1; average 0.95 / 3.
    # Agreeing plant 0.95/3 * 0.75 = 0.2375, each other 0.95/3 * 0.1 = 0.0316667, none 0.05 * 0.95/3 = 0.0158333; sum 0.3166667
    book = index_plants(cultivar=["Red Tarn"] * 3, stands=["Bed 1", "Bed 2", "Bed 3"])
    found = rank_plants(Evidence(stands="Bed 1"), book, assumptions=FindingAssumptions(stands=0.75, none_of_these=0.05))
    chance = {one.plant if one.kind is CandidateKind.PLANT else one.kind: one.probability for one in found}
    assert chance[0] == pytest.approx(0.75, abs=5e-6)
    assert chance[1] == chance[2] == pytest.approx(0.1, abs=5e-6)
    assert chance[CandidateKind.NONE] == pytest.approx(0.05, abs=5e-6)


def test_remembered_days_follow_students_t() -> None:
    # scipy.stats.t, 3 degrees of freedom
    expected = stats.t(3, loc=736_050.0, scale=20.0).pdf(np.arange(736_000, 736_101))
    book = index_plants(cultivar=["Red Tarn"] * 2, grafted_on=[736_000, 736_100])
    tail = 1e-9
    fit = day_fit(book.columns["grafted_on"], 736_050.0, 20.0, FindingAssumptions(date_tail=tail))
    assert fit.table[:-1] == pytest.approx(expected, rel=1e-6)
