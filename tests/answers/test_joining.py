"""Two names of one cultivar made one, and taken apart again: plants, rows, labels, history."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from scionary.answers.called import called
from scionary.answers.find import find
from scionary.answers.join_look import look_at_join
from scionary.answers.joining import join, take_apart
from scionary.answers.joins import all_joins, joins_of, numbered_once, plants_of
from scionary.answers.labelled import wrong_labels
from scionary.answers.undoing import undo_all
from scionary.book import queries
from scionary.book.backup import backup, restore
from scionary.book.commands import correct, save_noun, undo, write_grafts
from scionary.book.models import (
    NOUNS,
    AcceptedPlan,
    BenchDay,
    Cultivar,
    Event,
    Graft,
    MotherTree,
    OtherName,
    Plant,
    ScionBag,
    Tally,
    Trial,
    Wish,
)
from scionary.book.projection import columns, rebuild
from scionary.errors import Refused, UnknownSubject

pytestmark = pytest.mark.django_db
Grafts = Callable[..., Any]
Both = tuple[list[Plant], list[Plant]]


@pytest.fixture
def tran(cultivar: Cultivar, now: datetime) -> Cultivar:
    """Red Tran: written so by mistake, and kept as a cultivar of its own."""
    return save_noun(Cultivar, {"spoken": "Red Tran"}, now=now)


@pytest.fixture
def two_names(graft: Grafts, tran: Cultivar) -> Both:
    """Red Tarn 1 and 2; Red Tran 1, 2 and 3."""
    return graft(2).plants, graft(3, cultivar=tran.pk).plants


def spoken(plants: list[Plant]) -> list[str]:
    return [Plant.objects.select_related("cultivar").get(pk=plant.pk).spoken for plant in plants]


def rows() -> dict[str, list[dict[str, Any]]]:
    """All rows of all nouns that are in use."""
    return {noun: list(model._default_manager.filter(retired=False).order_by("pk").values()) for noun, model in NOUNS.items()}


def test_plants_come_under_the_kept_name_and_few_numbers_change(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    join(cultivar.pk, tran.pk, now=now)
    assert spoken(two_names[0]) == ["Red Tarn 1", "Red Tarn 2"]
    assert spoken(two_names[1]) == ["Red Tarn 4", "Red Tarn 5", "Red Tarn 3"]
    assert not Graft.objects.filter(cultivar=tran).exists()


def test_the_look_says_before_what_comes_after(cultivar: Cultivar, tran: Cultivar, two_names: Both, write: Grafts, now: datetime) -> None:
    write("lost", two_names[1][0], days=1)
    look = look_at_join(cultivar.pk, tran.pk, now=now)
    assert [(each.before, each.after) for each in look.plants] == [
        ("Red Tran 1", "Red Tarn 4"),
        ("Red Tran 2", "Red Tarn 5"),
        ("Red Tran 3", "Red Tarn 3"),
    ]
    assert [each.before for each in look.labels] == ["Red Tran 2", "Red Tran 3"]
    assert look.sentence == "Red Tran becomes Red Tarn: 3 plants. 2 plants get another number. 2 labels to write again."
    assert not Event.objects.filter(kind="corrected").exists()
    join(cultivar.pk, tran.pk, now=now + timedelta(days=2))
    assert spoken(two_names[1]) == [each.after for each in look.plants]


def test_labels_that_hang_are_told_as_wrong_until_they_are_written_again(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, write: Grafts, now: datetime
) -> None:
    done = join(cultivar.pk, tran.pk, now=now + timedelta(hours=1))
    moved = list(queries.plants().filter(pk__in=[each.plant for each in plants_of(done)]))
    assert sorted(wrong_labels(moved).values()) == ["Red Tran 1", "Red Tran 2", "Red Tran 3"]
    write("relabelled", two_names[1][0], days=1)
    assert sorted(wrong_labels(moved).values()) == ["Red Tran 2", "Red Tran 3"]


def test_all_that_belongs_to_the_name_goes_with_it(cultivar: Cultivar, tran: Cultivar, now: datetime) -> None:
    tree = save_noun(MotherTree, {"name": "by the well", "cultivar": tran}, now=now)
    bag = save_noun(ScionBag, {"name": "bag 1", "cultivar": tran, "tree": tree}, now=now)
    wish = save_noun(Wish, {"cultivar": tran, "wanted": 5, "season": 2026, "retired": True}, now=now)
    bench = save_noun(BenchDay, {"day": date(2026, 2, 14), "cultivar": tran}, now=now)
    tally = save_noun(Tally, {"cultivar": tran, "grafts": 9, "takes": 4, "season": 2024}, now=now)
    other = save_noun(OtherName, {"name": "Tran", "cultivar": tran}, now=now)
    join(cultivar.pk, tran.pk, now=now)
    for row in (tree, bag, wish, bench, tally, other):
        row.refresh_from_db()
        assert row.cultivar == cultivar
        edited = Event.objects.filter(kind="edited", subjects__key=row.key).latest("id")
        assert (edited.payload["before"]["cultivar"], edited.payload["after"]["cultivar"]) == (str(tran.pk), str(cultivar.pk))
    tran.refresh_from_db()
    assert tran.retired


def test_a_plan_and_a_trial_name_the_kept_one(cultivar: Cultivar, tran: Cultivar, trial: Grafts, now: datetime) -> None:
    lines = [{"cultivar": str(cultivar.pk), "grafts": 10}, {"cultivar": str(tran.pk), "grafts": 7}]
    plan = save_noun(AcceptedPlan, {"season": 2026, "accepted_at": now, "lines": lines}, now=now)
    kept = trial(cultivars=[str(tran.pk), str(cultivar.pk)])
    join(cultivar.pk, tran.pk, now=now)
    assert AcceptedPlan.objects.get(pk=plan.pk).lines == [{"cultivar": str(cultivar.pk), "grafts": 17}]
    assert Trial.objects.get(pk=kept.pk).cultivars == [str(cultivar.pk)]


def test_the_name_that_is_given_up_goes_on_finding(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    join(cultivar.pk, tran.pk, now=now)
    assert called("red tran").words == "Written as red tran, kept as Red Tarn"
    assert OtherName.objects.get(name="Red Tran").kind == OtherName.Kind.JOINED


def test_a_number_of_old_finds_the_plant_that_had_it(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    join(cultivar.pk, tran.pk, now=now)
    found = find("Red Tran 1")
    assert found.plant is not None
    assert (found.plant.id, found.plant.spoken) == (two_names[1][0].pk, "Red Tarn 4")
    assert found.words.startswith("Written as Red Tran, kept as Red Tarn")
    again = find("Red Tarn 1").plant
    assert again is not None
    assert again.id == two_names[0][0].pk


def test_a_number_of_old_counts_only_while_the_joining_stands(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, write: Grafts, now: datetime
) -> None:
    first = join(cultivar.pk, tran.pk, now=now + timedelta(days=1))
    assert numbered_once("red tran", 1) == [two_names[1][0].pk]
    take_apart(first.ident, now=now + timedelta(days=2))
    assert numbered_once("red tran", 1) == []
    write("relabelled", two_names[1][0], days=3, running_number=9)
    write("relabelled", two_names[1][1], days=3, running_number=1)
    join(cultivar.pk, tran.pk, now=now + timedelta(days=4))
    assert numbered_once("red tran", 1) == [two_names[1][1].pk]


def test_what_the_kept_one_lacks_it_takes_over_and_keeps_what_it_has(cultivar: Cultivar, tran: Cultivar, now: datetime) -> None:
    save_noun(Cultivar, {"botanical": "Acer palmatum 'Red Tarn'"}, now=now, pk=cultivar.pk)
    values = {"botanical": "Acer palmatum 'Red Tran'", "price": "45.00", "protected": True, "protected_until": date(2040, 1, 1)}
    save_noun(Cultivar, values, now=now, pk=tran.pk)
    look = look_at_join(cultivar.pk, tran.pk, now=now)
    assert look.taken_over_words[:3] == ["price: 45.00", "protection: yes", "protected until: 2040-01-01"]
    assert any("Their botanical names differ" in words for words in look.cautions)
    done = join(cultivar.pk, tran.pk, now=now)
    kept = Cultivar.objects.get(pk=cultivar.pk)
    assert (kept.botanical, str(kept.price), kept.protected, kept.protected_until) == (
        "Acer palmatum 'Red Tarn'", "45.00", True, date(2040, 1, 1),
    )  # fmt: skip
    take_apart(done.ident, now=now)
    kept.refresh_from_db()
    assert (kept.price, kept.protected, kept.protected_until) == (None, False, None)


def test_a_name_confirmed_since_and_an_earlier_scion_are_joined_too(
    cultivar: Cultivar, tran: Cultivar, graft: Grafts, write: Grafts, now: datetime
) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    confirmed, regrafted = graft(2, cultivar=other.pk).plants
    write("name_confirmed", confirmed, days=1, cultivar=tran.pk, running_number=7)
    before = graft(1, cultivar=tran.pk).plants[0]
    write("regrafted", before, days=2, cultivar=other.pk, running_number=9)
    join(cultivar.pk, tran.pk, now=now + timedelta(days=3))
    assert spoken([confirmed, before, regrafted]) == ["Red Tarn 7", "Ash Gill 9", "Ash Gill 2"]
    assert list(before.grafts.order_by("grafted_at").values_list("cultivar__spoken", flat=True)) == ["Red Tarn", "Ash Gill"]


def test_undone_it_is_all_as_before_also_after_a_rebuild(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, tree: MotherTree, write: Grafts, now: datetime
) -> None:
    save_noun(MotherTree, {"name": "by the well", "cultivar": tran}, now=now)
    save_noun(OtherName, {"name": "Tran", "cultivar": tran}, now=now)
    save_noun(Cultivar, {"note": "from the old list", "later_survival": 0.8}, now=now, pk=tran.pk)
    lines = [{"cultivar": str(cultivar.pk), "grafts": 10}, {"cultivar": str(tran.pk), "grafts": 7}]
    save_noun(AcceptedPlan, {"season": 2026, "accepted_at": now, "lines": lines}, now=now)
    write("relabelled", two_names[1][1], days=1, running_number=8)
    write("scored", two_names[1][0], days=31, sign="firm", answer="yes")
    before, held = columns(), rows()
    done = join(cultivar.pk, tran.pk, now=now + timedelta(days=40))
    assert columns() != before
    assert rows() != held
    rebuild()
    apart = take_apart(done.ident, now=now + timedelta(days=41))
    assert (apart.words, apart.flags) == ([], [])
    assert (columns(), rows()) == (before, held)
    rebuild()
    assert columns() == before
    assert called("Red Tran").cultivar == tran
    assert not all_joins()[0].stands


def test_undone_and_joined_again_it_is_joined(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    first = join(cultivar.pk, tran.pk, now=now)
    once = columns()
    take_apart(first.ident, now=now)
    second = join(cultivar.pk, tran.pk, now=now)
    assert columns() == once
    assert [(each.ident, each.stands) for each in joins_of(tran)] == [(second.ident, True), (first.ident, False)]


def test_what_somebody_changed_since_stays_and_is_told(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    tree = save_noun(MotherTree, {"name": "by the well", "cultivar": tran}, now=now)
    done = join(cultivar.pk, tran.pk, now=now)
    save_noun(MotherTree, {"cultivar": other}, now=now, pk=tree.pk)
    event = two_names[1][0].grafts.get().pk
    correct(event, {"cultivar": str(other.pk)}, now=now)
    apart = take_apart(done.ident, now=now)
    assert apart.words == ["by the well was changed since, and stays as it is."]
    assert MotherTree.objects.get(pk=tree.pk).cultivar == other
    assert spoken(two_names[1][:2])[0].startswith("Ash Gill")
    assert spoken(two_names[1][1:]) == ["Red Tran 2", "Red Tran 3"]


def test_the_last_joining_of_a_name_is_undone_first(cultivar: Cultivar, tran: Cultivar, graft: Grafts, now: datetime) -> None:
    third = save_noun(Cultivar, {"spoken": "Red Tarne"}, now=now)
    plants = graft(1, cultivar=tran.pk).plants
    first = join(cultivar.pk, tran.pk, now=now)
    second = join(third.pk, cultivar.pk, now=now)
    assert spoken(plants) == ["Red Tarne 1"]
    assert called("Red Tran").kept == called("Red Tarn").kept == "Red Tarne"
    with pytest.raises(Refused, match="Red Tarn was joined with Red Tarne after that"):
        take_apart(first.ident, now=now)
    take_apart(second.ident, now=now)
    take_apart(first.ident, now=now)
    assert spoken(plants) == ["Red Tran 1"]


def test_a_cultivar_is_not_joined_with_itself(cultivar: Cultivar, now: datetime) -> None:
    with pytest.raises(Refused, match="Red Tarn cannot be joined with itself"):
        join(cultivar.pk, cultivar.pk, now=now)


def test_one_that_the_book_does_not_hold_is_refused(cultivar: Cultivar, now: datetime) -> None:
    with pytest.raises(UnknownSubject, match="holds no such cultivar"):
        join(cultivar.pk, UUID(int=7), now=now)


def test_joined_by_another_meanwhile_it_is_refused_and_written_once(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime
) -> None:
    seen = look_at_join(cultivar.pk, tran.pk, now=now).seen
    join(cultivar.pk, tran.pk, now=now)
    count = Event.objects.count()
    with pytest.raises(Refused, match="Red Tran was joined with Red Tarn already"):
        join(cultivar.pk, tran.pk, now=now, seen=seen)
    with pytest.raises(Refused, match="Join with Red Tarn instead"):
        join(tran.pk, cultivar.pk, now=now)
    assert Event.objects.count() == count


def test_a_book_that_changed_since_the_look_is_refused(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, graft: Grafts, now: datetime
) -> None:
    seen = look_at_join(cultivar.pk, tran.pk, now=now).seen
    graft(1)  # Red Tarn 3: now all three of the others give way
    with pytest.raises(Refused, match="the book has changed since you looked"):
        join(cultivar.pk, tran.pk, now=now, seen=seen)
    assert called("Red Tran").cultivar == tran


def test_an_undone_graft_stays_undone(cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime) -> None:
    event = two_names[1][0].grafts.get().pk
    undo(event, now=now)
    join(cultivar.pk, tran.pk, now=now)
    assert not Plant.objects.filter(pk=two_names[1][0].pk).exists()


def test_what_came_in_later_under_the_old_name_is_joined_by_joining_again(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, graft: Grafts, now: datetime
) -> None:
    join(cultivar.pk, tran.pk, now=now)
    late = graft(1, cultivar=tran.pk).plants  # a phone that did not know yet
    join(cultivar.pk, tran.pk, now=now)
    assert spoken(late) == ["Red Tarn 6"]
    assert len(all_joins()) == 2


def test_a_correction_of_before_is_what_it_was_again(
    cultivar: Cultivar, tran: Cultivar, graft: Grafts, write: Grafts, now: datetime
) -> None:
    plant = graft(1).plants[0]
    fix = correct(plant.grafts.get().pk, {"cultivar": str(tran.pk), "running_number": 5}, now=now)
    before = columns()
    done = join(cultivar.pk, tran.pk, now=now)
    assert spoken([plant]) == ["Red Tarn 5"]
    take_apart(done.ident, now=now)
    assert columns() == before
    undo_all([fix.id], now=now)
    assert spoken([plant]) == ["Red Tarn 1"]


def test_a_large_joining_is_written_in_pieces(cultivar: Cultivar, tran: Cultivar, nursery: Any, now: datetime) -> None:
    from scionary.book.commands import GraftSetup

    for name in (cultivar, tran):
        for _ in range(2):
            write_grafts(GraftSetup(cultivar=name.pk, happened_at=now), 250, now=now)
    before = columns()
    done = join(cultivar.pk, tran.pk, now=now)
    assert len(plants_of(done)) == 500
    assert sorted(Plant.objects.values_list("running_number", flat=True)) == list(range(1, 1001))
    take_apart(done.ident, now=now)
    assert columns() == before


def test_a_book_from_a_backup_knows_its_joinings_and_undoes_them(
    cultivar: Cultivar, tran: Cultivar, two_names: Both, now: datetime, tmp_path: Path
) -> None:
    before = columns()
    done = join(cultivar.pk, tran.pk, now=now)
    backup(tmp_path / "book.zip", now=now)
    restore(tmp_path / "book.zip", replace=True, now=now)
    found = find("Red Tran 1").plant
    assert found is not None
    assert found.spoken == "Red Tarn 4"
    take_apart(done.ident, now=now)
    assert columns() == before
