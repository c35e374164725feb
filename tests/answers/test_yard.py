"""The yard: what each tree may give, what is asked of it, and the bags with the clock of their freshness."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.find import Found, find, find_codes
from scionary.answers.things import thing_called
from scionary.answers.yard import bag_line, tree_line, tree_named, yard
from scionary.book.bags import Cut, cut_scions
from scionary.book.commands import Written, save_noun, undo
from scionary.book.models import AcceptedPlan, Cultivar, Method, MotherTree, Nursery, Wish
from scionary.errors import UnknownSubject
from scionary.names import code_of

pytestmark = pytest.mark.django_db


def test_what_was_cut_this_growing_year_is_taken_off_and_what_was_cut_before_is_not(
    nursery: Nursery, tree: MotherTree, now: datetime
) -> None:
    cut_scions(Cut(tree, 12, now), nursery, now=now)
    cut_scions(Cut(tree, 30, now - timedelta(days=200)), nursery, now=now)
    line = yard(nursery, now=now).trees[0]
    assert (line.cut, line.left) == (12, 28)
    assert line.words == "28 sticks may be cut: it gives 40 a season, 12 cut."


@pytest.mark.parametrize(
    ("gives", "words"),
    [
        (None, "How many it can give is not written down; 12 cut this season."),
        (12, "No stick is left this season: it gives 12 a season, 12 cut."),
        (11, "1 stick too many are cut: it gives 11 a season, 12 cut."),
    ],
)
def test_the_words_say_what_is_left(nursery: Nursery, tree: MotherTree, now: datetime, gives: int | None, words: str) -> None:
    tree = save_noun(MotherTree, {"sticks_a_season": gives}, pk=tree.pk, now=now)
    cut_scions(Cut(tree, 12, now), nursery, now=now)
    assert tree_line(tree.pk, nursery, now=now).words == words


def test_an_undone_cut_is_not_counted(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    done = cut_scions(Cut(tree, 12, now), nursery, now=now)
    undo(done.event, now=now)
    answer = yard(nursery, now=now)
    assert (answer.trees[0].left, answer.bags) == (40, [])
    assert "undone" in bag_line(done.bag.pk, nursery, now=now).cautions[0]


def test_what_the_plan_wants_is_said_in_sticks_less_what_lies_in_bags(
    nursery: Nursery, tree: MotherTree, cultivar: Cultivar, graft: Callable[..., Written], now: datetime
) -> None:
    graft(4)
    save_noun(AcceptedPlan, {"season": 2026, "accepted_at": now, "lines": [{"cultivar": str(cultivar.pk), "grafts": 24}]}, now=now)
    line = tree_line(tree.pk, nursery, now=now)
    assert (line.wanted.sticks, line.wanted.words) == (10, "The plan wants 20 more grafts: 10 sticks.")
    cut_scions(Cut(tree, 7, now), nursery, now=now)
    assert tree_line(tree.pk, nursery, now=now).wanted.words == "The plan wants 20 more grafts: 10 sticks, of which 7 lie in bags."
    cut_scions(Cut(tree, 7, now), nursery, now=now)
    assert tree_line(tree.pk, nursery, now=now).wanted.sticks == 0


def test_without_a_plan_the_wishes_are_said_and_their_trees_come_first(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    save_noun(MotherTree, {"name": "south wall", "cultivar": other}, now=now)
    save_noun(Wish, {"cultivar": tree.cultivar, "wanted": 20, "season": 2026}, now=now)
    answer = yard(nursery, now=now)
    assert [line.tree for line in answer.asked_for] == [tree]
    assert answer.trees[0].wanted.words == "20 wished for; no plan is accepted yet."
    assert answer.others[0].wanted.words == "No plan or wish of this season asks for it."


def test_a_tree_set_apart_says_so_in_the_list_and_on_its_page(
    nursery: Nursery, tree: MotherTree, write: Callable[..., object], now: datetime
) -> None:
    write("quarantined", tree.key, reason="spots on its leaves")
    write("name_doubted", tree.key, reason="wrong leaf")
    for line in (yard(nursery, now=now).trees[0], tree_line(tree.pk, nursery, now=now)):
        assert "stands in quarantine since 2026-02-14: spots on its leaves" in line.cautions[0]
        assert "in doubt" in line.cautions[1]


def test_what_is_left_in_a_bag_is_reckoned_from_its_grafts(
    nursery: Nursery, tree: MotherTree, method: Method, graft: Callable[..., Written], now: datetime
) -> None:
    bag = cut_scions(Cut(tree, 12, now - timedelta(hours=3)), nursery, now=now).bag
    graft(5, bag=bag.pk, method=method.pk)
    line = bag_line(bag.pk, nursery, now=now)
    used = -(-5 // method.grafts_a_stick)
    assert line.left == 12 - used
    assert line.words == f"12 sticks, cut 3 hours ago; about {line.left} left after 5 grafts"


@pytest.mark.parametrize(
    ("ago", "words"),
    [
        (timedelta(), "cut just now"),
        (timedelta(minutes=1), "cut 1 minute ago"),
        (timedelta(minutes=59), "cut 59 minutes ago"),
        (timedelta(minutes=61), "cut 1 hour ago"),
        (timedelta(hours=47), "cut 47 hours ago"),
        (timedelta(hours=49), "cut 2 days ago"),
    ],
)
def test_the_clock_of_freshness(nursery: Nursery, tree: MotherTree, now: datetime, ago: timedelta, words: str) -> None:
    bag = cut_scions(Cut(tree, 1, now - ago), nursery, now=now).bag
    assert bag_line(bag.pk, nursery, now=now).age == words


def test_a_bags_code_finds_the_bag_faded_too_and_so_does_its_name(nursery: Nursery, tree: MotherTree, now: datetime) -> None:
    bag = cut_scions(Cut(tree, 12, now), nursery, now=now).bag
    code = code_of(bag.code_number or 0)
    for typed in (code, code.lower(), f"?{code[1:4]}?{code[5:]}", "red tarn, 14 feb 11:30"):
        answer = find(typed)
        assert (answer.status, answer.plants, answer.plant) == (Found.EXACT, (), None)
        assert answer.bag is not None
        assert answer.bag.id == bag.pk
    assert answer.words == "A bag of scions: Red Tarn from the old tree by the gate, cut 14 Feb 2026, 11:30."
    photographed = find_codes([code])[0].bag
    assert photographed is not None
    assert photographed.id == bag.pk
    assert thing_called(code) == f"bag:{bag.pk.hex}"


def test_a_plants_code_still_finds_the_plant(nursery: Nursery, tree: MotherTree, graft: Callable[..., Written], now: datetime) -> None:
    cut_scions(Cut(tree, 12, now), nursery, now=now)
    plant = graft().plants[0]
    answer = find(code_of(plant.code_number or 0))
    assert answer.bag is None
    assert answer.plant is not None
    assert answer.plant.id == plant.pk


def test_a_tree_is_meant_by_its_name_or_its_cultivar_and_what_fits_several_is_refused(tree: MotherTree, now: datetime) -> None:
    assert tree_named("THE OLD TREE by the gate") == tree_named("the old") == tree_named("red tarn") == tree
    save_noun(MotherTree, {"name": "the old pot", "cultivar": tree.cultivar}, now=now)
    for typed in ("the old", "Red Tarn", "nowhere"):
        with pytest.raises(UnknownSubject, match="mother tree"):
            tree_named(typed)
