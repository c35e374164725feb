"""What plants of a book shared, followed forwards and back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from scionary.answers.contact_map import Way, contact_map
from scionary.answers.spread import USUAL, Ask, SpreadAnswer, SpreadQuestion, spread
from scionary.answers.spread_tree import spread_rows
from scionary.answers.things import checked_key, thing_called
from scionary.book.commands import Written, correct, noon, save_noun, undo
from scionary.book.models import BenchDay, Cultivar, Dome, MotherTree, Nursery, Plant, RootstockLot, ScionBag
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused, UnknownSubject

pytestmark = pytest.mark.django_db
Graft = Callable[..., Written]
Follow = Callable[..., SpreadAnswer]


@pytest.fixture
def follow(nursery: Nursery) -> Follow:
    def ask(thing: Any, *ways: Way, **more: Any) -> SpreadAnswer:
        key = thing if isinstance(thing, str) else checked_key(thing.key)
        return spread(SpreadQuestion(key, ways=ways or USUAL[more.get("ask", Ask.SICKNESS)], **more), nursery)

    return ask


@pytest.fixture
def one(graft: Graft) -> Callable[..., Plant]:
    """Writes down one graft so many minutes after `now`."""
    return lambda minutes=0.0, **more: graft(days=minutes / 1440, **more).plants[0]


def names(answer: SpreadAnswer) -> list[str]:
    return sorted(Plant.objects.get(pk=plant).spoken for plant in answer.plants)


def way(answer: SpreadAnswer, plant: Plant) -> list[str]:
    key = f"plant:{plant.pk.hex}"
    return [thing.words for thing in answer.ways_to([key])[key]]


def test_wood_of_a_tree_is_in_its_grafts_and_in_those_of_a_tree_that_grew_from_one(
    one: Any, tree: MotherTree, follow: Follow, cultivar: Cultivar, now: datetime
) -> None:
    first = one(tree=tree.pk)
    one(1)
    young = save_noun(MotherTree, {"name": "the young tree", "cultivar": cultivar, "raised_from": first}, now=now)
    third = one(2, tree=young.pk)
    answer = follow(tree, Way.WOOD)
    assert names(answer) == ["Red Tarn 1", "Red Tarn 3"]
    assert way(answer, third) == ["the old tree by the gate", "Red Tarn 1", "the young tree", "Red Tarn 3"]
    assert answer.sentence == "2 plants (2 here) and 1 mother tree could have it."
    back = follow(third, Way.WOOD, back=True)
    assert names(back) == ["Red Tarn 1"]
    assert back.sentence == "It could have come to Red Tarn 3 from 1 plant (1 here) and 2 mother trees."


def test_a_bag_stands_between_a_tree_and_its_grafts(one: Any, tree: MotherTree, follow: Follow, cultivar: Cultivar, now: datetime) -> None:
    bag = save_noun(ScionBag, {"name": "bag 7", "tree": tree, "cultivar": cultivar, "cut_on": date(2026, 2, 10)}, now=now)
    plant = one(tree=tree.pk, bag=bag.pk)
    assert way(follow(tree, Way.WOOD), plant) == ["the old tree by the gate", "bag 7, a bag of scions", "Red Tarn 1"]
    assert names(follow(tree, Way.WOOD, since=date(2026, 2, 10))) == ["Red Tarn 1"]
    assert names(follow(tree, Way.WOOD, since=date(2026, 2, 11))) == []  # its wood was cut before
    assert names(follow(bag, Way.WOOD)) == ["Red Tarn 1"]


def test_stocks_of_one_lot_do_not_pass_it_among_themselves(one: Any, lot: RootstockLot, follow: Follow) -> None:
    first = one(lot=lot.pk)
    one(1, lot=lot.pk)
    assert names(follow(lot, Way.STOCK)) == ["Red Tarn 1", "Red Tarn 2"]
    assert names(follow(first, Way.STOCK)) == []
    assert follow(first, Way.STOCK).sentence == "Nothing could have it: by these ways the book knows of nothing that it met."
    assert [(each.thing.words, each.plants) for each in follow(first, Way.STOCK).shared()] == [("stock lot 24-B", 2)]


def test_a_blade_passes_it_to_what_it_cut_later_until_it_is_cleaned(
    one: Any, follow: Follow, write: Callable[..., Any], cultivar: Cultivar, now: datetime
) -> None:
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": "Maren"}, now=now)
    plants = [one(minutes, bench=bench.pk, grafter="Maren") for minutes in (1, 3, 5, 7)]
    other = one(4, grafter="Tobit")
    cleaned = write("blade_cleaned", bench.key, days=6 / 1440, how="changed")
    assert names(follow(plants[0], Way.BLADE)) == ["Red Tarn 2", "Red Tarn 3"]
    assert names(follow(plants[1], Way.BLADE)) == ["Red Tarn 3"]
    assert names(follow(plants[1], Way.BLADE, back=True)) == ["Red Tarn 1"]
    assert names(follow(other, Way.BLADE)) == []
    assert way(follow(plants[0], Way.BLADE), plants[2]) == ["Red Tarn 1", "Maren’s blade, 14 Feb 2026", "Red Tarn 3"]
    undo(cleaned.id, now=now + timedelta(hours=1))
    assert names(follow(plants[0], Way.BLADE)) == ["Red Tarn 2", "Red Tarn 3", "Red Tarn 4"]


def test_a_day_without_times_is_one_session_without_order(one: Any, graft: Graft, follow: Follow, nursery: Nursery, now: datetime) -> None:
    day = noon(date(2026, 2, 14), nursery)
    known = one(1, grafter="Maren")
    graft(grafter="Maren", happened_at=day)
    assert names(follow(known, Way.BLADE)) == ["Red Tarn 2"]
    assert names(follow(known, Way.BLADE, back=True)) == ["Red Tarn 2"]


def test_a_month_is_no_day_for_a_blade(one: Any, follow: Follow) -> None:
    first = one(1, grafter="Maren", precision="month")
    one(2, grafter="Maren")
    assert names(follow(first, Way.BLADE)) == []


def test_a_cover_passes_it_among_all_that_stood_under_it_until_it_stood_empty(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any]
) -> None:
    first = one(0, dome=dome.pk)
    second = one(1_440, dome=dome.pk)
    write("moved", first, days=10, stands="bench")
    write("moved", second, days=12, stands="bench")
    third = one(1_440 * 30, dome=dome.pk)
    assert names(follow(first, Way.COVER)) == ["Red Tarn 2"]
    assert names(follow(third, Way.COVER)) == []
    assert names(follow(f"dome:{dome.pk.hex}", Way.COVER)) == ["Red Tarn 3"]
    assert way(follow(first, Way.COVER), second)[1] == "Dome 1, filled 14 Feb 2026"


def test_a_lost_plant_that_nobody_moved_out_is_taken_to_stand_there_no_longer(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any]
) -> None:
    first = one(0, dome=dome.pk)
    write("lost", first, days=20)
    one(1_440 * 30, dome=dome.pk)
    assert names(follow(first, Way.COVER)) == []


def test_a_corrected_move_counts_as_corrected(one: Any, follow: Follow, dome: Dome, write: Callable[..., Any], now: datetime) -> None:
    first = one(0, dome=dome.pk)
    moved = write("moved", first, days=10, stands="bench")
    one(1_440 * 30, dome=dome.pk)
    assert names(follow(first, Way.COVER)) == []
    correct(moved.id, {"happened_at": (now + timedelta(days=40)).isoformat()}, now=now + timedelta(days=50))
    assert names(follow(first, Way.COVER)) == ["Red Tarn 2"]
    undo(moved.id, now=now + timedelta(days=60))
    assert names(follow(first, Way.COVER)) == ["Red Tarn 2"]


def test_plants_treated_together_met_at_that_moment(one: Any, follow: Follow, now: datetime, nursery: Nursery) -> None:
    plants = [one(minutes) for minutes in range(3)]
    keys = tuple(plant.key for plant in plants[:2])
    record_events([NewEvent("treated", now + timedelta(days=1), keys, {"product": "soft soap"})], now=now + timedelta(days=1))
    assert names(follow(plants[0], Way.TREATED)) == ["Red Tarn 2"]
    assert way(follow(plants[0], Way.TREATED), plants[1])[1] == "the treatment with soft soap of 15 February 2026"


def test_a_name_follows_the_last_wood_and_a_sickness_all_wood(
    one: Any, follow: Follow, tree: MotherTree, write: Callable[..., Any], cultivar: Cultivar
) -> None:
    plant = one(tree=tree.pk)
    write("lost", plant, days=30)
    write("regrafted", plant, days=40, cultivar=cultivar.pk)
    assert names(follow(tree, Way.WOOD)) == ["Red Tarn 1"]
    assert names(follow(tree, Way.WOOD, ask=Ask.NAME)) == []


def test_labels_of_a_bench_day_may_have_been_swapped(one: Any, follow: Follow, cultivar: Cultivar, now: datetime) -> None:
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": "Maren"}, now=now)
    first = one(5, bench=bench.pk)
    one(1, bench=bench.pk)
    assert names(follow(first, Way.BENCH, ask=Ask.NAME)) == ["Red Tarn 2"]
    assert names(follow(bench, Way.BENCH, ask=Ask.NAME)) == ["Red Tarn 1", "Red Tarn 2"]


def test_an_undone_graft_met_nothing(one: Any, graft: Graft, follow: Follow, tree: MotherTree, now: datetime) -> None:
    written = graft(2, tree=tree.pk)
    undo(written.events[0], now=now + timedelta(days=1))
    assert names(follow(tree, Way.WOOD)) == ["Red Tarn 2"]


def test_what_is_written_later_is_seen_at_once(one: Any, follow: Follow, tree: MotherTree) -> None:
    one(tree=tree.pk)
    assert len(follow(tree).plants) == 1
    one(1, tree=tree.pk)
    assert len(follow(tree).plants) == 2


def test_forwards_and_back_agree(
    one: Any, follow: Follow, tree: MotherTree, lot: RootstockLot, dome: Dome, write: Any, now: datetime
) -> None:
    """Whoever could catch it from a thing could, looked at from behind, have it from there."""
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    plants = [one(minutes * 37, dome=(dome, other)[minutes % 2].pk, grafter="MT"[minutes % 3 // 2], tree=tree.pk) for minutes in range(8)]
    for number, plant in enumerate(plants[::3]):
        write("moved", plant, days=1 + number, dome=(other, dome)[number % 2].pk)
    forwards = {p.pk: set(follow(p).plants) for p in plants}
    backwards = {p.pk: set(follow(p, back=True).plants) for p in plants}
    found = {(a.pk, b.pk) for a in plants for b in plants if b.pk.hex in forwards[a.pk]}
    assert found == {(a.pk, b.pk) for a in plants for b in plants if a.pk.hex in backwards[b.pk]}
    assert 8 < len(found) < 64


def test_the_picture_draws_many_together_and_the_way_on_by_itself(
    one: Any, graft: Graft, follow: Follow, tree: MotherTree, cultivar: Cultivar, now: datetime
) -> None:
    plants = graft(6, tree=tree.pk).plants
    young = save_noun(MotherTree, {"name": "the young tree", "cultivar": cultivar, "raised_from": plants[2]}, now=now)
    one(9, tree=young.pk)
    drawn = [(row.depth, row.hangs_on, row.words) for row in spread_rows(follow(tree, Way.WOOD))]
    assert drawn == [
        (0, -1, "the old tree by the gate"),
        (1, 0, "5 plants"),
        (1, 0, "Red Tarn 3"),
        (2, 2, "the young tree"),
        (3, 3, "Red Tarn 7"),
    ]


def test_the_picture_stays_small(graft: Graft, follow: Follow, tree: MotherTree, cultivar: Cultivar, now: datetime) -> None:
    plants = graft(30, tree=tree.pk).plants
    for number, plant in enumerate(plants):
        young = save_noun(MotherTree, {"name": f"tree {number}", "cultivar": cultivar, "raised_from": plant}, now=now)
        graft(2, tree=young.pk, days=1)
    rows = spread_rows(follow(tree, Way.WOOD))
    assert len(rows) <= 60
    assert [row.words for row in rows if row.branches] == ["22 more ways, to 66 plants"]


def test_nothing_of_that_name_is_told_so(nursery: Nursery, follow: Follow, plant: Plant, dome: Dome, tree: MotherTree) -> None:
    with pytest.raises(UnknownSubject, match="names nothing"):
        checked_key("<b>tree</b>")
    with pytest.raises(UnknownSubject, match="no such thing"):
        follow("tree:00000000000000000000000000000001")
    with pytest.raises(UnknownSubject, match="met nothing"):
        follow("blade:2026-02-14:0:Maren")
    with pytest.raises(UnknownSubject, match="met nothing"):
        follow(f"dome:{dome.pk.hex}")
    assert follow(tree).reached == []
    assert thing_called(" the OLD tree by the gate ") == f"tree:{tree.pk.hex}"
    assert thing_called("red tarn 1") == f"plant:{plant.pk.hex}"
    with pytest.raises(Refused, match="No plant"):
        thing_called("Blue Tarn 9")


def test_the_map_is_held_until_something_is_written(one: Any, nursery: Nursery, tree: MotherTree) -> None:
    one(tree=tree.pk)
    asked: dict[str, Any] = {"zone": nursery.zone, "only_standing": False}
    first = contact_map([Way.WOOD], **asked)
    assert contact_map([Way.WOOD], **asked) is first
    one(1, tree=tree.pk)
    assert contact_map([Way.WOOD], **asked) is not first


def test_wood_is_in_the_graft_whatever_the_clocks_say(
    one: Any, tree: MotherTree, follow: Follow, cultivar: Cultivar, nursery: Nursery, now: datetime
) -> None:
    """The bag was cut after its graft, by the records; the graft's own time is not known, or the cut day is a slip."""
    later = {"name": "bag 8", "tree": tree, "cultivar": cultivar, "cut_at": now + timedelta(hours=5)}
    slip = {"name": "bag 9", "tree": tree, "cultivar": cultivar, "cut_on": date(2026, 2, 15)}
    for values in (later, slip):
        bag = save_noun(ScionBag, values, now=now)
        one(happened_at=noon(date(2026, 2, 14), nursery), tree=tree.pk, bag=bag.pk)
    assert names(follow(tree, Way.WOOD)) == ["Red Tarn 1", "Red Tarn 2"]
    assert names(follow(tree, Way.WOOD, ask=Ask.NAME)) == ["Red Tarn 1", "Red Tarn 2"]


