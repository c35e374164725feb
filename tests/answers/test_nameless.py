"""Which plant has lost its label: what is typed becomes evidence, and the book's plants are ranked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.nameless import NamelessAnswer, NamelessLine, Remembered, nameless
from scionary.answers.plant_columns import book_plants
from scionary.answers.putting_right import put_right
from scionary.book.chances import chance_words
from scionary.book.commands import Written, cultivar_called, save_noun
from scionary.book.models import Cultivar, Dome, Event, Plant, PotKind
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.names import code_of

pytestmark = pytest.mark.django_db
Grafts = Callable[..., Written]


@pytest.fixture
def yard(graft: Grafts, dome: Dome, now: datetime) -> dict[str, list[Plant]]:
    """Six of Red Tarn in a dome by Vera, six of Ash Gill on a bench by Otto, half a year apart."""
    other = cultivar_called("Ash Gill", now=now)
    pots = list(PotKind.objects.order_by("name")[:2])
    return {
        "Red Tarn": graft(6, dome=dome.pk, grafter="Vera", pot=pots[0].pk).plants,
        "Ash Gill": graft(6, days=180, cultivar=other.pk, stands="north bench", grafter="Otto", pot=pots[1].pk).plants,
    }


def first(answer: NamelessAnswer) -> NamelessLine:
    return next(line for line in answer.lines if line.plant is not None)


def fresh(plant: Plant) -> Plant:
    return Plant.objects.get(pk=plant.pk)


def test_the_chances_of_all_lines_add_up_to_one(yard: dict[str, list[Plant]]) -> None:
    lines = nameless(Remembered(name="tarn"), at_most=3).lines
    assert sum(line.chance for line in lines) == pytest.approx(1.0)
    assert {line.kind for line in lines} == {"plant", "none of these", "others"}
    assert lines[-1].kind == "others"


def test_part_of_a_code_and_a_place_name_one_plant(yard: dict[str, list[Plant]]) -> None:
    plant = fresh(yard["Red Tarn"][3])
    code = code_of(plant.code_number or 0)
    answer = nameless(Remembered(code=f"?{code[1:3]}???{code[6]}", where=f"dome 1 place {plant.place}"))
    best = first(answer)
    assert best.plant is not None
    assert (best.plant.id, best.odds) == (plant.id, "almost certainly")
    assert best.chance > 0.95
    assert answer.sentence == f"It is almost certainly Red Tarn 4: {best.number}."
    assert best.why == "for it: code, where it stands"


def test_a_day_and_a_person_tell_two_cultivars_apart(yard: dict[str, list[Plant]], now: datetime) -> None:
    day = now.date() + timedelta(days=174)
    best = first(nameless(Remembered(grafter="otto", grafted=day, within_days=10.0)))
    assert best.plant is not None
    assert best.plant.spoken.startswith("Ash Gill")
    assert "when it was grafted" in best.why


def test_the_last_height_counts_as_corrected(yard: dict[str, list[Plant]], write: Callable[..., Answer], now: datetime) -> None:
    tall, other = yard["Red Tarn"][:2]
    write("observed", tall, height_mm=150.0, days=200)
    written = write("observed", tall, height_mm=4.2, days=210)
    put_right({written.id: {"height_mm": 420.0}}, now=now + timedelta(days=211))
    write("observed", other, height_mm=150.0, days=210)
    index = book_plants()
    heights = index.by_dome.columns["height_mm"]
    known = {index.ids[at] for at, code in enumerate(heights.codes) if code < len(heights.values)}
    assert known == {tall.pk, other.pk}
    best = first(nameless(Remembered(name="red tarn", height_mm=415.0)))
    assert best.plant is not None
    assert best.plant.id == tall.pk


def test_plants_that_are_alike_are_told_as_alike(yard: dict[str, list[Plant]]) -> None:
    answer = nameless(Remembered(name="tarn"))
    best = first(answer)
    assert best.plant is not None
    assert answer.sentence == f"No plant stands out yet; {best.plant.spoken} and others are equally likely: {best.number} each."


def test_a_missing_plant_goes_before_its_neighbours_and_a_lost_one_behind(
    yard: dict[str, list[Plant]], write: Callable[..., object]
) -> None:
    missing, lost = yard["Red Tarn"][4], yard["Red Tarn"][0]
    write("observed", missing, seen="missing", days=30)
    write("lost", lost, days=30)
    lines = [line for line in nameless(Remembered(name="Red Tarn"), at_most=12).lines if line.plant]
    chances = {line.plant.id: line.chance for line in lines if line.plant}
    assert lines[0].plant is not None
    assert lines[0].plant.id == missing.pk
    usual = chances[yard["Red Tarn"][1].pk]
    assert chances[missing.pk] == pytest.approx(5 * usual, rel=1e-3)
    assert chances[lost.pk] == pytest.approx(usual / 50, rel=1e-3)


def test_what_is_written_afterwards_is_known_to_the_next_search(yard: dict[str, list[Plant]], graft: Grafts) -> None:
    before = nameless(Remembered(name="tarn")).plants
    graft(2)
    assert nameless(Remembered(name="tarn")).plants == before + 2


def test_a_place_the_book_does_not_know_is_said_and_not_weighed(yard: dict[str, list[Plant]]) -> None:
    plain, strange = nameless(Remembered(name="tarn")), nameless(Remembered(name="tarn", where="behind the barn"))
    assert [line.chance for line in strange.lines] == [line.chance for line in plain.lines]
    assert strange.notes == ("The book knows no place called 'behind the barn', so that is not weighed. It knows Dome 1 and north bench.",)


def test_an_empty_place_of_a_dome_leaves_the_dome(yard: dict[str, list[Plant]]) -> None:
    answer = nameless(Remembered(where="Dome 1, place 99"))
    assert answer.notes == ("By the book nothing stands at Dome 1, place 99; Dome 1 alone is weighed.",)
    assert [line.chance for line in answer.lines] == [line.chance for line in nameless(Remembered(where="dome 1")).lines]


def test_the_next_question_is_none_that_was_answered(yard: dict[str, list[Plant]]) -> None:
    looks = []
    known = {"where": "north bench", "name": "gill", "code": "???????"}
    for upto in range(len(known) + 1):
        look = nameless(Remembered(**dict(list(known.items())[:upto]))).next
        looks.append(look.field if look else "")
        assert looks[-1] not in list(known)[:upto]
    assert looks[2] == "code"


def test_nothing_said_ranks_nothing(yard: dict[str, list[Plant]]) -> None:
    answer = nameless(Remembered())
    assert answer.lines == ()
    assert answer.sentence == "Say one thing that is known of it, then the plants are ranked."
    assert answer.next is not None


def test_an_empty_book_has_no_plant_to_offer(nursery: object) -> None:
    assert nameless(Remembered()).sentence == "The book holds no plants yet."
    answer = nameless(Remembered(name="tarn"))
    assert [(line.kind, line.chance) for line in answer.lines] == [("none of these", 1.0)]


def test_what_is_no_code_is_refused_with_the_remedy(yard: dict[str, list[Plant]]) -> None:
    with pytest.raises(Refused, match=r"code: 'P8' is no code\. A code has 7 characters; this has 2\."):
        nameless(Remembered(code="P8"))


def test_a_search_writes_nothing_and_does_not_take_the_number_for_letters(yard: dict[str, list[Plant]]) -> None:
    events = Event.objects.count()
    answer = nameless(Remembered(name="red t?rn 3"))
    assert answer.notes == ("The number 3 of the name is not weighed: search for it under Plants.",)
    assert [line.chance for line in answer.lines] == [line.chance for line in nameless(Remembered(name="red t?rn")).lines]
    assert Event.objects.count() == events


def test_a_renamed_cultivar_is_found_by_its_new_name(yard: dict[str, list[Plant]], now: datetime) -> None:
    nameless(Remembered(name="gill"))
    row = Cultivar.objects.get(spoken="Ash Gill")
    save_noun(Cultivar, {"spoken": "Slate Force"}, pk=row.pk, now=now)
    best = first(nameless(Remembered(name="slate")))
    assert best.plant is not None
    assert best.plant.spoken.startswith("Slate Force")


def test_a_chance_is_told_as_it_stands_on_labels_cut_off(yard: dict[str, list[Plant]]) -> None:
    for line in nameless(Remembered(name="tarn")).lines:
        assert line.number == chance_words(line.chance)
    assert first(nameless(Remembered(name="tarn"))).number == "0.15"


def test_marks_that_are_not_seen_weigh_nothing(yard: dict[str, list[Plant]]) -> None:
    plant = fresh(yard["Red Tarn"][3])
    code = code_of(plant.code_number or 0)
    typed = Remembered(code=f"\u200e{code[:5]}??", where="\u202edome\u200b 1")
    plainly = Remembered(code=f"{code[:5]}??", where="dome 1")
    assert nameless(typed) == nameless(plainly)
