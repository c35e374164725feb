"""Folded columns: written from events by the fold alone, made again by `rebuild`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from scionary.book.commands import Written, undo
from scionary.book.fold import FOLD_VERSION
from scionary.book.models import Dome, FoldRules, Graft, Plant
from scionary.book.projection import columns, fold_again, follow_the_rules, rebuild, with_corrections
from scionary.book.record import Answer

Write = Callable[..., Answer]


def test_rebuild_mends_columns_that_were_changed_behind_its_back(graft: Callable[..., Written], dome: Dome, write: Write) -> None:
    plants = graft(3, dome=dome.pk).plants
    write("vented", dome, days=1, open_pct=33)
    right = columns()
    Plant.objects.update(state="dead", flags=["made up"])
    Graft.objects.filter(plant=plants[0]).delete()
    plants[1].delete()
    assert columns() != right
    assert rebuild() == {"plants": 3, "grafts": 3, "domes": 1}
    assert columns() == right


def test_folding_again_changes_nothing(plant: Plant, dome: Dome) -> None:
    before = columns()
    fold_again([plant.key, dome.key, "cultivar:none"])
    assert columns() == before


def test_an_undone_graft_takes_its_row_away(graft: Callable[..., Written], write: Write, now: datetime) -> None:
    written = graft()
    again = write("regrafted", written.plants[0], days=60)
    assert Graft.objects.count() == 2
    undo(again.id, now=now)
    assert [row.id for row in Graft.objects.all()] == written.events


def test_an_event_comes_with_corrections_of_corrections(plant: Plant, write: Write, now: datetime) -> None:
    move = write("moved", plant, place=3)
    first = undo(move.id, now=now)
    second = undo(first.id, now=now)
    assert {record.id for record in with_corrections(move.id)} == {move.id, first.id, second.id}
    assert {record.id for record in with_corrections(first.id)} == {first.id, second.id}
    assert with_corrections(plant.pk) == []


def test_a_book_written_by_other_rules_is_made_again_when_it_is_opened(graft: Callable[..., Written]) -> None:
    graft(2)
    assert follow_the_rules() is True  # nothing says yet by which rules this one was written
    assert follow_the_rules() is False
    Plant.objects.update(state="dead")  # as if an older rule had said so
    FoldRules.objects.update(version=FOLD_VERSION - 1)
    assert follow_the_rules() is True
    assert set(Plant.objects.values_list("state", flat=True)) == {"waiting"}