def test_a_bag_cut_before_the_tree_fell_ill_is_sound(one: Any, tree: MotherTree, follow: Follow, cultivar: Cultivar, now: datetime) -> None:
    timed = save_noun(ScionBag, {"name": "bag 7", "tree": tree, "cultivar": cultivar, "cut_at": now - timedelta(days=3)}, now=now)
    one(tree=tree.pk, bag=timed.pk)
    unknown = save_noun(ScionBag, {"name": "bag 8", "tree": tree, "cultivar": cultivar}, now=now)
    one(1, tree=tree.pk, bag=unknown.pk)
    one(1_440 * 20, tree=tree.pk, bag=unknown.pk)
    assert names(follow(tree, Way.WOOD, since=date(2026, 2, 12))) == ["Red Tarn 2", "Red Tarn 3"]
    assert names(follow(tree, Way.WOOD, since=date(2026, 2, 15))) == []  # the second bag was cut before its first graft, whenever


def test_a_graft_known_to_the_month_may_have_been_made_a_month_sooner_or_later(one: Any, tree: MotherTree, follow: Follow) -> None:
    one(tree=tree.pk, precision="month")
    one(1, tree=tree.pk)
    assert names(follow(tree, Way.WOOD, since=date(2026, 3, 10))) == ["Red Tarn 1"]
    assert names(follow(tree, Way.WOOD, since=date(2026, 3, 20))) == []
    one(2, tree=tree.pk, precision="year")
    assert names(follow(tree, Way.WOOD, since=date(2026, 12, 1))) == ["Red Tarn 3"]


