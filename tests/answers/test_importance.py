"""What makes grafts differ: shares with ranges, and what they rest on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import numpy as np
import pytest

from scionary.answers.importance import geometry_words, importance
from scionary.answers.take_model import TakeModel, take_model
from scionary.book.commands import Written, cultivar_called, save_noun
from scionary.book.models import Nursery, Tally
from scionary.take import TakeRecords, aggregate_records, fit_take, variance_shares

pytestmark = pytest.mark.django_db


def counted(name: str, takes: int, grafts: int, now: datetime, **more: Any) -> None:
    values = {"cultivar": cultivar_called(name, now=now), "season": 2024, "grafts": grafts, "takes": takes, "stage": "firm"}
    save_noun(Tally, {**values, **more}, now=now)


def test_cultivars_that_lie_far_apart_matter_most(nursery: Nursery, now: datetime) -> None:
    for at, takes in enumerate((2, 38, 5, 36, 20, 39)):
        for season in (2023, 2024):
            counted(f"Kind {at}", takes, 40, now, season=season)
    found = importance("firm")
    first = found.weights[0]
    assert first.name == "cultivar"
    assert found.sentence.startswith("What matters most is the cultivar: ")
    shares = variance_shares(take_model("firm").fit)
    assert [(each.name, each.mean, each.low, each.high) for each in found.weights] == list(
        zip(shares.factor, shares.mean.tolist(), shares.low.tolist(), shares.high.tolist(), strict=True)
    )


def test_a_season_alone_shows_what_is_supposed_and_says_so(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 20, 30, now)
    counted("Ash Gill", 20, 30, now)
    notes = {each.name: each.note for each in importance("firm").weights}
    assert notes["season"] == "one so far: this is what is supposed"
    assert notes["cultivar"] == "learned from 2"


def test_factors_by_which_grafts_fall_alike_are_one(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    for days in (-400, 0):
        for plant in graft(10, days=days).plants:
            write("scored", plant, sign="firm", answer="yes", days=days + 31)
    assert "or the bench day: grafts fall alike by these" in {each.name: each.note for each in importance("firm").weights}["season"]


def test_few_grafts_are_asked_for_more(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 10, 19, now)
    assert importance("firm").weights == []
    assert importance("firm").sentence == "What matters most can be asked once 20 grafts have a known outcome at this stage."


def test_a_thin_record_points_at_nothing(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 12, 20, now)
    counted("Ash Gill", 12, 20, now)
    assert importance("firm").sentence.startswith("What matters most cannot be told yet")


def test_the_way_of_a_measurement_is_said_with_its_chance(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    for scion, answer in ((3.0, "no"), (6.0, "yes")):
        for plant in graft(25, scion_mm=scion, stock_mm=6.0).plants:
            write("scored", plant, sign="firm", answer=answer, days=31)
    found = importance("firm")
    assert [words.split(", with")[0] for words in found.measured] == ["More takes with thicker scions"]
    assert {each.name: each.note for each in found.weights}["ratio"] == "measured on 50 of 50 grafts"


def test_a_direction_without_a_ranking_is_said_to_be_no_rank(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    for scion, lost in ((3.0, 14), (6.0, 5)):
        for at, plant in enumerate(graft(20, scion_mm=scion, stock_mm=6.0).plants):
            write("scored", plant, sign="firm", answer="no" if at < lost else "yes", days=31)
    found = importance("firm")
    assert found.sentence.startswith("What matters most cannot be told yet")
    [said] = found.measured
    assert said.startswith("More takes with thicker scions, with a chance of ")
    assert said.endswith("; that is its direction only: how much it weighs beside the rest cannot be told yet.")


def test_a_measurement_that_does_not_matter_says_nothing(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    for scion in (3.0, 6.0):
        for at, plant in enumerate(graft(20, scion_mm=scion, stock_mm=6.0).plants):
            write("scored", plant, sign="firm", answer="yes" if at % 2 else "no", days=31)
    assert importance("firm").measured == ["Whether thicker scions or thinner scions take better cannot be told yet."]


def of_thickness(graft: Callable[..., Written], write: Callable[..., Any], firm: Callable[[int], bool], **geometry: Any) -> None:
    """Forty grafts on one day, each with its own scion, and whether it was firm."""
    for at in range(40):
        plant = graft(stock_mm=10.0, scion_mm=3.0 + at / 8, **{name: value(at) for name, value in geometry.items()}).plants[0]
        write("scored", plant, sign="firm", answer="yes" if firm(at) else "no", days=31)


def test_geometry_that_goes_with_losses_is_named(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    of_thickness(graft, write, lambda at: at >= 20)
    told = importance("firm").geometry
    assert told.startswith(
        "The geometry of unions goes with losses in this book: more takes with thicker scions, with a chance of over 99 %."
    )


def test_geometry_that_tells_nothing_is_said_to(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    of_thickness(graft, write, lambda at: at % 2 == 0, lean_mm=lambda at: float(at // 2 % 2))
    told = importance("firm").geometry
    assert told.startswith("Whether the geometry of unions explains losses cannot be told yet; looked at: how thick the scion is")
    assert "how far the scion is leaned" in told


def test_without_thicknesses_geometry_cannot_be_told(nursery: Nursery, now: datetime) -> None:
    counted("Red Tarn", 20, 30, now)
    assert "cannot be told: both thicknesses" in importance("firm").geometry


def null_book(seed: int) -> TakeModel:
    """Eighty grafts of four cultivars whose thickness, cut and lean were drawn without a look at what took."""
    rng = np.random.default_rng(seed)
    takes, levels = rng.random(80) < 0.65, {"cultivar": np.array([f"Kind {at % 4}" for at in range(80)])}
    measured = {"ratio": rng.uniform(0.4, 1.0, 80), "cut_mm": rng.normal(20.0, 3.0, 80), "lean_mm": abs(rng.normal(1.0, 0.6, 80))}
    records = TakeRecords(takes.astype(int), factors=levels, covariates=measured)
    return TakeModel("firm", fit_take(aggregate_records(records), rng=seed), {}, {}, (), str(seed))


def test_books_in_which_geometry_means_nothing_seldom_claim_it() -> None:
    said = [geometry_words(null_book(seed)) for seed in range(14)]
    claims = [words for words in said if words.startswith("The geometry of unions goes with losses")]
    assert len(claims) <= 2, claims
    assert len(said) - len(claims) == sum("cannot be told yet" in words for words in said)


def test_what_could_not_be_looked_at_is_named(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    of_thickness(graft, write, lambda at: at >= 20)
    told = importance("firm").geometry
    assert told.endswith(
        "Not looked at, with fewer than 20 grafts or all alike: how long the cut is and how far the scion is leaned across the stock."
    )
