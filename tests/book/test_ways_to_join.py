"""Which way to join a method is, told by its name, in a new book and in an older one."""

from __future__ import annotations

import importlib
from datetime import datetime

import pytest
from django.apps import apps

from scionary.book.commands import save_noun
from scionary.book.models import Method, Nursery
from scionary.book.ways_to_join import way_told_by


@pytest.mark.parametrize(
    ("name", "way"),
    [
        ("Side veneer, dormant, winter", "side_veneer"),
        ("Side graft, leafy, summer", "side_inlay"),
        ("Whip and tongue", "whip_and_tongue"),
        ("T-bud in July", "t_bud"),
        ("Chip budding", "chip_bud"),
        ("bark graft (old beeches)", "bark_graft"),
        ("Topfbau", ""),
    ],
)
def test_a_name_tells_the_way(name: str, way: str) -> None:
    assert way_told_by(name) == way


def test_every_way_that_is_told_can_be_chosen() -> None:
    told = {
        way_told_by(name) for name in ("t-bud", "chip", "approach", "rind", "inlay", "veneer", "whip", "splice", "saddle", "cleft", "wedge")
    }
    assert told == set(Method.Joins.values)


def test_the_methods_of_a_new_book_know_their_way(nursery: Nursery) -> None:
    assert {method.name: method.joins for method in Method.objects.all()} == {
        "Side graft, leafy, summer": "side_inlay",
        "Side veneer, dormant, winter": "side_veneer",
    }


def test_the_methods_of_an_older_book_take_it_from_their_names_and_a_chosen_way_stays(nursery: Nursery, now: datetime) -> None:
    cleft = save_noun(Method, {"name": "Cleft, spring"}, now=now)
    chosen = save_noun(Method, {"name": "Whip, for us a splice", "joins": "splice"}, now=now)
    importlib.import_module("scionary.book.migrations.0010_how_stems_are_joined").take_ways_from_names(apps, None)
    assert [Method.objects.get(pk=one.pk).joins for one in (cleft, chosen)] == ["cleft", "splice"]