def test_under_a_cover_a_day_without_a_time_is_the_whole_day(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any], nursery: Nursery, now: datetime
) -> None:
    first = one(0, dome=dome.pk)
    out = noon(date(2026, 2, 20), nursery)
    write("moved", first, days=(out - now) / timedelta(days=1), stands="bench")
    evening = (out + timedelta(hours=5) - now) / timedelta(minutes=1)
    one(evening, dome=dome.pk)
    one(evening + 1_440, dome=dome.pk)
    assert names(follow(first, Way.COVER)) == ["Red Tarn 2", "Red Tarn 3"]  # one filling, as the second may have stood beside the first


def test_under_a_cover_a_graft_known_to_the_month_may_have_stood_there_sooner(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any]
) -> None:
    before = one(-1_440 * 5, dome=dome.pk)
    write("moved", before, days=-2, stands="bench")
    vague = one(0, dome=dome.pk, precision="month")
    assert names(follow(before, Way.COVER)) == ["Red Tarn 2"]
    assert names(follow(vague, Way.COVER)) == ["Red Tarn 1"]


def test_a_sold_plant_has_left_its_dome_and_one_brought_in_without_a_place_has_not(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any]
) -> None:
    sold, wintered = one(0, dome=dome.pk), one(1, dome=dome.pk)
    write("left", sold, days=10, how="sale")
    write("wintered_in", wintered, days=10)
    later = one(1_440 * 20, dome=dome.pk)
    assert names(follow(later, Way.COVER)) == ["Red Tarn 2"]
    assert names(follow(sold, Way.COVER)) == ["Red Tarn 2", "Red Tarn 3"]  # by way of the one that still stood there
    other = save_noun(Dome, {"name": "Dome 2"}, now=dome_day())
    gone = one(0, dome=other.pk)
    write("left", gone, days=10, how="sale")
    assert names(follow(one(1_440 * 20, dome=other.pk), Way.COVER)) == []


