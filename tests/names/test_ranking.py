"""Which plant is it, whose label is gone."""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scionary.errors import BadValue
from scionary.names import CandidateKind, Evidence, FindingAssumptions, PlantIndex, Standing, code_of, index_plants, rank_plants
from scionary.names.ranking import posterior_of

ROOT = Path(__file__).resolve().parent.parent.parent
LEAF = {"leaf": {"Red Tarn": {"red": 0.9, "green": 0.1}, "Ash Gill": {"red": 0.2, "green": 0.8}}}


@pytest.fixture(scope="module")
def speed() -> ModuleType:
    spec = importlib.util.spec_from_file_location("finding_speed", ROOT / "benchmarks" / "finding_speed.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def book(speed: ModuleType) -> PlantIndex:
    plants = speed.made_up(400, 5)
    assert isinstance(plants, PlantIndex)
    return plants


def small(**columns: object) -> PlantIndex:
    given_columns = {"cultivar": ["Red Tarn", "Ash Gill", "Red Tarn", None], "stands": ["Bed 1", "Bed 1", "Bed 2", None]} | columns
    return index_plants(**given_columns)  # type: ignore[arg-type]


FULL = {
    "code": "?7?K??A",
    "name": ("fell", "r?g"),
    "stands": "Bed 9",
    "pot_kind": "Pot 4",
    "grafter": "Hand 3",
    "grafted_about": date.fromordinal(736_500),
    "grafted_within_days": 20.0,
    "height_mm": 610.0,
    "traits": {"summer": "red", "cut": "deep"},
}


@pytest.mark.parametrize("fields", [[], *[[name] for name in FULL if name != "grafted_within_days"], list(FULL)])
def test_the_chances_are_those_of_a_plain_loop(speed: ModuleType, book: PlantIndex, fields: list[str]) -> None:
    evidence = Evidence(**{name: FULL[name] for name in fields})
    chances, none = speed.plain_rank(evidence, book, FindingAssumptions())
    found = rank_plants(evidence, book, at_most=len(book))
    by_plant = {one.plant: one.probability for one in found if one.kind is CandidateKind.PLANT}
    assert [by_plant[plant] for plant in range(len(book))] == pytest.approx(chances, rel=2e-5, abs=1e-12)
    assert next(one.probability for one in found if one.kind is CandidateKind.NONE) == pytest.approx(none, rel=2e-5)


@given(st.sets(st.sampled_from(sorted(FULL))), st.integers(1, 30))
@settings(max_examples=25, deadline=None)
def test_the_list_adds_up_to_one_in_falling_order(fields: set[str], at_most: int) -> None:
    plants = small(number=[1, 2, 3, None], traits=LEAF, grafted_on=[736_500, 736_600, None, 736_000])
    chosen = {name: FULL[name] for name in fields} | ({"traits": {"leaf": "red"}} if "traits" in fields else {})
    found = rank_plants(Evidence(**chosen), plants, at_most=at_most)
    assert sum(one.probability for one in found) == pytest.approx(1.0, abs=1e-6)
    ranked = [one.probability for one in found if one.kind is not CandidateKind.OTHERS]
    assert ranked == sorted(ranked, reverse=True)
    assert sum(one.kind is CandidateKind.NONE for one in found) == 1


def test_plants_that_are_not_listed_keep_their_chance(book: PlantIndex) -> None:
    evidence = Evidence(stands="Bed 9", height_mm=610.0)
    whole = rank_plants(evidence, book, at_most=len(book))
    cut = rank_plants(evidence, book, at_most=3)
    assert [one.plant for one in cut if one.kind is CandidateKind.PLANT] == [one.plant for one in whole if one.kind is CandidateKind.PLANT][
        :3
    ]
    assert cut[-1].kind is CandidateKind.OTHERS
    rest = sum(one.probability for one in [one for one in whole if one.kind is CandidateKind.PLANT][3:])
    assert cut[-1].probability == pytest.approx(rest, abs=1e-5)


def test_a_plant_a_million_times_less_likely_is_laid_aside_but_counted() -> None:
    numbers = list(range(50))
    plants = index_plants(cultivar=["Red Tarn"] * 50, number=numbers)
    found = rank_plants(Evidence(code=code_of(7)), plants)
    assert [one.kind for one in found] == [CandidateKind.PLANT, CandidateKind.NONE, CandidateKind.OTHERS]
    assert found[0].plant == 7
    assert 0.0 < found[-1].probability < 1e-5


def test_a_code_read_in_full_settles_it() -> None:
    plants = small(number=[10, 11, 12, None])
    assert rank_plants(Evidence(code=code_of(12)), plants)[0].plant == 2


def test_a_code_of_nobody_speaks_for_none_of_these() -> None:
    plants = small(number=[10, 11, 12, 13])
    assert rank_plants(Evidence(code=code_of(99)), plants)[0].kind is CandidateKind.NONE


def test_a_plant_whose_code_the_book_does_not_know_may_carry_any() -> None:
    plants = small(number=[10, 11, 12, None])
    weights = {one.plant: one.weights["code"] for one in rank_plants(Evidence(code=code_of(99)), plants) if one.plant is not None}
    assert weights[3] == 0.0 > weights[0]


def test_a_rare_place_that_agrees_says_more_than_a_common_one() -> None:
    plants = index_plants(cultivar=["Red Tarn"] * 10, stands=["Bed 1"] * 9 + ["Bed 2"])
    common = rank_plants(Evidence(stands="Bed 1"), plants)[0].weights["stands"]
    rare = rank_plants(Evidence(stands="Bed 2"), plants)[0].weights["stands"]
    assert rare > common + 1.0 > 0.0


def test_a_plant_seen_elsewhere_is_less_likely_and_a_missing_one_more() -> None:
    plants = small(standing=[Standing.ACCOUNTED, Standing.EXPECTED, Standing.MISSING, Standing.GONE])
    ranked = [one.plant for one in rank_plants(Evidence(), plants) if one.kind is CandidateKind.PLANT]
    assert ranked == [2, 1, 0, 3]


def test_what_the_book_does_not_say_is_neither_for_nor_against() -> None:
    plants = small()
    weights = {one.plant: one.weights["stands"] for one in rank_plants(Evidence(stands="Bed 1"), plants) if one.plant is not None}
    assert weights[3] == 0.0
    assert weights[0] > 0.0 > weights[2]


def test_part_of_a_name_finds_its_cultivar() -> None:
    for parts in (("r?d",), ("TARN",), ("R", "arn"), ("Réd",)):
        assert rank_plants(Evidence(name=parts), small())[0].plant in {0, 2}, parts


def test_a_name_that_cannot_be_read_says_nothing() -> None:
    plants = small()
    assert rank_plants(Evidence(name=("???", " ")), plants) == rank_plants(Evidence(), plants)


def test_a_look_moves_chances_and_one_odd_leaf_does_not_settle_it() -> None:
    found = rank_plants(Evidence(traits={"leaf": "green"}), small(traits=LEAF))
    chance = {one.plant: one.probability for one in found}
    assert chance[1] > chance[3] > chance[0] > 0.02


def test_a_place_that_no_plant_has_agrees_with_none() -> None:
    found = rank_plants(Evidence(stands="Bed 77"), small())
    assert max(one.weights["stands"] for one in found if one.kind is CandidateKind.PLANT) < 0.5


def test_an_empty_book_leaves_none_of_these() -> None:
    found = rank_plants(Evidence(stands="Bed 1"), index_plants(cultivar=[]))
    assert [(one.kind, one.probability) for one in found] == [(CandidateKind.NONE, 1.0)]


def test_the_chances_of_all_plants_agree_with_the_list(book: PlantIndex) -> None:
    evidence = Evidence(stands="Bed 9")
    chances = posterior_of(evidence, book)
    found = rank_plants(evidence, book, at_most=len(book))
    by_plant = {one.plant: one.probability for one in found}
    for plant in range(len(book)):
        assert chances.scale * float(chances.relative[plant]) == pytest.approx(by_plant[plant], rel=1e-4)


@pytest.mark.parametrize(
    ("evidence", "message"),
    [
        (Evidence(code="ABC"), "code is 'ABC'.*7 characters"),
        (Evidence(code="\u202e2222222"), "code is"),
        (Evidence(height_mm=0.0), "height_mm is 0.0"),
        (Evidence(height_mm=float("nan")), "height_mm is nan"),
        (Evidence(grafted_about=date(2026, 1, 1), grafted_within_days=0.0), "grafted_within_days is 0.0"),
        (Evidence(traits={"bark": "red"}), "trait is 'bark'; allowed: one of leaf"),
        (Evidence(traits={"leaf": "blue"}), "leaf is 'blue'; allowed: one of green, red"),
    ],
)
def test_what_cannot_be_evidence_is_refused(evidence: Evidence, message: str) -> None:
    with pytest.raises(BadValue, match=message):
        rank_plants(evidence, small(traits=LEAF, number=[1, 2, 3, 4]))


@pytest.mark.parametrize(
    ("columns", "message"),
    [
        ({"stands": ["Bed 1"]}, "stands is '1 values'; allowed: one a plant, 4"),
        ({"number": [1, 2, 6_000_000, None]}, "number is 6000000"),
        ({"height_mm": [1.0, -1.0, None, None]}, "height_mm is -1.0 at index 1"),
        ({"traits": {"leaf": {"Red Tarn": {"red": 0.9, "green": 0.3}}}}, "trait leaf of Red Tarn .* add up to 1"),
    ],
)
def test_what_cannot_be_a_book_is_refused(columns: dict[str, object], message: str) -> None:
    with pytest.raises(BadValue, match=message):
        small(**columns)


def test_an_assumption_must_leave_room_for_a_slip() -> None:
    with pytest.raises(BadValue, match=r"stands is 1\.0; allowed: between 0 and 1"):
        replace(FindingAssumptions(), stands=1.0)
    with pytest.raises(BadValue, match=r"missing is 0\.0; allowed: above 0"):
        FindingAssumptions(missing=0.0)


def test_an_unsure_date_moves_less_than_a_sure_one() -> None:
    plants = small(grafted_on=[736_000, 736_200, 736_400, None])
    day = date.fromordinal(736_000)
    sure = rank_plants(Evidence(grafted_about=day, grafted_within_days=5.0), plants)[0]
    unsure = rank_plants(Evidence(grafted_about=day, grafted_within_days=200.0), plants)[0]
    assert sure.plant == unsure.plant == 0
    assert sure.probability > unsure.probability + 0.1


def test_order_among_equals_is_that_of_the_book() -> None:
    plants = index_plants(cultivar=["Red Tarn"] * 30)
    found = [one.plant for one in rank_plants(Evidence(stands="Bed 1"), plants, at_most=30) if one.plant is not None]
    assert found == list(np.arange(30))
