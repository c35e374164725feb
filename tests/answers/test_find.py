"""Which plant is this: by code or by what a person says."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from scionary.answers.find import Found, find
from scionary.book.commands import GraftSetup, cultivar_called, save_noun, start_book, write_event, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, OtherName, Plant
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused
from scionary.names import code_of

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
JUNE = datetime(2026, 6, 14, 10, 0, tzinfo=UTC)


@pytest.fixture
def dome(db: None) -> Dome:
    start_book(now=NOW, name="Tarn Bridge", time_zone="UTC")
    return save_noun(Dome, {"name": "Dome 2"}, now=NOW)


def grafted(name: str, count: int, dome: Dome | None = None, stands: str = "") -> list[Plant]:
    setup = GraftSetup(cultivar_called(name, now=NOW).pk, JUNE, dome=dome.pk if dome else None, stands=stands)
    return write_grafts(setup, count, now=NOW).plants


def code(plant: Plant) -> str:
    return code_of(plant.code_number or 0)


def with_wrong_character(written: str) -> str:
    return ("3" if written[0] == "2" else "2") + written[1:]


def test_a_code_in_full_is_exact(dome: Dome) -> None:
    plant = grafted("Red Tarn", 3, dome)[1]
    answer = find(code(plant).lower())
    assert (answer.status, answer.by) == (Found.EXACT, "code")
    assert answer.plant is not None
    assert (answer.plant.spoken, answer.plant.where, answer.plant.warning) == ("Red Tarn 2", "Dome 2, place 2", "")


def test_two_lost_characters_are_recovered(dome: Dome) -> None:
    plant = grafted("Red Tarn", 3)[2]
    answer = find("?" + code(plant)[1:5] + "?" + code(plant)[6:])
    assert answer.status is Found.RECOVERED
    assert answer.plant is not None
    assert answer.plant.id == plant.id


def test_four_lost_characters_are_only_offered(dome: Dome) -> None:
    plant = grafted("Red Tarn", 3)[0]
    answer = find("????" + code(plant)[4:])
    assert answer.status is Found.SUSPECT
    assert answer.plant is None
    assert plant.id in {found.id for found in answer.plants}


def test_a_wrong_character_is_offered_and_never_accepted(dome: Dome) -> None:
    plant = grafted("Red Tarn", 3)[0]
    answer = find(with_wrong_character(code(plant)))
    assert answer.status is Found.SUSPECT
    assert answer.plant is None
    assert "check characters do not agree" in answer.words
    assert [found.id for found in answer.plants] == [plant.id]


def test_a_number_leased_but_not_used_belongs_to_nobody_yet(dome: Dome) -> None:
    grafted("Red Tarn", 1)
    answer = find(code_of(150))
    assert answer.status is Found.NOBODY
    assert "set aside for this machine" in answer.words


def test_a_number_never_issued_belongs_to_nobody(dome: Dome) -> None:
    grafted("Red Tarn", 1)
    answer = find(code_of(5_000_000))
    assert (answer.status, answer.plants) == (Found.NOBODY, ())
    assert "never issued by this book" in answer.words


def test_a_lost_plant_is_said_so_loudly(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1)[0]
    write_event("lost", plant.key, {"sign": "black"}, happened_at=NOW, now=NOW)
    for text in (code(plant), "Red Tarn 1"):
        answer = find(text)
        assert answer.words.startswith("CAUTION: Red Tarn 1 was recorded as lost on 10 Jul 2026.")
        assert answer.plants[0].warning in answer.words


def test_a_plant_that_left_is_said_so_loudly(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1)[0]
    write_event("left", plant.key, {"how": "sale"}, happened_at=NOW, now=NOW)
    assert find(code(plant)).words.startswith("CAUTION: Red Tarn 1 was sold on 10 Jul 2026.")


def test_a_spoken_name_with_its_number_is_one_plant(dome: Dome) -> None:
    grafted("Red Tarn", 3)
    answer = find("red tarn 3")
    assert (answer.status, answer.by) == (Found.EXACT, "name")
    assert answer.plants[0].spoken == "Red Tarn 3"


def test_a_name_alone_gives_all_of_it(dome: Dome) -> None:
    grafted("Red Tarn", 2)
    grafted("Ash Gill", 1)
    answer = find("Red Tarn")
    assert (answer.status, answer.total) == (Found.SEVERAL, 2)
    assert answer.plant is None


def test_places_and_domes_are_found_too(dome: Dome) -> None:
    grafted("Red Tarn", 2, dome)
    grafted("Ash Gill", 1, stands="north window")
    assert find("dome 2").total == 2
    assert find("Dome 2 place 2").plants[0].spoken == "Red Tarn 2"
    assert find("north window").plants[0].spoken == "Ash Gill 1"


def test_a_misspelt_name_gets_a_hint(dome: Dome) -> None:
    grafted("Red Tarn", 2)
    answer = find("Red Tran 2")
    assert answer.status is Found.NOBODY
    assert answer.words == "No plant is called 'Red Tran 2'. Did you mean Red Tarn 2?"
    assert answer.perhaps == ("Red Tarn 2",)
    assert find("Red Tran").perhaps == ("Red Tarn",)


def test_only_a_whole_name_or_code_is_asked_in_full(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1)[0]
    assert find("red tarn 1").in_full
    assert find(code_of(plant.code_number or 0)).in_full
    assert not find("red").in_full


def test_what_is_nothing_at_all_says_why(dome: Dome) -> None:
    answer = find("zzz !")
    assert (answer.status, answer.by) == (Found.NOBODY, "name")
    assert "it is no code either" in answer.words


def test_two_plants_under_one_code_are_both_shown(dome: Dome) -> None:
    first = grafted("Red Tarn", 1)[0]
    payload = {"cultivar": str(first.cultivar_id), "running_number": 2, "code_number": first.code_number}
    record_events([NewEvent("grafted", JUNE, (f"plant:{uuid7()}",), payload)], now=NOW)
    answer = find(code(first))
    assert (answer.status, answer.total) == (Found.SEVERAL, 2)
    assert "which must not be" in answer.words


def test_a_name_that_can_also_be_read_as_a_code_shows_both(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1)[0]
    namesake = grafted(code(plant), 1)[0]
    answer = find(code(plant))
    assert answer.status is Found.SEVERAL
    assert {found.id for found in answer.plants} == {plant.id, namesake.id}


def test_nothing_typed_is_refused(dome: Dome) -> None:
    with pytest.raises(Refused, match="nothing is typed"):
        find("  ")


def test_the_answer_is_plain_for_json(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1)[0]
    plain = find(code(plant)).to_dict()
    assert plain["status"] == "exact"
    assert plain["plants"][0]["id"] == str(plant.id)


def test_a_plant_in_quarantine_or_with_a_doubted_name_says_so(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1, dome)[0]
    write_event("quarantined", plant.key, {"reason": "cankers"}, happened_at=NOW, now=NOW)
    write_event("name_doubted", plant.key, {"reason": "leaves too red"}, happened_at=NOW, now=NOW)
    assert find("Red Tarn 1").plants[0].flags == ("name in doubt", "in quarantine")
    write_event("released", plant.key, {}, happened_at=NOW + timedelta(days=1), now=NOW + timedelta(days=1))
    assert find("Red Tarn 1").plants[0].flags == ("name in doubt",)


def test_a_name_both_inferred_and_doubted_says_both(dome: Dome) -> None:
    plant = grafted("Red Tarn", 1, dome)[0]
    write_event("name_inferred", plant.key, {"chance": 0.93}, happened_at=NOW, now=NOW)
    write_event("name_doubted", plant.key, {"reason": "leaves too red"}, happened_at=NOW, now=NOW)
    assert Plant.objects.get(pk=plant.pk).name_caution == "name inferred, 0.93, and in doubt"


@pytest.mark.parametrize("typed", ["\u200eRed Tarn\u200b 1", "\u202ered tarn\u00ad 1", "\ufeffRed\u00a0Tarn 1"])
def test_marks_that_are_not_seen_do_not_hide_a_name(dome: Dome, typed: str) -> None:
    grafted("Red Tarn", 2)
    answer = find(typed)
    assert answer.plant is not None
    assert answer.text.casefold() == "red tarn 1"


@pytest.mark.parametrize("mark", ["\u200e", "\u202e", "\u200b", "\u200d", "\ufeff", "\u2066"])
def test_marks_that_are_not_seen_do_not_hide_a_code(dome: Dome, mark: str) -> None:
    plant = Plant.objects.get(pk=grafted("Red Tarn", 1)[0].pk)
    code = code_of(plant.code_number or 0)
    answer = find(f"{mark}{code[:3]}{mark} {code[3:]}{mark}")
    assert (answer.status, answer.by) == (Found.EXACT, "code")


def test_they_are_never_shown_to_the_grower(dome: Dome) -> None:
    assert "No plant, place or dome is called 'Merrybeck'" in find("\u200eMerry\u202ebeck\u200b").words
    with pytest.raises(Refused, match="nothing is typed"):
        find("\u200e\u200b")


@pytest.mark.parametrize("typed", ["red tarn #2", "Red Tarn # 2", "red tran #2"])
def test_a_number_sign_before_the_number_is_no_part_of_it(dome: Dome, typed: str) -> None:
    plants = grafted("Red Tarn", 3)
    save_noun(OtherName, {"cultivar": Cultivar.objects.get(spoken="Red Tarn"), "name": "Red Tran"}, now=NOW)
    answer = find(typed)
    assert [plant.id for plant in answer.plants] == [plants[1].pk]


def test_a_place_with_a_number_sign_is_found_as_it_is_called(dome: Dome) -> None:
    grafted("Red Tarn", 2)
    there = grafted("Ash Gill", 1, stands="bench #2")[0]
    assert [plant.id for plant in find("bench #2").plants] == [there.pk]