def dome_day() -> datetime:
    return datetime.fromisoformat("2026-02-14T10:30:00+00:00")


def test_another_hand_s_blade_and_its_cleaning_are_its_own(
    one: Any, follow: Follow, write: Callable[..., Any], cultivar: Cultivar, now: datetime
) -> None:
    marens, tobits = (save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "grafter": who}, now=now) for who in ("Maren", "Tobit"))
    first = one(1, bench=marens.pk, grafter="Maren")
    write("blade_cleaned", tobits.key, days=2 / 1440, how="changed")
    write("blade_cleaned", tobits.key, days=4 / 1440, how="changed", grafter="Maren")
    one(3, bench=marens.pk, grafter="Maren")
    one(5, bench=marens.pk, grafter="Maren")
    other = one(5, bench=tobits.pk, grafter="Tobit")
    assert names(follow(first, Way.BLADE)) == ["Red Tarn 2"]
    assert names(follow(tobits, Way.BLADE)) == [other.spoken]


def test_looking_back_until_a_day_means_until_its_end(one: Any, follow: Follow, tree: MotherTree) -> None:
    plant = one(tree=tree.pk)
    assert follow(plant, Way.WOOD, back=True, since=date(2026, 2, 14)).sources
    assert not follow(plant, Way.WOOD, back=True, since=date(2026, 2, 13)).sources


