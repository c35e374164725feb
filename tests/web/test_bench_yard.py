"""The yard's pages: trees, cutting into a bag, the bag with its label."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.bag_label import bag_label_text
from scionary.answers.yard import bag_line
from scionary.book.bags import Cut, cut_scions
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Event, Graft, MotherTree, Nursery, ScionBag
from scionary.names import code_of, grouped
from web.rendered import check_page, form_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def bag(nursery: Nursery, tree: MotherTree) -> ScionBag:
    now = timezone.now()
    return cut_scions(Cut(tree, 12, now - timedelta(hours=3), care="stalks_left", stands="cool box"), nursery, now=now).bag


def address(row: MotherTree | ScionBag) -> str:
    return f"/bench/yard/{'trees' if isinstance(row, MotherTree) else 'bags'}/{row.pk}/"


def test_an_empty_yard_says_what_it_is_for_and_has_one_button(client: Client, nursery: Nursery) -> None:
    assert "Add a mother tree" in check_page(client.get("/bench/yard/"))


def test_the_bench_leads_to_the_yard_and_the_yard_to_the_tree(client: Client, tree: MotherTree) -> None:
    assert "/bench/yard/" in client.get("/bench/").content.decode()
    page = check_page(client.get("/bench/yard/"))
    assert address(tree) in page
    assert "40 sticks may be cut" in page


def test_sticks_are_cut_with_one_form_and_the_page_says_what_to_write_on_the_bag(client: Client, tree: MotherTree) -> None:
    given = {"sticks": "12", "care": "stalks_left", "stands": "cool box", "event_id": str(uuid7())}
    responses = [client.post(address(tree), given) for _ in range(2)]
    bag = ScionBag.objects.get()
    assert [(each.status_code, each.headers["Location"]) for each in responses] == [(303, address(bag))] * 2
    page = check_page(client.get(address(bag)))
    for words in ("Write on the bag", "Red Tarn, 12 sticks", grouped(code_of(bag.code_number or 0)), tree.name, "blades off, stalks left"):
        assert words in page
    assert "28 sticks may be cut" in client.get("/bench/yard/").content.decode()


def test_the_same_cut_again_a_moment_later_is_asked_about(client: Client, tree: MotherTree) -> None:
    given = {"sticks": "12", "event_id": str(uuid7())}
    client.post(address(tree), given)
    given["event_id"] = str(uuid7())
    asked = client.post(address(tree), given)
    assert asked.status_code == 422
    page = check_page(asked)
    assert "12 sticks were written down from it a moment ago." in page
    assert address(ScionBag.objects.get()) in page
    assert "Another bag: cut these sticks" in page
    assert '<input type="hidden" name="another" value="yes">' in page
    assert client.post(address(tree), {**given, "another": "yes"}).status_code == 303
    assert ScionBag.objects.count() == 2
    assert client.post(address(tree), {"sticks": "8", "event_id": str(uuid7())}).status_code == 303  # another number is another bag


def test_the_next_bag_begins_as_the_last_one_was(client: Client, tree: MotherTree, bag: ScionBag) -> None:
    page = check_page(client.get(address(tree)))
    assert 'value="stalks_left" selected' in page
    assert 'value="cool box"' in page
    assert "Empty: Red Tarn, " in page


def test_another_day_with_and_without_a_time(client: Client, nursery: Nursery, tree: MotherTree) -> None:
    day = (timezone.now().astimezone(nursery.zone) - timedelta(days=2)).date()
    client.post(address(tree), {"sticks": "3", "on": day.isoformat(), "at": "7:30", "name": "With a time"})
    client.post(address(tree), {"sticks": "3", "on": day.isoformat(), "name": "Without one"})
    timed, untimed = ScionBag.objects.get(name="With a time"), ScionBag.objects.get(name="Without one")
    assert timed.cut_at is not None
    assert f"{timed.cut_at.astimezone(nursery.zone):%Y-%m-%d %H:%M}" == f"{day.isoformat()} 07:30"
    assert (untimed.cut_at, untimed.cut_on) == (None, day)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"sticks": ""}, "This field is required"),
        ({"sticks": "0"}, "greater than or equal to 1"),
        ({"sticks": "12", "care": "boiled"}, "not one of the available choices"),
        ({"sticks": "12", "on": "2899-01-01"}, "That lies ahead"),
        ({"sticks": "12", "on": "2026-02-31"}, "no day that exists"),
        ({"sticks": "12", "at": "25:71"}, "no time of day"),
        ({"sticks": "12", "stands": "x" * 121}, "at most 120"),
    ],
)
def test_bad_input_keeps_the_form_and_writes_nothing(client: Client, tree: MotherTree, given: dict[str, str], told: str) -> None:
    response = client.post(address(tree), given)
    assert response.status_code == 422
    assert told in check_page(response)
    assert not ScionBag.objects.exists()
    assert not Event.objects.filter(kind="scions_cut").exists()


def test_a_name_that_is_taken_is_told_at_its_field(client: Client, tree: MotherTree, bag: ScionBag) -> None:
    response = client.post(address(tree), {"sticks": "1", "name": bag.name.upper()})
    assert response.status_code == 422
    assert "Give this one another name" in check_page(response)
    assert ScionBag.objects.count() == 1


def test_more_than_the_tree_gives_is_written_and_flagged(client: Client, tree: MotherTree) -> None:
    page = client.post(address(tree), {"sticks": "45"}, follow=True).content.decode()
    assert f"Flagged: 5 sticks more than {tree} gives in a season." in page
    assert ScionBag.objects.get().sticks == 45


def test_a_tree_in_quarantine_or_doubt_says_so_loudly_before_the_blade(
    client: Client, tree: MotherTree, write: Callable[..., object]
) -> None:
    write("quarantined", tree.key, reason="spots")
    write("name_doubted", tree.key, reason="wrong leaf")
    for page in ("/bench/yard/", address(tree)):
        text = check_page(client.get(page))
        assert text.count('class="flag"') >= 2
        assert "stands in quarantine" in text


def test_undo_takes_the_bag_out_of_the_list_and_gives_the_sticks_back(client: Client, tree: MotherTree, bag: ScionBag) -> None:
    event = Event.objects.get(kind="scions_cut")
    assert str(event.pk) in client.get(address(bag)).content.decode()
    client.post("/undo/", {"event": str(event.pk), "next": "/bench/yard/"})
    page = check_page(client.get("/bench/yard/"))
    assert "40 sticks may be cut" in page
    assert bag.name not in page
    gone = check_page(client.get(address(bag)))
    assert "Its cutting was undone" in gone
    for use in ("Print the bag", "Graft from it", "Measure its sticks", "Cut another bag"):
        assert use not in gone
    where, sent = form_of(gone, "It was cut after all: bring it back")
    assert client.post(where, sent).headers["Location"] == address(bag)
    assert "Graft from it" in check_page(client.get(address(bag)))


def test_the_label_says_what_is_in_the_bag(client: Client, nursery: Nursery, tree: MotherTree, bag: ScionBag) -> None:
    response = client.get(f"{address(bag)}label.pdf?sheet=single-60x30&copies=2")
    assert (response.status_code, response["Content-Type"], response.content[:5]) == (200, "application/pdf", b"%PDF-")
    text = bag_label_text(bag_line(bag.pk, nursery, now=timezone.now()), nursery)
    assert (text.said, text.code, text.name_runs) == ("Red Tarn, 12 sticks", code_of(bag.code_number or 0), ((f"from {tree.name}", False),))
    assert (text.date[:4], text.method) == ("cut ", "blades off, stalks left")
    assert client.get(f"{address(bag)}label.pdf?sheet=nowhere").status_code == 422


def test_a_bags_code_typed_under_plants_leads_to_the_bag(client: Client, bag: ScionBag) -> None:
    page = check_page(client.get("/plants/", {"q": code_of(bag.code_number or 0)}))
    assert address(bag) in page
    assert "A bag of scions: Red Tarn" in page


def test_the_bench_is_set_from_a_bag_by_its_code_and_takes_its_tree(client: Client, tree: MotherTree, bag: ScionBag) -> None:
    page = check_page(client.get("/bench/new/", {"bag": str(bag.pk)}))
    assert f'value="{bag.name}"' in page
    client.post(
        "/bench/new/", {"cultivar": "Red Tarn", "count": "2", "day": today_at_nursery().isoformat(), "bag": code_of(bag.code_number or 0)}
    )
    bench = BenchDay.objects.get()
    assert (bench.bag, bench.tree) == (bag, tree)
    assert {(graft.bag, graft.tree) for graft in Graft.objects.all()} == {(bag, tree)}
    assert f"bag {bag.name}" in check_page(client.get(f"/bench/{bench.pk}/"))


@pytest.mark.parametrize(
    ("given", "told"),
    [({"bag": "nowhere"}, "No bag is called"), ({"cultivar": "Ash Gill"}, "holds Red Tarn"), ({"tree": "another tree"}, "was cut from")],
)
def test_a_bag_that_cannot_be_is_refused_at_its_field(
    client: Client, bag: ScionBag, tree: MotherTree, given: dict[str, str], told: str
) -> None:
    now = timezone.now()
    save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    save_noun(MotherTree, {"name": "another tree", "cultivar": tree.cultivar}, now=now)
    form = {"cultivar": "Red Tarn", "day": today_at_nursery().isoformat(), "bag": bag.name, **given}
    response = client.post("/bench/new/", form)
    assert response.status_code == 422
    assert told in check_page(response)
    assert not BenchDay.objects.exists()


@pytest.mark.parametrize("path", ["trees", "bags"])
def test_what_the_book_does_not_hold_is_404(client: Client, nursery: Nursery, path: str) -> None:
    assert client.get(f"/bench/yard/{path}/{uuid7()}/").status_code == 404
