"""Each plant's ring, and how many of a group are likely alive."""

from collections.abc import Callable
from datetime import date
from typing import Any

import numpy as np
import pytest

from scionary.answers.chances import alive_words, likely_alive, rings
from scionary.answers.early_signs import sign_accuracies
from scionary.answers.take_model import cells_for, take_model
from scionary.answers.words import percent
from scionary.book import queries
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Dome, Method
from scionary.book.record import Answer, NewEvent, record_events

pytestmark = pytest.mark.django_db
TODAY = date(2026, 3, 20)


def test_states_that_are_known_have_no_range(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    alive, dead, gone, waiting = graft(4).plants
    write("scored", alive, sign="firm", answer="yes", days=31)
    write("lost", dead, days=31)
    write("observed", gone, seen="missing", days=31)
    found = rings(queries.plants())
    assert (found[alive.id].low, found[alive.id].high, found[alive.id].mark) == (1, 1, "")
    assert (found[dead.id].mark, found[gone.id].mark) == ("cross", "question")
    assert 0 < found[waiting.id].low < found[waiting.id].mid < found[waiting.id].high < 1


def test_a_ring_has_words_for_a_screen_reader(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="stalk_drops", answer="yes", days=14)
    words = rings(queries.plants())[plant.id].words
    assert words.startswith("Red Tarn 1: ")
    assert words.endswith("alive, not yet united.")


def test_a_chance_that_moved_says_from_where_and_by_what(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    record_of_two(graft, write, Cultivar.objects.get())
    plant, beside = graft(2).plants
    still = rings(queries.plants())[plant.id]
    write("scored", plant, sign="stalk_drops", answer="yes", days=14)
    found = rings(queries.plants())
    now, was = percent(found[plant.id].mid), percent(still.mid)
    assert still.chance == was
    assert found[plant.id].chance == f"{was.removesuffix(' %')} → {now}"
    assert found[plant.id].words.startswith(f"{plant.spoken}: {now} to be firm, ")
    assert found[plant.id].words.endswith(f" %. It was {was} before its stalk dropped, which says alive, not yet united.")
    assert found[beside.id].words.endswith(f" %. It was {was} before signs were seen beside it.")


def test_a_known_end_has_no_chance_to_tell(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="yes", days=31)
    assert rings(queries.plants())[plant.id].chance == ""


def record_of_two(graft: Callable[..., Written], write: Callable[..., Answer], other: Cultivar) -> None:
    """15 of 20 Red Tarn and 3 of 10 Ash Gill were firm; of those that took, most dropped their stalk."""
    for days in (-200, -380):
        for i, plant in enumerate(graft(10, days=days).plants):
            write("scored", plant, sign="stalk_drops", answer="yes" if i < 8 else "no", days=days + 14)
            write("scored", plant, sign="firm", answer="yes" if i < 7 else "no", days=days + 40)
    for i, plant in enumerate(graft(10, cultivar=other.pk, days=-200).plants):
        write("scored", plant, sign="stalk_drops", answer="yes" if i < 4 else "no", days=-186)
        write("scored", plant, sign="firm", answer="yes" if i < 3 else "no", days=-160)


def test_likely_alive_agrees_with_plain_simulation_from_the_model(
    graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome, now: Any
) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    record_of_two(graft, write, other)
    standing = [*graft(6, dome=dome.pk).plants, *graft(4, dome=dome.pk, cultivar=other.pk).plants]
    low, mid, high = likely_alive(standing)
    day = now.date().isoformat()
    coming = {"season": "2026", "day": day, "dome": f"{dome.pk}:{day}"}
    fit = take_model("firm").fit
    rows = [{"cultivar": str(standing[0].cultivar_id), **coming}, {"cultivar": str(other.pk), **coming}]
    draws = fit.predict(cells_for(fit, rows), draws=4000, rng=7)
    rng = np.random.default_rng(7)
    totals = [sum(int((rng.random(size) < p).sum()) for size, p in zip((6, 4), row, strict=True)) for row in draws]
    assert abs(low - np.quantile(totals, 0.05)) <= 1
    assert abs(mid - np.median(totals)) <= 1
    assert abs(high - np.quantile(totals, 0.95)) <= 1


def test_a_stalk_that_drops_raises_the_chance_of_its_plant_and_of_those_beside_it(
    graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome, now: Any
) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    record_of_two(graft, write, other)
    plants = graft(8, dome=dome.pk).plants
    before = rings(queries.plants())
    for plant in plants[:6]:
        write("scored", plant, sign="stalk_drops", answer="yes", days=14)
    write("scored", plants[6], sign="stalk_drops", answer="no", days=14)
    after = rings(queries.plants())
    seen, stays, beside = plants[0].id, plants[6].id, plants[7].id
    assert after[seen].mid > before[seen].mid + 0.1
    assert after[stays].mid < before[stays].mid
    assert after[beside].mid > before[beside].mid + 0.01


def test_a_plant_has_one_chance_whoever_is_asked_for_with_it(
    graft: Callable[..., Written], write: Callable[..., Answer], dome: Dome
) -> None:
    plants = graft(3, dome=dome.pk).plants
    write("scored", plants[0], sign="bud_moving", answer="yes", days=20)
    alone = rings([queries.plant(plants[0].id)])[plants[0].id]
    assert alone == rings(queries.plants())[plants[0].id]


def test_firm_in_the_first_weeks_is_firm_so_far(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="yes", days=2)
    ring = rings(queries.plants())[plant.id]
    assert ring.low < ring.high
    assert ring.words.endswith("firm so far")
    assert likely_alive(queries.plants()) == (0, 1, 1)


def test_a_plant_that_is_not_firm_is_in_doubt(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plant = graft().plants[0]
    write("scored", plant, sign="firm", answer="no", days=31)
    ring = rings(queries.plants())[plant.id]
    assert (ring.low, ring.mark) == (0, "question")
    assert likely_alive(queries.plants()) == (0, 0, 1)


def test_records_that_disagree_are_not_taken_for_life(graft: Callable[..., Written], write: Callable[..., Answer], now: Any) -> None:
    plant = graft().plants[0]
    scored = write("scored", plant, sign="firm", answer="yes", days=31)
    for answer in ("yes", "no"):
        record_events([NewEvent("corrected", now, (plant.key,), {"target": str(scored.id), "replace": {"answer": answer}})], now=now)
    assert rings(queries.plants())[plant.id].mark == "question"
    assert likely_alive(queries.plants()) == (0, 0, 1)


def test_a_missing_plant_is_neither_dead_nor_alive(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    here, gone = graft(2).plants
    write("scored", here, sign="firm", answer="yes", days=31)
    write("observed", gone, seen="missing", days=31)
    assert alive_words(queries.plants()) == "1 of 1; 1 missing"


def test_alive_words_give_a_count_and_its_range(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    plants = graft(3).plants
    for plant in plants[:2]:
        write("scored", plant, sign="firm", answer="yes", days=31)
    write("lost", plants[2], days=31)
    assert alive_words(queries.plants()) == "2 of 3"


def test_a_stalk_sign_moves_nothing_on_a_graft_made_without_leaves(
    graft: Callable[..., Written], write: Callable[..., Answer], now: Any
) -> None:
    dormant = Method.objects.get(name="Side veneer, dormant, winter")
    record_of_two(graft, write, save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now))
    bare, unknown = (graft(2, method=pk, days=days).plants for pk, days in ((dormant.pk, 0), (None, 1)))
    before = rings(queries.plants())
    for plant in (bare[0], unknown[0]):
        write("scored", plant, sign="stalk_drops", answer="no", days=20)
    after = rings(queries.plants())
    assert after[bare[0].id].mid == before[bare[0].id].mid
    assert after[unknown[0].id].mid < before[unknown[0].id].mid - 0.05


def test_stalk_signs_of_dormant_grafts_teach_nothing(graft: Callable[..., Written], write: Callable[..., Answer]) -> None:
    dormant = Method.objects.get(name="Side veneer, dormant, winter")
    for plant in graft(4, method=dormant.pk, days=-200).plants:
        write("scored", plant, sign="stalk_drops", answer="no", days=-186)
        write("scored", plant, sign="firm", answer="yes", days=-160)
    assert sum(sign_accuracies()["stalk_drops"].counts.values()) == 0