def test_several_records_of_one_moment_with_one_product_are_one_treatment(one: Any, follow: Follow, write: Callable[..., Any]) -> None:
    plants = [one(minutes) for minutes in range(3)]
    for plant, product in zip(plants, ("soft soap", "soft soap", "oil"), strict=True):
        write("treated", plant, days=1, product=product)
    assert names(follow(plants[0], Way.TREATED)) == ["Red Tarn 2"]
    assert names(follow(plants[2], Way.TREATED)) == []


def test_a_plant_out_of_a_bag_shared_the_bag_and_its_tree(
    one: Any, follow: Follow, tree: MotherTree, cultivar: Cultivar, now: datetime
) -> None:
    bag = save_noun(ScionBag, {"name": "bag 7", "tree": tree, "cultivar": cultivar}, now=now)
    first = one(tree=tree.pk, bag=bag.pk)
    one(1, tree=tree.pk)
    shared = {each.thing.words: each.plants for each in follow(first, Way.WOOD).shared()}
    assert shared == {"bag 7, a bag of scions": 1, "the old tree by the gate": 2}


def test_every_line_of_the_picture_can_be_passed_in_time(
    one: Any, follow: Follow, dome: Dome, write: Callable[..., Any], tree: MotherTree
) -> None:
    """Whoever is drawn below another met it while that could pass something on."""
    other = save_noun(Dome, {"name": "Dome 2"}, now=dome_day())
    plants = [one(n * 37, dome=(dome, other)[n % 2].pk, grafter="MT"[n % 3 // 2], tree=tree.pk) for n in range(9)]
    for number, plant in enumerate(plants[::2]):
        write("moved", plant, days=1 + number, dome=(other, dome)[number % 2].pk)
    for plant in plants:
        answer = follow(plant)
        assert passable(answer)
        assert {row.thing.key for row in spread_rows(answer) if row.thing} >= {answer.begin.key}


def passable(answer: SpreadAnswer) -> bool:
    """Whether each visit can be reached in time by the visits before it."""
    visits, contacts = answer.reach.visits, answer.map.contacts
    at: list[float] = []
    for contact, before in zip(visits.contact.tolist(), visits.before.tolist(), strict=True):
        if before < 0:
            at.append(float("-inf"))
            continue
        at.append(max(at[before], float(contacts.opens[contact])))
        if at[-1] > contacts.closes[contact]:
            return False
    return True
