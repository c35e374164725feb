"""Which cultivar is meant by a name that somebody typed, wherever it is typed."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.called import called
from scionary.answers.find import Found, find
from scionary.answers.other_names import add_other_name
from scionary.answers.past_import import accept_past
from scionary.answers.past_preview import preview_past
from scionary.answers.standing import preview_standing, read_standing
from scionary.answers.wish_import import accept_wishes, preview_wishes
from scionary.answers.wishing import save_wish
from scionary.book.called import names_of_book
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Nursery, Plant, Tally, Wish

pytestmark = pytest.mark.django_db


@pytest.fixture
def blush(cultivar: Cultivar, now: datetime) -> Cultivar:
    """Red Tarn, which growers also call Tarn Blush and write Red Tran."""
    add_other_name(cultivar, "Tarn Blush", "synonym", now=now)
    add_other_name(cultivar, "Red Tran", "misspelling", now=now)
    return cultivar


def test_its_own_name_is_taken_without_a_word(blush: Cultivar) -> None:
    found = called("  red   TARN ")
    assert (found.cultivar, found.kept, found.words, found.near) == (blush, "Red Tarn", "", ())


@pytest.mark.parametrize("typed", ["Tarn Blush", "tarn  BLUSH", "Tarn\u200e Blush", "Red Tran"])
def test_another_name_is_taken_and_said(blush: Cultivar, typed: str) -> None:
    found = called(typed)
    assert found.cultivar == blush
    assert found.words == f"Written as {' '.join(typed.replace(chr(0x200E), '').split())}, kept as Red Tarn"


@pytest.mark.parametrize("typed", ["Red Tarm", "Tarn Blusch", "Red-Tarn", "Réd Tarn"])
def test_a_near_name_is_offered_and_never_taken(blush: Cultivar, typed: str) -> None:
    found = called(typed)
    assert found.known is None
    assert found.near == ("Red Tarn",)


def test_a_far_name_is_a_new_one(blush: Cultivar) -> None:
    found = called("Snowbed")
    assert (found.known, found.near, found.kept) == (None, (), "Snowbed")


def test_a_cultivars_own_name_goes_before_anothers_other_name(blush: Cultivar, now: datetime) -> None:
    own = save_noun(Cultivar, {"spoken": "Tarn Blush"}, now=now)  # it came in later, from another book
    assert called("Tarn Blush").cultivar == called("tarn blush").cultivar == own


def test_another_name_goes_before_a_cultivar_that_is_grown_no_longer(blush: Cultivar, now: datetime) -> None:
    save_noun(Cultivar, {"spoken": "Tarn Blush", "retired": True}, now=now)
    assert called("Tarn Blush").cultivar == blush


def test_one_kind_of_apostrophe_is_as_good_as_another(cultivar: Cultivar, now: datetime) -> None:
    own = save_noun(Cultivar, {"spoken": "Tarn's End"}, now=now)
    assert called("TARN’S END").cultivar == own


def test_accents_of_either_make_are_the_same(cultivar: Cultivar, now: datetime) -> None:
    own = save_noun(Cultivar, {"spoken": "Frühling"}, now=now)
    assert called("FRU\u0308HLING").cultivar == own


def test_two_that_differ_by_accents_alone_stay_two(cultivar: Cultivar, now: datetime) -> None:
    plain, accented = save_noun(Cultivar, {"spoken": "Elan"}, now=now), save_noun(Cultivar, {"spoken": "Élan"}, now=now)
    assert (called("élan").cultivar, called("elan").cultivar) == (accented, plain)


@pytest.mark.parametrize("typed", ["", "   ", "\u202e", "x" * 500, "🌱" * 40, "<b>Red</b>"])
def test_what_is_no_name_of_the_book_names_nobody(blush: Cultivar, typed: str) -> None:
    assert called(typed).known is None


def test_writing_by_another_name_makes_no_new_cultivar(blush: Cultivar, now: datetime) -> None:
    assert cultivar_called("Tarn Blush", now=now) == blush
    values = {"cultivar": "Red Tran", "wanted": 3, "season": 2026}
    assert save_wish(values, now=now, ident=uuid7()).cultivar == blush
    assert Cultivar.objects.count() == 1


def test_plants_that_stand_are_kept_under_its_name(blush: Cultivar) -> None:
    (line,) = preview_standing(read_standing("3 Tarn Blush"))
    assert (line.cultivar, line.known) == ("Red Tarn", True)
    assert "Written as Tarn Blush, kept as Red Tarn" in line.words


def test_a_wish_list_is_read_by_other_names_and_says_so(blush: Cultivar, now: datetime) -> None:
    data = b"cultivar,number\nTarn Blush,5\nRed Tran,2\n"
    seen = preview_wishes(data, "wishes.csv", today=now.date())
    assert seen.new_cultivars == ()
    assert [entry.name for entry in seen.cultivars] == ["Red Tarn"]
    assert any("Written as Tarn Blush, kept as Red Tarn and Written as Red Tran" in words for words in seen.warnings)
    accept_wishes(data, "wishes.csv", now=now)
    assert set(Wish.objects.values_list("cultivar__spoken", "wanted")) == {("Red Tarn", 5), ("Red Tarn", 2)}


def test_past_records_are_read_by_other_names_and_say_so(blush: Cultivar, now: datetime) -> None:
    data = b"cultivar,year,grafts,takes\nTarn Blush,2024,10,7\n"
    seen = preview_past(data, "old.csv", now=now)
    assert [(entry.name, entry.known) for entry in seen.cultivars] == [("Red Tarn", True)]
    assert any("Written as Tarn Blush, kept as Red Tarn" in words for words in seen.warnings)
    accept_past(data, "old.csv", now=now)
    assert Tally.objects.get().cultivar == blush


def test_a_plant_is_found_by_another_name_and_it_is_said(blush: Cultivar, plant: Plant) -> None:
    found = find("tarn blush 1")
    assert (found.status, found.plant and found.plant.id) == (Found.EXACT, plant.pk)
    assert found.words.startswith("Written as tarn blush, kept as Red Tarn. Red Tarn 1, ")
    assert find("Tarn Blush").plants[0].id == plant.pk
    assert find("Red Tarn 1").kept_as == ""


def test_a_number_that_no_plant_has_offers_the_name_that_is_kept(blush: Cultivar, plant: Plant) -> None:
    found = find("Tarn Blush 9")
    assert (found.status, found.perhaps) == (Found.NOBODY, ("Red Tarn",))


@pytest.mark.parametrize("typed", ["'Red Tarn'", "‘Red Tarn’", '"red tarn"', "„Red Tarn“", "«Red Tarn»", " 'Red\u200b Tarn' "])
def test_quotes_around_a_name_are_no_part_of_it(cultivar: Cultivar, now: datetime, typed: str) -> None:
    assert called(typed).cultivar == cultivar
    assert cultivar_called(typed, now=now) == cultivar
    assert Cultivar.objects.count() == 1


def test_a_new_name_is_kept_without_the_quotes_around_it(cultivar: Cultivar, now: datetime) -> None:
    assert cultivar_called("'Fell Lace'", now=now).spoken == "Fell Lace"


@pytest.mark.parametrize("typed", ["Rock 'n' Roll", "Scholar's Lace", "'Tis Tarn", "Tarn's 'Red'", "''"])
def test_an_apostrophe_within_a_name_stays(nursery: Nursery, now: datetime, typed: str) -> None:
    assert cultivar_called(typed, now=now).spoken == typed


def test_a_name_that_was_kept_with_its_quotes_stands_for_itself(cultivar: Cultivar, now: datetime) -> None:
    of_old = save_noun(Cultivar, {"spoken": "'Ash Gill'"}, now=now)
    assert called("'Ash Gill'").cultivar == cultivar_called("'ash gill'", now=now) == of_old
    assert called("Ash Gill").near == ("'Ash Gill'",)
    assert names_of_book().kept("'red tarn'") == "Red Tarn"
